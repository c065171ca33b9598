"""How much oftener than expected: observed over expected, shrunk for small counts, and many such questions at once."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tastevocab.archive.special import beta_binomial_tail, gamma_quantile
from tastevocab.errors import StatisticsError
from tastevocab.panel.intervals import wilson

PRIOR = 0.5
"""What is added to observed and expected alike: the ratio of little evidence stays near 1."""


@dataclass(frozen=True, slots=True)
class Lift:
    """`ratio` of observed to expected, shrunk towards 1, with its 95 % interval `low` to `high`."""

    observed: float
    expected: float
    ratio: float
    low: float
    high: float


def lift(observed: float, expected: float) -> Lift:
    """The shrunk ratio (O + 1/2) / (E + 1/2) and the 2.5 % and 97.5 % points of its gamma posterior.

    Norén, Hopstadius & Bate (2013, Stat. Methods Med. Res. 22:57-69), there as its base-2 logarithm. It takes the
    count for a Poisson variable, so for a few of a few (4 of 5) the interval is wider than need be.

    Raises `StatisticsError` where either is below 0.
    """
    if observed < 0 or expected < 0:
        raise StatisticsError(f"{observed} observed where {expected} was expected", mend="counts are not below 0")
    shape, rate = observed + PRIOR, expected + PRIOR
    low, high = (gamma_quantile(share, shape, rate) for share in (0.025, 0.975))
    return Lift(observed, expected, shape / rate, low, high)


def spread_of_rates(counts: Sequence[tuple[int, int]]) -> tuple[float, float]:
    """The beta distribution (a, b) of a rate that differs from group to group, from (k, n) of each, by moments.

    Kleinman (1973, J. Am. Stat. Assoc. 68:46-54), weights n; half a yes and half a no are added to the mean, so that
    a word never said keeps a chance. Where the groups differ no more than by chance the rate is nearly fixed.

    Raises `StatisticsError` without groups.
    """
    groups = [(k, n) for k, n in counts if n > 0]
    if not groups:
        raise StatisticsError("a rate of no group", mend="add sessions to the archive")
    total = sum(n for _, n in groups)
    said = sum(k for k, _ in groups)
    mean = (said + PRIOR) / (total + 2 * PRIOR)
    plain = said / total
    scatter = sum(n * (k / n - plain) ** 2 for k, n in groups)
    squares = sum(n * n for _, n in groups)
    room = plain * (1 - plain)
    free = total - squares / total  # how much of the weight tells groups apart
    alike = 0.0
    if room > 0 and free > 0:
        # E[scatter] = room * ((groups - 1) + alike * (free - (groups - 1)))
        degrees = len(groups) - 1
        spare = free - degrees
        alike = (scatter / room - degrees) / spare if spare > 0 else 0.0
    alike = min(max(alike, 1e-4), 0.95)
    strength = 1 / alike - 1
    return mean * strength, (1 - mean) * strength


def chance_of(k: int, n: int, others: Sequence[tuple[int, int]]) -> float:
    """How often another group of `n` would reach `k` or more, told by the rates of the `others` (k, n): the p value of
    "this group stands out". Groups differ more than chance alone, and that is reckoned with (beta-binomial tail)."""
    return beta_binomial_tail(k, n, *spread_of_rates(others))


def difference_interval(k: int, n: int, k_rest: int, n_rest: int) -> tuple[float, float]:
    """95 % interval of the difference of two shares, k/n minus k_rest/n_rest (Newcombe 1998, Stat. Med. 17:873-890,
    method 10: the hybrid of two score intervals).

    Raises `StatisticsError` where either n is 0.
    """
    low, high = wilson(k, n)
    low_rest, high_rest = wilson(k_rest, n_rest)
    share, rest = k / n, k_rest / n_rest
    below = math.hypot(share - low, high_rest - rest)
    above = math.hypot(high - share, rest - low_rest)
    return share - rest - below, share - rest + above
