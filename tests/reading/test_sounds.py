"""Names that a recogniser wrote as other words, by how they sound."""

from __future__ import annotations

import pytest
from reading_checks import heard_of, lexicon, short, talk

from tastevocab.reading.fitting.sounds import names_words
from tastevocab.reading.language.mark import mentions_of
from tastevocab.reading.language.sounds import NEAR, kinds, mentions_heard, sound_book, sounds_of_words
from tastevocab.reading.words.utterance import Utterance

# Words that sound alike in dictionaries of English (from memory).
HOMOPHONES = [
    ("flour", "flower"), ("pear", "pair"), ("tea", "tee"), ("currant", "current"), ("thyme", "time"),
    ("leek", "leak"), ("beet", "beat"), ("meat", "meet"), ("berry", "bury"), ("bread", "bred"), ("cereal", "serial"),
]  # fmt: skip
HEARD = [
    ("palm a granite mole asses", "pomegranate_seed"),
    ("sin a men", "cinnamon"),
    ("peach neck tar from the carton", "peach_nectar"),
    ("salted chalk late", "salted_chocolate"),
    ("plan ten, the fried kind", "ripe_plantain"),
    ("tear a me sue", "tiramisu"),
    ("chocolate source", "chocolate_sauce"),
    ("turkish dee light", "turkish_delight"),
]
NOT_HEARD = [
    "a cherry, plum and sugar cane",  # names, each of its own
    "he let us in and we can do it",  # small words at either end
    "the first line of the can",
    "hazelnut and a nut of hazel",  # written already
    "brown sugar, cocoa powder and a bees wax candle",  # named, and near to other spellings of the same
    "a cinnamon bomb",  # written, with something beside it that sounds like no bun
]


def by_sound(text: str) -> set[str]:
    return {short(m.target) for m in mentions_heard(Utterance(text, lexicon())) if m.via == "sound"}


@pytest.mark.parametrize(("one", "other"), HOMOPHONES)
def test_what_sounds_alike_is_compared_alike(one: str, other: str) -> None:
    sounds = sounds_of_words()
    assert kinds(sounds[one]) == kinds(sounds[other])


@pytest.mark.parametrize(("said", "meant"), HEARD)
def test_a_name_is_known_by_its_sound(said: str, meant: str) -> None:
    assert meant in by_sound(said)


@pytest.mark.parametrize("said", NOT_HEARD)
def test_ordinary_talk_is_no_name(said: str) -> None:
    assert by_sound(said) == set()


def test_what_is_written_stays_named() -> None:
    u = Utterance("salted chalk late, and jasmine", lexicon())
    assert set(mentions_of(u)) <= set(mentions_heard(u))
    assert all(m.match >= NEAR for m in mentions_heard(u) if m.via == "sound")


def test_a_name_by_its_sound_reaches_the_table() -> None:
    assert "tiramisu" in heard_of(talk("Ana: I get tear a me sue, definitely."))


def test_only_english_is_known_by_sound() -> None:
    u = Utterance("tear a me sue", lexicon().of("es"))
    assert [m for m in mentions_heard(u) if m.via == "sound"] == []


def test_a_fault_is_never_taken_by_ear() -> None:
    faults = lexicon().names.faults
    assert all(name.descriptor not in faults for names in sound_book(lexicon()).names.values() for name in names)


def test_nearly_every_name_can_be_sounded() -> None:
    """`sounds.txt` is made anew when names are added; words it lacks are known by their spelling alone."""
    words = {word for word in names_words() if word.isascii()}
    assert len(words & sounds_of_words().keys()) > 0.97 * len(words)
