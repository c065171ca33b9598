"""Text to lines of lettering: wrapped at words, set straight, along a curve or outward along a ray."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from tastevocab.wheel.drawing import Lettering, Run, polar
from tastevocab.wheel.typeface import face

if TYPE_CHECKING:
    from pyphen import Pyphen

LEADING = 1.16
"""Baseline to baseline, in em."""
MIDDLE = 0.26
"""The middle of small letters and capitals above the baseline, in em."""


@dataclass(frozen=True, slots=True)
class Style:
    """How a line is set: em in mm, weight, colour, what it is and whose, and the font file (ours if "")."""

    size: float
    colour: str
    weight: str = "regular"
    kind: str = "label"
    about: str = ""
    font: str = ""

    def width(self, text: str) -> float:
        """Length of `text` in mm."""
        return face(self.weight, self.font).width(text) * self.size

    def at(self, size: float) -> Style:
        """The same at another size."""
        return self if size == self.size else Style(size, self.colour, self.weight, self.kind, self.about, self.font)


def wrap(text: str, style: Style, longest: float, lines: int = 99) -> tuple[str, ...] | None:
    """`text` broken at words into the fewest lines of at most `longest` mm, about equally long.

    None when that takes more than `lines`, or when a word alone is too long (see `force`).
    """
    if style.width(text) <= longest:
        return (text,)
    words = text.split(" ")
    if any(style.width(word) > longest for word in words):
        return None
    broken = _fill(words, style, longest)
    if len(broken) > lines:
        return None
    return tuple(_even(broken, words, style, longest))


def _even(broken: list[str], words: Sequence[str], style: Style, longest: float) -> list[str]:
    """The same number of lines, as narrow as they will go: two middling lines rather than a long and a short one."""
    widest = max(map(style.width, broken))
    for tenth in range(1, 10) if len(broken) > 1 else ():
        tighter = longest * (1 - tenth / 10)
        if widest <= tighter:  # these very lines again
            continue
        trial = _fill(words, style, tighter)
        wide = max(map(style.width, trial))
        if len(trial) > len(broken) or wide > tighter:
            break
        broken, widest = trial, wide
    return broken


def force(text: str, style: Style, longest: float) -> tuple[str, ...]:
    """Like `wrap`, but a word too long for a line is cut with a hyphen, so that it always succeeds."""
    if style.width(text) <= longest:
        return (text,)
    pieces = [piece for word in text.split(" ") for piece in _cut(word, style, longest)]
    return wrap(" ".join(pieces), style, longest) or tuple(pieces)


def _fill(words: Sequence[str], style: Style, longest: float) -> list[str]:
    lines: list[str] = []
    for word in words:
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and style.width(longer) <= longest:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _cut(word: str, style: Style, longest: float) -> list[str]:
    if style.width(word) <= longest:
        return [word]
    pieces, rest = [], word
    while style.width(rest) > longest and len(rest) > 2:
        fit = [n for n in range(2, len(rest)) if style.width(rest[:n] + "-") <= longest]
        most = max((n for n in _syllables().positions(rest) if n in fit), default=max(fit, default=1))
        pieces.append(rest[:most] + "-")
        rest = rest[most:]
    return [*pieces, rest]


@cache
def _syllables() -> Pyphen:
    """Where an English word may be cut; names of other languages and scripts are cut where the line is full."""
    from pyphen import Pyphen

    return Pyphen(lang="en_US")


def straight(text: str, x: float, y: float, style: Style, align: str = "left", angle: float = 0.0) -> Lettering:
    """One line from (`align` left), around (middle) or up to (right) the baseline point `x`, `y`."""
    width = style.width(text)
    back = {"left": 0.0, "middle": width / 2, "right": width}[align]
    run = Run(text, x - back * math.cos(angle), y - back * math.sin(angle), angle)
    return _line(text, (run,), style, width)


def stack(lines: Sequence[tuple[str, Style]], x: float, top: float, align: str = "middle") -> Iterator[Lettering]:
    """Lines below each other from `top` down, each in its own style."""
    for text, style in lines:
        yield straight(text, x, top + style.size * (LEADING / 2 + MIDDLE), style, align)
        top += style.size * LEADING


def along(
    text: str, x: float, y: float, radius: float, middle: float, style: Style, flip: bool | None = None
) -> Lettering:
    """One line along the circle of `radius` around `x`, `y`, centred at the angle `middle` and at half letter height.

    In the lower half the line runs the other way round, so that it is never upside down; `flip` says so for a piece of
    a longer line (None: by its own middle).
    """
    letters = face(style.weight, style.font)
    width = style.width(text)
    flip = math.cos(middle) < -1e-9 if flip is None else flip
    base = radius + style.size * MIDDLE if flip else radius - style.size * MIDDLE
    if not letters.has(text):
        # Text another font must draw cannot be bent: it is set straight across the same place.
        cx, cy = polar(x, y, base, middle)
        return straight(text, cx, cy, style, "middle", middle + math.pi if flip else middle)
    scale = style.size / letters.em
    places = letters.positions(text)
    runs = []
    for i, character in enumerate(text):
        half = letters.advance(character) * scale / 2
        offset = places[i] * scale + half - width / 2
        angle = middle - offset / base if flip else middle + offset / base
        cx, cy = polar(x, y, base, angle)
        turn = angle + math.pi if flip else angle
        runs.append(Run(character, cx - half * math.cos(turn), cy - half * math.sin(turn), turn))
    return _line(text, tuple(runs), style, width)


def outward(text: str, x: float, y: float, radius: float, middle: float, style: Style, shift: float = 0.0) -> Lettering:
    """One line along the ray at `middle`, its inner end at `radius`; in the left half it reads inward.

    `shift` moves it sideways in reading order (mm, downward), for blocks of several lines.
    """
    width = style.width(text)
    left = math.sin(middle) < -1e-9
    turn = middle + math.pi / 2 if left else middle - math.pi / 2
    cx, cy = polar(x, y, radius + width if left else radius, middle)
    drop = style.size * MIDDLE + shift
    return straight(text, cx - drop * math.sin(turn), cy + drop * math.cos(turn), style, "left", turn)


def _line(text: str, runs: tuple[Run, ...], style: Style, width: float) -> Lettering:
    plain = not face(style.weight, style.font).has(text)
    return Lettering(text, runs, style.size, style.weight, style.colour, style.kind, width, style.about, plain)
