"""Screen colours as inks: what a press on coated paper needs to show them (DeviceCMYK under FOGRA39).

The press is modelled by the equations of Neugebauer (1937) over the aim values of ISO 12647-2:2004/Amd 1:2007 for paper
types 1 and 2, and its curves of tone value increase (about 14 % in the middle tones, 17 % for black). Colours are
matched relative to the paper. The aim values are written down from memory of the standard.
"""

from __future__ import annotations

import itertools
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

CONDITION = "FOGRA39"
"""The characterised printing condition, as the registry of the International Color Consortium names it."""
Array = NDArray[np.float64]
Inks = tuple[float, float, float, float]

AIMS: dict[str, tuple[float, float, float]] = {
    "": (93, 0, -3),
    "c": (54, -36, -49),
    "m": (46, 72, -5),
    "y": (88, -6, 90),
    "k": (16, 0, 0),
    "my": (46, 67, 47),
    "cy": (49, -66, 24),
    "cm": (24, 16, -45),
    "cmy": (23, 0, -1),
}
"""CIELAB (D50, on black) of paper, solid inks and their overprints."""
WITH_BLACK = 0.12
"""What is left of a solid's light under solid black: a dark of about L* 6 for four inks."""
GAIN = np.array([0.14, 0.14, 0.14, 0.17])
"""Tone value increase at half coverage."""
WHITE = np.array([0.9642, 1.0, 0.8251])
"""D50."""
BLACK_FROM, BLACK_BEND = 60.0, 1.6
"""Black ink carries what is darker than this L*, ever more of it."""
NEUTRAL = 5.0
"""Chroma (CIELAB) below which a colour is printed in black alone, so that it cannot turn reddish or greenish."""
MOST_INK = 2.995
"""Coverage of all inks together that still dries."""
TRACE = 0.03
"""A screen finer than this does not hold on the plate."""


@lru_cache(maxsize=4096)
def inks(colour: str) -> Inks:
    """Coverage 0..1 of cyan, magenta, yellow and black for a colour "#rrggbb"."""
    lab = lab_of(colour)
    if np.hypot(lab[1], lab[2]) < NEUTRAL:
        return _clear(np.array([0.0, 0.0, 0.0, _black(lab[0])]))
    black = float(np.clip((BLACK_FROM - lab[0]) / BLACK_FROM, 0, 1) ** BLACK_BEND)
    coloured = _matched(lab, black)
    room = (MOST_INK - black) / max(coloured.sum(), 1e-9)
    return _clear(np.array([*(coloured * min(1.0, room)), black]))


def printed(coverage: Inks) -> Array:
    """CIELAB (relative to the paper) of a coverage: the Neugebauer equations."""
    a = np.clip(np.asarray(coverage, dtype=float), 0, 1)
    a = np.clip(a + 4 * GAIN * a * (1 - a), 0, 1)
    total = np.zeros(3)
    for combination in itertools.product((0, 1), repeat=4):
        weight = np.prod([x if on else 1 - x for x, on in zip(a, combination, strict=True)])
        total += weight * _primary(combination)
    return _lab(total / _primary((0, 0, 0, 0)) * WHITE)


def lab_of(colour: str) -> Array:
    """CIELAB (D50) of an sRGB colour."""
    from coloraide import Color

    return np.array(Color(colour).convert("lab").coords(), dtype=float)


def _clear(coverage: Array) -> Inks:
    kept = [0.0 if x < TRACE else min(1.0, round(float(x), 3)) for x in coverage]
    return kept[0], kept[1], kept[2], 1.0 if kept[3] > 0.97 else kept[3]


def _black(lightness: float) -> float:
    """The coverage of black alone that is as light; solid black for what is darker than the ink."""
    steps = np.linspace(0, 1, 201)
    light = [printed((0.0, 0.0, 0.0, float(k)))[0] for k in (0.0, 1.0)]
    if lightness <= light[1] + 2:
        return 1.0
    lights = _black_scale()
    return float(np.interp(-lightness, -lights, steps))


@lru_cache(maxsize=1)
def _black_scale() -> Array:
    return np.array([printed((0.0, 0.0, 0.0, float(k)))[0] for k in np.linspace(0, 1, 201)])


def _matched(lab: Array, black: float) -> Array:
    """Cyan, magenta and yellow nearest to a colour beside so much black (Gauss and Newton, held within 0 and 1)."""
    at = np.array([0.3, 0.3, 0.3])
    for _ in range(30):
        here = printed((*at, black))
        slopes = np.column_stack([(printed((*(at + step), black)) - here) / 0.01 for step in np.eye(3) * 0.01])
        wish = slopes.T @ (lab - here)
        free = ~(((at <= 0) & (wish < 0)) | ((at >= 1) & (wish > 0)))  # an ink that is spent pulls at no other
        move = np.zeros(3)
        move[free] = np.linalg.solve((slopes.T @ slopes + np.eye(3))[np.ix_(free, free)], wish[free])
        after = np.clip(at + np.clip(move, -0.25, 0.25), 0, 1)
        if np.abs(after - at).max() < 5e-4:
            break
        at = after
    return at


@lru_cache(maxsize=16)
def _primary(combination: tuple[int, int, int, int]) -> Array:
    """XYZ of paper, of one ink, or of inks over each other."""
    name = "".join(ink for ink, on in zip("cmy", combination, strict=False) if on)
    xyz = _xyz(np.array(AIMS[name], dtype=float))
    if not combination[3]:
        return xyz
    return _xyz(np.array(AIMS["k"], dtype=float)) if not name else xyz * WITH_BLACK


def _xyz(lab: Array) -> Array:
    y = (lab[0] + 16) / 116
    f = np.array([y + lab[1] / 500, y, y - lab[2] / 200])
    return np.asarray(np.where(f > 6 / 29, f**3, (f - 4 / 29) * 3 * (6 / 29) ** 2) * WHITE)


def _lab(xyz: Array) -> Array:
    t = np.maximum(xyz, 0) / WHITE
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])
