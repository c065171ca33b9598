"""Lettering around the wheel: level lines beside it, each tied to its petal by a leader; leaders never cross.

A leader is one stroke along the ray of its petal and one level stroke to its label. Where labels stand so close that
two such strokes would meet, the leaders of that side take another way: between rim and lettering every one moves
from its petal's angle to its label's at the same radii, so two of them cannot meet, and no label reaches into that
ring. Their heights are then the least squares solution under "no closer than" (pool adjacent violators).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from tastevocab.wheel.drawing import Lettering, Point, polar
from tastevocab.wheel.lettering import LEADING, Style, force, straight


@dataclass(frozen=True, slots=True)
class Label:
    """What is to be said of a petal or a band: its `name`, a short `count` beside it, and what else stands below.

    `angle` and `tip` are where its petal ends; `weight` decides who stays when there is no room for all. A `strong`
    label is a printed word; a `number` other than 0 stands before it in a disc.
    """

    about: str
    name: str
    count: str
    rings: tuple[str, ...]
    angle: float
    tip: float
    weight: float
    strong: bool = False
    number: int = 0


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
    """How labels are set: styles of a printed word, of a name, of what stands beside either; gap between two in mm."""

    strong: Style
    name: Style
    beside: Style
    gap: float

    def of(self, label: Label) -> Style:
        """The style of a label's name."""
        return self.strong if label.strong else self.name


DISC = 1.25
"""Room for a number before a label, in em."""

Line = list[tuple[str, Style, float]]
"""Pieces of one line: text, style, and where it starts in mm from the line's left end."""


@dataclass(frozen=True, slots=True)
class Broken:
    """A label broken into lines: how wide and high it is."""

    label: Label
    lines: tuple[Line, ...]
    leading: tuple[float, ...]
    width: float
    height: float

    def middles(self) -> list[float]:
        """The middle of each line below the top of the box, in mm."""
        at, out = 0.0, []
        for high in self.leading:
            out.append(at + high / 2)
            at += high
        return out


@dataclass(frozen=True, slots=True)
class Placed:
    """A label in its place: how it is broken, on which side it stands, its box (left, top, right, bottom in mm), its
    leader and how far that turns."""

    broken: Broken
    right: bool
    box: tuple[float, float, float, float]
    leader: tuple[Point, ...]
    turn: float

    @property
    def label(self) -> Label:
        """What it says."""
        return self.broken.label

    def lettering(self) -> tuple[tuple[Lettering, ...], Point | None]:
        """Its lines, and where its number stands (None: it has none)."""
        return _lines(self.broken, self.box[0], self.box[1], self.right)


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
    kept = [_set(label, frame, manner, roomy) for label in sorted(labels, key=lambda label: label.angle)]
    dropped: list[Label] = []
    while True:
        sides = _sides(kept, frame)
        over = [side for side in sides if _height(side) > frame.bottom - frame.top]
        if not over:
            break
        for side in over:
            gone = _too_many([s.label for s in side], {id(s.label): s.height for s in side}, frame.bottom - frame.top)
            dropped += gone
            away = {id(label) for label in gone}
            kept = [s for s in kept if id(s.label) not in away]
    placed: list[Placed] = []
    for right, side in zip((True, False), sides, strict=True):
        level = _stand_level(side, right, frame, manner)
        placed += level if level is not None else _stand(side, right, frame, manner)
    return placed, dropped


def _height(side: Sequence[Broken]) -> float:
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


def _sides(sets: Sequence[Broken], frame: Frame) -> tuple[list[Broken], list[Broken]]:
    """Labels for the right side from top to bottom, and for the left side from top to bottom."""
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


def _set(label: Label, frame: Frame, manner: Manner, roomy: bool) -> Broken:
    """The label broken to the room there is beside the widest part of the wheel; or, if `roomy`, near its petal."""
    half = min(frame.x - frame.left, frame.right - frame.x)
    beside = _reach(frame, frame.around * math.cos(label.angle)) if roomy else frame.around
    style, size = manner.of(label), manner.name.size
    longest = max(half - beside - size, size * 3)
    longest = min(longest, max(size * 12, half - frame.around - size * 0.4))
    indent = style.size * DISC if label.number else 0.0
    lines: list[Line] = [
        [(text, style, 0.0 if i else indent)] for i, text in enumerate(force(label.name, style, longest - indent))
    ]
    for text in (label.count, ", ".join(label.rings)):
        if text:
            _add(lines, text, manner, longest)
    leading = tuple(max(piece.size for _, piece, _ in line) * LEADING for line in lines)
    width = max(start + style.width(text) for line in lines for text, style, start in line)
    return Broken(label, tuple(lines), leading, width, sum(leading) + manner.gap)


def _add(lines: list[Line], text: str, manner: Manner, longest: float) -> None:
    """Put `text` beside the last line where there is room, below it otherwise."""
    last, style, start = lines[-1][-1]
    after = start + style.width(last) + manner.beside.size * 0.4
    if after + manner.beside.width(text) <= longest:
        lines[-1].append((text, manner.beside, after))
    else:
        lines.extend([(piece, manner.beside, 0.0)] for piece in force(text, manner.beside, longest))


def _stand_level(side: Sequence[Broken], right: bool, frame: Frame, manner: Manner) -> list[Placed] | None:
    """Labels with leaders of a radial and a level stroke; None where they would meet each other or another label.

    From the label nearest the centre's height on, each stands where its own ray brings it, or further out on it.
    """
    if not side:
        return []
    ties = [frame.y - frame.around * math.cos(s.label.angle) for s in side]
    tops = [tie - s.leading[0] / 2 for tie, s in zip(ties, side, strict=True)]
    seed = min(range(len(side)), key=lambda i: abs(ties[i] - frame.y))
    for i in range(seed - 1, -1, -1):
        tops[i] = min(tops[i], tops[i + 1] - side[i].height)
    for i in range(seed + 1, len(side)):
        tops[i] = max(tops[i], tops[i - 1] + side[i - 1].height)
    _keep_within(tops, [s.height for s in side], frame.top, frame.bottom + manner.gap)
    placed = []
    for s, top in zip(side, tops, strict=True):
        elbow = _elbow(s, top, right, frame)
        if elbow is None:
            return None
        placed.append(_set_down(s, top, right, frame, manner, elbow))
    return placed if _all_clear(placed) else None


def _keep_within(tops: list[float], heights: Sequence[float], top: float, bottom: float) -> None:
    """Push boxes that stand above or below the frame back into it, and others along; the caller knows that they fit."""
    at = top
    for i, high in enumerate(heights):
        tops[i] = max(tops[i], at)
        at = tops[i] + high
    at = bottom
    for i in range(len(tops) - 1, -1, -1):
        tops[i] = min(tops[i], at - heights[i])
        at = tops[i]


MOST_TURN = 0.3
"""Radians that a leader may turn from its ray where no line of its label stands at the height of that ray."""


def _elbow(s: Broken, top: float, right: bool, frame: Frame) -> Point | None:
    """Where the label's ray meets the height of one of its lines, at the rim or beyond.

    Where none does, the ray's end at the rim, if the label stands near enough to be met with a slant; or None.
    """
    across, up = math.sin(s.label.angle), math.cos(s.label.angle)
    if (across > 0) is not right:
        return None
    heights = [frame.y - (top + middle) for middle in s.middles()]
    for height in heights:
        radius = height / up if abs(up) > 0.02 and abs(height) > 0.02 else 0.0
        if frame.rim - 1e-6 <= radius <= frame.around * 1.5:
            return frame.x + radius * across, frame.y - height
    nearest = min(heights, key=lambda height: abs(height - frame.around * up))
    if abs(nearest) >= frame.around:
        return None
    turn = math.acos(nearest / frame.around) - math.acos(max(-1.0, min(1.0, up)))
    return polar(frame.x, frame.y, frame.rim, s.label.angle) if abs(turn) <= MOST_TURN else None


def _set_down(s: Broken, top: float, right: bool, frame: Frame, manner: Manner, elbow: Point) -> Placed:
    """A label at the height of its elbow, clear of the ring between the wheel and the lettering."""
    bottom = top + sum(s.leading)
    nearest = 0.0 if top <= frame.y <= bottom else min(abs(top - frame.y), abs(bottom - frame.y))
    away = max(_reach(frame, nearest), manner.name.size * 0.6, abs(elbow[0] - frame.x)) + manner.name.size * 0.5
    left = frame.x + away if right else frame.x - away - s.width
    level = min((top + middle for middle in s.middles()), key=lambda y: abs(y - elbow[1]))
    anchor = (frame.x + (away - manner.name.size * 0.25) * (1 if right else -1), level)
    start = polar(frame.x, frame.y, s.label.tip, s.label.angle)
    slant = 0.0 if abs(level - elbow[1]) < 1e-6 else 0.2
    return Placed(s, right, (left, top, left + s.width, bottom), (start, elbow, anchor), slant)


def _all_clear(placed: Sequence[Placed]) -> bool:
    """Whether no leader meets another, or runs through a label."""
    for i, one in enumerate(placed):
        for other in placed[i + 1 :]:
            if any(_meet(p, q) for p in pairwise(one.leader) for q in pairwise(other.leader)):
                return False
        for other in placed:
            left, top, right, bottom = other.box
            sides = ((left, top), (right, top), (right, bottom), (left, bottom), (left, top))
            if other is not one and any(_meet(p, q) for p in pairwise(one.leader) for q in pairwise(sides)):
                return False
    return True


def _meet(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    (a, b), (c, d) = one, other

    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) <= 0 and side(c, d, a) * side(c, d, b) <= 0


def _lines(s: Broken, left: float, top: float, right: bool) -> tuple[tuple[Lettering, ...], Point | None]:
    """The label's lettering from its top left corner, and where its number stands."""
    lines: list[Lettering] = []
    disc: Point | None = None
    for line, middle in zip(s.lines, s.middles(), strict=True):
        size = max(style.size for _, style, _ in line)
        base = top + middle + size * 0.25
        text, style, start = line[-1]
        shift = 0.0 if right else s.width - start - style.width(text)
        lines += [
            straight(text, left + shift + start, base, replace(style, about=s.label.about))
            for text, style, start in line
        ]
        if s.label.number and disc is None:
            disc = left + shift + size * 0.5, top + middle
    return tuple(lines), disc


def _stand(side: Sequence[Broken], right: bool, frame: Frame, manner: Manner) -> list[Placed]:
    targets = []
    for s in side:
        lift = math.cos(s.label.angle)
        targets.append(frame.y - (frame.around + s.height / 2) * lift)
    heights = spread(targets, [s.height for s in side], frame.top, frame.bottom)
    return [_placed(s, middle, right, frame, manner) for s, middle in zip(side, heights, strict=True)]


def _placed(s: Broken, middle: float, right: bool, frame: Frame, manner: Manner) -> Placed:
    half = (s.height - manner.gap) / 2
    off = abs(middle - frame.y)
    away = max(_reach(frame, max(0.0, off - half)), manner.name.size * 0.6) + manner.name.size * 0.4
    left = frame.x + away if right else frame.x - away - s.width
    box = (left, middle - half, left + s.width, middle + half)
    ideal = frame.y - frame.around * math.cos(s.label.angle)
    middles = [middle - half + at for at in s.middles()]
    tied = min(max(ideal, middles[0]), middles[-1])
    anchor = frame.x + (away - manner.name.size * 0.25) * (1 if right else -1), tied
    leader, turn = _leader(s.label, anchor, frame)
    return Placed(s, right, box, leader, turn)


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
