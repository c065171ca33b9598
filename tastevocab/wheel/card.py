"""A whole card: the wheel, the words in its centre, strips, key and footer, on a sheet of a named size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from tastevocab.errors import InputError
from tastevocab.wheel.arcs import Arc, arcs
from tastevocab.wheel.colour import theme as theme_named
from tastevocab.wheel.drawing import MM_PER_POINT, Drawing, Lettering, Shape, polyline, rectangle
from tastevocab.wheel.lettering import LEADING, Style, force, straight, wrap
from tastevocab.wheel.sizes import Size, size_named
from tastevocab.wheel.strips import lay_strips, row_height, rows_needed
from tastevocab.wheel.tree import WheelTree
from tastevocab.wheel.typeface import clean
from tastevocab.wheel.wheel import Box, Look, Wheel, lay_wheel
from tastevocab.wheel.words import CAUTION, NOT_QUALITY, alt_text, title_text

LEAST_WHEEL = 0.42
"""The wheel's box is never lower than this part of the sheet; strips give way first, then footer lines."""


@dataclass(frozen=True, slots=True)
class Options:
    """What may be asked of a card.

    `bleed` mm of paper colour beyond the trimmed edge; `safe` mm kept free inside it (None: the size's own margin);
    `strips` False leaves the attributes out; `font` names a font file to letter with instead of ours. Without `paper`
    nothing of the paper's colour is printed, for stock that has its own; `marks` adds crop marks to a PDF.
    """

    theme: str = "light"
    bleed: float = 0.0
    safe: float | None = None
    strips: bool = True
    font: str = ""
    paper: bool = True
    marks: bool = False


def draw_card(tree: WheelTree, size: str | Size = "page", options: Options | None = None) -> Drawing:
    """The drawing of `tree` on a sheet of `size` ("square", "bag", "page", "board" or a `Size`).

    Raises `InputError` for an unknown size or theme, a tree that contradicts itself, or margins that leave no room.
    """
    options = options or Options()
    sheet = size if isinstance(size, Size) else size_named(size)
    look = look_for(sheet, tree.ring, options)
    found = arcs(tree)
    whole = safe_box(sheet, options)
    items: list[Shape | Lettering] = [background(sheet.width, sheet.height, options.bleed, look)]
    lower = replace(look, smallest=sheet.foot * MM_PER_POINT)
    below, top_of_foot = foot(tree, found, whole, sheet, lower, options)
    room = replace(whole, bottom=top_of_foot - lower.smallest * LEADING)
    wheel, centre = _wheel_and_centre(tree, found, room, sheet, look)
    items += [*wheel.items, *centre, *below]
    if wheel.unlettered:
        items += _left_out(len(wheel.unlettered), whole, top_of_foot, lower)
    drawing = Drawing(sheet.width, sheet.height, title_text(tree), alt_text(tree), tuple(items), options.bleed)
    return on_stock(drawing, look, options)


def on_stock(drawing: Drawing, look: Look, options: Options) -> Drawing:
    """The drawing as it is, or without `paper` for stock of its own colour: nothing of the paper's colour is left."""
    if options.paper:
        return drawing
    kept, paper = [], look.theme.paper
    for item in drawing.items:
        if isinstance(item, Shape) and paper in (item.fill, item.stroke):
            item = replace(
                item,
                fill=None if item.fill == paper else item.fill,
                stroke=None if item.stroke == paper else item.stroke,
            )
            if not item.fill and not item.stroke:
                continue
        kept.append(item)
    return replace(drawing, items=tuple(kept))


def look_for(sheet: Size, ring: tuple[str, ...], options: Options) -> Look:
    """The look of a sheet: its lettering sizes and the theme's colours for `ring`."""
    fine = max(0.12, sheet.usual_mm * 0.06)
    return Look(theme_named(options.theme, ring), sheet.usual_mm, sheet.smallest_mm, fine, options.font)


def background(width: float, height: float, bleed: float, look: Look) -> Shape:
    """The paper, out to the end of the bleed."""
    return Shape(rectangle(-bleed, -bleed, width + 2 * bleed, height + 2 * bleed), "background", look.theme.paper)


def safe_box(sheet: Size, options: Options) -> Box:
    margin = sheet.margin if options.safe is None else options.safe
    if not 0 <= margin <= min(sheet.width, sheet.height) * 0.2 or not 0 <= options.bleed <= 50:
        raise InputError(
            f"a safe margin of {margin:g} mm and a bleed of {options.bleed:g} mm do not suit this sheet",
            mend="bleed is 0 to 50 mm, the safe margin at most a fifth of the sheet",
        )
    return Box(margin, margin, sheet.width - margin, sheet.height - margin)


# --- centre ---


def _wheel_and_centre(
    tree: WheelTree, found: Sequence[Arc], box: Box, sheet: Size, look: Look
) -> tuple[Wheel, list[Lettering]]:
    """The wheel with its words in the middle; with the words above it when they do not fit the middle."""
    wheel = lay_wheel(found, box, look)
    centre = _centre(tree, wheel, sheet, look)
    if centre is not None:
        return wheel, centre
    head, bottom = _head(tree, box, sheet, look)
    return lay_wheel(found, replace(box, top=bottom), look), head


def _centre(tree: WheelTree, wheel: Wheel, sheet: Size, look: Look) -> list[Lettering] | None:
    for step in range(6):
        shrink = step / 5
        title = look.style(
            "title", look.theme.ink, weight="semibold", size=_between(sheet.title * MM_PER_POINT, look.smallest, shrink)
        )
        small = look.style("subtitle", look.theme.muted, size=_between(look.usual, look.smallest, shrink))
        lines = _in_disc(tree, title, small, wheel.hole - look.usual * 0.4)
        if lines is not None:
            top = wheel.y - sum(style.size * LEADING for _, style in lines) / 2
            return list(stack(lines, wheel.x, top))
    return None


def _between(largest: float, smallest: float, part: float) -> float:
    return max(smallest, largest - (largest - smallest) * part)


def _in_disc(tree: WheelTree, title: Style, small: Style, radius: float) -> list[tuple[str, Style]] | None:
    """Title and subtitle broken so that every line stays inside a disc of `radius`; None if they cannot."""
    for width in (1.9, 1.7, 1.5, 1.3):
        lines: list[tuple[str, Style]] = []
        for text, style in ((tree.title, title), *((line, small) for line in tree.subtitle)):
            broken = wrap(clean(text), style, radius * width, 4) if clean(text) else ()
            if broken is None:
                break
            lines += [(line, style) for line in broken]
        else:
            if _inside(lines, radius):
                return lines
    return None


def _inside(lines: Sequence[tuple[str, Style]], radius: float) -> bool:
    at = -sum(style.size * LEADING for _, style in lines) / 2
    for text, style in lines:
        deep = style.size * LEADING
        far = max(abs(at + deep * 0.1), abs(at + deep * 0.9))
        if far >= radius or style.width(text) / 2 > (radius**2 - far**2) ** 0.5:
            return False
        at += deep
    return True


def stack(lines: Sequence[tuple[str, Style]], x: float, top: float, align: str = "middle") -> Iterator[Lettering]:
    for text, style in lines:
        yield straight(text, x, top + style.size * (LEADING / 2 + 0.26), style, align)
        top += style.size * LEADING


def _head(tree: WheelTree, box: Box, sheet: Size, look: Look) -> tuple[list[Lettering], float]:
    title = look.style(
        "title", look.theme.ink, weight="semibold", size=_between(sheet.title * MM_PER_POINT, look.smallest, 0.3)
    )
    small = look.style("subtitle", look.theme.muted, size=look.smallest)
    lines = [(line, title) for line in force(clean(tree.title), title, box.width)] if clean(tree.title) else []
    second = clean(", ".join(tree.subtitle))
    lines += [(line, small) for line in force(second, small, box.width)] if second else []
    height = sum(style.size * LEADING for _, style in lines)
    return list(stack(lines, (box.left + box.right) / 2, box.top)), box.top + height + look.usual


# --- foot ---


def foot(
    tree: WheelTree, found: Sequence[Arc], box: Box, sheet: Size, look: Look, options: Options
) -> tuple[list[Shape | Lettering], float]:
    """Key, strips and footer, from the bottom up; and where the wheel's box ends."""
    small = look.style("footer", look.theme.muted, size=look.smallest)
    leading = look.smallest * LEADING
    most = box.height * (1 - LEAST_WHEEL)
    lines = [
        line for text in (tree.footer or (CAUTION,)) for line in force(clean(text), small, box.width) if clean(text)
    ]
    lines = _at_most(lines, int(most / leading) - 2)
    key = _key_rows(found, box.width, look)
    bottom = box.bottom - len(lines) * leading
    items: list[Shape | Lettering] = list(stack([(line, small) for line in lines], (box.left + box.right) / 2, bottom))
    bottom -= len(key) * leading * 1.25 + leading * 0.3
    items += _key(key, box, bottom, look)
    bottom -= leading * 0.5
    if options.strips and sheet.strips and tree.strips:
        room = most - (box.bottom - bottom)
        rows = min(rows_needed(len(tree.strips), sheet.strips), max(0, int(room / row_height(look))))
        shown = tree.strips[: rows * sheet.strips]
        bottom -= rows * row_height(look)
        items += lay_strips(shown, Box(box.left, bottom, box.right, box.bottom), sheet.strips, look)
        bottom -= leading * 0.8
        if len(shown) < len(tree.strips):
            left = len(tree.strips) - len(shown)
            more = f"For want of room not shown: {left} attribute{'s' * (left > 1)}."
            bottom -= leading
            items += stack([(more, small)], (box.left + box.right) / 2, bottom)
    return items, bottom


def _at_most(lines: list[str], count: int) -> list[str]:
    """The footer, cut to `count` lines; says so, because the rest stands in the description only."""
    return lines if len(lines) <= count else [*lines[: max(1, count - 1)], "For want of room the rest is not shown."]


Key = list[tuple[str, str, float]]
"""One row of the key: swatch, words, width in mm."""


def _key_rows(found: Sequence[Arc], width: float, look: Look) -> list[Key]:
    """The entries that this wheel needs, in as few rows as fit."""
    style = look.style("key", look.theme.muted, size=look.smallest)
    of = max((arc.of for arc in found), default=0)
    petals = [arc for arc in found if arc.ring == "petal"]
    entries = [("width", "width: share of the map")]
    entries += [("petal", f"length: tasters, of {of}")] if of else []
    entries += [("open", "open: said broadly")] if any(arc.open for arc in found) else []
    entries += [("hatch", "hatched: with doubt")] if any(arc.hedged > 0 for arc in petals) else []
    entries += [("", NOT_QUALITY)]
    rows: list[Key] = [[]]
    for swatch, text in entries:
        wide = style.width(text) + (look.smallest * 1.9 if swatch else 0)
        if rows[-1] and sum(w for _, _, w in rows[-1]) + wide + look.smallest * 1.2 * len(rows[-1]) > width:
            rows.append([])
        rows[-1].append((swatch, text, wide))
    return rows


def _key(rows: Sequence[Key], box: Box, top: float, look: Look) -> Iterator[Shape | Lettering]:
    style = look.style("key", look.theme.muted, size=look.smallest)
    gap = look.smallest * 1.2
    for row in rows:
        at = (box.left + box.right) / 2 - (sum(w for _, _, w in row) + gap * (len(row) - 1)) / 2
        base = top + look.smallest * (LEADING / 2 + 0.26)
        for swatch, text, wide in row:
            yield from _swatch(swatch, at, base, look)
            yield straight(text, at + wide - style.width(text), base, style)
            at += wide + gap
        top += look.smallest * LEADING * 1.25


def _swatch(kind: str, left: float, base: float, look: Look) -> Iterator[Shape]:
    if not kind:
        return
    tints, em = look.theme.neutral, look.smallest
    top, wide, high = base - em * 0.66, em * 1.4, em * 0.72
    if kind == "width":
        half = top + high / 2
        yield Shape(polyline([(left, half), (left + wide, half)]), "swatch", None, look.theme.muted, look.fine * 1.5)
        for x in (left, left + wide):
            yield Shape(polyline([(x, top), (x, top + high)]), "swatch", None, look.theme.muted, look.fine * 1.5)
        return
    dash = (look.fine * 4, look.fine * 2.5) if kind == "open" else ()
    fill = look.theme.paper if kind == "open" else tints.note
    yield Shape(rectangle(left, top, wide, high), "swatch", fill, tints.edge, look.fine * 1.2, dash)
    for i in range(1, 4) if kind == "petal" else ():
        x = left + wide * i / 4
        for a, b in ((top, top + high * 0.28), (top + high * 0.72, top + high)):
            yield Shape(polyline([(x, a), (x, b)]), "swatch", None, tints.edge, look.fine)
    for i in range(4) if kind == "hatch" else ():
        x = left + wide * i / 4
        yield Shape(polyline([(x, top + high), (x + wide / 4, top)]), "swatch", None, tints.edge, look.fine)


def _left_out(count: int, box: Box, bottom: float, look: Look) -> Iterator[Lettering]:
    """A line that says how many names had no room on the picture; nothing is lost without a word."""
    style = look.style("left-out", look.theme.muted, size=look.smallest)
    names = "1 name" if count == 1 else f"{count} names"
    yield straight(f"For want of room not shown: {names}.", (box.left + box.right) / 2, bottom, style, "middle")
