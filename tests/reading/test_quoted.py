"""Short sentences of spoken talk: what must come out of each, counted or asked, and what must never be counted."""

from __future__ import annotations

import pytest
from reading_checks import heard_of, present, talk

# (what is said, everything that must be found in it, counted or left to a person)
FOUND = [
    ("The finish is toast", ("toast",)),
    ("The nose is peanuts", ("peanut",)),
    ("It went sour as it cooled", ("acidity=high",)),
    ("strawberry jam. but also pencil lead", ("strawberry_jam", "pencil_shavings")),
    ("actually smells a little burnt", ("burnt_taste",)),
    ("a cinnamon bomb", ("cinnamon",)),
    ("crisp, fruity, fresh", ("reach/fruity",)),
    ("dark chocolate, like seventy percent", ("dark_chocolate",)),
]
NO_FLAVOUR = [
    "dentist's appointment",
    "it smells of paint in here",
    "it is chilly today",
    "plum job",
    "a toast to the host",
    "clean cups everywhere",
    "the light packet",
    "a crisp shell on it",
    "the full tin",
    "a long wait",
    "a sharp knife",
    "sweet of you",
    "bitter about it",
    "nutty idea",
    "going bananas",
    "the finish date is Tuesday",
    "cherry on top",
]


@pytest.mark.parametrize(("said", "wanted"), FOUND)
def test_a_finding_is_counted_or_asked(said: str, wanted: tuple[str, ...]) -> None:
    assert set(wanted) <= set(heard_of(talk(f"Ana: {said}")))


@pytest.mark.parametrize("said", NO_FLAVOUR)
def test_no_flavour_is_counted(said: str) -> None:
    reading = talk(f"Ana: {said}")
    assert present(reading) == []
    assert [a for a in reading.attributes if not a.asked] == []


def test_claims_are_checked_off() -> None:
    reading = talk("Ana: The bag says cherry and caramel.", "Ben: Okay, sipping.", "Ben: cherry okay, caramel no.")
    found = {f.descriptor: f.present for f in (*reading.findings, *reading.asked) if f.spot.speaker == "Ben"}
    assert found == {"orchard/cherries": True, "sugar_jar/caramel_toffee/caramel": False}


def test_a_moment_that_talk_is_put_off_to_is_not_in_hand() -> None:
    said = ("Ana: Hot pass. I get plum.", "Ben: Ask me when it's cool.", "Ben: Dark chocolate for me.")
    reading = talk(*said)
    assert {f.spot.moment for f in (*reading.findings, *reading.asked)} == {"hot"}


@pytest.mark.parametrize("put_off", ["Ask me when it's cool.", "Wait until it's cold."])
def test_a_moment_that_talk_is_put_off_to_is_none_that_was_told(put_off: str) -> None:
    reading = talk(f"Ana: {put_off}", "Ben: I get plum.")
    assert {f.spot.moment for f in (*reading.findings, *reading.asked)} == {None}


def test_words_that_lead_to_a_name_point_back_to_nothing() -> None:
    """ "I get" before "mandarin" is part of it, not an echo of what was said before."""
    reading = talk("Ana: Okay, first sip. I get jasmine.", "Ben: I get mandarin.")
    ben = {f.descriptor for f in (*reading.findings, *reading.asked) if f.spot.speaker == "Ben"}
    assert ben == {"citrus_crate/orange_mandarin/mandarin"}


def test_a_brew_named_in_passing_is_not_in_hand() -> None:
    reading = talk("Ana: I get plum.", "Ben: My aunt swears by her moka pot.", "Ana: And dark chocolate, lots.")
    assert {f.spot.brew for f in (*reading.findings, *reading.asked)} == {None}


def test_what_is_taken_back_at_once_is_not_counted() -> None:
    assert present(talk("Ana: Tangerine... no, sorry.")) == []
