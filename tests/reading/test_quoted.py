"""Short sentences of spoken talk: what must come out of each, counted or asked, and what must never be counted."""

from __future__ import annotations

import pytest
from reading_checks import bug, heard_of, present, talk

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
FAILING = {
    "The finish is toast": "heard as an idiom",
    "The nose is peanuts": "heard as food on the table",
    "It went sour as it cooled": "no level of acidity is heard",
}
NO_FLAVOUR = [
    "dentist's appointment",
    "it smells of paint in here",
    "it is chilly today",
    "plum job",
    "a toast to the host",
]


@pytest.mark.parametrize(
    ("said", "wanted"), [bug(FAILING[case[0]], *case) if case[0] in FAILING else case for case in FOUND]
)
def test_a_finding_is_counted_or_asked(said: str, wanted: tuple[str, ...]) -> None:
    assert set(wanted) <= set(heard_of(talk(f"Ana: {said}")))


@pytest.mark.parametrize("said", NO_FLAVOUR)
def test_no_flavour_is_counted(said: str) -> None:
    assert present(talk(f"Ana: {said}")) == []
