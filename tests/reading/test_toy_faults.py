"""What a naive reader does and this one must not: ticking every word, forcing a match, losing what it cannot place."""

from __future__ import annotations

import pytest
from reading_checks import asides, bug, denied, expect, heard_of, levels, lexicon, note, present, talk

from tastevocab.vocabulary.cache import open_vocabulary


def test_kettle_and_process_are_no_notes() -> None:
    reading = talk("Ana: The orange kettle is on, and it's a honey lot.")
    assert heard_of(reading) == []
    assert asides(reading) == ["sweet_orange", "honeys"]


def test_repeating_a_word_is_one_taster_s_one_flavour() -> None:
    found = talk("Ana: Plum. Plum, plum, so much plum!").findings
    assert {(f.spot.speaker, f.descriptor) for f in found} == {("Ana", "orchard/plums")}


def test_not_lemon_is_no_lemon() -> None:
    reading = note("not lemon")
    assert (present(reading), denied(reading)) == ([], ["lemon"])


def test_a_claim_read_aloud_confirms_nothing() -> None:
    reading = talk("Ana: The bag says quince.", "Ben: I get plum.")
    assert heard_of(reading) == ["plums"]
    assert asides(reading) == ["quince"]


def test_yeah_definitely_is_no_second_voice() -> None:
    reading = talk("Ana: I get cedar.", "Ben: Yeah, definitely.")
    assert [f.standing for f in (*reading.findings, *reading.asked) if f.spot.speaker == "Ben"] == ["echo"]


def test_the_first_voice_stays_its_own() -> None:
    reading = talk("Ana: I get cedar.", "Ben: Yeah, definitely.")
    assert [f.standing for f in reading.findings if f.spot.speaker == "Ana"] == ["own"]


@pytest.mark.parametrize(
    ("said", "descriptor"),
    [
        ("dark fruit", "reach/dark_fruit"),
        ("stone fruit", "reach/stone_fruit"),
        ("apple", "reach/apple"),
        ("plum", "orchard/plums"),
        ("chocolate", "reach/chocolatey"),
        ("wine", "reach/winey"),
        ("nuts", "reach/nutty"),
        ("floral", "reach/floral"),
        ("honey", "sugar_jar/honeys"),
        ("tea", "reach/tea_like"),
    ],
)
def test_a_broad_word_never_becomes_a_note(said: str, descriptor: str) -> None:
    (found,) = note(said).findings
    assert found.descriptor == descriptor
    assert lexicon().levels_of[found.descriptor] != "note"


@pytest.mark.parametrize(
    ("word", "near"),
    [("tangy", "tangerine"), ("lively", "olive"), ("coffee", "toffee"), ("grind", "gin"), ("cool", "cola"),
     ("clearly", "clove"), ("stage", "sage"), ("coffees", "coffee_blossom")],
)  # fmt: skip
def test_no_match_is_forced(word: str, near: str) -> None:
    """Each is a letter or two from a flavour, and none of them is one."""
    assert present(note(near.replace("_", " "))) != []
    assert [flavour for flavour in heard_of(note(f"it is {word} in the cup")) if "=" not in flavour] == []


@pytest.mark.parametrize(
    ("near", "name", "meant"),
    [("fog", "fig", "reach/fig"), ("bay window", "hay", "hay"), ("tome", "lime", "lime"), ("bum", "rum", "reach/rum")],
)
def test_short_words_need_exactness(near: str, name: str, meant: str) -> None:
    assert present(note(name)) == [meant]
    assert present(note(f"getting {near}")) == []


def test_brews_are_kept_apart() -> None:
    reading = talk("Ana: First the filter. I get rose.", "Ana: Now the espresso. I get toffee.")
    assert [f.spot.brew for f in (*reading.findings, *reading.asked)] == ["filter", "espresso"]


def test_certainty_and_strength_are_two_numbers() -> None:
    (found,) = note("maybe plum ++").findings
    assert (found.degree, found.strength, found.certainty, found.hedged) == ("strong", 35.4, 0.5, True)


def test_a_doubt_beside_a_strength_stays_a_doubt() -> None:
    assert note("maybe loads of plum").findings[0].hedged


def test_faults_are_marked_and_kept() -> None:
    expect(note("cardboard, and a bit of plum"), "cardboard_stale fault", "plums weak !fault")


SORTED = {
    "medicinal": "the fault lists the word itself, and wins",
    "papery": "the fault lists the word itself, and wins",
    "savoury": "the word is an attribute's, and nothing asks",
}


@pytest.mark.parametrize("word", [bug(SORTED[w], w) if w in SORTED else w for w in sorted(open_vocabulary().two_faced)])
def test_two_faced_words_are_not_sorted_by_the_reader(word: str) -> None:
    two = open_vocabulary().two_faced[word]
    (found,) = note(word).findings
    assert found.descriptor == two.flavour
    assert found.two_faced
    assert not found.fault


@pytest.mark.parametrize(
    ("said", "attribute", "level"),
    [("malic", "acidity", "high"), ("citric", "acidity", "high")],
)
def test_acid_names_are_a_likeness_of_acidity_and_no_fruit(said: str, attribute: str, level: str) -> None:
    reading = note(f"a {said} snap")
    assert levels(reading) == {attribute: level}
    assert present(reading) == []


def test_an_unknown_word_is_kept() -> None:
    expect(note("getting glimmerfruit"), "?glimmerfruit")


def test_an_unknown_word_is_not_forced() -> None:
    assert heard_of(note("getting glimmerfruit")) == []


def test_a_denied_flavour_has_no_degree() -> None:
    (lemon,) = note("not lemon").findings
    assert (lemon.present, lemon.degree, lemon.strength) == (False, None, None)
