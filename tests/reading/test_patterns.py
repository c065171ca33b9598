"""Patterns of talk: every record of `rules.yaml` is found in its example and not in its counter-example."""

from __future__ import annotations

from copy import copy
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from tastevocab.reading.words.lexicon import Lexicon, open_lexicon
from tastevocab.reading.words.patterns import Pattern, wrong_examples


@cache
def _shipped() -> Lexicon:
    return open_lexicon()


def _wrong(pattern: Pattern) -> list[tuple[str, str]]:
    """What is wrong with the sentences of this one record."""
    lexicon = copy(_shipped())
    lexicon.patterns = (pattern,)
    return list(wrong_examples(lexicon))


def _listed(id: str) -> Pattern:
    return next(p for p in _shipped().patterns if p.id == id)


def test_every_record_is_found_in_its_example_only() -> None:
    assert len(_shipped().patterns) > 80
    assert [told for pattern in _shipped().patterns for told in _wrong(pattern)] == []


def test_an_example_shows_one_phrase_and_a_counter_example_none() -> None:
    shows = {p.id: [p.example.count(mark) for mark in "[]"] for p in _shipped().patterns}
    assert {id: counts for id, counts in shows.items() if counts != [1, 1]} == {}
    assert [p.id for p in _shipped().patterns if set("[]") & set(p.counter)] == []


def test_every_phrase_of_a_record_holds_a_word() -> None:
    keys = _shipped().names.keys
    assert [(p.id, phrase) for p in _shipped().patterns for phrase in p.words if not keys(phrase)] == []


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"example": ""}, "needs an example with the words it finds in [brackets]"),
        ({"example": "Acidity through the roof."}, "needs an example with the words it finds in [brackets]"),
        ({"example": "[Acidity] through the roof."}, "is not found in its example: [Acidity] through the roof."),
        ({"example": "Acidity through the [roof]."}, "is not found in its example: Acidity through the [roof]."),
        ({"example": "The acidity is [low]."}, "is not found in its example: The acidity is [low]."),
        ({"counter": ""}, "needs a counter-example: a sentence it must not be found in"),
        ({"counter": "A pronounced acidity."}, "is found in its counter-example: A pronounced acidity."),
    ],
)
def test_what_is_wrong_is_told(changes: dict[str, Any], told: str) -> None:
    assert _wrong(replace(_listed("level.high"), **changes)) == [("level.high", told)]


def test_another_value_of_its_kind_may_stand_in_a_counter_example() -> None:
    assert _wrong(replace(_listed("level.high"), counter="The acidity is low.")) == []


def test_every_wrong_record_is_told_in_the_order_listed() -> None:
    lexicon = copy(_shipped())
    lexicon.patterns = tuple(replace(_listed(id), counter="") for id in ("nose", "mouth"))
    assert [id for id, _ in wrong_examples(lexicon)] == ["nose", "mouth"]
