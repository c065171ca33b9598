"""Where talk may have crossed from one coffee to another unheard: what is said there is asked, not counted.

The reader follows which coffee is in hand. Its own words are held against that: when one coffee was named last and
another is taken to be in hand, or when people turn to "the other one" and nothing changed, nobody can tell.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TypeVar

from tastevocab.reading.language.clues import names_said
from tastevocab.reading.language.lexicon import Lexicon
from tastevocab.reading.language.situation import Known, known_of
from tastevocab.reading.language.utterance import Utterance
from tastevocab.reading.records import AttributeFinding, Crossing, Finding, Reading, Spot, Table
from tastevocab.reading.review.said import Said, said_of

Judged = TypeVar("Judged", Finding, AttributeFinding, Finding | AttributeFinding)

# A coffee named behind one of these is compared with, not turned to.
BESIDE = frozenset(("than", "like", "unlike", "versus", "vs", "from", "not", "as", "over"))


@dataclass(frozen=True, slots=True)
class _Sign:
    """What a place of the text says of the coffee from there on: `named` it is this one, None that it is another than
    before; [start, end) are its words, `sentence` those of its sentence. An `open` one names several and tells nothing.
    """

    start: int
    end: int
    sentence: tuple[int, int]
    named: str | None
    open: bool = False


def doubted(reading: Reading, table: Table, lexicon: Lexicon) -> Reading:
    """The reading of one recording, with what may be of another coffee of the table asked instead of counted."""
    if len(table.coffees) < 2:
        return reading
    said = said_of(reading)
    signs = _Signs(said, known_of(table, lexicon), lexicon)
    findings, unsure = _parted(reading.findings, signs)
    attributes, unsure_too = _parted(reading.attributes, signs)
    asked = tuple(signs.over(item) for item in reading.asked)
    if not unsure and not unsure_too and asked == reading.asked:
        return reading
    return replace(reading, findings=findings, attributes=attributes, asked=(*asked, *unsure, *unsure_too))


def _parted(items: Iterable[Judged], signs: _Signs) -> tuple[tuple[Judged, ...], tuple[Judged, ...]]:
    """Those whose coffee stands, and those of which it is asked."""
    made = [signs.over(item) for item in items]
    return tuple(i for i in made if not i.crossing), tuple(i for i in made if i.crossing)


class _Signs:
    """The signs of a text, in order."""

    def __init__(self, said: Said, known: Known, lexicon: Lexicon) -> None:
        self.said = said
        self.signs = sorted(_found(said, known, lexicon), key=lambda s: (s.start, s.end))
        self.signs = [s for s, before in zip(self.signs, [None, *self.signs], strict=False) if not _same(s, before)]

    def over(self, item: Judged) -> Judged:
        """The item, asked about where its coffee is unsure."""
        place = None if item.spot.note or not item.spot.coffee else self.said.place(item.spot)
        if place is None:
            return item
        sign = self._against(item.spot, place)
        if sign is None:
            return item
        start, until = sign.start, next((s.start for s in self.signs if s.start > place), len(self.said.text))
        if place < sign.start:  # "plum and cocoa for the second": what stands before it in its sentence
            start, until = sign.sentence
        crossing = Crossing(
            start=self._file(start),
            end=self._file(until),
            words=self.said.text[sign.start : sign.end],
            at=self.said.pieces[self.said.piece(start)].at,
            until=self.said.pieces[self.said.piece(until)].at if until < len(self.said.text) else None,
            named=sign.named,
            alone=not item.asked,
        )
        return replace(item, asked=True, crossing=crossing)

    def _against(self, spot: Spot, place: int) -> _Sign | None:
        """The sign that speaks against the coffee of what stands at a place."""
        behind = [s for s in self.signs if s.sentence[0] <= place < s.start < s.sentence[1] and not s.open]
        last = next((s for s in reversed(self.signs) if s.start <= place), None)
        if behind and last and not last.sentence[0] <= place < last.sentence[1]:
            last = None  # its own sentence says more than what was said before
        signs = [s for s in (last, *behind) if s is not None and not s.open]
        return next((s for s in signs if s.named != spot.coffee and not self._heeded(s)), None)

    def _heeded(self, sign: _Sign) -> bool:
        """Whether the reader changed the coffee where people turned to another without a name."""
        n = self.said.piece(sign.start)
        before = self.said.pieces[n - 1].coffee if n else None
        return sign.named is None and before not in (None, self.said.pieces[n].coffee)

    def _file(self, place: int) -> int:
        n = self.said.piece(place)
        return self.said.pieces[n].span[0] + min(place - self.said.starts[n], len(self.said.pieces[n].words))


def _same(sign: _Sign, before: _Sign | None) -> bool:
    """Whether a sign only repeats that of its own words ("the left one", "left one")."""
    return before is not None and sign.start < before.end


def _found(said: Said, known: Known, lexicon: Lexicon) -> Iterator[_Sign]:
    for start, text in _lines(said):
        u = Utterance(text, lexicon)
        said_here = [(a, b, known.coffees[c]) for c, names in enumerate(known.names) for a, b in names_said(u, names)]
        named = [n for n in said_here if not any(m != n and m[0] <= n[0] and n[1] <= m[1] for m in said_here)]
        named = [(a, b, c) for a, b, c in named if not (a and u.own[a - 1] in BESIDE)]
        for a, b, coffee in named:
            several = len({c for at, _, c in named if u.sentence[at] == u.sentence[a]}) > 1
            listed = several and not _heads(u, a, b)
            yield _sign(u, start, a, b, coffee, listed)
        for cue in u.of("other_cup"):
            first, last = u.sentence_range(cue.start)
            if not any(first <= a < last for a, _, _ in named):
                yield _sign(u, start, cue.start, cue.end, None)


def _heads(u: Utterance, start: int, end: int) -> bool:
    """Whether a name opens what is said of it ("Vale: jasmine")."""
    return ":" in u.gaps[end]


def _sign(u: Utterance, offset: int, start: int, end: int, named: str | None, open: bool = False) -> _Sign:
    first, last = u.sentence_range(start)
    sentence = offset + u.starts[first], offset + u.ends[last - 1]
    return _Sign(offset + u.starts[start], offset + u.ends[end - 1], sentence, named, open)


def _lines(said: Said) -> Iterator[tuple[int, str]]:
    """The text line by line, each with the place where it begins."""
    at = 0
    for line in said.text.split("\n"):
        if line:
            yield at, line
        at += len(line) + 1
