"""A whole vocabulary as a wall poster: an open fan of families, every note a radial line, categories round the rim.

The ring is walked from one shore to the other: it stands open on the left, where the walk begins and ends, and so fills
a sheet taller than wide with larger lettering than a closed circle would.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from tastevocab.errors import InputError
from tastevocab.vocabulary.model import Vocabulary
from tastevocab.wheel.card import Options, background, look_for, on_stock, safe_box
from tastevocab.wheel.drawing import MM_PER_POINT, Drawing, Lettering, Shape, sector
from tastevocab.wheel.lettering import LEADING, Style, force, outward, stack
from tastevocab.wheel.look import Box, Look
from tastevocab.wheel.packing import INDENT, Rows, Slot, name_forms, rows_between, share_angles
from tastevocab.wheel.rim import Rim, least_angle, rim_of, rim_piece
from tastevocab.wheel.sizes import Size, size_named
from tastevocab.wheel.tree import WheelNode, WheelTree
from tastevocab.wheel.typeface import clean
from tastevocab.wheel.words import CAUTION, NOT_QUALITY, title_text

FAMILY_START, NOTES_START = 0.07, 0.37
"""Where the ring of family names and the first row of notes begin, as parts of the rim's radius."""
CLOSE = 0.91
"""Distance of radial lines in em: capitals and descenders of neighbours just stay clear of each other."""
BESIDE = 0.98
"""Distance of the lines of a family's name in em."""
LEAST_GAP, MOST_GAP = math.radians(50), math.radians(125)
"""The opening is never narrower, however wide the sheet, and never wider, however tall."""


def vocabulary_tree(vocabulary: Vocabulary) -> WheelTree:
    """The vocabulary alone as a weighted tree: every note and reach word weighs 1; no things (their notes are
    there), no faults, no retired notes."""
    shown = [
        d
        for d in vocabulary.descriptors.values()
        if not d.fault and not d.use_instead and d.level != "thing" and (d.home or d.level != "reach")
    ]
    weights: dict[str, float] = {}
    homes = {d.id: d.home or "" for d in shown}
    for d in shown:
        id = d.id if d.level in ("note", "reach") else ""
        while id:
            weights[id] = weights.get(id, 0.0) + 1.0
            id = homes[id]
    nodes = tuple(
        WheelNode(
            id=d.id,
            parent=d.home or "",
            label=d.print,
            level=d.level,  # type: ignore[arg-type]
            wedge=weights[d.id],
            own=1.0 if d.level in ("note", "reach") else 0.0,
            open=d.level == "reach",
        )
        for d in shown
        if d.id in weights
    )
    notes = sum(d.level == "note" for d in shown)
    families = sum(n.level == "family" for n in nodes)
    return WheelTree(
        nodes=nodes,
        ring=vocabulary.ring,
        title=f"The {vocabulary.name} flavour vocabulary",
        subtitle=(f"{notes} notes in {families} families; version {vocabulary.version}",),
        footer=(
            "Inside the rim, within broken lines: broad words, for what a taster does not narrow down.",
            f"{CAUTION} {NOT_QUALITY} A vocabulary is a convention of those who share it, not a law of nature.",
        ),
    )


@dataclass(frozen=True, slots=True)
class _Group:
    """A family: its name and the notes in it."""

    id: str
    name: str
    category: str
    notes: tuple[tuple[str, str], ...]  # id, name


def draw_poster(tree: WheelTree, size: str | Size = "poster-a2", options: Options | None = None) -> Drawing:
    """The tree of a vocabulary (see `vocabulary_tree`) as a poster; `size` is "poster-a2" or "poster-a1".

    Lettering of notes is as large as fits, never below the sheet's smallest. Raises `InputError` when it does not fit.
    """
    options = options or Options()
    sheet = size if isinstance(size, Size) else size_named(size)
    look = look_for(sheet, tree.ring, options)
    box = safe_box(sheet, options)
    groups = _groups(tree)
    if not groups:
        raise InputError("the vocabulary has no notes to draw", mend="add some")
    head, top = _head(tree, box, sheet, look)
    below, bottom = _below(tree, box, look)
    radius, gap = _opened(box.width, bottom - top)
    rim = rim_of(tree, box.right - radius, (top + bottom) / 2, radius, look)
    items: list[Shape | Lettering] = [background(sheet.width, sheet.height, options.bleed, look), *head]
    items += _wheel(groups, rim, gap, look)
    described = ". ".join(f"{g.name}: {', '.join(name for _, name in g.notes)}" for g in groups)
    drawing = Drawing(sheet.width, sheet.height, title_text(tree), f"{described}.", (*items, *below), options.bleed)
    return on_stock(drawing, look, options)


def _opened(width: float, height: float) -> tuple[float, float]:
    """Radius in mm and opening in radians of the largest fan in a box: as tall as it, open as far as its width asks.

    From the tips at the opening on the left to the rim on the right it is radius x (1 + cos(gap / 2)) wide.
    """
    radius = min(height / 2, width / (1 + math.cos(MOST_GAP / 2)))
    return radius, max(LEAST_GAP, 2 * math.acos(max(-1.0, min(1.0, width / radius - 1))))


def _groups(tree: WheelTree) -> list[_Group]:
    """Families in walking order."""
    out = []
    order = {id: i for i, id in enumerate(tree.ring)}
    roots = sorted((n for n in tree.nodes if n.level == "category"), key=lambda n: order.get(n.id, len(order)))
    below: dict[str, list[WheelNode]] = {}
    for node in tree.nodes:
        below.setdefault(node.parent, []).append(node)
    for root in roots:
        for family in (n for n in below.get(root.id, ()) if n.level == "family"):
            notes = tuple((n.id, clean(n.label)) for n in below.get(family.id, ()))
            if notes:
                out.append(_Group(family.id, clean(family.label), root.id, notes))
    return out


# --- the wheel ---


def _wheel(groups: Sequence[_Group], rim: Rim, gap: float, look: Look) -> Iterator[Shape | Lettering]:
    packed = _largest(groups, rim, math.tau - gap, look)
    letters: list[Lettering] = []
    at = (gap - math.pi) / 2
    spans: dict[str, tuple[float, float]] = {}
    for group, (angle, slots) in zip(groups, packed.placed, strict=True):
        yield from _wedge(group, rim, packed.rows, at, at + angle, look)
        letters += _family_name(group, rim, at, at + angle, look)
        letters += _notes(group, slots, packed, rim, at, angle)
        spans[group.category] = (spans.get(group.category, (at, at))[0], at + angle)
        at += angle
    for category, (start, end) in spans.items():
        yield from rim_piece(rim, category, start, end, look)
    yield from letters


class _Packed(NamedTuple):
    """Every note in its place: the lettering, the rows, and of each family its angle and the slots of its notes."""

    style: Style
    rows: Rows
    placed: list[tuple[float, list[Slot]]]


def _largest(groups: Sequence[_Group], rim: Rim, whole: float, look: Look) -> _Packed:
    """The largest lettering with which every note finds its place; long words are cut only if nothing else helps."""
    steps = [look.smallest + step * 0.05 for step in range(80) if look.smallest + step * 0.05 <= look.usual * 1.15]
    for cut in (False, True):
        best, low, high = None, -1, len(steps)
        while high - low > 1:
            middle = (low + high) // 2
            packed = _packed(groups, rim, whole, steps[middle], look, cut)
            low, high, best = (middle, high, packed) if packed else (low, middle, best)
        if best is not None:
            return best
    raise InputError(
        f"{sum(len(g.notes) for g in groups)} notes do not fit this sheet at {look.smallest / MM_PER_POINT:.1f} pt",
        mend="choose a larger sheet",
    )


def _packed(groups: Sequence[_Group], rim: Rim, whole: float, size: float, look: Look, cut: bool) -> _Packed | None:
    """Every note in its place at `size` mm within `whole` radians, in as many rows as serve; or None."""
    style = look.style("note", look.theme.ink, size=size)
    share = Counter(group.category for group in groups)
    least = [
        max(_least_angle(g, rim.radius, look), least_angle(rim, g.category, look) / share[g.category]) for g in groups
    ]
    for count in (6, 5, 7, 8, 4, 3):
        rows = rows_between(rim.radius * NOTES_START, rim.inner, count, size, size * CLOSE)
        longest = max(rows.rooms)
        families = [[name_forms(name, style, longest, cut=cut) for _, name in group.notes] for group in groups]
        kept = [[name for name in names if name is not None] for names in families]
        placed = share_angles(kept, least, rows, whole) if kept == families else None
        if placed is not None:
            return _Packed(style, rows, placed)
    return None


def _least_angle(group: _Group, radius: float, look: Look) -> float:
    """The angle that a family's name needs on its ray."""
    style = look.style("family", look.theme.ink, size=look.smallest)
    inner = radius * NOTES_START - style.width(group.name) - style.size * 0.5
    return 2 * math.asin(min(1.0, style.size * 1.02 / 2 / max(inner, radius * FAMILY_START)))


def _wedge(group: _Group, rim: Rim, rows: Rows, start: float, end: float, look: Look) -> Iterator[Shape]:
    """A family's two fields, and a line of paper where a row of notes ends."""
    tints = look.theme.tints.get(group.category, look.theme.neutral)
    inner, middle = rim.radius * FAMILY_START, rim.radius * NOTES_START
    name = sector(rim.x, rim.y, inner, middle, start, end)
    notes = sector(rim.x, rim.y, middle, rim.inner, start, end)
    yield Shape(name, "family", tints.family, look.theme.paper, look.fine * 2, about=group.id)
    yield Shape(notes, "notes", tints.wash, look.theme.paper, look.fine * 2, about=group.id)
    for at in rows.starts[1:]:
        edge = at - rows.starts[0] + middle
        yield Shape(sector(rim.x, rim.y, edge, edge, start, end), "row", None, look.theme.paper, look.fine)


def _family_name(group: _Group, rim: Rim, start: float, end: float, look: Look) -> tuple[Lettering, ...]:
    """The family's name on its ray, from the widest part of its ring inward; two lines where there is room."""
    outer = rim.radius * NOTES_START
    tints = look.theme.tints.get(group.category, look.theme.neutral)
    style = look.style("family", tints.on_family, about=group.id)
    for size in (look.usual, (look.usual + look.smallest) / 2, look.smallest):
        sized = style.at(size)
        for lines in ((group.name,), force(group.name, sized, sized.width(group.name) * 0.62)):
            longest = max(sized.width(line) for line in lines)
            inner = outer - longest - size * 0.5
            room = 2 * inner * math.sin((end - start) / 2)
            if inner > rim.radius * FAMILY_START + size * 0.3 and len(lines) * size * BESIDE <= room:
                return _rays(lines, sized, rim, inner + longest, (start + end) / 2)
    return ()


def _rays(lines: Sequence[str], style: Style, rim: Rim, outer: float, middle: float) -> tuple[Lettering, ...]:
    """Lines side by side along the ray at `middle`, all ending at `outer`."""
    shifts = [(i - (len(lines) - 1) / 2) * (style.size * BESIDE) for i in range(len(lines))]
    return tuple(
        outward(line, rim.x, rim.y, outer - style.width(line), middle, style, shift)
        for line, shift in zip(lines, shifts, strict=True)
    )


def _notes(
    group: _Group, slots: Sequence[Slot], packed: _Packed, rim: Rim, start: float, angle: float
) -> Iterator[Lettering]:
    """Every note on its ray: columns of a row stand evenly over the wedge."""
    style, rows = packed.style, packed.rows
    for (id, _), slot in zip(group.notes, slots, strict=True):
        inner = rows.starts[slot.row]
        pad = rows.pad / inner / 2
        step = (angle - 2 * pad) / slot.columns
        middle = start + pad + step * (slot.column + len(slot.lines) / 2)
        for i, line in enumerate(slot.lines):
            about = Style(style.size, style.colour, style.weight, style.kind, id, style.font)
            shift = (i - (len(slot.lines) - 1) / 2) * min(rows.pitch * 1.05, step * inner)
            stand_in = INDENT * style.size if i else 0.0
            room = rows.rooms[slot.row] - style.width(line)
            at = inner + (room - stand_in if math.sin(middle) < 0 else stand_in)
            yield outward(line, rim.x, rim.y, at, middle, about, shift)


# --- above and below ---


def _head(tree: WheelTree, box: Box, sheet: Size, look: Look) -> tuple[list[Lettering], float]:
    title = look.style("title", look.theme.ink, weight="semibold", size=sheet.title * MM_PER_POINT)
    small = look.style("subtitle", look.theme.muted, size=look.usual * 1.3)
    lines = [(line, title) for line in force(clean(tree.title), title, box.width)] if clean(tree.title) else []
    lines += [(line, small) for text in tree.subtitle for line in force(clean(text), small, box.width) if clean(text)]
    height = sum(style.size * LEADING for _, style in lines)
    return list(stack(lines, box.left, box.top, "left")), box.top + height + look.usual


def _below(tree: WheelTree, box: Box, look: Look) -> tuple[list[Shape | Lettering], float]:
    """The footer, and where the wheel's room ends."""
    small = look.style("footer", look.theme.muted, size=look.usual)
    lines = [(line, small) for text in tree.footer for line in force(clean(text), small, box.width) if clean(text)]
    bottom = box.bottom - sum(style.size * LEADING for _, style in lines)
    return list(stack(lines, box.left, bottom, "left")), bottom - look.usual
