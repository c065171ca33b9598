"""One wheel laid into a box: rings, petals, bands, hatching, lettering inside and around it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from tastevocab.wheel.arcs import Picture
from tastevocab.wheel.bands import Taken, badge, brackets, quorum_ring, quorum_words, ring_numbers, washes
from tastevocab.wheel.dial import Band, Dial
from tastevocab.wheel.drawing import Lettering, Shape, polyline
from tastevocab.wheel.gaps import gaps_of
from tastevocab.wheel.lettered import KEYS, MOST_LISTED, Lettered, letter, lines_of, ties
from tastevocab.wheel.lettering import LEADING, force, stack
from tastevocab.wheel.look import STRONG, Box, Look
from tastevocab.wheel.outside import Frame, Label, Manner, Placed, place, within
from tastevocab.wheel.pieces import guides, pieces

STEPS = (0.97, 0.92, 0.87, 0.82, 0.77, 0.72, 0.66, 0.60, 0.54, 0.46)
"""Radii that are tried, as parts of the widest that the box holds without any lettering around."""
SMALLER_COSTS = 26.0
"""What a wheel smaller by the whole box weighs against names left out, words cut and leaders led far round."""
DROPPED_COSTS = 6.0
"""What a name left out weighs; a printed word is never left out while any other stands."""


@dataclass(frozen=True, slots=True)
class Wheel:
    """A wheel in its place: `unlettered` are names that found no room, `keyed` categories that a letter stands for.

    `ringed` says whether the quorum ring has its words on it.
    """

    x: float
    y: float
    radius: float
    items: tuple[Shape | Lettering, ...]
    placed: tuple[Placed, ...]
    unlettered: tuple[str, ...]
    keyed: tuple[str, ...]
    ringed: bool


def lay_wheel(shown: Picture, box: Box, look: Look) -> Wheel:
    """The largest wheel that fits `box` with all its lettering, and below it the names that letters stand for.

    When no size has room for every name, the one that leaves fewest out; those are in `unlettered`.
    """
    wheel = lay_alike([(shown, box)], look)[0]
    if not wheel.keyed:
        return wheel
    for _ in range(3):  # a smaller wheel may have more of them
        lines = key_lines(wheel.keyed, box.width, look)
        high = len(lines) * look.smallest * LEADING + look.smallest * 0.5
        wheel = lay_alike([(shown, replace(box, bottom=box.bottom - high))], look)[0]
        if len(key_lines(wheel.keyed, box.width, look)) <= len(lines):
            break
    style = look.style("keyed", look.theme.muted, size=look.smallest)
    lines = key_lines(wheel.keyed, box.width, look)
    top = box.bottom - len(lines) * look.smallest * LEADING
    return replace(wheel, items=(*wheel.items, *stack([(t, style) for t in lines], (box.left + box.right) / 2, top)))


def key_lines(names: Sequence[str], width: float, look: Look) -> tuple[str, ...]:
    """ "a Citrus   b Spice": what the letters on the inner ring stand for."""
    style = look.style("keyed", look.theme.muted, size=look.smallest)
    said = "   ".join(f"{key}\u00a0{name.replace(' ', chr(0xA0))}" for key, name in zip(KEYS, names, strict=False))
    return tuple(line.replace("\u00a0", " ").strip() for line in force(said, style, width)) if names else ()


def lay_alike(wheels: Sequence[tuple[Picture, Box]], look: Look) -> list[Wheel]:
    """Wheels of one radius, each in its box: the radius that serves all of them best."""
    widest = min(min(box.width, box.height) for _, box in wheels) / 2 - look.usual * 0.6
    best: list[_Laid] = []
    least = math.inf
    for step in STEPS:
        smaller = (STEPS[0] - step) * SMALLER_COSTS
        if smaller >= least:
            break
        trial = [_lay(shown, box, look, widest * step) for shown, box in wheels]
        cost = sum(laid.amiss for laid in trial) + smaller
        if cost < least:
            best, least = trial, cost
    return [_drawn(laid, look) for laid in best]


@dataclass(frozen=True, slots=True)
class _Laid:
    """A wheel of one radius with all its lettering in place, not yet drawn; `amiss` is how far from well it stands."""

    dial: Dial
    bands: tuple[Band, ...]
    lettered: Lettered
    placed: tuple[Placed, ...]
    left_over: tuple[str, ...]
    amiss: float


def _lay(shown: Picture, box: Box, look: Look, radius: float) -> _Laid:
    dial = Dial((box.left + box.right) / 2, (box.top + box.bottom) / 2, radius, shown)
    bands = dial.bands()
    lettered = letter(dial, bands, look)
    frame = _frame(dial, bands, lettered, box, look)
    placed, left_over, amiss = _place_around(lettered.outside, frame, look)
    sticks_out = frame.rim > min(box.width, box.height) / 2
    return _Laid(dial, bands, lettered, tuple(placed), tuple(left_over), amiss + 1000.0 * sticks_out)


def _drawn(laid: _Laid, look: Look) -> Wheel:
    dial, bands, lettered, placed = laid.dial, laid.bands, laid.lettered, laid.placed
    tied = tuple(ties(dial, lettered, look))
    blocks = tuple(lettered.blocks.values())
    ring = quorum_words(Taken(dial, bands, blocks, placed), look)
    scale = ring.lines if ring else ()
    numbers = tuple(ring_numbers(Taken(dial, bands, (*blocks, *([ring] if ring else [])), placed), look))
    gaps = gaps_of((*lines_of(lettered), *scale, *numbers), dial.x, dial.y)
    items: list[Shape | Lettering] = [*guides(dial, gaps, look), *washes(dial, bands, look)]
    items += quorum_ring(dial, gaps, look)
    items += pieces(dial, lettered.blocks, look)
    items += [*tied, *(_leader(p, look) for p in placed)]
    items += brackets(dial, bands, look)
    items += lines_of(lettered)
    items += (*scale, *numbers)
    for p in placed:
        lines, disc = p.lettering()
        items += lines
        if disc:
            items += badge(p.label.number, *disc, look, look.smallest)
    unlettered = [name for names in lettered.listed.values() for name in names[MOST_LISTED:]] + lettered.silent
    return Wheel(
        dial.x, dial.y, dial.radius, tuple(items), placed, (*laid.left_over, *unlettered), tuple(lettered.keyed),
        ring is not None,
    )  # fmt: skip


def _frame(dial: Dial, bands: Sequence[Band], lettered: Lettered, box: Box, look: Look) -> Frame:
    said = [band.radius + look.usual * STRONG * 1.2 for band in bands if lettered.along.get(band.place)]
    rim = max((dial.radius, *(band.radius for band in bands), *said)) + look.usual * 0.25
    return Frame(dial.x, dial.y, rim, rim + look.usual * 1.1, box.left, box.top, box.right, box.bottom)


def _leader(p: Placed, look: Look) -> Shape:
    colour = look.theme.ink if p.label.strong else look.theme.line
    width = look.fine * (1.6 if p.label.strong else 1.0)
    return Shape(polyline(list(p.leader)), "leader", None, colour, width, about=p.label.about)


def _place_around(labels: Sequence[Label], frame: Frame, look: Look) -> tuple[list[Placed], list[str], float]:
    """Labels around the wheel as fully as they stand well, those left out, and what is amiss (see `_cost`).

    When they crowd: first smaller, then without the notes below a printed word.
    """
    best: tuple[list[Placed], list[str], float] = ([], [], math.inf)
    for size, below in ((look.usual, True), (look.smallest, True), (look.smallest, False)):
        strong = look.style("printed", look.theme.ink, size=size * STRONG, weight="semibold")
        name = look.style("label", look.theme.muted, size=size)
        beside = look.style("count", look.theme.muted, size=max(look.smallest, size * 0.86))
        slim = [a if below else replace(a, rings=()) for a in labels]
        placed, left_over = place(slim, frame, Manner(strong, name, beside, size * 0.25))
        lost = 0 if below else sum(len(a.rings) for a in labels)
        cost = _cost(placed, left_over, frame) + lost * 0.5
        if cost < best[2]:
            silent = [] if below else [name for label in labels for name in label.rings]
            best = (placed, [label.name for label in left_over] + silent, cost)
        if cost < 1.0:
            break
    return best


def _cost(placed: Sequence[Placed], left_over: Sequence[Label], frame: Frame) -> float:
    """How far labels are from well placed: off the sheet, left out, cut words, long ways, many lines."""
    off = sum(not within(p, frame) for p in placed)
    cut = sum(
        text.endswith("-") and "-" not in p.label.name for p in placed for line in p.broken.lines for text, _, _ in line
    )
    turned = sum(max(0.0, abs(p.turn) - 0.2) for p in placed)
    bent = sum(0.25 for p in placed if p.turn)
    tall = sum(max(0, len(p.broken.lines) - 3) for p in placed)
    gone = sum(DROPPED_COSTS * (20.0 if label.strong else 1.0) for label in left_over)
    return 1000.0 * off + gone + 6.0 * cut + 2.0 * turned + bent + 0.75 * tall
