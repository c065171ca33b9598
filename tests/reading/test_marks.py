"""Where the marks of a scale of five become a level: the house rule at its borders, written out by hand."""

from __future__ import annotations

import pytest

from tastevocab.reading.language.marks import level_of_step


@pytest.mark.parametrize(
    ("step", "level"),
    [
        (-1.0, ("none", 1.0)),
        (0.0, ("none", 1.0)),
        (0.5, ("low", 1.0)),
        (1.5, ("low", 1.5)),
        (2.0, ("low", 2.0)),
        (2.25, ("medium", 2.25)),
        (3.25, ("medium", 3.25)),
        (3.5, ("high", 3.5)),
        (5.0, ("high", 5.0)),
        (6.0, ("high", 5.0)),
    ],
)
def test_a_mark_is_a_level_and_stays_on_the_scale(step: float, level: tuple[str, float]) -> None:
    assert level_of_step(step) == level
