"""Numbers as they are said."""

from __future__ import annotations

import pytest

from tastevocab.feature.heard import _speech
from tastevocab.reading.intake.spoken_number import number_at, tokens


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("sixteen", 16),
        ("ninety-three", 93),
        ("ninety three", 93),
        ("two fifty", 250),
        ("two hundred and fifty", 250),
        ("two hundred fifty", 250),
        ("a hundred and ten", 110),
        ("one oh five", 105),
        ("eighteen and a half", 18.5),
        ("sixteen point five", 16.5),
        ("15.5", 15.5),
        ("2:50", 170),
        ("three twenty five", 325),
        ("ten", 10),
        ("zero", 0),
    ],
)
def test_value(said, value):
    words = tokens(said)
    number = number_at(words, 0, _speech()["numbers"])
    assert number.value == value
    assert number.end == len(words)


@pytest.mark.parametrize("said", ["peach", "a", "hundred", "", "and a half"])
def test_no_number(said):
    words = tokens(said)
    assert not words or number_at(words, 0, _speech()["numbers"]) is None
