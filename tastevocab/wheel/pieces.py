"""The shapes of one wheel: guides, pale rings, petals loud or receding, hatching."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from tastevocab.wheel.arcs import CROWD, Arc
from tastevocab.wheel.dial import Dial
from tastevocab.wheel.drawing import Shape, polar, polyline, sector
from tastevocab.wheel.gaps import Gap, broken_circle
from tastevocab.wheel.inside import Block
from tastevocab.wheel.look import Look
from tastevocab.wheel.typeface import clean
from tastevocab.wheel.words import full_name

NEAR_RIM = 0.94
"""Beyond this part of the longest petal a faint circle would run beside the rim as a double line."""


def guide_steps(dial: Dial) -> tuple[int, ...]:
    """The numbers of people that a faint circle stands for: every taster, or round numbers of a crowd."""
    full = dial.picture.full
    if full < CROWD and not dial.picture.crowd:
        return tuple(range(1, full + 1))
    rough = full / 4
    power = 10 ** math.floor(math.log10(max(1.0, rough)))
    step = int(next(power * m for m in (1, 2, 5, 10) if power * m >= rough * 0.8))
    return tuple(k for k in range(step, full + 1, step) if k == full or k < full * NEAR_RIM)


def guides(dial: Dial, gaps: Sequence[Gap], look: Look) -> Iterator[Shape]:
    """A faint circle for every step of the scale, the last as faint as the first: petals have no wall to end at."""
    steps = dict.fromkeys((*guide_steps(dial), dial.picture.full))
    for k in steps:
        kind, radius = ("rim", dial.radius) if k == dial.picture.full else ("guide", dial.at(k))
        line = broken_circle(dial.x, dial.y, radius, gaps)
        yield Shape(line, kind, None, look.theme.guide, look.fine * 0.8)


def pieces(dial: Dial, blocks: Mapping[int, Block], look: Look) -> Iterator[Shape]:
    """Rings and petals, parted by lines of paper; open petals are one broken outline."""
    for at, arc in enumerate(dial.picture.arcs):
        if arc.open and arc.ring != "petal":
            continue  # its petal's outline starts here
        if arc.open:
            yield _open(arc, dial, look)
        else:
            yield _filled(arc, dial, look)
        if arc.ring == "petal":
            yield from _hatch(arc, blocks.get(at), dial, look)


def fill_kind(arc: Arc, dial: Dial) -> str:
    """Which of a category's colours an arc wears."""
    return "quiet" if arc.ring == "petal" and not dial.picture.loud(arc) else arc.ring


def _filled(arc: Arc, dial: Dial, look: Look) -> Shape:
    inner, outer = dial.extent(arc)
    tints, kind = look.tints(arc.category), fill_kind(arc, dial)
    outline = sector(dial.x, dial.y, inner, outer, arc.start, arc.end)
    line, width = (tints.edge, look.fine) if arc.ring == "petal" else (look.theme.paper, look.fine * 2)
    return _known(Shape(outline, arc.ring, tints.fill(kind), line, width), arc)


def _open(arc: Arc, dial: Dial, look: Look) -> Shape:
    """An outline drawn a little inside its bounds, so that neighbours' edges do not run together."""
    inner, outer = dial.extent(arc)
    inset = look.fine * 1.6
    turn = min(inset / outer, arc.span * 0.2)
    outline = sector(
        dial.x, dial.y, inner + inset, max(outer - inset / 2, inner + inset * 1.5), arc.start + turn, arc.end - turn
    )
    edge = look.tints(arc.category).edge
    return _known(Shape(outline, "open-petal", None, edge, look.fine * 1.6, (look.fine * 5, look.fine * 3)), arc)


def _known(shape: Shape, arc: Arc) -> Shape:
    """The outline of an arc with its name and what a script on a page may ask it."""
    data = (
        ("ring", arc.ring),
        ("print", clean(full_name(arc))),
        ("people", str(arc.people)),
        ("of", str(arc.of)),
        ("share", f"{arc.span / math.tau:.4f}"),
        *((("own", "1"),) if arc.own else ()),
        *((("printed", " ".join(str(i + 1) for i in arc.printed)),) if arc.printed else ()),
    )
    return replace(shape, about=arc.node, name=arc.name, data=data)


def _hatch(arc: Arc, block: Block | None, dial: Dial, look: Look) -> Iterator[Shape]:
    """Slanting lines over the doubtful part of a petal (its end), none of them behind its lettering."""
    if arc.hedged <= 0:
        return
    inner, outer = dial.extent(arc)
    slope = 1.0 / ((inner + outer) / 2)  # about 45 degrees
    part = _Hatched(inner, outer, arc.end - arc.span * min(1.0, arc.hedged), arc.end, slope)
    step = look.usual * 0.4 * math.sqrt(2) * slope
    first = math.floor((part.start - slope * (outer - inner)) / step)
    tints = look.tints(arc.category)
    colour = tints.edge if arc.open else tints.letters(fill_kind(arc, dial))
    for i in range(first, math.ceil(arc.end / step) + 1):
        for low, high in _clear(i * step, part, block, look.usual * 0.18):
            ends = [polar(dial.x, dial.y, r, i * step + slope * (r - inner)) for r in (low, (low + high) / 2, high)]
            yield Shape(polyline(ends), "hatch", None, colour, look.fine * 0.8, about=arc.node)


class _Hatched(NamedTuple):
    """The part of a petal that is hatched (mm, radians); its lines turn by `slope` radians a millimetre outward."""

    inner: float
    outer: float
    start: float
    end: float
    slope: float

    def radius(self, base: float, angle: float) -> float:
        """How far out the line that begins at the angle `base` reaches an angle."""
        return self.inner + (angle - base) / self.slope


def _clear(base: float, part: _Hatched, block: Block | None, pad: float) -> Iterator[tuple[float, float]]:
    """Radii between which the hatch line from `base` shows: within the petal, and not behind the block."""
    low = max(part.inner, part.radius(base, part.start))
    high = min(part.outer, part.radius(base, part.end))
    if high - low <= 0.05:
        return
    if block is None:
        yield low, high
        return
    turn = pad / block.inner
    under = max(low, block.inner - pad, part.radius(base, block.start - turn))
    over = min(high, block.outer + pad, part.radius(base, block.end + turn))
    if over <= under:
        yield low, high
        return
    if under - low > 0.05:
        yield low, under
    if high - over > 0.05:
        yield over, high
