"""Attribute strips: one line a quality, its scale words, a dot for every taster's mark, a diamond for the median."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from tastevocab.wheel.drawing import Lettering, Shape, circle, polyline, rectangle
from tastevocab.wheel.lettering import LEADING, Style, straight
from tastevocab.wheel.look import Box, Look
from tastevocab.wheel.tree import Strip
from tastevocab.wheel.typeface import clean

MOST_DOTS = 20
"""Marks that are drawn one by one; more are a histogram."""


def row_height(look: Look) -> float:
    """Height of one strip in mm: its name, the marks, the line, the scale words."""
    return look.smallest * (LEADING * 2 + 2.35)


def rows_needed(count: int, columns: int) -> int:
    """How many rows `count` strips take."""
    return math.ceil(count / columns) if columns else 0


def lay_strips(strips: Sequence[Strip], box: Box, columns: int, look: Look) -> list[Shape | Lettering]:
    """The strips, row by row from the top of `box`."""
    gap = look.smallest * 2
    width = (box.width - gap * (columns - 1)) / columns
    items: list[Shape | Lettering] = []
    for i, strip in enumerate(strips):
        left = box.left + (i % columns) * (width + gap)
        top = box.top + (i // columns) * row_height(look)
        items += _strip(strip, left, top, width, look)
    return items


def _strip(strip: Strip, left: float, top: float, width: float, look: Look) -> Iterator[Shape | Lettering]:
    small = look.smallest
    name = look.style("strip", look.theme.ink, size=small, weight="semibold", about=strip.label)
    base = top + small * 0.8
    yield straight(shorten(clean(strip.label), name, width), left, base, name)
    line = top + small * 2.5
    inset = small * 0.5
    steps = max(2, len(strip.scale))
    spots = [left + inset + (width - 2 * inset) * i / (steps - 1) for i in range(steps)]
    yield Shape(
        polyline([(spots[0], line), (spots[-1], line)]), "scale", None, look.theme.line, look.fine, about=strip.label
    )
    for spot in spots:
        ends = [(spot, line - small * 0.18), (spot, line + small * 0.18)]
        yield Shape(polyline(ends), "step", None, look.theme.line, look.fine, about=strip.label)
    yield from _marks(strip, spots, line, look)
    yield from _scale_words(strip, left, width, spots, line + small * 1.25, look)


def shorten(text: str, style: Style, width: float) -> str:
    """The text, cut with an ellipsis when it is too long; the whole stands in the drawing's description."""
    if style.width(text) <= width:
        return text
    while text and style.width(text + "…") > width:
        text = text[:-1]
    return text + "…"


def _at(spots: Sequence[float], mark: float) -> float:
    place = min(max(mark - 1, 0.0), len(spots) - 1.0)
    low = min(int(place), len(spots) - 2)
    return spots[low] + (spots[low + 1] - spots[low]) * (place - low)


def _marks(strip: Strip, spots: Sequence[float], line: float, look: Look) -> Iterator[Shape]:
    """Dots side by side above the line at each value, in the order the tasters are named; for a crowd, bars."""
    dot = look.smallest * 0.2
    values = sorted({mark for _, mark in strip.marks})
    if len(strip.marks) > MOST_DOTS:
        yield from _bars(strip, values, spots, line, look)
        values = []
    for value in values:
        count = sum(1 for _, mark in strip.marks if mark == value)
        pitch = min(dot * 2.3, (spots[1] - spots[0]) * 0.9 / max(1, count))
        middle = _at(spots, value)
        start = middle - pitch * (count - 1) / 2
        start = min(max(start, spots[0] - dot), spots[-1] + dot - pitch * (count - 1))
        for i in range(count):
            where = circle(start + pitch * i, line - look.smallest * 0.62, dot)
            yield Shape(where, "mark", look.theme.muted, about=strip.label)
    if strip.median is not None:
        x, half = _at(spots, strip.median), look.smallest * 0.34
        diamond = (("M", x, line - half), ("L", x + half, line), ("L", x, line + half), ("L", x - half, line), ("Z",))
        yield Shape(diamond, "median", look.theme.ink, look.theme.paper, look.fine, about=strip.label)


def _bars(strip: Strip, values: Sequence[float], spots: Sequence[float], line: float, look: Look) -> Iterator[Shape]:
    """A histogram on the scale: a bar for each value, as high as its marks."""
    counts = {value: sum(1 for _, mark in strip.marks if mark == value) for value in values}
    wide, most = (spots[1] - spots[0]) * 0.3, max(counts.values())
    for value, count in counts.items():
        high = look.smallest * 1.15 * count / most
        left = min(max(_at(spots, value) - wide / 2, spots[0]), spots[-1] - wide)
        bar = rectangle(left, line - high, wide, high)
        yield Shape(bar, "bar", look.theme.muted, about=strip.label)


def _scale_words(
    strip: Strip, left: float, width: float, spots: Sequence[float], base: float, look: Look
) -> Iterator[Lettering]:
    """All scale words where they stand clear of each other, else fewer: never without those that the median marks."""
    style = look.style("scale-word", look.theme.muted, size=look.smallest, about=strip.label)
    words = [clean(word) for word in strip.scale]
    last = len(words) - 1
    marked = marked_steps(strip)
    for chosen in (range(len(words)), (0, *marked, last), (0, *marked), (*marked, last), marked or (0, last)):
        lines = []
        for i in sorted(set(chosen)):
            align = "left" if i == 0 else "right" if i == last else "middle"
            x = left if i == 0 else left + width if i == last else spots[i]
            strong = style if i not in marked else replace(style, colour=look.theme.ink, weight="semibold")
            lines.append(straight(words[i], x, base, strong, align))
        ends = [(line.runs[0].x, line.runs[0].x + line.width) for line in lines]
        if all(a[1] + style.size * 0.5 <= b[0] for a, b in pairwise(ends)):
            yield from lines
            return
    for i in marked[:1]:
        yield straight(shorten(words[i], style, width), left, base, style)


def marked_steps(strip: Strip) -> tuple[int, ...]:
    """The places of the scale words that the median marks: one, or the two that it lies between."""
    if strip.median is None or not strip.scale:
        return ()
    place = min(max(strip.median - 1, 0.0), len(strip.scale) - 1.0)
    return tuple(sorted({math.floor(place + 0.25), math.ceil(place - 0.25)}))
