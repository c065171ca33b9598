"""The message: a bold band over all that counts for a printed word, as far out as its people; and the quorum."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tastevocab.wheel.dial import Band, Dial
from tastevocab.wheel.drawing import Lettering, Shape, circle, polar, polyline, sector
from tastevocab.wheel.gaps import Gap, broken_circle
from tastevocab.wheel.inside import Block
from tastevocab.wheel.lettering import MIDDLE, Style, along, straight
from tastevocab.wheel.look import STRONG, Look
from tastevocab.wheel.outside import Placed
from tastevocab.wheel.pieces import guide_steps
from tastevocab.wheel.typeface import clean
from tastevocab.wheel.words import counted

LONGEST = 2.4
"""Radians that a word may follow its band before it grows hard to read."""


def washes(dial: Dial, bands: Sequence[Band], look: Look) -> Iterator[Shape]:
    """A pale field from the petals' floor to the band: a broad word is one long petal behind those it is made of."""
    for band in bands:
        for arc in dial.picture.arcs:
            if arc.ring == "petal" and band.place in arc.printed:
                field = sector(dial.x, dial.y, dial.floor, band.inner, arc.start, arc.end)
                yield Shape(field, "wash", look.tints(arc.category).wash, about=band.word.id)


def brackets(dial: Dial, bands: Sequence[Band], look: Look) -> Iterator[Shape | Lettering]:
    """The bands themselves, each with its two sides; a word's number where it lies in several places."""
    ink = look.theme.ink
    for band in bands:
        for start, end in band.stretches:
            turn = min(look.fine * 0.8 / band.radius, (end - start) * 0.1)
            low, high = (start, end) if end - start >= math.tau - 1e-9 else (start + turn, end - turn)
            outline = sector(dial.x, dial.y, band.inner, band.radius, low, high)
            yield Shape(outline, "band", ink, about=band.word.id)
            for side in (low, high) if high - low < math.tau - 1e-9 else ():
                ends = [polar(dial.x, dial.y, r, side) for r in (dial.floor, band.inner)]
                yield Shape(polyline(ends), "band-side", None, ink, look.fine * 1.6, about=band.word.id)
            if band.number:
                x, y = polar(dial.x, dial.y, band.radius - band.thick / 2, (low + high) / 2)
                yield from badge(band.number, x, y, look, look.smallest)


def title_along(band: Band, bands: Sequence[Band], dial: Dial, look: Look) -> tuple[Lettering, ...]:
    """A printed word and its people along the outside of its band; nothing where it does not fit over it.

    Along the arc a word needs no leader, and the wheel may be as wide as its box.
    """
    strong = look.style("printed", look.theme.ink, size=look.usual * STRONG, weight="semibold", about=band.word.id)
    beside = look.style("count", look.theme.muted, size=max(look.smallest, look.usual), about=band.word.id)
    name, count = clean(band.word.label), counted(band.word.people, band.word.of) if band.word.of > 1 else ""
    start, end = band.stretches[0]
    radius = band.radius + strong.size * 0.72
    gap = strong.size * 0.3 if count else 0.0
    wide = strong.width(name) + gap + beside.width(count)
    outer = any(other.radius > band.radius and other.over(start, end) for other in bands if other is not band)
    if outer or wide > min(end - start, LONGEST) * radius:
        return ()
    middle = (start + end) / 2
    if end - start >= math.tau - 1e-9:
        middle = 0.0
    return _said_along(((name, strong), (count, beside)), gap, wide, middle, radius, dial)


def _said_along(
    said: Sequence[tuple[str, Style]], gap: float, wide: float, middle: float, radius: float, dial: Dial
) -> tuple[Lettering, ...]:
    """Pieces of a line in reading order along a circle, together centred at `middle`."""
    way = -1.0 if math.cos(middle) < -1e-9 else 1.0
    at = -wide / 2
    lines = []
    for text, style in said:
        if text:
            width = style.width(text)
            angle = middle + way * (at + width / 2) / radius
            lines.append(along(text, dial.x, dial.y, radius, angle, style, flip=way < 0))
            at += width + gap
    return tuple(lines)


def badge(number: int, x: float, y: float, look: Look, size: float) -> Iterator[Shape | Lettering]:
    """A number in a filled circle around `x`, `y`: marks what lies apart as one word."""
    style = look.style("badge", look.theme.paper, size=size, weight="semibold")
    yield Shape(circle(x, y, size * 0.72), "badge-disc", look.theme.ink, look.theme.paper, look.fine)
    yield straight(str(number), x, y + size * (MIDDLE + 0.08), style, "middle")


def quorum_ring(dial: Dial, gaps: Sequence[Gap], look: Look) -> Iterator[Shape]:
    """One bold circle at the people that print a word; petals and bands stand over it."""
    picture = dial.picture
    if picture.arcs and 0 < picture.quorum <= picture.full and picture.of > 1:
        at = dial.at(picture.quorum)
        yield Shape(broken_circle(dial.x, dial.y, at, gaps), "quorum", None, look.theme.line, look.fine * 3)


@dataclass(frozen=True, slots=True)
class Taken:
    """What stands on a wheel before its circles are lettered: petals (of the `dial`), `bands`, `blocks` of lettering
    within, and labels `placed` outside with their leaders."""

    dial: Dial
    bands: Sequence[Band]
    blocks: Sequence[Block]
    placed: Sequence[Placed]

    def free(self, radius: float, half: float, start: float, end: float) -> bool:
        """Whether no petal, band or lettering lies within `half` mm of the circle between two angles."""

        def meets(low: float, high: float) -> bool:
            return any(min(end + t, high) > max(start + t, low) for t in (-math.tau, 0.0, math.tau))

        petals = (arc for arc in self.dial.picture.arcs if arc.ring == "petal")
        if any(self.dial.extent(arc)[1] > radius - half and meets(arc.start, arc.end) for arc in petals):
            return False
        if any(meets(*stretch) for band in self.bands for stretch in band.stretches):
            return False
        near = (b for b in self.blocks if b.outer > radius - half and b.inner < radius + half)
        return not any(meets(b.start, b.end) for b in near)

    def led(self, radius: float, middle: float, half: float) -> bool:
        """Whether a leader that starts within `radius` runs out less than `half` radians beside `middle`."""
        return any(p.label.tip < radius and abs(_turned(p.label.angle - middle)) < half for p in self.placed)


def quorum_words(taken: Taken, look: Look) -> Block | None:
    """ "3 of 5: enough to print" along the quorum ring, where nothing else stands; None where there is no room."""
    dial, picture = taken.dial, taken.dial.picture
    if not (picture.arcs and 0 < picture.quorum <= picture.full and picture.of > 1):
        return None
    style = look.style("quorum-words", look.theme.muted, size=look.smallest)
    text = f"{counted(picture.quorum, picture.of)}: enough to print"
    for up in (1, -1):
        radius = dial.at(picture.quorum) + up * style.size * 0.8
        half = (style.width(text) / 2 + style.size * 0.4) / radius
        for step in range(72):
            middle = (1 if step % 2 else -1) * math.ceil(step / 2) * math.tau / 72 % math.tau
            led = taken.led(radius + style.size, middle, half)
            if not led and taken.free(radius, style.size * 0.6, middle - half, middle + half):
                line = along(text, dial.x, dial.y, radius, middle, style)
                return Block((line,), radius - style.size, radius + style.size, middle - half, middle + half)
    return None


def ring_numbers(taken: Taken, look: Look) -> Iterator[Lettering]:
    """In a crowd, the people that each faint circle stands for, on one ray where most of them stand free."""
    dial = taken.dial
    if not dial.picture.crowd:
        return
    style = look.style("ring-number", look.theme.muted, size=look.smallest)
    steps = guide_steps(dial)

    def free(middle: float) -> list[int]:
        out = []
        for k in steps:
            half = style.width(f"{k:,}") / 2 / dial.at(k) + 0.02
            led = taken.led(math.inf, middle, half)
            if not led and taken.free(dial.at(k), style.size * 0.6, middle - half, middle + half):
                out.append(k)
        return out

    best = max((i * math.tau / 72 for i in range(72)), key=lambda middle: len(free(middle)))
    for k in free(best):
        yield along(f"{k:,}", dial.x, dial.y, dial.at(k), best, style)


def _turned(angle: float) -> float:
    """The same angle between minus and plus half a turn."""
    return (angle + math.pi) % math.tau - math.pi
