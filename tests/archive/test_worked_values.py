"""The archive's figures against published values and other libraries; where a value is from memory, it says so."""

from __future__ import annotations

import itertools
import math

import pytest
import scipy.stats as st
from hypothesis import given
from hypothesis import strategies as some
from statsmodels.stats.multitest import multipletests

from tastevocab.archive.control import cusum, ewma, exact_limits, moving_range_sigma, p_chart
from tastevocab.archive.lift import chance_of, difference_interval, lift, spread_of_rates
from tastevocab.archive.special import (
    beta_binomial_tail,
    beta_cdf,
    binomial_cdf,
    f_tail,
    gamma_cdf,
    gamma_quantile,
)
from tastevocab.archive.variance import assessor, intraclass, one_way
from tastevocab.errors import StatisticsError
from tastevocab.panel.exact import false_discovery, sum_of_chances

# --- distributions, against scipy ---


@given(some.floats(0.01, 300), some.floats(0.05, 200), some.floats(0.1, 50))
def test_gamma(x, shape, rate):
    assert gamma_cdf(x, shape, rate) == pytest.approx(st.gamma.cdf(x, shape, scale=1 / rate), rel=1e-9, abs=1e-13)


@given(some.floats(0.001, 0.999), some.floats(0.5, 200))
def test_gamma_quantile(share, shape):
    assert gamma_quantile(share, shape, 2.0) == pytest.approx(st.gamma.ppf(share, shape, scale=0.5), rel=1e-8)


@given(some.floats(0, 1), some.floats(0.1, 100), some.floats(0.1, 100))
def test_beta(x, a, b):
    assert beta_cdf(x, a, b) == pytest.approx(st.beta.cdf(x, a, b), rel=1e-8, abs=1e-12)


@given(some.floats(0.01, 50), some.integers(1, 40), some.integers(1, 100))
def test_f(value, df, df_error):
    assert f_tail(value, df, df_error) == pytest.approx(st.f.sf(value, df, df_error), rel=1e-7, abs=1e-13)


@given(some.integers(1, 30), some.data(), some.floats(0.05, 50), some.floats(0.05, 50))
def test_beta_binomial(n, data, a, b):
    k = data.draw(some.integers(0, n))
    assert beta_binomial_tail(k, n, a, b) == pytest.approx(st.betabinom.sf(k - 1, n, a, b), rel=1e-6, abs=1e-12)
    assert binomial_cdf(k, n, 0.3) == pytest.approx(st.binom.cdf(k, n, 0.3), rel=1e-10)


def test_sum_of_chances_is_the_binomial_where_chances_are_alike():
    assert sum_of_chances([0.3] * 8) == pytest.approx(list(st.binom.pmf(range(9), 8, 0.3)))
    assert sum_of_chances([1.0, 0.0, 0.5]) == [0.0, 0.5, 0.5, 0.0]


@pytest.mark.parametrize("wrong", [lambda: gamma_cdf(1, 0), lambda: beta_cdf(0.5, 0, 1), lambda: gamma_quantile(1, 2)])
def test_what_has_no_value_is_refused(wrong):
    with pytest.raises(StatisticsError):
        wrong()


# --- p chart ---

# NIST/SEMATECH e-Handbook of Statistical Methods 6.3.3.2: chips that failed, 50 of each of 30 wafers (data from memory;
# they give the published centre).
WAFERS = [12, 15, 8, 10, 4, 7, 16, 9, 14, 10, 5, 6, 17, 12, 22, 8, 10, 5, 13, 11, 20, 18, 24, 15, 9, 12, 7, 13, 9, 6]


def test_nist_p_chart():
    chart = p_chart([(k, 50) for k in WAFERS])
    point = chart.points[0]
    assert (round(chart.centre, 4), round(point.high, 4), round(point.low, 4)) == (0.2313, 0.4102, 0.0524)
    assert chart.out == (14, 22)  # the handbook: wafers 15 and 23


@pytest.mark.parametrize("n", [3, 8, 19])
@pytest.mark.parametrize("p", [0.05, 0.3, 0.5])
def test_below_twenty_the_binomial_itself_is_asked(n, p):
    low, high = exact_limits(n, p)
    assert st.binom.cdf(low - 1, n, p) <= 0.00135 < st.binom.cdf(low, n, p)
    assert st.binom.sf(high, n, p) <= 0.00135 < st.binom.sf(high - 1, n, p)
    (point,) = p_chart([(high, n)], p).points
    assert point.exact
    assert not point.out


def test_normal_limits_would_be_wrong_for_a_few():
    """4 of 5 at a rate of 0.2: beyond three sigma (0.737), and yet no such surprise (chance 0.0067)."""
    assert 0.2 + 3 * math.sqrt(0.2 * 0.8 / 5) < 0.8
    assert p_chart([(4, 5)], 0.2).out == ()


# --- CUSUM ---

# Montgomery, Introduction to Statistical Quality Control, the chapter's first table: twenty values of N(10, 1), ten of
# N(11, 1), with their sums (from memory; k = 1/2, h = 5).
TWENTY = [9.45, 7.99, 9.29, 11.66, 12.16, 10.18, 8.04, 11.46, 9.2, 10.34, 9.03, 11.47, 10.51, 9.4, 10.08, 9.37, 10.62,
          10.31, 8.52, 10.84]  # fmt: skip
SHIFTED = [10.9, 9.33, 12.29, 11.5, 10.6, 11.08, 10.38, 11.62, 11.31, 10.52]
SUMS = [0, 0, 0, 1.16, 2.82, 2.5, 0.04, 1.0, 0, 0, 0, 0.97, 0.98, 0, 0, 0, 0.12, 0, 0, 0.34, 0.74, 0, 1.79, 2.79, 2.89,
        3.47, 3.35, 4.47, 5.28, 5.3]  # fmt: skip


def test_montgomery_tabular_cusum():
    chart = cusum(TWENTY + SHIFTED, 10, 1)
    assert [round(s, 2) for s in chart.high] == SUMS
    assert chart.signal == 28  # sample 29
    assert chart.began == 22  # seven sums above 0: the shift came between samples 22 and 23


# Montgomery & Runger, Applied Statistics and Probability for Engineers: the chemical process concentration (from
# memory; published mean 99.1 and mean moving range 2.59 hold), target 99, sigma 2, k = 1/2, h = 5.
CONCENTRATION = [102.0, 94.8, 98.3, 98.4, 102.0, 98.5, 99.0, 97.7, 100.0, 98.1, 101.3, 98.7, 101.1, 98.4, 97.0, 96.7,
                 100.3, 101.4, 97.2, 101.0]  # fmt: skip


def test_montgomery_and_runger_concentration():
    steps = [abs(b - a) for a, b in itertools.pairwise(CONCENTRATION)]
    assert round(sum(CONCENTRATION) / 20, 1) == 99.1
    assert round(sum(steps) / 19, 2) == 2.59
    assert moving_range_sigma(CONCENTRATION) == pytest.approx(2.59 / 1.128, abs=0.002)
    chart = cusum(CONCENTRATION, 99, 2)
    assert chart.limit == 10
    assert [round(s, 1) for s in chart.high[:3]] == [2.0, 0.0, 0.0]
    assert [round(s, 1) for s in chart.low[:3]] == [0.0, 3.2, 2.9]
    assert chart.signal is None  # the process is in control


def test_a_fall_is_found_as_a_rise_is():
    up, down = cusum(TWENTY + SHIFTED, 10, 1), cusum([20 - x for x in TWENTY + SHIFTED], 10, 1)
    assert down.low == pytest.approx(up.high)
    assert (down.signal, down.began) == (up.signal, up.began)


# --- EWMA ---

# NIST/SEMATECH e-Handbook 6.3.2.4: target 50, s 2.0539, weight 0.3 (values as printed there, from memory).
PROCESS = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4,
           53.6, 52.1]  # fmt: skip
AVERAGES = [50.6, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38,
            49.92, 50.73, 51.23, 51.94, 51.99]  # fmt: skip


def test_nist_ewma():
    chart = ewma(PROCESS, 50, 2.0539)
    assert [round(p.value, 2) for p in chart.points] == AVERAGES
    assert (round(chart.points[0].high, 4), round(chart.points[0].low, 4)) == (52.5884, 47.4116)
    assert chart.out == ()


# --- scored attributes ---

# Shrout & Fleiss (1979), table 2: six targets by four judges; table 4 has the coefficients.
JUDGES = [[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]]


def test_shrout_and_fleiss():
    made = intraclass(JUDGES)
    assert (round(made.single_1, 2), round(made.single_2, 2), round(made.single_3, 2)) == (0.17, 0.29, 0.71)
    assert (round(made.mean_1, 2), round(made.mean_2, 2), round(made.mean_3, 2)) == (0.44, 0.62, 0.91)


# ISO 8586, annex with four assessors: mean squares of the samples and their F, six samples by three repeats. The scores
# themselves were not at hand; these are the published pairs, from which the error's mean square follows.
ISO_8586 = [(7.42, 13.36), (7.83, 2.66), (2.80, 2.40), (6.13, 13.80)]


@pytest.mark.parametrize(("between", "f"), ISO_8586)
def test_iso_8586_annex_pairs(between, f):
    """Scores made to have the annex's two mean squares give its F: six samples, three repeats each."""
    within = between / f
    step = math.sqrt(within)  # repeats m - step, m, m + step: a variance of step squared about each mean
    places = [-2.5, -1.5, -0.5, 0.5, 1.5, 2.5]
    spread = math.sqrt(between * 5 / 3 / sum(p * p for p in places))
    scores = {str(i): [5 + p * spread + s for s in (-step, 0, step)] for i, p in enumerate(places)}
    table = one_way(scores)
    assert (table.df, table.df_within) == (5, 12)
    assert (round(table.between, 2), round(table.f or 0, 2)) == (between, f)
    assert table.p == pytest.approx(st.f.sf(f, 5, 12), abs=1e-6)
    # At 5 % the limit is 3.11: the first and the last assessor tell the samples apart, the two between do not.
    assert ((table.p or 0) < 0.05) == (f > 3.11)


@given(some.lists(some.lists(some.integers(0, 40), min_size=2, max_size=5), min_size=2, max_size=6))
def test_one_way_is_scipys(quarters):
    groups = [[x / 4 for x in group] for group in quarters]
    table = one_way({str(i): group for i, group in enumerate(groups)})
    if table.within > 1e-6:
        f, p = st.f_oneway(*groups)
        assert table.f == pytest.approx(f, rel=1e-6, abs=1e-9)
        assert table.p == pytest.approx(p, rel=1e-5, abs=1e-9)


def test_an_assessor_beside_the_others():
    others = [{"a": [1, 2], "b": [3, 3], "c": [5, 4]}, {"a": [2, 1], "b": [3, 4], "c": [4, 5]}]
    made = assessor({"a": [2, 3], "b": [4, 4], "c": [5, 6]}, others)
    assert (made.samples, made.scores) == (3, 6)
    assert made.repeatability == pytest.approx(math.sqrt(1 / 3))
    assert made.bias == pytest.approx((1 + 0.75 + 1) / 3)
    assert made.agreement == pytest.approx(st.pearsonr([2.5, 4, 5.5], [1.5, 3.25, 4.5])[0])
    assert made.slope == pytest.approx(st.linregress([1.5, 3.25, 4.5], [2.5, 4, 5.5]).slope)


def test_scores_that_cannot_be_judged():
    with pytest.raises(StatisticsError, match="two samples and a repeat"):
        one_way({"a": [1], "b": [2]})
    assert one_way({"a": [1, 1], "b": [2, 2]}).f is None
    with pytest.raises(StatisticsError, match="nobody else"):
        assessor({"a": [1, 2], "b": [2, 3]}, [])


# --- lift ---


def test_lift_is_shrunk_and_its_interval_the_gammas():
    for observed, expected in ((0, 0.2), (1, 0.01), (5, 1.2), (120, 40.0)):
        made = lift(observed, expected)
        assert made.ratio == (observed + 0.5) / (expected + 0.5)
        limits = st.gamma.ppf([0.025, 0.975], observed + 0.5, scale=1 / (expected + 0.5))
        assert (made.low, made.high) == pytest.approx(tuple(limits))
    assert lift(1, 0.001).ratio < 3  # a thousandfold by the plain ratio


def test_norens_approximation_of_the_limits():
    """Norén, Hopstadius & Bate (2013) give the limits of log2 approximately (coefficients from memory)."""
    for observed, expected in ((3, 1.0), (10, 4.0), (50, 20.0)):
        made, o = lift(observed, expected), observed + 0.5
        centre = math.log2(made.ratio)
        assert math.log2(made.low) == pytest.approx(centre - 3.3 * o**-0.5 - 2 * o**-1.5, abs=0.1)
        assert math.log2(made.high) == pytest.approx(centre + 2.4 * o**-0.5 - 0.5 * o**-1.5, abs=0.1)


def test_groups_that_differ_by_chance_alone_have_one_rate():
    a, b = spread_of_rates([(3, 10), (2, 10), (4, 10), (3, 10)])
    assert a / (a + b) == pytest.approx(12.5 / 41)
    assert a + b > 1000
    assert chance_of(8, 10, [(3, 10)] * 40) == pytest.approx(st.binom.sf(7, 10, 120.5 / 401), rel=0.02)


def test_groups_that_differ_much_make_a_high_count_less_of_a_surprise():
    even, uneven = [(2, 5)] * 20, [(0, 5), (4, 5)] * 10
    assert chance_of(5, 5, uneven) > 5 * chance_of(5, 5, even)
    assert 0 < chance_of(3, 5, [(0, 5)] * 30) < 0.02  # a word never said before


def test_benjamini_and_hochberg():
    """Their own example of fifteen p values (1995, section 3.2, from memory): at 0.05 four stand, Holm's three."""
    p = [
        0.0001,
        0.0004,
        0.0019,
        0.0095,
        0.0201,
        0.0278,
        0.0298,
        0.0344,
        0.0459,
        0.324,
        0.4262,
        0.5719,
        0.6528,
        0.759,
        1,
    ]
    q = false_discovery(p)
    assert sum(one <= 0.05 for one in q) == 4
    assert q == pytest.approx(list(multipletests(p, method="fdr_bh")[1]))


@given(some.lists(some.floats(0, 1), min_size=1, max_size=30))
def test_false_discovery_is_statsmodels(p):
    assert false_discovery(p) == pytest.approx(list(multipletests(p, method="fdr_bh")[1]))


def test_newcombes_difference_of_shares():
    """His example 56 of 70 against 48 of 80, method 10 (1998, table II, from memory): 0.0524 to 0.3339."""
    assert difference_interval(56, 70, 48, 80) == (pytest.approx(0.0524, abs=5e-5), pytest.approx(0.3339, abs=5e-5))
