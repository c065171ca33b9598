"""Several wheels on one sheet, on one scale: the same radius, and petals as long for as many tasters."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from tastevocab.errors import InputError
from tastevocab.wheel.arcs import Picture, picture
from tastevocab.wheel.card import Options, background, look_for, on_stock, safe_box
from tastevocab.wheel.drawing import MM_PER_POINT, Drawing, Lettering, Shape
from tastevocab.wheel.foot import key_entries, lay_foot
from tastevocab.wheel.heading import hold_band
from tastevocab.wheel.lettered import KEYS
from tastevocab.wheel.lettering import LEADING, force, stack
from tastevocab.wheel.look import Box, Look
from tastevocab.wheel.sizes import Size, size_named
from tastevocab.wheel.tree import WheelTree
from tastevocab.wheel.typeface import clean
from tastevocab.wheel.wheel import lay_alike
from tastevocab.wheel.words import footer_text, map_text

MOST = 12


def draw_multiples(
    trees: Mapping[str, WheelTree],
    size: str | Size = "page",
    options: Options | None = None,
    title: str = "",
    footer: Sequence[str] = (),
) -> Drawing:
    """Small wheels side by side, each under its name (hot, warm, cool; or brews), all on one scale.

    `footer` are the lines below them all (none: the first tree's). Raises `InputError` for none or more than twelve,
    or a tree that contradicts itself.
    """
    if not 1 <= len(trees) <= MOST:
        raise InputError(f"{len(trees)} wheels do not fit one sheet", mend=f"give 1 to {MOST}")
    options = options or Options()
    sheet = size if isinstance(size, Size) else size_named(size)
    first = next(iter(trees.values()))
    first = replace(first, footer=tuple(footer) or first.footer)
    look = replace(look_for(sheet, first.ring, options), usual=max(sheet.smallest_mm, sheet.usual_mm * 0.8))
    whole = safe_box(sheet, options)
    shown = one_scale(trees)
    items: list[Shape | Lettering] = [background(sheet.width, sheet.height, options.bleed, look)]
    lower = replace(look, smallest=sheet.foot * MM_PER_POINT)
    fullest = max(shown.values(), key=lambda p: (p.full, len(p.arcs)))
    alike = len({p.of for p in shown.values()}) == 1
    people = "" if alike else "people of those there"
    below, bottom = lay_foot(first, fullest, whole, lower, key_entries(fullest, people=people), 0)
    held, top = hold_band(first.hold, whole, look)
    items += held
    heading = clean(title or first.title)
    if heading:
        style = look.style("title", look.theme.ink, weight="semibold", size=sheet.title * MM_PER_POINT * 0.8)
        lines = [(line, style) for line in force(heading, style, whole.width)]
        items += stack(lines, whole.left, top, "left")
        top += style.size * LEADING * len(lines) + look.usual * 0.5
    items += _cells(shown, trees, Box(whole.left, top, whole.right, bottom - look.usual * 0.3), look)
    told = [f"{clean(name)}: {map_text(tree)}" for name, tree in trees.items()]
    described = " ".join(
        [*([f"{clean(first.hold).rstrip('.')}."] if clean(first.hold) else []), *told, footer_text(first)]
    )
    every = (*items, *below)
    drawing = Drawing(sheet.width, sheet.height, heading or "Flavour wheels", described, every, options.bleed)
    return on_stock(drawing, look, options)


def one_scale(trees: Mapping[str, WheelTree]) -> dict[str, Picture]:
    """Every wheel's picture, its petals measured against the largest panel of all: a taster is as long everywhere."""
    most = max(picture(tree).full for tree in trees.values())
    return {name: picture(tree, most) for name, tree in trees.items()}


def _is_key(item: Shape | Lettering) -> bool:
    """Whether it stands for a category's name: small wheels have no room to say whose, colour and place must do."""
    return isinstance(item, Lettering) and item.kind == "category" and item.text in KEYS


def numbered(item: Shape | Lettering, wheel: int) -> Shape | Lettering:
    """The item of a sheet's first, second ... wheel: element ids of a sheet must not be there twice."""
    return replace(item, name=f"{wheel}.{item.name}") if isinstance(item, Shape) and item.name else item


def _grid(count: int, box: Box) -> tuple[int, int]:
    """Columns and rows that give the largest cells of the shape a wheel with lettering at its sides wants."""

    def room(columns: int) -> float:
        return min(box.width / columns * 0.6, box.height / math.ceil(count / columns))

    best = max(range(1, count + 1), key=room)
    return best, math.ceil(count / best)


def _cells(
    shown: Mapping[str, Picture], trees: Mapping[str, WheelTree], box: Box, look: Look
) -> list[Shape | Lettering]:
    """Each wheel under its name and its own number of tasters, which need not be the same everywhere."""
    columns, rows = _grid(len(shown), box)
    wide, high = box.width / columns, box.height / rows
    style = look.style("name", look.theme.ink, weight="semibold", size=look.usual * 1.15)
    items: list[Shape | Lettering] = []
    cells = []
    small = look.style("tasters", look.theme.muted, size=look.smallest)
    for i, (name, some) in enumerate(shown.items()):
        left, top = box.left + i % columns * wide, box.top + i // columns * high
        lines = [(line, style) for line in force(clean(name) or f"{i + 1}", style, wide * 0.94)]
        of = trees[name].tasters or some.of
        lines += [(f"{of:,} taster{'s' * (of != 1)}", small)] if of else []
        items += stack(lines, left + wide / 2, top)
        under = top + sum(kind.size for _, kind in lines) * LEADING
        pad = look.usual * 0.4
        cells.append((some, Box(left + pad, under, left + wide - pad, top + high - pad)))
    laid = lay_alike(cells, look)
    if any(wheel.unlettered for wheel in laid):  # a line under a wheel must stand clear of the name of the next
        cells = [(some, replace(cell, bottom=cell.bottom - small.size * LEADING)) for some, cell in cells]
        laid = lay_alike(cells, look)
    left_out = look.style("left-out", look.theme.muted, size=look.smallest)
    for i, (wheel, (_, cell)) in enumerate(zip(laid, cells, strict=True), 1):
        items += (numbered(item, i) for item in wheel.items if not _is_key(item))
        if wheel.unlettered:
            text = f"For want of room not shown: {len(wheel.unlettered)}"
            items += stack([(text, left_out)], (cell.left + cell.right) / 2, cell.bottom)
    return items
