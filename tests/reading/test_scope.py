"""Denial, doubt and degree: what is said of a flavour in its own sentence.

Trigger kinds and test forms after NegEx: Chapman WW, Bridewell W, Hanbury P, Cooper GF, Buchanan BG (2001), A simple
algorithm for identifying negated findings and diseases in discharge summaries, J. Biomed. Inform. 34:301-310, and the
public trigger file of its Python version (negex_triggers.txt).
"""

from __future__ import annotations

import pytest
from reading_checks import denied, expect, note, present

NEGEX_FORMS = [
    ("no citrus but cocoa", ["dark_choc"], ["reach/citrus"]),  # a termination ends the scope
    ("not only floral", ["reach/floral"], []),  # pseudo-negation, the longest trigger first
    ("without any cedar", [], ["cedar"]),  # pre-negation
    ("free of smoke", [], ["reach/smoky"]),
    ("absence of fruit", [], ["reach/fruity"]),
    ("no rose, however plenty of plum", ["plums"], ["rose"]),
    ("no rose though plum", ["plums"], ["rose"]),
    ("citrus was ruled out", [], ["reach/citrus"]),
]

FORMS = [
    ("not getting plum", [], ["plums"]),
    ("I can't find the peach", [], ["peach"]),
    ("peach was nowhere", [], ["peach"]),
    ("the peach disappeared", [], ["peach"]),
    ("rose: none", [], ["rose"]),
    ("rose is absent", [], ["rose"]),
    ("peach, not at all", [], ["peach"]),
    ("lacking violet", [], ["violet"]),
    ("not fig but date", ["date"], ["reach/fig"]),
    ("isn't lemon, it's lime", ["lime"], ["lemon"]),
    ("No lemon. Lime.", ["lime"], ["lemon"]),
    ("no rose, violet or lilac", [], ["rose", "violet", "lilac"]),
    ("neither rose nor violet", [], ["rose", "violet"]),
    ("not floral, not fruity", [], ["reach/floral", "reach/fruity"]),
    ("I don't get rose or violet", [], ["rose", "violet"]),
    ("I didn't get any lemon, but the lime was there", ["lime"], ["lemon"]),
    ("not just fig, also date", ["reach/fig", "date"], []),
    ("no doubt peach", ["peach"], []),
    ("nothing but peach", ["peach"], []),
    ("no denying the plum", ["plums"], []),
    ("can't miss the plum", ["plums"], []),
    ("no longer any peach", [], ["peach"]),
    ("the peach has faded", [], ["peach"]),
    ("I can't say there is jasmine", [], ["jasmine"]),
    ("I wouldn't say it's not floral", ["reach/floral"], []),
]

HALF = [
    ("hardly any peach", "peach barely"),
    ("barely any peach", "peach barely"),
    ("there isn't no plum", "plums weak hedged"),
    ("not very floral", "reach/floral weak"),
    ("not much plum", "plums weak"),
    ("not too much cocoa", "dark_choc weak"),
]

SWAPPED = [
    ("cherry rather than plum", "cherries", "plums"),
    ("less lemon, more lime", "lime", "lemon"),
    ("lime instead of lemon", "lime", "lemon"),
    ("cedar, without the smoke", "cedar", "reach/smoky"),
]

DEGREES = [
    ("a trace of plum", "barely"),
    ("a whisper of plum", "barely"),
    ("v. faint plum", "barely"),
    ("a hint of plum", "weak"),
    ("a touch of plum", "weak"),
    ("subtle plum", "weak"),
    ("some plum", "moderate"),
    ("lots of plum", "strong"),
    ("plum in spades", "strong"),
    ("pronounced plum", "strong"),
    ("overwhelming plum", "very_strong"),
    ("plum bomb", "very_strong"),
    ("very very plummy", "very_strong"),
    ("plum ++", "strong"),
    ("plum +++", "very_strong"),
    ("plum !!", "strong"),
    ("plum (strong)", "strong"),
    ("plum-forward", "strong"),
    ("plum", "unsaid"),
    ("plum, faint", "weak"),
    ("plum 4/5", "strong"),
    ("mid palate plum", "unsaid"),
]

DOUBTS = [
    ("maybe plum", 0.5),
    ("perhaps plum", 0.5),
    ("plum?", 0.5),
    ("plum, I think", 0.5),
    ("kind of plummy", 0.5),
    ("almost plum", 0.5),
    ("plum-ish", 0.5),
    ("could be plum", 0.5),
    ("plum??", 0.25),
    ("my guess is plum", 0.25),
    ("plum", 1.0),
    ("definitely plum", 1.0),
]


@pytest.mark.parametrize(("said", "found", "absent"), [*NEGEX_FORMS, *FORMS])
def test_denials(said: str, found: list[str], absent: list[str]) -> None:
    reading = note(said)
    assert (present(reading), denied(reading)) == (found, absent)


@pytest.mark.parametrize(("said", "expected"), HALF)
def test_only_the_amount_is_denied(said: str, expected: str) -> None:
    expect(note(said), expected)


@pytest.mark.parametrize(("said", "kept", "dropped"), SWAPPED)
def test_of_two_compared_only_one_is_found(said: str, kept: str, dropped: str) -> None:
    """Whether the other one is a denial or a comparison set aside, it is never found."""
    reading = note(said)
    assert present(reading) == [kept]
    assert dropped in [*denied(reading), *(str(s.descriptor).rsplit("/", 1)[-1] for s in reading.set_aside)]


@pytest.mark.parametrize(("said", "degree"), DEGREES)
def test_degrees(said: str, degree: str) -> None:
    expect(note(said), f"plums {degree}")


@pytest.mark.parametrize(("said", "certainty"), DOUBTS)
def test_certainty(said: str, certainty: float) -> None:
    (found,) = note(said).findings
    assert found.present
    assert (found.certainty, found.hedged) == (certainty, certainty < 1)


def test_a_degree_belongs_to_its_own_flavour() -> None:
    expect(note("a touch of lime, tons of fig"), "lime weak", "reach/fig strong")


def test_joined_flavours_share_a_degree_and_listed_ones_do_not() -> None:
    expect(note("subtle plum and cocoa"), "plums weak", "dark_choc weak")
    expect(note("subtle plum, cocoa"), "plums weak", "dark_choc unsaid")


def test_alternatives_are_both_leaning() -> None:
    expect(note("cherry or plum"), "cherries hedged", "plums hedged")


def test_doubt_does_not_cross_a_turn_of_the_sentence() -> None:
    expect(note("maybe plum, but loads of cocoa"), "plums hedged", "dark_choc strong !hedged")


def test_the_quote_holds_the_denial_the_doubt_and_the_degree() -> None:
    assert [f.spot.words for f in note("no rose, maybe a hint of plum").findings] == ["no rose", "maybe a hint of plum"]


@pytest.mark.parametrize("mark", ["✗", "✘", "❌"])
def test_a_cross_after_a_word_denies_it(mark: str) -> None:
    expect(note(f"plum {mark}"), "-plums")
