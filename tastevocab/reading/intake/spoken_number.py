"""Numbers as they are spoken: "ninety-three", "two fifty", "eighteen and a half", "1:16.7"."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

TOKEN = re.compile(r"\d+(?::\d+)?(?:\.\d+)?|°[cf]?|[^\W\d_]+(?:'[^\W\d_]+)?|[,.;?!:]", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Token:
    """A word, a figure or a mark with its place in the text."""

    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Number:
    """A number and the token after it."""

    value: float
    end: int


def tokens(text: str) -> list[Token]:
    """The words, figures and marks of a text, folded to small letters."""
    return [Token(m[0].casefold(), m.start(), m.end()) for m in TOKEN.finditer(text)]


def number_at(words: Sequence[Token], at: int, names: Mapping[str, Any]) -> Number | None:
    """The number that begins at token `at`, or None. `names` are the number words (ones, tens, hundred, half)."""
    figure = words[at].text
    if figure[0].isdecimal():  # a superscript is a digit to Python, and no number said
        return _figure(figure, at, words, names)
    found = _below_hundred(words, at, names)
    if found is None and figure in ("a", "an") and _is(words, at + 1, names["hundred"]):
        found = Number(1, at + 1)
    if found is None:
        return None
    return _half(_joined(words, found, names), words, names)


def _figure(figure: str, at: int, words: Sequence[Token], names: Mapping[str, Any]) -> Number:
    if ":" in figure:
        first, second = figure.split(":", 1)
        return Number(int(first) * 60 + float(second), at + 1)
    return _half(Number(float(figure), at + 1), words, names)


def _below_hundred(words: Sequence[Token], at: int, names: Mapping[str, Any]) -> Number | None:
    if at >= len(words):
        return None
    word = words[at].text
    if word in names["tens"]:
        ones = names["ones"].get(words[at + 1].text) if at + 1 < len(words) else None
        if ones is not None and 1 <= ones <= 9:
            return Number(names["tens"][word] + ones, at + 2)
        return Number(names["tens"][word], at + 1)
    return Number(names["ones"][word], at + 1) if word in names["ones"] else None


def _joined(words: Sequence[Token], found: Number, names: Mapping[str, Any]) -> Number:
    """Hundreds ("two hundred and fifty"), and a number said in two halves ("two fifty", "one oh five")."""
    at = found.end
    if _is(words, at, names["hundred"]):
        total = Number(found.value * 100, at + 1)
        after = at + 2 if _is(words, at + 1, ("and",)) else at + 1
        rest = _below_hundred(words, after, names)
        return Number(total.value + rest.value, rest.end) if rest else total
    if not 1 <= found.value <= 9:
        return found
    second = _below_hundred(words, at, names)
    if second and words[at].text == "oh" and second.end == at + 1:
        third = _below_hundred(words, at + 1, names)
        second = third if third and third.value < 10 else None
        return Number(found.value * 100 + second.value, second.end) if second else found
    if second and second.value >= 10:
        return Number(found.value * 100 + second.value, second.end)
    return found


def _half(found: Number, words: Sequence[Token], names: Mapping[str, Any]) -> Number:
    """ "and a half", and "point five"."""
    at = found.end
    if _is(words, at, ("and",)) and _is(words, at + 1, ("a",)) and _is(words, at + 2, names["half"]):
        return Number(found.value + 0.5, at + 3)
    if _is(words, at, ("point",)):
        tenth = _below_hundred(words, at + 1, names)
        if tenth and tenth.value < 10:
            return Number(found.value + tenth.value / 10, tenth.end)
    return found


def _is(words: Sequence[Token], at: int, wanted: Sequence[str]) -> bool:
    return at < len(words) and words[at].text in wanted
