"""Lettering around the wheel: level lines beside it, each tied to its petal by a leader; leaders never cross.

All petals end within the rim. Leaders leave it in the order of their angles and keep that order: between the
rim and the lettering every leader moves from its petal's angle to its label's at the same radii, so two of them cannot
meet, and no label reaches into that ring. Heights of labels are the least squares solution under "no closer than" (pool
adjacent violators).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tastevocab.wheel.drawing import Lettering, Point, polar
from tastevocab.wheel.lettering import LEADING, Style, force, straight


@dataclass(frozen=True, slots=True)
class Label:
    """What is to be said of a petal: its `name`, a short `count` beside it, and names of rings that had no room.

    `angle` and `tip` are where its petal ends; `weight` decides who stays when there is no room for all.
    """

    about: str
    name: str
    count: str
    rings: tuple[str, ...]
    angle: float
    tip: float
    weight: float


@dataclass(frozen=True, slots=True)
class Frame:
    """Where labels may stand: centre, radius of the rim and of the innermost lettering, and the box around (all mm)."""

    x: float
    y: float
    rim: float
    around: float
    left: float
    top: float
    right: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Manner:
    """How labels are set: the name's style, the style of what stands beside it, the gap between two labels in mm."""

    name: Style
    beside: Style
    gap: float


@dataclass(frozen=True, slots=True)
class Placed:
    """A label in its place: its lines, its box (left, top, right, bottom in mm), its leader and how far that turns."""

    label: Label
    lines: tuple[Lettering, ...]
    box: tuple[float, float, float, float]
    leader: tuple[Point, ...]
    turn: float


Line = list[tuple[str, Style, float]]
"""Pieces of one line: text, style, and where it starts in mm from the line's left end."""


@dataclass(frozen=True, slots=True)
class _Set:
    """A label broken into lines: how wide and high it is."""

    label: Label
    lines: tuple[Line, ...]
    width: float
    height: float


def spread(targets: Sequence[float], sizes: Sequence[float], low: float, high: float) -> list[float]:
    """Centres in the order given, as near `targets` as can be, boxes of `sizes` clear of each other in low..high.

    The caller sees to it that the sizes fit between the bounds.
    """
    offsets, at = [], 0.0
    for size in sizes:
        offsets.append(at + size / 2)
        at += size
    pools: list[list[float]] = []  # sum of wishes, how many
    for target, offset in zip(targets, offsets, strict=True):
        pools.append([target - offset, 1])
        while len(pools) > 1 and pools[-2][0] / pools[-2][1] >= pools[-1][0] / pools[-1][1]:
            wish, count = pools.pop()
            pools[-1][0] += wish
            pools[-1][1] += count
    starts = [wish / count for wish, count in pools for _ in range(int(count))]
    return [min(max(start, low), high - at) + offset for start, offset in zip(starts, offsets, strict=True)]


def place(labels: Sequence[Label], frame: Frame, manner: Manner) -> tuple[list[Placed], list[Label]]:
    """Labels set around the wheel, and those there was no room for, least weighty first to go."""
    placed, dropped = _try(labels, frame, manner, roomy=True)
    if all(within(p, frame) for p in placed):
        return placed, dropped
    return _try(labels, frame, manner, roomy=False)


def within(p: Placed, frame: Frame) -> bool:
    """Whether a label stands between the frame's sides."""
    return frame.left - 1e-6 <= p.box[0] and p.box[2] <= frame.right + 1e-6


def _try(labels: Sequence[Label], frame: Frame, manner: Manner, *, roomy: bool) -> tuple[list[Placed], list[Label]]:
    kept = sorted(labels, key=lambda label: label.angle)
    dropped: list[Label] = []
    while True:
        sides = _sides(kept, frame, manner, roomy)
        over = [side for side in sides if _height(side) > frame.bottom - frame.top]
        if not over:
            break
        for side in over:
            gone = _too_many([s.label for s in side], {id(s.label): s.height for s in side}, frame.bottom - frame.top)
            dropped += gone
            away = {id(label) for label in gone}
            kept = [label for label in kept if id(label) not in away]
    placed = [p for right, side in zip((True, False), sides, strict=True) for p in _stand(side, right, frame, manner)]
    return placed, dropped


def _height(side: Sequence[_Set]) -> float:
    return sum(s.height for s in side)


def _too_many(labels: Sequence[Label], heights: dict[int, float], room: float) -> list[Label]:
    """The lightest labels that must go so that the rest fits."""
    total, gone = sum(heights.values()), []
    for label in sorted(labels, key=lambda label: label.weight):
        if total <= room:
            break
        total -= heights[id(label)]
        gone.append(label)
    return gone


def _sides(labels: Sequence[Label], frame: Frame, manner: Manner, roomy: bool) -> tuple[list[_Set], list[_Set]]:
    """Labels for the right side from top to bottom, and for the left side from top to bottom."""
    sets = [_set(label, frame, manner, roomy) for label in labels]
    right = [s for s in sets if s.label.angle < math.pi]
    left = [s for s in reversed(sets) if s.label.angle >= math.pi]
    room = frame.bottom - frame.top
    while _height(right) > room and right and _height(left) + right[-1].height <= room:
        left.append(right.pop())
    while _height(left) > room and left and _height(right) + left[-1].height <= room:
        right.append(left.pop())
    return right, left


def _reach(frame: Frame, near: float) -> float:
    """How far from the centre line a box must stand whose edge nearest the centre's height is `near` mm off it."""
    return math.sqrt(max(0.0, frame.around**2 - near**2))


def _set(label: Label, frame: Frame, manner: Manner, roomy: bool) -> _Set:
    """The label broken to the room there is beside the widest part of the wheel; or, if `roomy`, near its petal."""
    half = min(frame.x - frame.left, frame.right - frame.x)
    beside = _reach(frame, frame.around * math.cos(label.angle)) if roomy else frame.around
    longest = max(half - beside - manner.name.size, manner.name.size * 3)
    longest = min(longest, max(manner.name.size * 12, half - frame.around - manner.name.size * 0.4))
    lines: list[Line] = [[(text, manner.name, 0.0)] for text in force(label.name, manner.name, longest)]
    for text in (label.count, ", ".join(label.rings)):
        if text:
            _add(lines, text, manner, longest)
    leading = manner.name.size * LEADING
    width = max(start + style.width(text) for line in lines for text, style, start in line)
    return _Set(label, tuple(lines), width, len(lines) * leading + manner.gap)


def _add(lines: list[Line], text: str, manner: Manner, longest: float) -> None:
    """Put `text` beside the last line where there is room, below it otherwise."""
    last, style, start = lines[-1][-1]
    after = start + style.width(last) + manner.beside.size * 0.4
    if after + manner.beside.width(text) <= longest:
        lines[-1].append((text, manner.beside, after))
    else:
        lines.extend([(piece, manner.beside, 0.0)] for piece in force(text, manner.beside, longest))


def _stand(side: Sequence[_Set], right: bool, frame: Frame, manner: Manner) -> list[Placed]:
    targets = []
    for s in side:
        lift = math.cos(s.label.angle)
        targets.append(frame.y - (frame.around + s.height / 2) * lift)
    heights = spread(targets, [s.height for s in side], frame.top, frame.bottom)
    return [_placed(s, middle, right, frame, manner) for s, middle in zip(side, heights, strict=True)]


def _placed(s: _Set, middle: float, right: bool, frame: Frame, manner: Manner) -> Placed:
    half = (s.height - manner.gap) / 2
    off = abs(middle - frame.y)
    away = max(_reach(frame, max(0.0, off - half)), manner.name.size * 0.6) + manner.name.size * 0.4
    left = frame.x + away if right else frame.x - away - s.width
    leading = manner.name.size * LEADING
    lines = []
    for i, line in enumerate(s.lines):
        base = middle - half + (i + 0.5) * leading + manner.name.size * 0.25
        text, style, start = line[-1]
        shift = 0.0 if right else s.width - start - style.width(text)
        lines += [straight(text, left + shift + start, base, style) for text, style, start in line]
    box = (left, middle - half, left + s.width, middle + half)
    ideal = frame.y - frame.around * math.cos(s.label.angle)
    tied = min(max(ideal, middle - half + leading / 2), middle + half - leading / 2)
    anchor = frame.x + (away - manner.name.size * 0.25) * (1 if right else -1), tied
    leader, turn = _leader(s.label, anchor, frame)
    return Placed(s.label, tuple(lines), box, leader, turn)


def _leader(label: Label, anchor: Point, frame: Frame) -> tuple[tuple[Point, ...], float]:
    """Straight out of the petal, across the ring from its angle to the label's, and on to the label; and the turn."""
    dx, dy = anchor[0] - frame.x, frame.y - anchor[1]
    turn = math.atan2(dx, dy) - label.angle
    turn = (turn + math.pi) % math.tau - math.pi
    across = [(frame.rim, label.angle)]
    steps = max(1, math.ceil(abs(turn) / 0.06))
    outer = frame.rim + (frame.around - frame.rim) * 0.7
    across += [
        (frame.rim + (outer - frame.rim) * i / steps, label.angle + turn * i / steps) for i in range(1, steps + 1)
    ]
    points = [polar(frame.x, frame.y, label.tip, label.angle)]
    points += [polar(frame.x, frame.y, radius, angle) for radius, angle in across]
    return (*points, anchor), turn
