"""Stretches of talk in which somebody says what they find: cut from what the encoder makes of each word."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from operator import attrgetter
from typing import TYPE_CHECKING, Any, NamedTuple

from tastevocab.reading.hearing.encoder import Heard
from tastevocab.reading.hearing.windows import MAIN
from tastevocab.reading.language.judge import log_of, logit
from tastevocab.reading.words.utterance import Utterance

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

FOUND, DOUBTED, DENIED, ASSENT, ASIDE, QUALITY = range(1, len(MAIN))
LEAST = 0.25  # a word by itself that is less likely than this is no part of a finding
AFRESH = 0.5  # how much it counts, beside a word that goes on, whether a word after none opens a stretch
_ODDS = attrgetter("odds")


@dataclass(frozen=True, slots=True)
class Span:
    """Words [start, end) in which one thing is found, denied or agreed to, with the mean probability of each class."""

    start: int
    end: int
    classes: tuple[float, ...]
    peak: float

    @property
    def said(self) -> float:
        """How likely anything is found, doubted, denied or agreed to here."""
        return sum(self.classes[FOUND : ASSENT + 1])

    @property
    def denied(self) -> bool:
        return self.classes[DENIED] > self.classes[FOUND] + self.classes[DOUBTED] + self.classes[ASSENT]

    @property
    def assent(self) -> bool:
        return not self.denied and self.classes[ASSENT] > self.classes[FOUND] + self.classes[DOUBTED]

    @property
    def doubted(self) -> bool:
        return not self.denied and self.classes[DOUBTED] > max(self.classes[FOUND], self.classes[ASSENT])


def spans_of(u: Utterance, heard: Heard, low: int = FOUND, high: int = ASSENT) -> list[Span]:
    """The stretches of a turn in which something of the classes `low` to `high` is said: the likeliest cut of its words
    (Viterbi 1967), by how likely each is to say anything and how likely to open a stretch."""
    main = heard.words["main"]
    said = main[:, low : high + 1].sum(1)
    least = logit(LEAST)
    inside = [logit(p) - least for p in said.tolist()]
    return [_span(main, said, start, end) for start, end in _cut(inside, heard.words["begin"][:, 1].tolist())]


class _Way(NamedTuple):
    """A cut of the words so far: its log odds, its stretches, last first, and where the open one starts."""

    odds: float
    cut: tuple[Any, ...] = ()
    start: int = 0

    def closed(self, end: int) -> _Way:
        return _Way(self.odds, ((self.start, end), self.cut))


def _cut(inside: Sequence[float], opens: Sequence[float]) -> list[tuple[int, int]]:
    """Words [start, end) of each stretch. `inside`: each word's log odds of being in one; `opens`: how likely it opens
    one."""
    out, within = _Way(0.0), _Way(-math.inf)  # the best that ends outside of a stretch, and in one
    for i, (odds, new) in enumerate(zip(inside, opens, strict=True)):
        ended = within.closed(i)
        ways = (
            _Way(within.odds + odds + log_of(1 - new), within.cut, within.start),
            _Way(ended.odds + odds + log_of(new), ended.cut, i),
            _Way(out.odds + odds + AFRESH * log_of(new), out.cut, i),
        )
        out, within = max(out, ended, key=_ODDS), max(ways, key=_ODDS)
    cut, found = max(out, within.closed(len(inside)), key=_ODDS).cut, []
    while cut:
        last, cut = cut
        found.append(last)
    return found[::-1]


def _span(main: NDArray[np.float32], said: NDArray[np.float32], start: int, end: int) -> Span:
    weights = said[start:end] / said[start:end].sum()
    classes = tuple(float(c) for c in (main[start:end] * weights[:, None]).sum(0))
    return Span(start, end, classes, float(said[start:end].max()))
