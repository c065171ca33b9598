"""A whole card: the notes line as its title, the wheel, strips, key and footer, on a sheet of a named size."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from tastevocab.errors import InputError
from tastevocab.wheel.arcs import picture
from tastevocab.wheel.colour import theme as theme_named
from tastevocab.wheel.drawing import MM_PER_POINT, Drawing, Lettering, Shape, rectangle
from tastevocab.wheel.foot import key_entries, lay_foot
from tastevocab.wheel.heading import lay_heading
from tastevocab.wheel.lettering import LEADING, straight
from tastevocab.wheel.look import Box, Look
from tastevocab.wheel.sizes import Size, size_named
from tastevocab.wheel.tree import WheelTree
from tastevocab.wheel.wheel import lay_wheel
from tastevocab.wheel.words import alt_text, title_text


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
    """The drawing of `tree` on a sheet of `size` ("square", "bag", "page" ... or a `Size`).

    Raises `InputError` for an unknown size or theme, a tree that contradicts itself, or margins that leave no room.
    """
    options = options or Options()
    sheet = size if isinstance(size, Size) else size_named(size)
    look = look_for(sheet, tree.ring, options)
    shown = picture(tree)
    whole = safe_box(sheet, options)
    items: list[Shape | Lettering] = [background(sheet.width, sheet.height, options.bleed, look)]
    words, beside = _parted(whole)
    heading, top = lay_heading(tree, shown, words, sheet, look)
    lower = replace(look, smallest=sheet.foot * MM_PER_POINT)
    columns = sheet.strips if options.strips else 0
    below, bottom = lay_foot(tree, shown, words, lower, key_entries(shown), columns)
    wheel = lay_wheel(shown, beside or _between(whole, top, bottom, lower), look)
    if not wheel.ringed and shown.arcs and 0 < shown.quorum <= shown.full:
        below, bottom = lay_foot(tree, shown, words, lower, key_entries(shown, ring=True), columns)
        wheel = lay_wheel(shown, beside or _between(whole, top, bottom, lower), look)
    if wheel.unlettered and not beside:  # the line that says so stands clear of the wheel's own key
        wheel = lay_wheel(shown, _between(whole, top, bottom - lower.smallest * 0.8, lower), look)
    if beside and bottom < top:  # no room for the key: what a link shows stands in words beside it
        below = []
    items += [*heading, *wheel.items, *below]
    if wheel.unlettered:
        items += _left_out(len(wheel.unlettered), whole, bottom, lower)
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


def _parted(whole: Box) -> tuple[Box, Box | None]:
    """The box for words and, on a sheet that lies, that of the wheel beside them (None: it stands below)."""
    if whole.width < whole.height * 1.4:
        return whole, None
    middle = whole.left + whole.width * 0.42
    return replace(whole, right=middle - 3), replace(whole, left=middle)


def _between(whole: Box, top: float, bottom: float, look: Look) -> Box:
    """The wheel's own box, with a line left free above the foot."""
    return replace(whole, top=top, bottom=bottom - look.smallest * LEADING)


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


def _left_out(count: int, box: Box, bottom: float, look: Look) -> Iterator[Lettering]:
    """A line that says how many names had no room on the picture; nothing is lost without a word."""
    style = look.style("left-out", look.theme.muted, size=look.smallest)
    names = "1 name" if count == 1 else f"{count} names"
    yield straight(f"For want of room not shown: {names}.", box.left, bottom - look.smallest * 0.25, style)
