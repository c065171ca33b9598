"""One wheel laid into a box: rings, petals, hatching, lettering inside and around it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import product

from tastevocab.wheel.arcs import Arc
from tastevocab.wheel.colour import Theme, Tints
from tastevocab.wheel.drawing import Lettering, Shape, circle, polar, polyline, sector
from tastevocab.wheel.inside import Block, Space, Words, fit
from tastevocab.wheel.lettering import Style
from tastevocab.wheel.outside import Frame, Label, Manner, Placed, place, within
from tastevocab.wheel.typeface import clean
from tastevocab.wheel.words import UNSPECIFIED, counted, petal_name

HOLE, CATEGORY_END, FAMILY_END = 0.28, 0.45, 0.635
"""Where the rings end, as parts of the rim's radius."""
STEPS = (0.96, 0.90, 0.84, 0.79, 0.74, 0.69, 0.64, 0.58, 0.51, 0.44)
"""Radii that are tried, as parts of the widest that the box holds without any lettering around."""
SMALLER_COSTS = 30.0
"""What a wheel smaller by the whole box weighs against names left out, words cut and leaders led far round."""
NAME_COSTS = 4.0
"""What a family or category weighs whose name stands nowhere: more than a wheel a tenth smaller."""
COUNT_COSTS = 0.6
"""What a name weighs that stands without the number of people behind it."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in mm."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top


@dataclass(frozen=True, slots=True)
class Look:
    """How things are set: theme, font file ("" = ours), lettering sizes in mm, thickness of a fine line in mm."""

    theme: Theme
    usual: float
    smallest: float
    fine: float
    font: str = ""

    @property
    def inside(self) -> float:
        """Least size on the wheel itself: a name that would have to shrink more stands better outside."""
        return max(self.smallest, self.usual * 0.7)

    def style(self, kind: str, colour: str, *, size: float = 0.0, weight: str = "regular", about: str = "") -> Style:
        """A style of this look."""
        return Style(size or self.usual, colour, weight, kind, about, self.font)


@dataclass(frozen=True, slots=True)
class Wheel:
    """A wheel in its place: `hole` is the free radius in its centre, `unlettered` names that found no room."""

    x: float
    y: float
    radius: float
    items: tuple[Shape | Lettering, ...]
    placed: tuple[Placed, ...]
    unlettered: tuple[str, ...]
    amiss: float = 0.0

    @property
    def hole(self) -> float:
        return self.radius * HOLE


@dataclass(slots=True)
class _Lettered:
    """Work in progress: blocks by arc, and labels that go outside."""

    blocks: dict[int, Block] = field(default_factory=dict)
    homeless: dict[int, list[Arc]] = field(default_factory=dict)
    outside: list[Label] = field(default_factory=list)


def lay_wheel(found: Sequence[Arc], box: Box, look: Look) -> Wheel:
    """The largest wheel that fits `box` with all its lettering.

    When no size has room for every name, the one that leaves fewest out; those are in `unlettered`.
    """
    return lay_alike([(found, box)], look)[0]


def lay_alike(wheels: Sequence[tuple[Sequence[Arc], Box]], look: Look) -> list[Wheel]:
    """Wheels of one radius, each in its box: the radius that serves all of them best."""
    widest = min(min(box.width, box.height) for _, box in wheels) / 2 - look.usual * 0.8
    best: list[Wheel] = []
    least = math.inf
    for step in STEPS:
        smaller = (STEPS[0] - step) * SMALLER_COSTS
        if smaller >= least:
            break
        trial = [_lay(found, box, look, widest * step) for found, box in wheels]
        cost = sum(wheel.amiss for wheel in trial) + smaller
        if cost < least:
            best, least = trial, cost
    return best


def _lay(found: Sequence[Arc], box: Box, look: Look, radius: float) -> Wheel:
    x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    lettered = _letter(found, x, y, radius, look)
    frame = Frame(x, y, radius + look.usual * 0.25, radius + look.usual * 1.5, box.left, box.top, box.right, box.bottom)
    placed, left_over, amiss = _place_around(lettered.outside, frame, look)
    items: list[Shape | Lettering] = list(_guides(found, x, y, radius, look))
    items += _pieces(found, lettered.blocks, x, y, radius, look)
    items += [
        Shape(polyline(list(p.leader)), "leader", None, look.theme.line, look.fine, about=p.label.about) for p in placed
    ]
    items += [line for block in lettered.blocks.values() for line in block.lines]
    items += [line for p in placed for line in p.lines]
    return Wheel(x, y, radius, tuple(items), tuple(placed), tuple(left_over), amiss)


def _place_around(labels: Sequence[Label], frame: Frame, look: Look) -> tuple[list[Placed], list[str], float]:
    """Labels around the wheel as fully as they stand well, those left out, and what is amiss (see `_cost`).

    When they crowd: first smaller, then without names of families that have no room, or counts, or either.
    """
    small = look.smallest
    trials = (
        (look.usual, True, 2),
        (small, True, 2),
        (small, True, 1),
        (small, False, 2),
        (small, False, 1),
        (small, False, 0),
    )
    best: tuple[list[Placed], list[str], float] = ([], [], math.inf)
    for size, counts, rings in trials:
        name = look.style("label", look.theme.ink, size=size)
        beside = look.style("count", look.theme.muted, size=max(look.smallest, size * 0.86))
        slim = [
            replace(a, count=a.count if counts else "", rings=a.rings[len(a.rings) - rings :] if rings else ())
            for a in labels
        ]
        placed, left_over = place(slim, frame, Manner(name, beside, size * 0.22))
        lost = sum(len(a.rings) for a in labels) - sum(len(a.rings) for a in slim)
        cost = _cost(placed, left_over, frame) + lost * NAME_COSTS + (0.0 if counts else COUNT_COSTS * len(labels))
        if cost < best[2]:
            best = (placed, _lost(labels, placed), cost)
        if cost < 1.0:
            break
    return best


def _lost(labels: Sequence[Label], placed: Sequence[Placed]) -> list[str]:
    """Names, of petals and of rings, that stand nowhere."""
    shown = [name for p in placed for name in (p.label.name, *p.label.rings)]
    lost = []
    for name in (name for label in labels for name in (label.name, *label.rings)):
        if name in shown:
            shown.remove(name)
        else:
            lost.append(name)
    return lost


def _cost(placed: Sequence[Placed], left_over: Sequence[Label], frame: Frame) -> float:
    """How far labels are from well placed: off the sheet, left out, cut words, long ways, many lines."""
    off = sum(not within(p, frame) for p in placed)
    cut = sum(line.text.endswith("-") and "-" not in p.label.name for p in placed for line in p.lines)
    turned = sum(max(0.0, abs(p.turn) - 0.25) for p in placed)
    tall = sum(max(0, len({line.runs[0].y for line in p.lines}) - 3) for p in placed)
    return 1000.0 * off + 20.0 * len(left_over) + 6.0 * cut + 2.0 * turned + 0.75 * tall


# --- lettering ---


def _extent(arc: Arc, radius: float) -> tuple[float, float]:
    """Inner and outer radius of an arc in mm."""
    inner, outer = {"category": (HOLE, CATEGORY_END), "family": (CATEGORY_END, FAMILY_END), "petal": (FAMILY_END, 1.0)}[
        arc.ring
    ]
    return inner * radius, (inner + (outer - inner) * arc.length) * radius


def _letter(found: Sequence[Arc], x: float, y: float, radius: float, look: Look) -> _Lettered:
    done = _Lettered()
    for at, arc in enumerate(found):
        if arc.ring != "petal":
            _letter_ring(found, at, x, y, radius, look, done)
    for at, arc in enumerate(found):
        if arc.ring == "petal":
            _letter_petal(found, at, x, y, radius, look, done)
    return done


def _letter_ring(found: Sequence[Arc], at: int, x: float, y: float, radius: float, look: Look, done: _Lettered) -> None:
    arc = found[at]
    name = clean(arc.label)
    weight = "semibold" if arc.ring == "category" else "regular"
    words = [(name, look.style(arc.ring, _letters(arc, look), weight=weight, about=arc.node))]
    inner, outer = _extent(arc, radius)
    block = fit(words, [Space(x, y, inner, outer, arc.start, arc.end)], look.inside)
    if block:
        done.blocks[at] = block
    else:
        done.homeless.setdefault(_main_petal(found, at), []).append(arc)


def _letters(arc: Arc, look: Look) -> str:
    return look.theme.ink if arc.open else tints_of(arc, look.theme).letters(arc.ring)


def tints_of(arc: Arc, theme: Theme) -> Tints:
    """The colours of an arc's category."""
    return theme.tints.get(arc.category, theme.neutral)


def _main_petal(found: Sequence[Arc], at: int) -> int:
    """The widest petal on a category or family."""
    ring = found[at]
    on_it = [
        i
        for i, arc in enumerate(found)
        if arc.ring == "petal" and arc.start >= ring.start - 1e-12 and arc.end <= ring.end + 1e-12 and i > at
    ]
    return max(on_it, key=lambda i: found[i].span)


def _named_below(found: Sequence[Arc], at: int, done: _Lettered) -> bool:
    """Whether an own petal stands on all of the ring that bears its name, so that it needs none itself."""
    arc = found[at]
    below = found[at - 1]
    return arc.own and below.node == arc.node and below.ring != "petal" and at - 1 in done.blocks


def _letter_petal(
    found: Sequence[Arc], at: int, x: float, y: float, radius: float, look: Look, done: _Lettered
) -> None:
    arc = found[at]
    homeless = done.homeless.get(at, [])
    inner, tip = _extent(arc, radius)
    count = counted(arc.people, arc.of)
    below = _named_below(found, at, done)
    name = "" if below else (UNSPECIFIED if arc.own and not arc.reach else clean(arc.label))
    if not homeless:
        block = _fit_petal(arc, name, count, Space(x, y, inner, tip, arc.start, arc.end), radius, look)
        if block:
            done.blocks[at] = block
            return
        if not name:
            return
    rings = [clean(ring.label) for ring in reversed(homeless)]
    name = rings.pop(0) if arc.own and rings and homeless[-1].node == arc.node else clean(petal_name(arc))
    others = tuple(ring for ring in rings if ring != name)
    done.outside.append(Label(arc.node, name, count, others, arc.middle, tip, arc.span))


def _fit_petal(arc: Arc, name: str, count: str, petal: Space, radius: float, look: Look) -> Block | None:
    """A petal's name on it or in the free room beyond its tip: with its count if that fits, and as large as it may."""
    beyond = Space(petal.x, petal.y, petal.outer + look.fine, radius, petal.start, petal.end)
    places = ((petal, _letters(arc, look)), (beyond, look.theme.ink))
    small = max(look.inside, look.usual * 0.86)
    said = [(name, look.usual, "label"), (count, small, "count")]
    together = [(f"{name} {count}", look.usual, "label")] if name and count else said
    for parts, least in product((said, together, said[:1]), (look.usual, look.inside)):
        for space, colour in places:
            words: Words = [(t, look.style(kind, colour, size=size, about=arc.node)) for t, size, kind in parts if t]
            block = fit(words, [space], least) if words else None
            if block:
                return block
    return None


# --- shapes ---


def _guides(found: Sequence[Arc], x: float, y: float, radius: float, look: Look) -> Iterator[Shape]:
    """A faint circle for every number of tasters, the rim a little stronger."""
    of = max((arc.of for arc in found), default=0)
    if 1 < of <= 24:
        for k in range(1, of):
            at = radius * (FAMILY_END + (1 - FAMILY_END) * k / of)
            yield Shape(circle(x, y, at), "guide", None, look.theme.guide, look.fine * 0.8)
    yield Shape(circle(x, y, radius), "rim", None, look.theme.line, look.fine * 0.8)


def _pieces(
    found: Sequence[Arc], blocks: dict[int, Block], x: float, y: float, radius: float, look: Look
) -> Iterator[Shape]:
    """Rings and petals, parted by lines of paper; petals with an edge, open ones with a broken edge only."""
    paper = look.theme.paper
    for at, arc in enumerate(found):
        tints = tints_of(arc, look.theme)
        inner, outer = _extent(arc, radius)
        outline = sector(x, y, inner, outer, arc.start, arc.end)
        if arc.open:
            yield from _open_piece(arc, x, y, inner, outer, look)
        elif arc.ring == "petal":
            yield _known(Shape(outline, "petal", tints.note, tints.edge, look.fine), arc)
        else:
            yield _known(Shape(outline, arc.ring, tints.fill(arc.ring), paper, look.fine * 2), arc)
        if arc.ring == "petal":
            yield from _hatch(arc, blocks.get(at), x, y, inner, outer, look)
            yield from _ticks(arc, x, y, radius, look)


def _open_piece(arc: Arc, x: float, y: float, inner: float, outer: float, look: Look) -> Iterator[Shape]:
    """An outline drawn a little inside its bounds, so that neighbours' edges do not run together."""
    inset = look.fine * 1.4
    turn = min(inset / outer, arc.span * 0.2)
    outline = sector(x, y, inner + inset, max(outer - inset / 2, inner + inset * 1.5), arc.start + turn, arc.end - turn)
    edge = tints_of(arc, look.theme).edge
    kind = "petal" if arc.ring == "petal" else arc.ring
    shape = Shape(outline, f"open-{kind}", None, edge, look.fine * 1.5, (look.fine * 5, look.fine * 3))
    yield _known(shape, arc)


def _known(shape: Shape, arc: Arc) -> Shape:
    """The outline of an arc with its name and what a script on a page may ask it."""
    data = (
        ("ring", arc.ring),
        ("print", clean(petal_name(arc))),
        ("people", str(arc.people)),
        ("of", str(arc.of)),
        ("share", f"{arc.span / math.tau:.4f}"),
        *((("own", "1"),) if arc.own else ()),
        *((("printed", " ".join(str(i + 1) for i in arc.printed)),) if arc.printed else ()),
    )
    return replace(shape, about=arc.node, name=arc.name, data=data)


def _ticks(arc: Arc, x: float, y: float, radius: float, look: Look) -> Iterator[Shape]:
    """A ruler along one side of a petal: a notch for every taster."""
    if not 1 < arc.people <= 24 or arc.span >= math.tau - 1e-9:
        return  # a whole ring has no side to stand a ruler on
    edge = tints_of(arc, look.theme).edge
    for k in range(1, arc.people):
        at = radius * (FAMILY_END + (1 - FAMILY_END) * k / arc.of)
        turn = min(look.usual * 0.4 / at, arc.span * 0.2)
        ends = [polar(x, y, at, arc.start + look.fine / at), polar(x, y, at, arc.start + turn)]
        yield Shape(polyline(ends), "tick", None, edge, look.fine, about=arc.node)


def _hatch(
    arc: Arc, block: Block | None, x: float, y: float, inner: float, outer: float, look: Look
) -> Iterator[Shape]:
    """Slanting lines over the doubtful part of a petal (its end), none of them behind its lettering."""
    if arc.hedged <= 0:
        return
    start = arc.end - arc.span * min(1.0, arc.hedged)
    gap = look.usual * 0.36
    slope = 1.0 / ((inner + outer) / 2)  # radians a millimetre outward: about 45 degrees
    step = gap * math.sqrt(2) * slope
    first = math.floor((start - slope * (outer - inner)) / step)
    edge = tints_of(arc, look.theme).edge
    for i in range(first, math.ceil(arc.end / step) + 1):
        for low, high in _clear(i * step, slope, inner, outer, start, arc.end, block, look.usual * 0.18):
            ends = [polar(x, y, r, i * step + slope * (r - inner)) for r in (low, (low + high) / 2, high)]
            yield Shape(polyline(ends), "hatch", None, edge, look.fine, about=arc.node)


def _clear(
    base: float, slope: float, inner: float, outer: float, start: float, end: float, block: Block | None, pad: float
) -> Iterator[tuple[float, float]]:
    """Radii between which one hatch line shows: within the petal, and not behind the block."""
    low = max(inner, inner + (start - base) / slope)
    high = min(outer, inner + (end - base) / slope)
    if high - low <= 0.05:
        return
    if block is None:
        yield low, high
        return
    turn = pad / block.inner
    under = max(low, block.inner - pad, inner + (block.start - turn - base) / slope)
    over = min(high, block.outer + pad, inner + (block.end + turn - base) / slope)
    if over <= under:
        yield low, high
        return
    if under - low > 0.05:
        yield low, under
    if high - over > 0.05:
        yield over, high
