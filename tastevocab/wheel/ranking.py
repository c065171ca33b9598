"""A crowd's words as a dot plot: most people first, each with its interval; beside or below the wheel."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from tastevocab.wheel.drawing import Lettering, Shape, circle, polyline
from tastevocab.wheel.lettering import LEADING, MIDDLE, stack, straight
from tastevocab.wheel.look import Box, Look
from tastevocab.wheel.strips import shorten
from tastevocab.wheel.tree import Ranked
from tastevocab.wheel.typeface import clean

MOST_LABEL = 0.46
"""The part of a column's width that names may take."""


def row_height(look: Look) -> float:
    """Height of one word's row in mm."""
    return look.smallest * LEADING * 1.12


def ranking_height(rows: int, look: Look) -> float:
    """Height in mm of a plot of so many rows a column, with its heading."""
    return rows * row_height(look) + look.smallest * LEADING * 1.3


def lay_ranking(words: Sequence[Ranked], box: Box, columns: int, look: Look) -> list[Shape | Lettering]:
    """The most named words that fit `box`, column by column, all on one scale from nobody to the largest interval."""
    rows = max(0, int((box.height - look.smallest * LEADING * 1.3) / row_height(look) + 1e-9))
    shown = words[: rows * columns]
    if not shown:
        return []
    small = look.style("ranking-head", look.theme.muted, size=look.smallest)
    head = f"People of {shown[0].of:,} who named it, with the 95 % interval"
    items: list[Shape | Lettering] = list(stack([(head, small)], box.left, box.top, "left"))
    gap = look.smallest * 2
    width = (box.width - gap * (columns - 1)) / columns
    rows = math.ceil(len(shown) / columns)
    top = box.top + look.smallest * LEADING * 1.3
    most = max(row.high for row in shown)
    for i, row in enumerate(shown):
        left = box.left + (i // rows) * (width + gap)
        items += _row(row, left, top + (i % rows + 0.5) * row_height(look), width, most, look)
    return items


def _row(row: Ranked, left: float, middle: float, width: float, most: float, look: Look) -> Iterator[Shape | Lettering]:
    size = look.smallest
    weight = "semibold" if row.printed else "regular"
    name = look.style("ranked", look.theme.ink, size=size, weight=weight)
    count = look.style("ranked-count", look.theme.muted, size=size)
    base = middle + size * MIDDLE
    label = width * MOST_LABEL
    yield straight(shorten(clean(row.label), name, label), left + label, base, name, "right")
    figures = count.width(f"{row.of:,}") + size * 0.3
    start, room = left + label + size * 0.6, width - label - size * 1.2 - figures
    low, dot, high = (start + room * value / most for value in (row.low, row.people, row.high))
    yield Shape(polyline([(start, middle), (start + room, middle)]), "ranked-line", None, look.theme.guide, look.fine)
    colour = look.theme.ink if row.printed else look.theme.line
    yield Shape(polyline([(low, middle), (high, middle)]), "interval", None, colour, look.fine * 2)
    yield Shape(circle(dot, middle, size * 0.2), "ranked-dot", look.theme.ink)
    yield straight(f"{row.people:,}", left + width, base, count, "right")
