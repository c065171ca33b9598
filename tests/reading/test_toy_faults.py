"""What a naive reader does and this one must not: ticking every word, forcing a match, losing what it cannot place."""

from __future__ import annotations

import pytest
from reading_checks import bug, denied, expect, levels, lexicon, note, present, talk

from tastevocab.vocabulary.cache import open_vocabulary


def test_kettle_and_process_are_no_notes() -> None:
    expect(talk("Ana: The orange kettle is on, and it's a honey lot."), "equipment:sweet_orange", "process:honeys")


def test_repeating_a_word_makes_no_second_finding() -> None:
    assert len(talk("Ana: Plum. Plum, plum, so much plum!").findings) == 1


def test_not_lemon_is_no_lemon() -> None:
    reading = note("not lemon")
    assert (present(reading), denied(reading)) == ([], ["lemon"])


def test_a_claim_read_aloud_confirms_nothing() -> None:
    reading = talk("Ana: The bag says quince.", "Ben: I get plum.")
    expect(reading, "claim:quince Ana", "plums own Ben")


def test_yeah_definitely_is_no_second_voice() -> None:
    reading = talk("Ana: I get cedar.", "Ben: Yeah, definitely.")
    assert [(f.spot.speaker, f.standing) for f in reading.findings] == [("Ana", "own"), ("Ben", "echo")]


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


@pytest.mark.parametrize("word", ["tangy", "lively", "coffee", "grind", "cool", "clearly", "stage", "lemony-nothing"])
def test_no_match_is_forced(word: str) -> None:
    """Each is a letter or two from a flavour (tangerine, olive, toffee, gin, cola, ...) and none of them is one."""
    wrong = {"tangerine", "olive", "toffee", "coffee_blossom", "gin", "cola", "clove", "sage"}
    assert not wrong & set(present(note(f"it is {word} in the cup")))


@pytest.mark.parametrize(
    ("near", "meant"), [("fog", "reach/fig"), ("bay window", "hay"), ("tome", "lime"), ("bum", "rum")]
)
def test_short_words_need_exactness(near: str, meant: str) -> None:
    assert meant not in present(note(f"getting {near}"))


def test_moments_and_brews_are_kept_apart() -> None:
    reading = talk("Ana: First the filter. Hot, rose. Cold, plum.", "Ana: Now the espresso. Toffee.")
    assert [(f.spot.brew, f.spot.moment) for f in reading.findings] == [
        ("filter", "hot"), ("filter", "cool"), ("espresso", None)
    ]  # fmt: skip


def test_certainty_and_strength_are_two_numbers() -> None:
    (found,) = note("maybe loads of plum").findings
    assert (found.degree, found.strength, found.certainty, found.hedged) == ("strong", 35.4, 0.5, True)


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


def test_an_unknown_word_is_kept_and_not_forced() -> None:
    expect(note("getting glimmerfruit"), "?glimmerfruit")


def test_a_denied_flavour_does_not_lend_its_degree() -> None:
    (lemon,) = note("absolutely no lemon").findings
    assert not lemon.present
