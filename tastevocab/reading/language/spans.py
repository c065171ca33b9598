"""Stretches of talk in which somebody says what they find: cut from what the encoder makes of each word."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tastevocab.reading.hearing.encoder import Heard
from tastevocab.reading.hearing.windows import MAIN
from tastevocab.reading.words.utterance import Utterance

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

FOUND, DOUBTED, DENIED, ASSENT, ASIDE, QUALITY = range(1, len(MAIN))
LEAST = 0.25  # a word below this is no part of a finding
OPENS = 0.5  # a word that opens a new finding rather than going on with the one before


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
    """The stretches of a turn whose words are likelier than `LEAST` to be of the classes `low` to `high`."""
    main = heard.words["main"]
    said = main[:, low : high + 1].sum(1)
    opens = heard.words["begin"][:, 1] > OPENS
    found: list[Span] = []
    start = None
    for i in range(len(u.words) + 1):
        inside = i < len(u.words) and said[i] >= LEAST
        if start is not None and (not inside or (opens[i] and i > start)):
            found.append(_span(main, said, start, i))
            start = None
        if inside and start is None:
            start = i
    return found


def _span(main: NDArray[np.float32], said: NDArray[np.float32], start: int, end: int) -> Span:
    weights = said[start:end] / said[start:end].sum()
    classes = tuple(float(c) for c in (main[start:end] * weights[:, None]).sum(0))
    return Span(start, end, classes, float(said[start:end].max()))
