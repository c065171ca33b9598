"""The text of a reading as people read it, and the way between a place in it and a place in the file."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from tastevocab.reading.records import Reading, Spot
from tastevocab.reading.review.context import SAME_PLACE, Texts, fingerprint, likeness
from tastevocab.vocabulary.words import WORD

# Words are known again in the text where at least half of the words around them are as they were. House value.
LIKE = 0.5
MARK_WORDS = 4
HALF_MS = 0.0005  # a second is written to the thousandth


@dataclass(frozen=True, slots=True)
class Mark:
    """A place in a text, known by the words that begin there, or by its second (`at`) in the recording."""

    words: str = ""
    occurrence: int = 1
    context: str = ""
    note: str | None = None
    at: float | None = None


class Said:
    """What was said in one text, joined; pieces of one line run on, lines are parted by a line end.

    Places count characters of `text`. `pieces` are a reading's, in the order of the file.
    """

    def __init__(self, pieces: Iterable[Spot]) -> None:
        self.pieces = tuple(pieces)
        self.starts: list[int] = []
        self._rows: dict[tuple[str | None, int], list[int]] = {}
        made: list[str] = []
        length = 0
        for n, piece in enumerate(self.pieces):
            if n and self._parted(n) and not made[-1][-1:].isspace():
                made.append("\n")
                length += 1
            self.starts.append(length)
            self._rows.setdefault((piece.note, piece.line), []).append(n)
            made.append(piece.words)
            length += len(piece.words)
        self.text = "".join(made)
        self._begins = [piece.span[0] for piece in self.pieces]
        # Spans of one file run on; those of a table's rows each begin anew.
        self._in_order = all(a.span[1] <= b.span[0] for a, b in pairwise(self.pieces))

    def recut(self, parts: Iterable[tuple[int, Spot]]) -> Said:
        """The same text in other pieces: pairs of the place where each begins and what is known of it."""
        made = Said(())
        pairs = tuple(parts)
        made.text, made.starts, made.pieces = self.text, [at for at, _ in pairs], tuple(piece for _, piece in pairs)
        for n, piece in enumerate(made.pieces):
            made._rows.setdefault((piece.note, piece.line), []).append(n)
        made._begins, made._in_order = [piece.span[0] for piece in made.pieces], self._in_order
        return made

    def _parted(self, n: int) -> bool:
        """Whether piece `n` is not the same line of the same voice, or another cell of its table."""
        one, two = self.pieces[n - 1], self.pieces[n]
        cells = two.at is None and one.span[1] < two.span[0]
        return cells or (one.note, one.line, one.speaker) != (two.note, two.line, two.speaker)

    def piece(self, place: int) -> int:
        """Which piece holds a place."""
        return max(bisect_right(self.starts, place) - 1, 0)

    def place(self, spot: Spot) -> int | None:
        """Where the words of a spot begin; None where they do not stand in this text."""
        for n in self._near(spot):
            piece = self.pieces[n]
            offset = spot.span[0] - piece.span[0]
            if 0 <= offset < max(len(piece.words), 1):
                at = self.starts[n] + offset
                if self.text[at : at + len(spot.words)].split() == spot.words.split():
                    return at
        return None

    def at_file(self, position: int) -> int | None:
        """The place of a character of the file, or of the first behind it; None for behind all of them."""
        n = max(bisect_right(self._begins, position) - 1, 0)
        for piece, start in zip(self.pieces[n:], self.starts[n:], strict=True):
            if position < piece.span[0] + len(piece.words):
                return start + max(position - piece.span[0], 0)
        return None

    def _near(self, spot: Spot) -> Iterable[int]:
        if self._in_order:
            n = bisect_right(self._begins, spot.span[0]) - 1
            return (n,) if n >= 0 else ()
        return self._rows.get((spot.note, spot.line), ())

    def spot(self, start: int, end: int) -> Spot:
        """The spot of the words [start, end), with what is known where they begin.

        Raises `ValueError` where there are none.
        """
        if not self.pieces or not 0 <= start < end <= len(self.text):
            raise ValueError(f"no words at {start} to {end}")
        first, last = self.piece(start), self.piece(end - 1)
        opened, closed = self.pieces[first], self.pieces[last]
        begin = opened.span[0] + start - self.starts[first]
        until = closed.span[0] + end - self.starts[last]
        return replace(opened, words=self.text[start:end], span=(begin, max(until, begin)))

    def places(self, words: str) -> Iterator[tuple[int, int]]:
        """Every place of these words, in order, whatever their case and the blanks between."""
        parts = words.split()
        if not parts:
            return
        pattern = r"\s+".join(map(re.escape, parts))
        lead = r"(?<!\w)" if parts[0][:1].isalnum() else ""
        trail = r"(?!\w)" if parts[-1][-1:].isalnum() else ""
        for match in re.finditer(lead + pattern + trail, self.text, re.IGNORECASE):
            yield match.span()

    def find(self, mark: Mark, texts: Texts) -> Spot | None:
        """The place that a mark means; None where there is none that is like it."""
        if mark.at is not None:
            later = (n for n, p in enumerate(self.pieces) if p.at is not None and p.at >= mark.at - HALF_MS)
            n = next(later, None)
            return None if n is None else self.pieces[n]
        best: tuple[float, Spot] | None = None
        for nth, spot in enumerate(self._spots(mark), 1):
            score = likeness(mark.context, fingerprint(spot, texts)) if mark.context else LIKE
            score += SAME_PLACE * (nth == mark.occurrence)
            if score >= LIKE and (best is None or score > best[0]):
                best = score, spot
        return best[1] if best else None

    def _spots(self, mark: Mark) -> Iterator[Spot]:
        for start, end in self.places(mark.words):
            spot = self.spot(start, end)
            if mark.note in (None, spot.note):
                yield spot

    def mark(self, start: int, end: int, texts: Texts) -> Mark:
        """By what the words [start, end) are known again."""
        spot = self.spot(start, end)
        same = [place for place in self.places(spot.words) if self.spot(*place).note == spot.note]
        nth = next((n for n, place in enumerate(same, 1) if place[0] == start), 1)
        return Mark(spot.words, nth, fingerprint(spot, texts), spot.note)

    def mark_at(self, place: int, texts: Texts) -> Mark:
        """By what a place is known again: the first words there; where a piece of a recording begins, its second."""
        n = self.piece(place)
        at = self.pieces[n].at
        if place == self.starts[n] and at is not None and not self._same_second(n):
            return Mark(at=at)
        words = [m.span() for _, m in zip(range(MARK_WORDS), WORD.finditer(self.text, place), strict=False)]
        if not words:
            return Mark(self.text[place:].strip() or self.text[-1:], 1)
        return self.mark(words[0][0], words[-1][1], texts)

    def _same_second(self, n: int) -> bool:
        """Whether an earlier piece begins at the same second or later, so that the second does not tell the place."""
        at = self.pieces[n].at or 0.0
        return any(p.at is not None and p.at >= at for p in self.pieces[:n])


def said_of(reading: Reading) -> Said:
    """What was said in a reading of one text."""
    return Said(reading.said)


__all__ = ["Mark", "Said", "said_of"]
