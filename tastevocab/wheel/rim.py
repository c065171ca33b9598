"""The poster's rim: every category's name, and inside it an open band with the category's broad words.

A broad word names no single family, so it stands beside none of them but over all that it spans.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from tastevocab.wheel.drawing import Lettering, Shape, sector
from tastevocab.wheel.inside import Block, Space, fit
from tastevocab.wheel.lettering import LEADING, Style
from tastevocab.wheel.look import Look
from tastevocab.wheel.tree import WheelTree
from tastevocab.wheel.typeface import clean

BAND_LINES = 2
"""Lines of broad words at most; a category with many is drawn wide enough for them."""
BETWEEN = " · "


@dataclass(frozen=True, slots=True)
class Rim:
    """The rim around `x`, `y` (mm): its radius, where the band and the notes below it end, names by category."""

    x: float
    y: float
    radius: float
    band: float
    inner: float
    names: Mapping[str, str]
    broad: Mapping[str, tuple[str, ...]]


def rim_of(tree: WheelTree, x: float, y: float, radius: float, look: Look) -> Rim:
    """The rim of a vocabulary's tree, drawn within `radius` mm; without broad words it has no band."""
    names = {node.id: clean(node.label) for node in tree.nodes if node.level == "category"}
    broad: dict[str, tuple[str, ...]] = {}
    for node in tree.nodes:
        if node.level == "reach" and node.parent in names:
            broad[node.parent] = (*broad.get(node.parent, ()), clean(node.label))
    band = radius - look.usual * 2.2
    inner = band - (look.usual * (LEADING * BAND_LINES + 0.35) if broad else 0.0)
    return Rim(x, y, radius, band, inner, names, broad)


def least_angle(rim: Rim, category: str, look: Look) -> float:
    """The radians that a category needs for its broad words."""
    style = _broad_style(look, category)
    splits = _splits(rim.broad.get(category, ()))
    widest = min((max(style.width(line) for line in lines) for lines in splits), default=0.0)
    return (widest + style.size) / rim.inner if widest else 0.0


def rim_piece(rim: Rim, category: str, start: float, end: float, look: Look) -> Iterator[Shape | Lettering]:
    """A category's part of the rim, from `start` to `end` radians."""
    tints = look.theme.tints.get(category, look.theme.neutral)
    piece = sector(rim.x, rim.y, rim.band, rim.radius, start, end)
    yield Shape(piece, "category", tints.note, look.theme.paper, look.fine * 3)
    if rim.broad.get(category):
        turn = look.fine * 2.5 / rim.inner
        band = sector(rim.x, rim.y, rim.inner + look.fine * 2, rim.band - look.fine * 2.5, start + turn, end - turn)
        yield Shape(band, "open-band", None, tints.edge, look.fine, (look.fine * 5, look.fine * 3), category)
    name = look.style("category", tints.on_note, weight="semibold", size=look.usual * 1.5, about=category)
    space = Space(rim.x, rim.y, rim.band, rim.radius, start, end)
    named = fit([(rim.names[category], name)], [space], look.smallest, 2)
    for block in (named, _broad(rim, category, start, end, look)):
        yield from block.lines if block else ()


def _broad_style(look: Look, category: str) -> Style:
    return look.style("broad", look.theme.ink, size=look.smallest, about=category)


def _broad(rim: Rim, category: str, start: float, end: float, look: Look) -> Block | None:
    style = _broad_style(look, category).at(look.usual)
    space = Space(rim.x, rim.y, rim.inner, rim.band, start, end)
    blocks = (
        fit([(line, style) for line in lines], [space], look.smallest, len(lines))
        for lines in _splits(rim.broad.get(category, ()))
    )
    return next((block for block in blocks if block), None)


def _splits(words: tuple[str, ...]) -> list[tuple[str, ...]]:
    """The words in one line, then in two of about one length; a word is never broken."""
    if not words:
        return []
    halves = [(BETWEEN.join(words[:i]), BETWEEN.join(words[i:])) for i in range(1, len(words))]
    return [(BETWEEN.join(words),), *sorted(halves, key=lambda lines: max(map(len, lines)))[:1]]
