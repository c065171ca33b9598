"""What stands below the wheel: the scales of attributes, a short key, the footer."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from tastevocab.wheel.arcs import Picture
from tastevocab.wheel.drawing import Lettering, Shape, polyline, rectangle
from tastevocab.wheel.lettering import LEADING, force, stack, straight
from tastevocab.wheel.look import Box, Look
from tastevocab.wheel.ranking import lay_ranking, ranking_height
from tastevocab.wheel.ranking import row_height as ranking_row
from tastevocab.wheel.strips import lay_strips, row_height, rows_needed
from tastevocab.wheel.tree import Strip, WheelTree
from tastevocab.wheel.typeface import clean
from tastevocab.wheel.words import CAUTION, counted

LEAST_WHEEL = 0.42
"""The wheel's box is never lower than this part of the sheet; strips give way first, then footer lines."""

CROWD_ROWS = 3
"""Rows of scales below a crowd's wheel: those that few of so many people marked say little."""
MOST_RANKING = 0.16
"""The part of the sheet's height that the rows of a crowd's dot plot may take."""


Entry = tuple[str, str]
"""One entry of the key: swatch, words."""


def lay_foot(
    tree: WheelTree, shown: Picture, box: Box, look: Look, key: Sequence[Entry], columns: int
) -> tuple[list[Shape | Lettering], float]:
    """Key, strips and footer, from the bottom of `box` up; and where the wheel's box ends.

    `key` is what `key_entries` gives. Strips and ranks stand in so many `columns` (0: there are none).
    """
    small = look.style("footer", look.theme.muted, size=look.smallest)
    leading = look.smallest * LEADING
    most = box.height * (1 - LEAST_WHEEL)
    lines = [
        line for text in (tree.footer or (CAUTION,)) for line in force(clean(text), small, box.width) if clean(text)
    ]
    lines = _at_most(lines, int(most / leading) - 2)
    rows = _key_rows(key, box.width, look)
    bottom = box.bottom - len(lines) * leading
    items: list[Shape | Lettering] = list(stack([(line, small) for line in lines], box.left, bottom, "left"))
    if rows:
        bottom -= len(rows) * leading * 1.25 + leading * 0.3
        items += _key(rows, box, bottom, look)
    bottom -= leading * 0.5
    if columns and tree.strips:
        room = most - (box.bottom - bottom)
        drawn = _drawn(tree.strips, columns, max(0, int(room / row_height(look))), crowd=shown.crowd)
        bottom -= rows_needed(len(drawn), columns) * row_height(look)
        items += lay_strips(drawn, Box(box.left, bottom, box.right, box.bottom), columns, look)
        bottom -= leading * 0.8
        if len(drawn) < len(tree.strips):
            left = len(tree.strips) - len(drawn)
            bottom -= leading
            more = f"For want of room not shown: {left} attribute{'s' * (left > 1)}."
            items += stack([(more, small)], box.left, bottom, "left")
    if columns and tree.ranked:
        ranks = min(math.ceil(len(tree.ranked) / columns), int(box.height * MOST_RANKING / ranking_row(look)))
        high = ranking_height(ranks, look)
        bottom -= high + leading * 0.6
        items += lay_ranking(tree.ranked, Box(box.left, bottom, box.right, bottom + high), columns, look)
    return items, bottom


def _drawn(strips: Sequence[Strip], columns: int, rows: int, *, crowd: bool) -> Sequence[Strip]:
    """The strips that `rows` have room for."""
    if crowd:
        return _most_marked(strips, min(rows, CROWD_ROWS) * columns)
    return strips[: rows * columns]


def _most_marked(strips: Sequence[Strip], count: int) -> tuple[Strip, ...]:
    """The `count` strips that most people marked, in their usual order."""
    kept = sorted(strips, key=lambda strip: -len(strip.marks))[:count]
    return tuple(strip for strip in strips if strip in kept)


def _at_most(lines: list[str], count: int) -> list[str]:
    """The footer, cut to `count` lines; says so, because the rest stands in the description only."""
    return lines if len(lines) <= count else [*lines[: max(1, count - 1)], "For want of room the rest is not shown."]


def key_entries(shown: Picture, *, ring: bool = False, people: str = "") -> list[Entry]:
    """The entries of the key that a wheel needs.

    With `ring` it says what the bold ring is (where the ring itself has no room for its words). `people` is whose
    number a petal bears, where that is not the same in every wheel of a sheet.
    """
    people = people or f"people of {shown.of:,}"
    petals = [arc for arc in shown.arcs if arc.ring == "petal"]
    entries = [("petal", f"length, number: {people}")] if petals and shown.of > 1 else []
    if petals and shown.crowd:
        entries = [("petal", f"length, number: {people}; the longest is {shown.full:,}")]
    entries += [("ring", f"{counted(shown.quorum, shown.of)}: enough to print")] if ring else []
    entries += [("open", "said broadly")] if any(arc.open for arc in petals) else []
    entries += [("hatch", "with doubt")] if any(arc.hedged > 0 for arc in petals) else []
    return entries


Key = list[tuple[str, str, float]]
"""One row of the key: swatch, words, width in mm."""


def _key_rows(entries: Sequence[Entry], width: float, look: Look) -> list[Key]:
    """The entries in as few rows as fit."""
    style = look.style("key", look.theme.muted, size=look.smallest)
    rows: list[Key] = [[]] if entries else []
    for swatch, text in entries:
        wide = style.width(text) + look.smallest * 1.9
        if rows[-1] and sum(w for _, _, w in rows[-1]) + wide + look.smallest * 1.2 * len(rows[-1]) > width:
            rows.append([])
        rows[-1].append((swatch, text, wide))
    return rows


def _key(rows: Sequence[Key], box: Box, top: float, look: Look) -> Iterator[Shape | Lettering]:
    style = look.style("key", look.theme.muted, size=look.smallest)
    gap = look.smallest * 1.2
    for row in rows:
        at = box.left
        base = top + look.smallest * (LEADING / 2 + 0.26)
        for swatch, text, wide in row:
            yield from _swatch(swatch, at, base, look)
            yield straight(text, at + wide - style.width(text), base, style)
            at += wide + gap
        top += look.smallest * LEADING * 1.25


def _swatch(kind: str, left: float, base: float, look: Look) -> Iterator[Shape]:
    tints, em = look.theme.neutral, look.smallest
    top, wide, high = base - em * 0.66, em * 1.4, em * 0.72
    if kind == "ring":
        line = polyline([(left, top + high / 2), (left + wide, top + high / 2)])
        yield Shape(line, "swatch", None, look.theme.line, look.fine * 3)
        return
    dash = (look.fine * 4, look.fine * 2.5) if kind == "open" else ()
    fill = look.theme.paper if kind == "open" else tints.quiet
    yield Shape(rectangle(left, top, wide, high), "swatch", fill, tints.edge, look.fine * 1.2, dash)
    for i in range(4) if kind == "hatch" else ():
        x = left + wide * i / 4
        yield Shape(polyline([(x, top + high), (x + wide / 4, top)]), "swatch", None, tints.edge, look.fine)
