"""Tests of difference that were carried out: against published tables, quadrature of a library, and simulation."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.integrate
import scipy.stats
from statsmodels.stats.proportion import proportion_confint

from tastevocab.errors import StatisticsError
from tastevocab.panel.discrimination import PROTOCOLS, d_prime, tetrad_right, triangle_right, verdict, verdict_lines
from tastevocab.panel.exact import binomial_tail, exact_interval


@pytest.mark.parametrize(
    ("share", "triangle", "tetrad"), [(0.34, 0.27, 0.19), (0.35, 0.43, 0.30), (0.40, 0.88, 0.62), (0.50, 1.47, 1.02)]
)
def test_d_prime_of_a_share(share, triangle, tetrad) -> None:
    """Ennis (1993), table of d' for the triangle; Ennis and others (1998) for tetrads. From memory, two decimals."""
    assert d_prime(share, PROTOCOLS["triangle"]) == pytest.approx(triangle, abs=0.006)
    assert d_prime(share, PROTOCOLS["tetrad"]) == pytest.approx(tetrad, abs=0.006)


@pytest.mark.parametrize("d", [0.0, 0.3, 1.0, 2.0, 4.0])
def test_parts_right_against_scipy(d) -> None:
    """The same integrals by scipy's quadrature and normal curve."""
    n = scipy.stats.norm

    def odd(u):
        return (
            n.cdf(-u * math.sqrt(3) + d * math.sqrt(2 / 3)) + n.cdf(-u * math.sqrt(3) - d * math.sqrt(2 / 3))
        ) * n.pdf(u)

    def four(x):
        return n.pdf(x) * (2 * n.cdf(x) * n.cdf(x - d) - n.cdf(x - d) ** 2)

    assert triangle_right(d) == pytest.approx(2 * scipy.integrate.quad(odd, 0, 10)[0], abs=1e-7)
    assert tetrad_right(d) == pytest.approx(1 - 2 * scipy.integrate.quad(four, -10, 10 + d)[0], abs=1e-7)


def test_parts_right_by_tasting_a_million_times() -> None:
    """The model itself: each cup's impression is normal, two kinds of cups are d' apart; the odd one is the furthest
    from the two nearest to each other; two and two go together where they do not interleave."""
    random, d = np.random.default_rng(1), 1.5
    a, odd = random.normal(size=(400_000, 2)), random.normal(size=400_000) + d
    near = np.abs(a[:, 0] - a[:, 1])
    right = (near < np.abs(a[:, 0] - odd)) & (near < np.abs(a[:, 1] - odd))
    assert triangle_right(d) == pytest.approx(right.mean(), abs=0.003)
    b = random.normal(size=(400_000, 2)) + d
    apart = (a.max(axis=1) < b.min(axis=1)) | (b.max(axis=1) < a.min(axis=1))
    assert tetrad_right(d) == pytest.approx(apart.mean(), abs=0.003)


@pytest.mark.parametrize(
    ("right", "of", "p"), [(8, 12, 0.018758), (10, 18, 0.043348), (13, 24, 0.028441), (15, 30, 0.043482)]
)
def test_verdict_at_the_limit(right, of, p) -> None:
    """ISO 4120's minimum numbers (FAO Fisheries Technical Paper 348, appendix A) and their exact p."""
    made = verdict("triangle", right, of)
    assert made.p == pytest.approx(p, abs=5e-7)
    assert (made.least, made.shown) == (right, True)
    assert not verdict("triangle", right - 1, of).shown
    assert binomial_tail(right, of, 1 / 3) == pytest.approx(scipy.stats.binom.sf(right - 1, of, 1 / 3))


def test_intervals_are_carried_through() -> None:
    made = verdict("tetrad", 9, 12)
    low, high = proportion_confint(9, 12, method="beta")
    assert made.share_interval == pytest.approx((low, high), abs=1e-9)
    assert made.tell == pytest.approx((9 / 12 - 1 / 3) / (2 / 3))
    assert made.distance_interval[0] == pytest.approx(d_prime(low, PROTOCOLS["tetrad"]), abs=1e-6)
    assert made.distance_interval[0] < made.distance < made.distance_interval[1]
    everybody = verdict("triangle", 10, 10)
    assert (everybody.distance, everybody.distance_interval[1]) == (None, None)
    assert "beyond measure" in "".join(verdict_lines(everybody))
    guessing = verdict("triangle", 3, 12)
    assert (guessing.distance, guessing.tell, guessing.distance_interval[0]) == (0.0, 0.0, 0.0)
    assert "Nor is it shown that there is none" in guessing.sentence
    assert "ask more people" in verdict("triangle", 2, 2).sentence


@pytest.mark.parametrize(("test", "right", "of"), [("circle", 1, 2), ("triangle", 3, 2), ("triangle", 0, 0)])
def test_impossible_answers_are_refused(test, right, of) -> None:
    with pytest.raises(StatisticsError):
        verdict(test, right, of)


@pytest.mark.parametrize(("k", "n"), [(81, 263), (15, 148), (0, 20), (1, 29), (10, 10), (7, 9)])
def test_exact_interval_against_statsmodels(k, n) -> None:
    """Clopper and Pearson; 81 of 263 is 0.2527 to 0.3676 (Newcombe 1998, Table I, method 5, recomputed)."""
    assert exact_interval(k, n) == pytest.approx(proportion_confint(k, n, method="beta"), abs=1e-9)


@pytest.mark.parametrize("n", range(3, 9))
def test_intervals_hold_their_level_also_after_selection(n) -> None:
    """Coverage summed exactly over all outcomes, on a grid of true shares: 95 % or more, of all tables and of those
    tables alone where the word reached quorum and was printed. Wilson's falls to 83 % and to nothing there."""
    need = max(2, n // 2 + 1)
    for share in np.linspace(0.02, 0.98, 49):
        chance = scipy.stats.binom.pmf(range(n + 1), n, share)
        held = [exact_interval(k, n)[0] <= share <= exact_interval(k, n)[1] for k in range(n + 1)]
        assert chance @ held >= 0.95 - 1e-9
        printed = list(range(need, n + 1))
        kept = sum(
            chance[k]
            for k in printed
            if exact_interval(k, n, least=need)[0] <= share <= exact_interval(k, n, least=need)[1]
        )
        assert kept / chance[need:].sum() >= 0.95 - 1e-9
