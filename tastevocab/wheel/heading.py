"""What stands above the wheel: a hold, the coffee's name, the notes line with its people as the title, the serving."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tastevocab.wheel.arcs import Picture
from tastevocab.wheel.bands import badge
from tastevocab.wheel.dial import numbers_of
from tastevocab.wheel.drawing import MM_PER_POINT, Lettering, Shape, rectangle
from tastevocab.wheel.lettering import LEADING, MIDDLE, Style, force, stack, straight
from tastevocab.wheel.look import Box, Look
from tastevocab.wheel.sizes import Size
from tastevocab.wheel.tree import WheelTree
from tastevocab.wheel.typeface import clean
from tastevocab.wheel.words import counted

SCALES = (1.5, 1.35, 1.2, 1.05, 0.9, 0.75)
"""The title's lettering that is tried, as multiples of the sheet's."""
SMALL_SCALES = (0.6, 0.48, 0.38)
"""And for words so long that they would take half of the sheet."""
MOST, AT_ALL = 0.24, 0.5
"""The heading takes at most this part of the box's height while lettering of `SCALES`, or any, is left to try."""

Items = list[Shape | Lettering]


def lay_heading(tree: WheelTree, shown: Picture, box: Box, sheet: Size, look: Look) -> tuple[Items, float]:
    """The heading's items from the top of `box`, and where it ends."""
    held, top = hold_band(tree.hold, box, look)
    room = Box(box.left, top, box.right, box.bottom)
    for scale in (*SCALES, *SMALL_SCALES):
        size = max(look.smallest, sheet.title * MM_PER_POINT * scale)
        items, bottom, lines = _laid(tree, shown, room, size, look)
        part = (bottom - top) / box.height
        if part <= AT_ALL if scale <= SCALES[-1] else lines <= max(1, len(tree.printed)) and part <= MOST:
            break
    return [*held, *items], bottom + look.usual * 0.7


def hold_band(text: str, box: Box, look: Look) -> tuple[Items, float]:
    """A band in ink over the whole width, with what holds the coffee; nothing for a coffee that is not held."""
    said = clean(text)
    if not said:
        return [], box.top
    style = look.style("hold", look.theme.paper, size=max(look.smallest, look.usual * 1.15), weight="semibold")
    lines = force(said, style, box.width - look.usual)
    high = (len(lines) * LEADING + 0.7) * style.size
    band = Shape(rectangle(box.left, box.top, box.width, high), "hold-band", look.theme.ink)
    words = stack([(line, style) for line in lines], (box.left + box.right) / 2, box.top + style.size * 0.35)
    return [band, *words], box.top + high + look.usual * 0.6


def _laid(tree: WheelTree, shown: Picture, box: Box, size: float, look: Look) -> tuple[Items, float, int]:
    """Name, title and serving; where they end; and how many lines the title takes."""
    items: Items = []
    top = box.top
    name = look.style("title", look.theme.ink, size=max(look.smallest, size * 0.55), weight="semibold")
    small = look.style("subtitle", look.theme.muted, size=max(look.smallest, look.usual * 0.95))
    titled = [(line, name) for line in force(clean(tree.title), name, box.width)] if clean(tree.title) else []
    items += stack(titled, box.left, top, "left")
    top += sum(style.size * LEADING for _, style in titled)
    words, top, lines = _title(tree, shown, box, top, size, look)
    items += words
    second = " · ".join(text for text in map(clean, tree.subtitle) if text)
    served = [(line, small) for line in force(second, small, box.width)] if second else []
    items += stack(served, box.left, top, "left")
    return items, top + len(served) * small.size * LEADING, lines


@dataclass(frozen=True, slots=True)
class _Said:
    """One printed word of the title: the word, its people, its number (0: none)."""

    word: str
    count: str
    number: int


def _title(tree: WheelTree, shown: Picture, box: Box, top: float, size: float, look: Look) -> tuple[Items, float, int]:
    """The notes line, words after each other; the headline where there is no line."""
    style = look.style("printed-title", look.theme.ink, size=size, weight="semibold")
    if not tree.printed:
        small = style.at(max(look.smallest, size * 0.72))
        lines = force(clean(tree.headline), small, box.width) if clean(tree.headline) else ()
        laid = stack([(line, small) for line in lines], box.left, top, "left")
        return list(laid), top + len(lines) * small.size * LEADING, max(1, len(lines))
    beside = look.style("printed-count", look.theme.muted, size=max(look.smallest, size * 0.56))
    numbers = numbers_of(shown)
    said = [
        _Said(
            clean(w.label),
            ", ".join(part for part in (counted(w.people, w.of) if w.of > 1 else "", clean(w.leaning)) if part),
            numbers.get(i, 0),
        )
        for i, w in enumerate(tree.printed)
    ]
    rows = _rows(said, style, beside, box.width)
    items: Items = []
    for row in rows:
        base = top + size * (LEADING / 2 + MIDDLE)
        items += _row(row, box.left, base, style, look)
        top += size * LEADING
    return items, top + size * 0.1, len(rows)


Piece = tuple[float, str, Style, int]
"""Where a piece of a title's row starts in mm, its text, its style, and a number to stand in its place (0: none)."""


def _rows(said: Sequence[_Said], style: Style, beside: Style, width: float) -> list[list[Piece]]:
    """The title broken into rows: a word stays with its people; one too long for a row is broken itself."""
    rows: list[list[Piece]] = [[]]
    at = 0.0
    gap, space = style.size * 0.9, style.size * 0.22
    for one in said:
        indent = style.size * 0.95 if one.number else 0.0
        long = indent + style.width(one.word) + (space + beside.width(one.count) if one.count else 0.0)
        if rows[-1] and at + gap + long > width:
            rows.append([])
        at = at + gap if rows[-1] else 0.0
        lines = (one.word,) if long <= width else force(one.word, style, width - indent)
        for i, line in enumerate(lines):
            if i:
                rows.append([])
                at = 0.0
            elif one.number:
                rows[-1].append((at, "", style, one.number))
                at += indent
            rows[-1].append((at, line, style, 0))
            at += style.width(line)
        if one.count:
            for line in (
                (one.count,) if at + space + beside.width(one.count) <= width else force(one.count, beside, width)
            ):
                if at + space + beside.width(line) > width:
                    rows.append([])
                    at = -space
                rows[-1].append((at + space, line, beside, 0))
                at += space + beside.width(line)
    return rows


def _row(row: Sequence[Piece], left: float, base: float, style: Style, look: Look) -> Iterator[Shape | Lettering]:
    for at, text, kind, number in row:
        if number:
            yield from badge(number, left + at + style.size * 0.36, base - style.size * MIDDLE, look, style.size * 0.5)
        else:
            yield straight(text, left + at, base, kind)
