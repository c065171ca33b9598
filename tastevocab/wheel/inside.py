"""Lettering that stays within one piece of the wheel: along the arc where it fits, along the ray where that fits."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tastevocab.wheel.drawing import Lettering
from tastevocab.wheel.lettering import LEADING, Style, along, outward, wrap

WIDEST_ANGLE = 2.6
"""Radians that one line of lettering may follow the ring before it grows hard to read."""


@dataclass(frozen=True, slots=True)
class Space:
    """Room for lettering around `x`, `y`: a ring piece from `inner` to `outer` mm and from `start` to `end` radians."""

    x: float
    y: float
    inner: float
    outer: float
    start: float
    end: float

    @property
    def middle(self) -> float:
        """The angle half way; twelve o'clock in a whole ring."""
        return 0.0 if self.end - self.start >= math.tau - 1e-9 else (self.start + self.end) / 2


@dataclass(frozen=True, slots=True)
class Block:
    """Lettering placed in a space, and the part of the space it covers (radii in mm, angles in radians)."""

    lines: tuple[Lettering, ...]
    inner: float
    outer: float
    start: float
    end: float


Words = Sequence[tuple[str, Style]]
"""Paragraphs of a label, each with its style: a name, then perhaps who found it."""


def fit(words: Words, spaces: Sequence[Space], smallest: float, most_lines: int = 3) -> Block | None:
    """The label `words` in the first of `spaces` that takes it, no smaller than `smallest` mm; None if none does."""
    open_spaces = [space for space in spaces if _may_hold(words, space, smallest)]
    for way in (_along, _outward):
        for space in open_spaces:
            for sized in _sizes(words, smallest):
                found = way(sized, space, most_lines)
                if found:
                    return found
    return None


def _may_hold(words: Words, space: Space, smallest: float) -> bool:
    """Whether the longest single word could stand in a space at all, along it or outward."""
    across = (space.end - space.start) * space.outer
    if across < smallest:
        return False
    room = max(across, space.outer - space.inner)
    sized = ((text, style.at(min(style.size, smallest))) for text, style in words)
    return all(style.width(word) <= room for text, style in sized for word in text.split(" "))


def _sizes(words: Words, smallest: float) -> Iterator[Words]:
    """The words at their own size, then down to the smallest in four steps."""
    largest = max(style.size for _, style in words)
    for step in range(5):
        size = largest - (largest - smallest) * step / 4
        yield [(text, style.at(min(style.size, max(smallest, size)))) for text, style in words]
        if largest <= smallest:
            return


def _broken(words: Words, longest: float, lines: int) -> list[tuple[str, Style]] | None:
    """All paragraphs in at most `lines` lines of `longest` mm."""
    out: list[tuple[str, Style]] = []
    for text, style in words:
        wrapped = wrap(text, style, longest, lines - len(out))
        if wrapped is None:
            return None
        out += [(line, style) for line in wrapped]
    return out if len(out) <= lines else None


def _along(words: Words, space: Space, most_lines: int) -> Block | None:
    leading = max(style.size for _, style in words) * LEADING
    depth = space.outer - space.inner
    pad = leading * 0.16
    span = min(space.end - space.start, WIDEST_ANGLE)
    centre = (space.inner + space.outer) / 2
    for count in range(1, min(most_lines, int((depth - pad) / leading)) + 1):
        lowest = centre - count * leading / 2
        longest = span * lowest - leading * 0.5
        if longest <= leading:
            continue
        lines = _broken(words, longest, count)
        if lines is None:
            continue
        return _bent(lines, space, centre, leading)
    return None


def _bent(lines: list[tuple[str, Style]], space: Space, centre: float, leading: float) -> Block:
    flip = math.cos(space.middle) < -1e-9
    placed = []
    for i, (text, style) in enumerate(lines):
        step = ((len(lines) - 1) / 2 - i) * leading
        radius = centre - step if flip else centre + step
        placed.append(along(text, space.x, space.y, radius, space.middle, style))
    half = max(line.width for line in placed) / (centre - len(lines) * leading / 2) / 2
    deep = len(lines) * leading / 2
    return Block(tuple(placed), centre - deep, centre + deep, space.middle - half, space.middle + half)


def _outward(words: Words, space: Space, most_lines: int) -> Block | None:
    leading = max(style.size for _, style in words) * LEADING
    pad = leading * 0.3
    longest = space.outer - space.inner - 2 * pad
    if longest <= leading:
        return None
    for count in range(1, most_lines + 1):
        deep = count * leading
        room = 2 * (space.inner + pad) * math.sin(min(space.end - space.start, math.pi) / 2)
        if deep > room:
            return None
        lines = _broken(words, longest, count)
        if lines is None:
            continue
        widest = max(style.width(text) for text, style in lines)
        inner = (space.inner + space.outer - widest) / 2
        return _rayed(lines, space, inner, widest, leading)
    return None


def _rayed(lines: list[tuple[str, Style]], space: Space, inner: float, widest: float, leading: float) -> Block:
    left = math.sin(space.middle) < -1e-9
    placed = []
    for i, (text, style) in enumerate(lines):
        shift = (i - (len(lines) - 1) / 2) * leading
        slack = (widest - style.width(text)) if left else 0.0
        placed.append(outward(text, space.x, space.y, inner + slack, space.middle, style, shift))
    half = math.asin(min(1.0, len(lines) * leading / 2 / inner))
    return Block(tuple(placed), inner, inner + widest, space.middle - half, space.middle + half)
