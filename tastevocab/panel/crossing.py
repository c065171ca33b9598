"""Talk that may be of another coffee than was taken to be in hand: asked, never counted, settled by one answer."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TypeVar

from tastevocab.reading.records import AttributeFinding, Crossing, Finding, Reading
from tastevocab.reading.review.said import Said, said_of

Judged = TypeVar("Judged", bound=Finding | AttributeFinding)
WORDS = 8  # of the talk that are shown where it is asked which coffee it is of


def doubted(reading: Reading) -> Reading:
    """The reading of one recording, with what may be of another coffee of the table asked instead of counted."""
    if not any(item.spot.or_coffee for item in (*reading.findings, *reading.attributes, *reading.asked)):
        return reading
    crossings = _Crossings(said_of(reading))
    findings, unsure = _parted(reading.findings, crossings)
    attributes, unsure_too = _parted(reading.attributes, crossings)
    asked = tuple(map(crossings.over, reading.asked))
    return replace(reading, findings=findings, attributes=attributes, asked=(*asked, *unsure, *unsure_too))


def _parted(items: Iterable[Judged], crossings: _Crossings) -> tuple[tuple[Judged, ...], tuple[Judged, ...]]:
    """Those whose coffee stands, and those of which it is asked."""
    made = [crossings.over(item) for item in items]
    return tuple(i for i in made if not i.crossing), tuple(i for i in made if i.crossing)


class _Crossings:
    """The stretches of a text in which one coffee is taken to be in hand and another may be."""

    def __init__(self, said: Said) -> None:
        self.said = said
        self.of = {n: run for run in self._runs() for n in run}

    def _runs(self) -> Iterator[range]:
        """Pieces that follow each other with the same two coffees."""
        pieces, start = self.said.pieces, 0
        pairs = [(p.coffee, p.or_coffee) if p.or_coffee else None for p in pieces]
        for n in range(1, len(pieces) + 1):
            if n == len(pieces) or pairs[n] != pairs[start]:
                if pairs[start]:
                    yield range(start, n)
                start = n

    def over(self, item: Judged) -> Judged:
        """The item, asked about where its coffee is unsure."""
        place = self.said.place(item.spot) if item.spot.or_coffee else None
        run = None if place is None else self.of.get(self.said.piece(place))
        if run is None:
            return item
        pieces = self.said.pieces
        first, last = pieces[run[0]], pieces[run[-1]]
        words = first.words.split()
        crossing = Crossing(
            start=first.span[0],
            end=last.span[1],
            words=" ".join(words[:WORDS]) + (" ..." if len(words) > WORDS else ""),
            other=str(item.spot.or_coffee),
            at=first.at,
            until=pieces[run.stop].at if run.stop < len(pieces) else None,
            alone=not item.asked,
        )
        return replace(item, asked=True, crossing=crossing)
