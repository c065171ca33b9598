"""A stretch of text that remembers where in its file every character stands."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Iterable
from dataclasses import dataclass

Offsets = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Strand:
    """Text cut out of a file. `offsets` pairs (position in `text`, position in the file) where the two part company.

    Between two entries both count on together; the same shape as `Turn.offsets`.
    """

    text: str
    offsets: Offsets = ((0, 0),)

    @classmethod
    def of(cls, file_text: str, start: int, end: int) -> Strand:
        """The characters `start` to `end` of a file, as they stand."""
        return cls(file_text[start:end], ((0, start),))

    def where(self, position: int) -> int:
        """The place in the file of the character at `position`."""
        start, at = self.offsets[max(bisect_right(self.offsets, (position, _FAR)) - 1, 0)]
        return at + position - start

    def cut(self, start: int, end: int | None = None) -> Strand:
        """The part from `start` up to `end` (both positions in `text`; the rest, if `end` is left out)."""
        stop = len(self.text) if end is None else end
        later = ((p - start, at) for p, at in self.offsets if start < p < stop)
        return Strand(self.text[start:stop], ((0, self.where(start)), *later))

    def trim(self) -> Strand:
        """Without white space at either end."""
        body = self.text.strip()
        start = len(self.text) - len(self.text.lstrip()) if body else 0
        return self if body == self.text else self.cut(start, start + len(body))

    def replace(self, pattern: re.Pattern[str], by: Callable[[re.Match[str]], str]) -> Strand:
        """Every match of `pattern` replaced; what takes its place stands where the match began."""
        pieces: list[Strand] = []
        done = 0
        for match in pattern.finditer(self.text):
            new = by(match)
            if new == match.group():
                continue
            pieces += [self.cut(done, match.start()), Strand(new, ((0, self.where(match.start())),))]
            done = match.end()
        return join([*pieces, self.cut(done)]) if pieces else self

    def keep(self, pattern: re.Pattern[str], group: str) -> Strand:
        """Every match of `pattern` narrowed to its named `group`, whose characters keep their places."""
        pieces: list[Strand] = []
        done = 0
        for match in pattern.finditer(self.text):
            pieces += [self.cut(done, match.start()), self.cut(match.start(group), match.end(group))]
            done = match.end()
        return join([*pieces, self.cut(done)]) if pieces else self


_FAR = 1 << 62


def join(strands: Iterable[Strand], glue: str = "") -> Strand:
    """Strands put together; `glue` between two of them belongs to no character of the file."""
    text: list[str] = []
    offsets: list[tuple[int, int]] = []
    length = 0
    for strand in strands:
        if not strand.text:
            continue
        if length and glue:
            text.append(glue)
            length += len(glue)
        for position, at in strand.offsets:
            _note(offsets, length + position, at)
        text.append(strand.text)
        length += len(strand.text)
    return Strand("".join(text), tuple(offsets) or ((0, 0),))


def _note(offsets: list[tuple[int, int]], position: int, at: int) -> None:
    """Add an entry unless counting on from the last one says the same."""
    if offsets and offsets[-1][0] == position:
        offsets.pop()
    if not offsets or offsets[-1][1] + position - offsets[-1][0] != at:
        offsets.append((position, at))
