"""Circles that make way for lettering: no line of the scale runs through a word."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tastevocab.wheel.drawing import Command, Lettering, arc_commands, circle, corners, polar


@dataclass(frozen=True, slots=True)
class Gap:
    """Where no line may run: radii in mm, angles in radians (the start within a full turn, the end perhaps beyond)."""

    inner: float
    outer: float
    start: float
    end: float


def gaps_of(lines: Iterable[Lettering], x: float, y: float) -> list[Gap]:
    """The room of each run of lettering around `x`, `y`, with a little air."""
    return [_gap(box, line.size, x, y) for line in lines for box in corners(line, rise=0.6, drop=0.12)]


def _gap(box: Sequence[tuple[float, float]], size: float, x: float, y: float) -> Gap:
    around = [*box]
    around += [((a + c) / 2, (b + d) / 2) for (a, b), (c, d) in zip(box, [*box[1:], box[0]], strict=True)]
    radii = [math.hypot(a - x, b - y) for a, b in around]
    angles = [math.atan2(a - x, y - b) for a, b in around]
    middle = math.atan2(sum(a - x for a, _ in box), sum(y - b for _, b in box))
    turns = [(angle - middle + math.pi) % math.tau - math.pi for angle in angles]
    air = size * 0.3 / max(min(radii), size)
    start = (middle + min(turns) - air) % math.tau
    return Gap(min(radii), max(radii), start, start + max(turns) - min(turns) + 2 * air)


def broken_circle(x: float, y: float, radius: float, gaps: Sequence[Gap]) -> tuple[Command, ...]:
    """A circle without the parts that lie in a gap; whole where none does, nothing where they cover it all."""
    met = sorted((g.start, g.end) for g in gaps if g.inner < radius < g.outer)
    if not met:
        return circle(x, y, radius)
    out: list[Command] = []
    first = at = met[0][0]
    for start, end in [*met, (first + math.tau, first + math.tau)]:
        if start > at:
            out += [("M", *polar(x, y, radius, at)), *arc_commands(x, y, radius, at, start)]
        at = max(at, end)
    return tuple(out)
