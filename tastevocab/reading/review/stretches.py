"""Stretches of talk as a person set them: who speaks, which coffee, brew and moment, from one place to another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

from tastevocab.reading.records import AttributeFinding, Finding, Reading, Spot
from tastevocab.reading.report.contract import Item
from tastevocab.reading.review.decisions import Decision, Decisions
from tastevocab.reading.review.details import NOTHING, Details
from tastevocab.reading.review.said import Said, said_of


@dataclass(frozen=True, slots=True)
class Range:
    """What holds of the text from place `start` to before `end`."""

    start: int
    end: int
    details: Details


class Stretches:
    """What the decisions about one text say of its stretches; of two about the same place the later counts.

    `said` is the reading's text with what was in hand as they say, `lost` are stretches whose words are not there.
    """

    def __init__(self, reading: Reading, decisions: Decisions, text: Said | None = None) -> None:
        """`text` is what was said in the reading, where it was made before."""
        self.lost: list[Decision] = []
        self.any = any(d.decide == "stretch" for d in decisions.entries)
        self._ranges: tuple[Range, ...] = ()
        self.text = self.said = text or said_of(reading)
        if self.any:
            self._ranges = tuple(self._found(decisions, self.text))
            self.said = self.text.recut(self._set(self.text))

    def _found(self, decisions: Decisions, text: Said) -> Iterator[Range]:
        for d in decisions.entries:
            if d.decide != "stretch":
                continue
            ends = ends_of(d, text, decisions)
            if ends is None:
                self.lost.append(d)
            else:
                yield Range(*ends, d.details)

    def details(self, place: int) -> Details:
        """What is said of a place."""
        made = NOTHING
        for r in self._ranges:
            if r.start <= place < r.end:
                made = r.details.over(made)
        return made

    def over(self, item: Item) -> Item:
        """The item as it is where it stands."""
        place = self.text.place(item.spot) if self._ranges else None
        if place is None:
            return item
        details = self.details(place)
        if details == NOTHING:
            return item
        item = replace(item, spot=details.at(item.spot))
        if details.coffee is not None and isinstance(item, (Finding, AttributeFinding)) and item.crossing:
            item = replace(item, crossing=None, asked=item.asked and not item.crossing.alone)
        if details.standing is not None and isinstance(item, (Finding, AttributeFinding)):
            return replace(item, standing=details.standing)
        return item

    def speakers(self, speakers: Mapping[str, int]) -> Mapping[str, int]:
        """Who speaks, with those that stretches name."""
        named = {r.details.taster for r in self._ranges if r.details.taster}
        return {**speakers, **{name: 1 for name in sorted(named) if name not in speakers}}

    def _set(self, text: Said) -> Iterator[tuple[int, Spot]]:
        """The pieces cut where a stretch begins or ends, each as it is there."""
        borders = sorted({b for r in self._ranges for b in (r.start, r.end)})
        for n, piece in enumerate(text.pieces):
            first = text.starts[n]
            until = first + len(piece.words)
            cuts = [first, *(b for b in borders if first < b < until), until]
            for start, end in pairwise(cuts):
                yield start, self.details(start).at(_part(piece, start - first, end - first))


def _part(piece: Spot, start: int, end: int) -> Spot:
    if (start, end) == (0, len(piece.words)):
        return piece
    begin = piece.span[0] + start
    return replace(piece, words=piece.words[start:end], span=(begin, begin + end - start))


def ends_of(d: Decision, text: Said, decisions: Decisions) -> tuple[int, int] | None:
    """The places in a text from which and before which a stretch holds; None where they are not there."""
    start = text.find(d.start, decisions.texts) if d.start else None
    end = text.find(d.end, decisions.texts) if d.end else None
    if start is None or (d.end is not None and end is None and d.end.at is None):
        return None
    first = text.place(start)
    last = text.place(end) if end else len(text.text)
    return None if first is None or last is None or first >= last else (first, last)


__all__ = ["Range", "Stretches", "ends_of"]
