"""Turns that never end, cut where a sentence ends: what is made of one grows with its square, and nobody speaks so."""

from __future__ import annotations

import re
from collections.abc import Iterator

from tastevocab.reading.records import Turn

LONGEST = 4_000
"""Characters: some five minutes of one voice without a break."""
_ENDS = (re.compile(r"[.!?]\s|\n"), re.compile(r"[,;:]\s"), re.compile(r"\s"))


def shorter(turn: Turn) -> Iterator[Turn]:
    """A turn in parts of at most `LONGEST` characters, each standing where it does: cut at the last sentence end, comma
    or blank before that."""
    start = 0
    while len(turn.text) - start > LONGEST:
        end = _cut(turn.text, start)
        yield turn.part(start, end)
        start = end
    yield turn.part(start, len(turn.text)) if start else turn


def _cut(text: str, start: int) -> int:
    half, most = start + LONGEST // 2, start + LONGEST
    for pattern in _ENDS:
        if found := list(pattern.finditer(text, half, most)):
            return found[-1].end()
    return most
