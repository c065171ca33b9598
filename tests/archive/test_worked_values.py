"""The archive's figures against published values and other libraries; where a value is from memory, it says so."""

from __future__ import annotations

import math

import pytest
import scipy.stats as st
from hypothesis import given
from hypothesis import strategies as some
from published import CONCENTRATION, ISO_8586, LIKE_THEIRS, P_VALUES, PROCESS, SHIFTED, TWENTY, values, whole_scores
from statsmodels.stats.multitest import multipletests

from tastevocab.archive.control import cusum, ewma, exact_limits, p_chart
from tastevocab.archive.lift import chance_of, lift, spread_of_rates
from tastevocab.archive.special import (
    beta_binomial_tail,
    beta_cdf,
    binomial_cdf,
    f_tail,
    gamma_cdf,
    gamma_quantile,
)
from tastevocab.archive.variance import assessor, one_way
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


# --- published values ---


def test_published_values():
    """As printed, where the last digit may be rounded or cut off; `published.py` prints the table."""
    assert len(list(values())) > 80
    assert [one for one in values() if abs(one.ours - one.published) > 0.75 * 10**-one.places] == []


def test_what_the_published_pairs_of_iso_8586_settle():
    """Whole-number scores can have but one pair of mean squares that rounds to each; ours have it.

    At 5 % the limit of F is 3.11 (5 and 12 degrees of freedom): the first and the last assessor tell the samples apart,
    the two between do not.
    """
    assert st.f.isf(0.05, 5, 12) == pytest.approx(3.11, abs=0.005)
    for (between, f), scores in zip(ISO_8586, LIKE_THEIRS, strict=True):
        table = one_way({str(i): given for i, given in enumerate(scores)})
        assert whole_scores(between, f) == [pytest.approx((table.between, table.within))]
        assert table.p == pytest.approx(st.f_oneway(*scores).pvalue)
        assert ((table.p or 0) < 0.05) == (f > 3.11)


# --- p chart ---


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


def test_a_process_in_control_gives_no_signal():
    assert cusum(CONCENTRATION, 99, 2).signal is None


def test_a_fall_is_found_as_a_rise_is():
    up, down = cusum(TWENTY + SHIFTED, 10, 1), cusum([20 - x for x in TWENTY + SHIFTED], 10, 1)
    assert down.low == pytest.approx(up.high)
    assert (down.signal, down.began) == (up.signal, up.began)


# --- EWMA ---


def test_an_average_within_its_limits_is_not_out():
    assert ewma(PROCESS, 50, 2.0539).out == ()


# --- scored attributes ---


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
    q = false_discovery(P_VALUES)
    assert q == pytest.approx(list(multipletests(P_VALUES, method="fdr_bh")[1]))


@given(some.lists(some.floats(0, 1), min_size=1, max_size=30))
def test_false_discovery_is_statsmodels(p):
    assert false_discovery(p) == pytest.approx(list(multipletests(p, method="fdr_bh")[1]))
