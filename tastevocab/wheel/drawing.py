"""A drawing before it is a file: shapes and lettering in millimetres, the same for every print format.

x runs right, y runs down, from the top left corner of the trimmed sheet. Angles of the wheel are radians clockwise from
twelve o'clock; angles of lettering are radians clockwise from the reading direction.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

Command = tuple[str | float, ...]
Point = tuple[float, float]

MM_PER_POINT = 25.4 / 72


@dataclass(frozen=True, slots=True)
class Shape:
    """A filled or stroked outline. `commands` are M, L, C and Z with absolute millimetres; `width` and `dash` too.

    `kind` says what it is (background, category, family, petal, hatch, guide, leader, mark ...), `about` whose.
    `name` is its element id in an SVG ("" for none), `data` what a script on a page may want to know of it.
    """

    commands: tuple[Command, ...]
    kind: str
    fill: str | None = None
    stroke: str | None = None
    width: float = 0.0
    dash: tuple[float, ...] = ()
    about: str = ""
    name: str = ""
    data: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Run:
    """Characters set in a straight line from the baseline point `x`, `y` in the direction `angle`."""

    text: str
    x: float
    y: float
    angle: float = 0.0


@dataclass(frozen=True, slots=True)
class Lettering:
    """One line of text: one run when straight, a run a character when it follows a curve.

    `size` is the em in mm, `width` the length of the line. `plain` means that the typeface lacks some of its
    characters, so that the viewer's own font must draw it (`anchor` then says which end is fixed).
    """

    text: str
    runs: tuple[Run, ...]
    size: float
    weight: str
    colour: str
    kind: str
    width: float
    about: str = ""
    plain: bool = False

    @property
    def points(self) -> float:
        """Size in points."""
        return self.size / MM_PER_POINT


@dataclass(frozen=True, slots=True)
class Drawing:
    """A whole sheet: trimmed size and bleed in mm, title and description for those who cannot see it, and its items."""

    width: float
    height: float
    title: str
    description: str
    items: tuple[Shape | Lettering, ...] = field(default=())
    bleed: float = 0.0


def polar(x: float, y: float, radius: float, angle: float) -> Point:
    """The point at `radius` mm and `angle` radians clockwise from twelve o'clock around `x`, `y`."""
    return x + radius * math.sin(angle), y - radius * math.cos(angle)


def arc_commands(x: float, y: float, radius: float, start: float, end: float) -> list[Command]:
    """Cubic curves along a circle from `start` to `end` (either way round), without the first point.

    Pieces span 45 degrees at most: the curve is then within 5 millionths of the radius of the true arc.
    """
    pieces = max(1, math.ceil(abs(end - start) / (math.pi / 4) - 1e-9))
    step = (end - start) / pieces
    reach = 4 / 3 * math.tan(step / 4) * radius
    out: list[Command] = []
    for i in range(pieces):
        a, b = start + i * step, start + (i + 1) * step
        (ax, ay), (bx, by) = polar(x, y, radius, a), polar(x, y, radius, b)
        c1 = (ax + reach * math.cos(a), ay + reach * math.sin(a))
        c2 = (bx - reach * math.cos(b), by - reach * math.sin(b))
        out.append(("C", *c1, *c2, bx, by))
    return out


def sector(x: float, y: float, inner: float, outer: float, start: float, end: float) -> tuple[Command, ...]:
    """The outline of a ring piece; a whole ring (no sides) when it spans a full turn."""
    full = end - start >= math.tau - 1e-9
    out: list[Command] = [("M", *polar(x, y, outer, start)), *arc_commands(x, y, outer, start, end)]
    out += [("Z",), ("M", *polar(x, y, inner, end))] if full else [("L", *polar(x, y, inner, end))]
    out += arc_commands(x, y, inner, end, start)
    return (*out, ("Z",))


def circle(x: float, y: float, radius: float) -> tuple[Command, ...]:
    """A closed circle."""
    return (("M", *polar(x, y, radius, 0)), *arc_commands(x, y, radius, 0, math.tau), ("Z",))


def rectangle(x: float, y: float, width: float, height: float) -> tuple[Command, ...]:
    """A closed box from its top left corner."""
    return (("M", x, y), ("L", x + width, y), ("L", x + width, y + height), ("L", x, y + height), ("Z",))


def polyline(points: list[Point]) -> tuple[Command, ...]:
    """An open line through `points`."""
    return tuple(("M" if i == 0 else "L", *p) for i, p in enumerate(points))


def corners(line: Lettering, rise: float = 0.70, drop: float = 0.22) -> list[tuple[Point, ...]]:
    """The boxes that a line of lettering covers, one a run, as four corners each.

    `rise` and `drop` are heights above and below the baseline in em (capital height and descender).
    """
    boxes: list[tuple[Point, ...]] = []
    for i, run in enumerate(line.runs):
        if len(line.runs) == 1:
            length = line.width
        else:
            other = line.runs[i + 1] if i + 1 < len(line.runs) else line.runs[i - 1]
            length = min(math.hypot(other.x - run.x, other.y - run.y), line.size)
        along = (math.cos(run.angle), math.sin(run.angle))
        up = (along[1] * line.size, -along[0] * line.size)
        spots = ((0.0, -drop), (length, -drop), (length, rise), (0.0, rise))
        boxes.append(tuple((run.x + along[0] * u + up[0] * v, run.y + along[1] * u + up[1] * v) for u, v in spots))
    return boxes
