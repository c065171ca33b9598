"""Tails and quantiles of the distributions that the archive's statistics need; scipy is only asked in the tests."""

from __future__ import annotations

import math
from collections.abc import Callable

from tastevocab.errors import StatisticsError

_TINY = 1e-300
_EXACT = 1e-15


def gamma_cdf(x: float, shape: float, rate: float = 1.0) -> float:
    """The chance of a gamma variable of `shape` and `rate` being at most `x`: the regularised lower incomplete gamma.

    Series below shape + 1, continued fraction above (Abramowitz & Stegun 6.5.29, 6.5.31). Raises `StatisticsError`
    where shape or rate is not above 0.
    """
    if shape <= 0 or rate <= 0:
        raise StatisticsError(f"a gamma of shape {shape} and rate {rate}", mend="both are above 0")
    y = x * rate
    if y <= 0:
        return 0.0
    scale = math.exp(shape * math.log(y) - y - math.lgamma(shape))
    if y < shape + 1:
        total = term = 1.0 / shape
        step = shape
        while abs(term) > abs(total) * _EXACT:
            step += 1
            term *= y / step
            total += term
        return min(1.0, total * scale)
    b = y + 1 - shape
    c, d = 1 / _TINY, 1 / b
    fraction = d
    for i in range(1, 10_000):
        a = -i * (i - shape)
        b += 2
        d = 1 / _held(a * d + b)
        c = _held(b + a / c)
        fraction *= d * c
        if abs(d * c - 1) < _EXACT:
            break
    return max(0.0, 1 - scale * fraction)


def gamma_quantile(share: float, shape: float, rate: float = 1.0) -> float:
    """The value below which `share` (0..1, ends excluded) of a gamma of `shape` and `rate` lies."""
    if not 0 < share < 1:
        raise StatisticsError(f"a quantile at {share}", mend="take a share between 0 and 1")
    high = 1.0
    while gamma_cdf(high, shape) < share:
        high *= 2
    return _bisect(lambda x: gamma_cdf(x, shape) - share, 0.0, high) / rate


def beta_cdf(x: float, a: float, b: float) -> float:
    """The chance of a beta variable being at most `x`: the regularised incomplete beta function.

    Continued fraction (Abramowitz & Stegun 26.5.8). Raises `StatisticsError` where a or b is not above 0.
    """
    if a <= 0 or b <= 0:
        raise StatisticsError(f"a beta of {a} and {b}", mend="both are above 0")
    if x <= 0 or x >= 1:
        return 0.0 if x <= 0 else 1.0
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x))
    if x < (a + 1) / (a + b + 2):
        return front * _beta_fraction(x, a, b) / a
    return 1 - front * _beta_fraction(1 - x, b, a) / b


def _beta_fraction(x: float, a: float, b: float) -> float:
    c, d = 1.0, 1 / _held(1 - (a + b) * x / (a + 1))
    fraction = d
    for m in range(1, 10_000):
        for numerator in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1 / _held(1 + numerator * d)
            c = _held(1 + numerator / c)
            fraction *= c * d
        if abs(c * d - 1) < _EXACT:
            break
    return fraction


def f_tail(value: float, df: float, df_error: float) -> float:
    """The chance of an F variable of `df` and `df_error` degrees of freedom at least as big as `value`."""
    if value <= 0:
        return 1.0
    return beta_cdf(df_error / (df_error + df * value), df_error / 2, df / 2)


def beta_binomial_tail(k: int, n: int, a: float, b: float) -> float:
    """The chance of `k` or more of `n` where the rate itself is a beta variable of `a` and `b`."""

    def log_beta(x: float, y: float) -> float:
        return math.lgamma(x) + math.lgamma(y) - math.lgamma(x + y)

    base = log_beta(a, b)
    return min(
        1.0,
        math.fsum(
            math.exp(math.log(math.comb(n, i)) + log_beta(i + a, n - i + b) - base) for i in range(max(k, 0), n + 1)
        ),
    )


def binomial_cdf(k: int, n: int, p: float) -> float:
    """The chance of at most `k` of `n` at rate `p`, summed exactly."""
    if k < 0:
        return 0.0
    return min(1.0, math.fsum(math.comb(n, i) * p**i * (1 - p) ** (n - i) for i in range(min(k, n) + 1)))


def _held(value: float) -> float:
    """Never quite zero (Lentz's method, modified)."""
    return value if abs(value) > _TINY else _TINY


def _bisect(miss: Callable[[float], float], low: float, high: float) -> float:
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if miss(middle) < 0 else (low, middle)
    return (low + high) / 2
