"""What an odd-one-out or a two-and-two test showed: p, the part right, and how far apart the cups are (d')."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from tastevocab.errors import StatisticsError
from tastevocab.panel.exact import binomial_tail, exact_interval, least_correct
from tastevocab.panel.folding import Floats

_NODES, _AREAS = np.polynomial.legendre.leggauss(120)
REACH = 8.0
"""Standard deviations either side over which a normal curve is summed."""

FURTHEST = 12.0
"""A d' beyond which every answer is right."""


@dataclass(frozen=True, slots=True)
class Protocol:
    """A forced-choice test. `guess` is the chance of a right answer by guessing, `right` the part right (0..1) at a
    distance d' between the cups, `task` what a taster is asked.
    """

    name: str
    guess: float
    right: Callable[[float], float]
    task: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a test that was carried out says.

    `p` is the chance of so many right or more by guessing, one-sided; `least` the fewest right that show a difference
    at 5 % (None: the panel is too small). `share` of `of` answers were right, `tell` the part who tell the cups apart
    beyond guessing, `distance` the d'. Each with its exact 95 % interval (Clopper & Pearson 1934) carried through; the
    upper d' is None where all may be right.
    """

    test: str
    right: int
    of: int
    p: float
    least: int | None
    share: float
    share_interval: tuple[float, float]
    tell: float
    tell_interval: tuple[float, float]
    distance: float | None
    distance_interval: tuple[float, float | None]
    shown: bool
    sentence: str


def triangle_right(d: float) -> float:
    """The part right in a triangle test (which of three is odd) at d': the odd one is furthest from the other two.

    Thurstonian model: Ura (1960, Rep. Stat. Appl. Res. JUSE 7:107-119); Ennis (1993, J. Sensory Stud. 8:353-370).
    """
    u, area = _span(0.0, REACH)
    shift = d * math.sqrt(2 / 3)
    inside = _normal(shift - u * math.sqrt(3)) + _normal(-shift - u * math.sqrt(3))
    return float(2 * np.sum(area * inside * _density(u)))


def tetrad_right(d: float) -> float:
    """The part right in a tetrad test (sort four into two and two) at d': the pairs do not interleave.

    Ennis, Ennis, Palen and O'Mahony (1998, J. Sensory Stud. 13:137-158), unspecified tetrads.
    """
    x, area = _span(-REACH, REACH)
    above, apart = _normal(x), _normal(x - d)
    return float(1 - 2 * np.sum(area * _density(x) * (2 * above * apart - apart**2)))


PROTOCOLS: Mapping[str, Protocol] = {
    "triangle": Protocol("triangle", 1 / 3, triangle_right, "which of three cups is the odd one"),
    "tetrad": Protocol("tetrad", 1 / 3, tetrad_right, "which two and two of four cups belong together"),
}


def d_prime(share: float, protocol: Protocol) -> float | None:
    """The d' at which `share` (0..1) of answers are right: 0 at or below guessing, None where all are."""
    if share >= protocol.right(FURTHEST):
        return None
    low, high = 0.0, FURTHEST
    if share <= protocol.right(0.0):
        return 0.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if protocol.right(middle) < share else (low, middle)
    return (low + high) / 2


def verdict(test: str, right: int, of: int) -> Verdict:
    """What `right` of `of` answers show in a test of `PROTOCOLS`, each answer a taster's own and only one.

    Raises `StatisticsError` for an unknown test, nobody, or more right than answers.
    """
    if test not in PROTOCOLS:
        raise StatisticsError(f"unknown test {test!r}", mend=f"use one of: {', '.join(PROTOCOLS)}")
    if of < 1 or not 0 <= right <= of:
        raise StatisticsError(f"{right} right of {of}", mend="give at least one answer, and no more right than answers")
    protocol = PROTOCOLS[test]
    low, high = exact_interval(right, of)
    p = binomial_tail(right, of, protocol.guess)
    least = least_correct(of, guess=protocol.guess)
    tell = tuple(max(0.0, (s - protocol.guess) / (1 - protocol.guess)) for s in (right / of, low, high))
    shown = least is not None and right >= least
    return Verdict(
        test=test,
        right=right,
        of=of,
        p=p,
        least=least,
        share=right / of,
        share_interval=(low, high),
        tell=tell[0],
        tell_interval=(tell[1], tell[2]),
        distance=d_prime(right / of, protocol),
        distance_interval=(d_prime(low, protocol) or 0.0, d_prime(high, protocol)),
        shown=shown,
        sentence=_sentence(shown, of, least, tell[2]),
    )


def verdict_lines(made: Verdict) -> list[str]:
    """The verdict in plain lines."""
    low, high = made.distance_interval
    distance = "beyond measure" if made.distance is None else f"{made.distance:.2f}"
    return [
        f"{made.test.capitalize()}: {made.right} of {made.of} right, {PROTOCOLS[made.test].task}",
        f"  {made.sentence}",
        f"  p {made.p:.3g}: the chance of as many right or more by guessing alone",
        f"  right: {_percent(made.share)} ({_range(made.share_interval)}, 95 % interval)",
        f"  tell the cups apart beyond guessing: {_percent(made.tell)} ({_range(made.tell_interval)})",
        f"  d' {distance} ({low:.2f} to {'no limit' if high is None else f'{high:.2f}'}, 95 % interval): how far apart "
        "the cups are, in spreads of one cup",
        "  It holds for answers that are each another taster's, blind, in balanced orders; one taster's repeats are no "
        "further answers.",
    ]


def _sentence(shown: bool, of: int, least: int | None, most: float) -> str:
    if shown:
        return "A difference is shown (5 % risk)."
    if least is None:
        return f"{of} answers can show no difference, even all right: ask more people."
    return (
        f"No difference is shown: it takes {least} of {of} right (5 % risk). Nor is it shown that there is none: up to "
        f"{_percent(most)} of such tasters may tell the cups apart."
    )


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _range(limits: tuple[float, float]) -> str:
    return f"{100 * limits[0]:.0f} to {100 * limits[1]:.0f} %"


def _span(low: float, high: float) -> tuple[Floats, Floats]:
    """Where to sum from `low` to `high`, and each point's part (Gauss-Legendre)."""
    half = (high - low) / 2
    return half * _NODES + (low + high) / 2, half * _AREAS


def _density(x: Floats) -> Floats:
    made: Floats = np.exp(-(x**2) / 2) / math.sqrt(2 * math.pi)
    return made


def _normal(x: Floats) -> Floats:
    return np.array([math.erfc(-value / math.sqrt(2)) / 2 for value in x])
