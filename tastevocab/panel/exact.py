"""Small exact tests and the tables they need, many at once; scipy and statsmodels are only asked in the tests."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import lru_cache

import numpy as np

from tastevocab.errors import StatisticsError


def least_correct(tasters: int, *, guess: float = 1 / 3, level: float = 0.05) -> int | None:
    """The least correct answers of `tasters` that show a difference in an odd-one-out (triangle) test (ISO 4120).

    `guess` is the chance of a right guess, `level` the risk allowed. None where even all right would not show it.
    """
    tail, least = 0.0, None
    # Beyond a dozen standard deviations nothing is left that a float could hold.
    most = math.ceil(tasters * guess + 12 * math.sqrt(tasters * guess * (1 - guess)) + 12)
    for right in range(min(tasters, most), -1, -1):
        ways = math.lgamma(tasters + 1) - math.lgamma(right + 1) - math.lgamma(tasters - right + 1)
        tail += math.exp(ways + right * math.log(guess) + (tasters - right) * math.log(1 - guess))
        if tail > level + 1e-12:
            break
        least = right
    return least


def binomial_tail(least: int, n: int, chance: float) -> float:
    """The chance of `least` or more of n, each with `chance` of its own."""
    return min(
        1.0, math.fsum(math.comb(n, i) * chance**i * (1 - chance) ** (n - i) for i in range(max(0, least), n + 1))
    )


def sum_of_chances(chances: Sequence[float]) -> list[float]:
    """How likely 0, 1, 2, ... of independent events are, each with a chance of its own (Poisson binomial, exact)."""
    spread = np.ones(1)
    for chance in chances:
        spread = np.convolve(spread, (1 - chance, chance))
    return [float(weight) for weight in spread]


def false_discovery(p_values: Sequence[float]) -> list[float]:
    """Benjamini & Hochberg's step-up correction (1995, J. R. Stat. Soc. B 57:289-300): of all told at or below a
    corrected value q, a share of q is expected to be false.

    Gives the corrected values in the order given, each at least as big as before and at most 1.
    """
    order = sorted(range(len(p_values)), key=p_values.__getitem__, reverse=True)
    corrected, lowest = [0.0] * len(p_values), 1.0
    for rank, i in enumerate(order):
        lowest = min(lowest, p_values[i] * len(p_values) / (len(p_values) - rank))
        corrected[i] = lowest
    return corrected


@lru_cache(maxsize=4096)
def exact_interval(k: int, n: int, *, least: int = 0, level: float = 0.95) -> tuple[float, float]:
    """The interval of a share that holds `level` at the least whatever n: Clopper and Pearson (1934).

    With `least` above 0 it allows for k having been looked at only because it was `least` or more: each limit is the
    share at which k or beyond has (1 - level) / 2 among the outcomes from `least` on. Raises `StatisticsError` for
    n = 0 or k outside least..n.

    >>> low, high = exact_interval(4, 5)
    >>> f"{low:.3f} {high:.3f}"
    '0.284 0.995'
    """
    if n <= 0 or not least <= k <= n or k < 0:
        raise StatisticsError(f"{k} of {n} has no interval", mend="n is at least 1 and k between 0 and n")
    rest = (1 - level) / 2

    def upper(share: float) -> float:
        return binomial_tail(k, n, share) / binomial_tail(least, n, share)

    def lower(share: float) -> float:
        return 1 - binomial_tail(k + 1, n, share) / binomial_tail(least, n, share)

    low = 0.0 if k == least else _solve(lambda s: upper(s) - rest)
    high = 1.0 if k == n else _solve(lambda s: rest - lower(s))
    return low, high


def _solve(rising: Callable[[float], float]) -> float:
    """Where a function that rises from below 0 to above it crosses, between 0 and 1."""
    low, high = 1e-12, 1 - 1e-12
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if rising(middle) < 0 else (low, middle)
    return (low + high) / 2
