"""A bag label: the words, the coffee, how it was processed and brewed; letters only, 40 to 120 mm wide, as high as it
must be.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from tastevocab.errors import InputError
from tastevocab.wheel.card import Options, background, look_for, on_stock
from tastevocab.wheel.drawing import MM_PER_POINT, Drawing, Lettering, Shape, polyline
from tastevocab.wheel.heading import hold_band
from tastevocab.wheel.lettering import LEADING, Style, force, stack
from tastevocab.wheel.look import Box
from tastevocab.wheel.sizes import Size
from tastevocab.wheel.tree import WheelTree
from tastevocab.wheel.typeface import clean
from tastevocab.wheel.words import alt_text

NARROWEST, WIDEST = 40.0, 120.0
"""mm."""
LEAST = 6.0
"""Points: no letter of a label is smaller."""
WORDS = 3
HIGHEST = 1.25
"""A label is never higher than so many times its width: lines are left out, from the last, until it is not."""
DPI = 300.0


def draw_label(tree: WheelTree, width: float, facts: Sequence[str] = (), options: Options | None = None) -> Drawing:
    """The label of a coffee: its name, its printed words (three at most), then `facts`, the most needed first (process,
    brew, tasters ...). `width` is in mm.

    The words are as large as the longest of them allows. What has no room is left out from the end of `facts`, never a
    word. Raises `InputError` for a width that is none of a label, and as `look_for` does.
    """
    if not NARROWEST <= width <= WIDEST:
        raise InputError(f"a label {width:g} mm wide is not made", mend=f"choose {NARROWEST:g} to {WIDEST:g} mm")
    options = options or Options()
    margin = max(2.0, width * 0.06) if options.safe is None else options.safe
    sheet = Size("label", width, width, margin, LEAST, max(LEAST, width * 0.11), width * 0.3, LEAST, DPI, 0)
    look = look_for(sheet, tree.ring, options)
    box = Box(margin, margin, width - margin, width * HIGHEST - margin)
    held, top = hold_band(tree.hold, box, look)
    small = look.style("fact", look.theme.ink, size=max(look.smallest, look.usual))
    title = _title(tree, look.style("word", look.theme.ink, weight="semibold"), box, sheet)
    name = [(line, replace(small, kind="name", weight="semibold")) for line in _lines(tree.title, small, box)]
    told = [clean(fact) for fact in facts if clean(fact)]
    while True:
        below = [(line, small) for fact in told for line in _lines(fact, small, box)]
        high = sum(style.size * LEADING for _, style in (*name, *title, *below)) + small.size * 1.2
        if not told or top + high <= box.bottom:
            break
        told.pop()
    items: list[Shape | Lettering] = [*held, *stack(name, box.left, top, "left")]
    at = top + sum(style.size * LEADING for _, style in name) + small.size * 0.2
    items += stack(title, box.left, at, "left")
    at += sum(style.size * LEADING for _, style in title) + small.size * 0.5
    if below:
        items.append(Shape(polyline([(box.left, at), (box.right, at)]), "rule", None, look.theme.ink, look.fine))
        at += small.size * 0.5
    items += stack(below, box.left, at, "left")
    height = at + sum(style.size * LEADING for _, style in below) + margin
    paper = background(width, height, options.bleed, look)
    said = f"{clean(tree.title)}: {', '.join(clean(word.label) for word in tree.printed) or clean(tree.headline)}"
    return on_stock(Drawing(width, height, said, alt_text(tree), (paper, *items), options.bleed), look, options)


def _title(tree: WheelTree, style: Style, box: Box, sheet: Size) -> list[tuple[str, Style]]:
    """The words, a line each, as large as the longest allows; words too long for the smallest letters are broken."""
    words = [clean(word.label) for word in tree.printed[:WORDS]] or [clean(tree.headline) or "No shared word"]
    longest = max(style.at(1.0).width(word) for word in words)
    fitting = min(sheet.title * MM_PER_POINT, box.width / longest)
    size = max(fitting, sheet.usual_mm, sheet.smallest_mm)
    return [(line, style.at(size)) for word in words for line in force(word, style.at(size), box.width)]


def _lines(text: str, style: Style, box: Box) -> list[str]:
    return list(force(clean(text), style, box.width)) if clean(text) else []
