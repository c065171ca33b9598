"""Small exact tests and the tables they need; scipy and statsmodels are only asked in the tests."""

from __future__ import annotations

import math


def least_correct(tasters: int, *, guess: float = 1 / 3, level: float = 0.05) -> int | None:
    """The least correct answers of `tasters` that show a difference in an odd-one-out (triangle) test (ISO 4120).

    `guess` is the chance of a right guess, `level` the risk allowed. None where even all right would not show it.
    """
    tail = 0.0
    least = None
    for right in range(tasters, -1, -1):
        tail += math.comb(tasters, right) * guess**right * (1 - guess) ** (tasters - right)
        if tail > level + 1e-12:
            break
        least = right
    return least
