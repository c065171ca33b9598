"""What a strip's median and a printed word are called, written out by hand."""

from __future__ import annotations

import pytest

from tastevocab.wheel.page import _printed
from tastevocab.wheel.tree import Printed, Strip
from tastevocab.wheel.words import step_word

SCALE = ("flat", "soft", "clear", "lively", "piercing")


@pytest.mark.parametrize(
    ("median", "word"),
    [
        (None, ""),
        (1.0, "flat"),
        (1.25, "flat"),
        (1.5, "flat to soft"),
        (1.75, "soft"),
        (2.3, "soft to clear"),
        (4.7, "lively to piercing"),
        (4.8, "piercing"),
        (5.0, "piercing"),
    ],
)
def test_a_median_is_the_nearest_word_or_the_two_it_lies_between(median: float | None, word: str) -> None:
    assert step_word(Strip("acidity", SCALE, (), median)) == word


def test_a_scale_without_words_has_none() -> None:
    assert step_word(Strip("acidity", (), (), 3.0)) == ""


def test_the_page_says_people_of_tasters_and_the_arcs_that_count() -> None:
    word = Printed("reach/red_fruit", "red fruit", 4, 5, ("a/b", "c/d"), "mostly as jam")
    assert _printed(word) == {
        "id": "reach/red_fruit",
        "label": "red fruit",
        "count": "4 of 5",
        "leaning": "mostly as jam",
        "over": "a/b c/d",
    }
