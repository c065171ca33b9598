"""Every statistic against something outside, its source beside it."""

from __future__ import annotations

import itertools
import math
from unittest.mock import patch

import krippendorff
import numpy as np
import ot
import pytest
import scipy.spatial.distance
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st
from nltk.metrics import masi_distance
from statsmodels.stats.proportion import proportion_confint
from trials import trials

from tastevocab.errors import StatisticsError
from tastevocab.panel.distances import jensen_shannon, masi, tree_movers
from tastevocab.panel.exact import least_correct
from tastevocab.panel.intervals import wilson
from tastevocab.panel.reliability import Pairs, concordance_p, interval, kendalls_w, nominal, ordinal, ratio

_ = math.nan
KRIPPENDORFF_2011 = [
    [1, 2, 3, 3, 2, 1, 4, 1, 2, _, _, _],
    [1, 2, 3, 3, 2, 2, 4, 1, 2, 5, _, 3],
    [_, 3, 3, 3, 2, 3, 4, 2, 2, 5, 1, _],
    [1, 2, 3, 3, 2, 4, 4, 1, 2, 5, 1, _],
]


def pairs(rows, metric):
    """Tasters x servings with gaps (nan) as `Pairs`."""
    cells = [(v, t, u) for t, row in enumerate(rows) for u, v in enumerate(row) if v == v]
    counted = [v for v, _t, u in cells if sum(c[2] == u for c in cells) >= 2]
    distance = (
        ordinal(counted) if metric == "ordinal" else {"nominal": nominal, "interval": interval, "ratio": ratio}[metric]
    )
    return Pairs(*map(list, zip(*cells, strict=True)), distance)


@pytest.mark.parametrize(
    ("metric", "published"), [("nominal", 0.743), ("ordinal", 0.815), ("interval", 0.849), ("ratio", 0.797)]
)
def test_alpha_on_krippendorffs_own_example(metric, published) -> None:
    """Krippendorff (2011), Computing Krippendorff's Alpha-Reliability: all four levels."""
    alpha = pairs(KRIPPENDORFF_2011, metric).alpha()[0]
    assert alpha == pytest.approx(published, abs=5e-4)
    assert alpha == pytest.approx(
        krippendorff.alpha(np.array(KRIPPENDORFF_2011), level_of_measurement=metric), abs=1e-12
    )


@pytest.mark.parametrize(
    ("rows", "expected"),
    [(("0100000010", "1110010000"), 0.095238), (("aabbdcccedda", "babbbcccedd" + "d"), 0.691964)],
)
def test_alpha_on_the_papers_two_observer_cases(rows, expected) -> None:
    """The same paper: two observers with binary and with nominal data."""
    assert pairs([list(r) for r in rows], "nominal").alpha()[0] == pytest.approx(expected, abs=1e-6)


FLEISS_1971 = """
00060 03003 01401 00006 03030 20400 00402 20310 20040 00006 10050 11040 03300 10050 02031 00501 30012 51000 02040 10203
00006 01050 02013 20040 10041 05010 40002 02040 10500 00006
"""


def test_alpha_reproduces_fleiss_1971() -> None:
    """Fleiss (1971, Psychol. Bull. 76:378-382), 30 patients, 6 raters: kappa 0.430. With equal raters alpha is
    1 - (1 - P) / ((1 - Pe) n / (n - 1))."""
    table = [[int(d) for d in row] for row in FLEISS_1971.split()]
    assert [sum(column) for column in zip(*table, strict=True)] == [26, 26, 30, 55, 43]
    cells = [(c, t, u) for u, row in enumerate(table) for t, c in enumerate(np.repeat(range(5), row).tolist())]
    alpha = Pairs(*map(list, zip(*cells, strict=True)), nominal).alpha()[0]
    n = 180
    kappa = 1 - (1 - alpha) * n / (n - 1)
    assert kappa == pytest.approx(0.430245, abs=1e-6)


@pytest.mark.parametrize(
    ("a", "b", "distance"),
    [
        ("12", "1234", 0.6666667),
        ("12", "12", 0),
        ("1", "2", 1),
        ("12", "23", 0.8888889),
        ("123", "234", 0.8333333),
        ("1", "12", 0.6666667),
        ("1234", "345", 0.8666667),
        ("", "1", 1),
    ],
)
def test_masi_against_nltk(a, b, distance) -> None:
    """Passonneau (2006); values of nltk's masi_distance."""
    assert masi(set(a), set(b)) == pytest.approx(distance, abs=1e-6)
    assert masi(set(a), set(b)) == pytest.approx(masi_distance(set(a), set(b)), abs=1e-12)


def test_masi_of_two_empty_sets_is_agreement() -> None:
    assert masi(set(), set()) == 0


@given(st.lists(st.lists(st.sets(st.sampled_from("abc"), min_size=1), min_size=3, max_size=3), min_size=2, max_size=5))
@trials(20)
def test_alpha_with_set_distance_against_a_slow_oracle(rows) -> None:
    """Observed and expected disagreement by their definition, with nltk's set distance, over all ordered pairs."""
    rows = [[frozenset(s) for s in row] for row in rows]
    everything = [s for row in rows for s in row]
    expected = [masi_distance(a, b) for a, b in itertools.permutations(everything, 2)]
    cells = [(v, t, u) for u, row in enumerate(rows) for t, v in enumerate(row)]
    if not any(expected):
        with pytest.raises(StatisticsError, match="all values are the same"):
            Pairs(*map(list, zip(*cells, strict=True)), masi)
        return
    observed = [np.mean([masi_distance(a, b) for a, b in itertools.permutations(row, 2)]) for row in rows]
    alpha = Pairs(*map(list, zip(*cells, strict=True)), masi).alpha()[0]
    assert alpha == pytest.approx(1 - np.mean(observed) / np.mean(expected))


def test_alpha_ignores_the_order_of_tasters_and_perfect_agreement_is_one() -> None:
    shuffled = [KRIPPENDORFF_2011[i] for i in (2, 0, 3, 1)]
    assert pairs(shuffled, "nominal").alpha()[0] == pytest.approx(pairs(KRIPPENDORFF_2011, "nominal").alpha()[0])
    assert pairs([[1, 2, 3]] * 3, "nominal").alpha()[0] == pytest.approx(1)


def test_alpha_by_weights_is_alpha_of_the_tasters_drawn() -> None:
    """A taster weighted 0 is a taster gone; equal weights change nothing."""
    made = pairs(KRIPPENDORFF_2011, "nominal")
    without = pairs([KRIPPENDORFF_2011[0], KRIPPENDORFF_2011[1], KRIPPENDORFF_2011[3]], "nominal").alpha()[0]
    assert made.alpha(np.array([[1.0, 1, 0, 1]]))[0] == pytest.approx(without)


def test_agreement_needs_two_and_variation() -> None:
    with pytest.raises(StatisticsError, match="needs two"):
        Pairs([1, 2], [0, 0], [0, 1], nominal)
    with pytest.raises(StatisticsError, match="the same"):
        Pairs([1, 1], [0, 1], [0, 0], nominal)


RANKED = [
    ([[1, 6, 3, 2, 5, 4], [1, 5, 6, 4, 2, 3], [6, 3, 2, 5, 4, 1]], 0.161905),
    (
        [
            [1, 4.5, 2, 4.5, 3, 7.5, 6, 9, 7.5, 10],
            [2.5, 1, 2.5, 4.5, 4.5, 8, 9, 6.5, 10, 6.5],
            [2, 1, 4.5, 4.5, 4.5, 4.5, 8, 8, 8, 10],
        ],
        0.827731,
    ),
    (
        [
            [3, 3, 3, 4, 5, 5, 2, 3, 5, 2, 2, 6, 1, 5, 2, 2, 1, 2, 4, 3],
            [3, 6, 4, 6, 2, 4, 2, 4, 3, 3, 2, 3, 3, 3, 2, 2, 1, 3, 3, 4],
            [2, 1, 4, 4, 3, 2, 1, 6, 1, 1, 1, 2, 3, 3, 1, 1, 3, 3, 2, 2],
        ],
        0.539657,
    ),
]


@pytest.mark.parametrize(("marks", "expected"), RANKED)
def test_kendalls_w_with_and_without_ties(marks, expected) -> None:
    """Siegel (1956) ch. 9; NAG G08DAF example (W 0.828); the "anxiety" data of R's irr. W = Friedman / (m (n - 1))."""
    marks = np.array(marks, dtype=float)
    w = kendalls_w(marks)
    assert w == pytest.approx(expected, abs=1e-6)
    friedman = scipy.stats.friedmanchisquare(*marks.T).statistic
    assert w == pytest.approx(friedman / (len(marks) * (marks.shape[1] - 1)))


def test_kendalls_w_edges() -> None:
    assert kendalls_w(np.array([[1.0, 2, 3], [1, 2, 3]])) == pytest.approx(1)
    for bad in ([[1.0, 2]], [[1.0], [2.0]], [[1.0, 1], [2, 2]]):
        with pytest.raises(StatisticsError):
            kendalls_w(np.array(bad))


@pytest.mark.parametrize(
    ("marks", "p"),
    [
        ([(1, 2, 3)] * 3, 1 / 36),
        ([(1, 2, 3), (1, 2, 3), (2, 1, 3)], 7 / 36),
        ([(1, 2, 3)] * 4, 1 / 216),
        ([(1, 2, 3, 4)] * 2, 1 / 24),
        ([(1, 2, 3, 4)] * 3, 1 / 576),
    ],
)
def test_chance_of_a_concordance(marks, p) -> None:
    """Exact tables of Friedman's statistic (Siegel 1956, Table N): chi2 6.0 of three by three .028, 4.667 .194; 8.0 of
    four by three .0046; 6.0 of two by four .042; 9.0 of three by four .0017."""
    assert concordance_p(np.array(marks, dtype=float)) == pytest.approx(p)


def test_chance_of_a_concordance_with_ties_by_hand_and_drawn() -> None:
    marks = np.array([[1.0, 1, 2], [2, 1, 3], [1, 2, 2], [3, 1, 2]])
    every = [
        kendalls_w(np.array(rows)) for rows in itertools.product(*(list(itertools.permutations(row)) for row in marks))
    ]
    expected = np.mean(np.array(every) >= kendalls_w(marks) - 1e-9)
    assert concordance_p(marks) == pytest.approx(expected)
    with patch("tastevocab.panel.reliability.EXACT", 1):
        assert concordance_p(marks) == pytest.approx(expected, abs=0.02)


def rows(text: str) -> np.ndarray:
    return np.array([[float(d) for d in row] for row in text.split(",")])


TRIANGLE = (5, 5, 6, 6, 7, 7, 8, 8, 9, 9, 9, 10, 10, 11, 11, 12, 12, 12, 13, 13, 14, 14, 15, 15, 15)


def test_least_correct_answers_in_a_triangle_test() -> None:
    """ISO 4120 (by the table of FAO Fisheries Technical Paper 348, appendix A), 5 % and 1 %; small panels."""
    assert tuple(least_correct(n) for n in range(6, 31)) == TRIANGLE
    assert [least_correct(n) for n in (3, 4, 5)] == [3, 4, 4]
    assert [least_correct(n, level=0.01) for n in (6, 12, 18, 24, 30)] == [6, 9, 12, 15, 17]
    assert least_correct(2) is None
    for tasters in (100, 5_000, 1_000_000):  # scipy's binomial distribution
        assert least_correct(tasters) == int(scipy.stats.binom.isf(0.05, tasters, 1 / 3)) + 1
    assert least_correct(6, level=0.001) is None


@pytest.mark.parametrize(
    ("k", "n", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0, 0.1611), (1, 29, 0.0061, 0.1718),
     (4, 5, 0.376, 0.964), (3, 5, 0.231, 0.882), (0, 5, 0, 0.434), (4, 6, 0.300, 0.903), (9, 10, 0.596, 0.982)],
)  # fmt: skip
def test_wilson_interval(k, n, low, high) -> None:
    """Newcombe (1998, Stat. Med. 17:857-872), Table I, method 3; and small panels."""
    assert wilson(k, n) == pytest.approx((low, high), abs=5e-4)
    assert wilson(k, n) == pytest.approx(proportion_confint(k, n, method="wilson"), abs=1e-9)
    assert wilson(n - k, n) == pytest.approx((1 - wilson(k, n)[1], 1 - wilson(k, n)[0]))


def test_wilson_of_nobody_is_refused() -> None:
    with pytest.raises(StatisticsError, match="0 of 0"):
        wilson(0, 0)


@pytest.mark.parametrize(
    ("p", "q", "distance"),
    [
        ((1, 0, 0), (0, 1, 0), 1.0),
        ((1, 0), (0.5, 0.5), 0.557923),
        ((0.5, 0.5), (0.9, 0.1), 0.383136),
        ((2, 2), (5, 5), 0),
    ],
)
def test_jensen_shannon_against_scipy(p, q, distance) -> None:
    """Endres & Schindelin (2003); scipy's jensenshannon in base 2."""
    as_map = [{f"d{i}": v for i, v in enumerate(values)} for values in (p, q)]
    assert jensen_shannon(*as_map) == pytest.approx(distance, abs=1e-6)
    assert jensen_shannon(*as_map) == pytest.approx(scipy.spatial.distance.jensenshannon(p, q, base=2), abs=1e-7)


def test_distances_of_an_empty_map_are_refused() -> None:
    for measure in (jensen_shannon, lambda p, q: tree_movers(p, q, lambda id: "")):
        with pytest.raises(StatisticsError, match="without findings"):
            measure({}, {"a": 1.0})


EDGES = {"Fruity": ("", 1.0), "Nutty": ("", 2.0), "Berry": ("Fruity", 0.5), "Citrus": ("Fruity", 1.5),
         "Almond": ("Nutty", 1.0), "Blackberry": ("Berry", 0.25)}  # fmt: skip


def path_length(a: str, b: str) -> float:
    def up(id: str) -> dict[str, float]:
        reached, far = {}, 0.0
        while id:
            reached[id] = far
            parent, length = EDGES[id]
            far += length
            id = parent
        reached[""] = far
        return reached

    one, two = up(a), up(b)
    return min(one[id] + two[id] for id in one.keys() & two.keys())


def test_tree_movers_by_hand() -> None:
    """Evans & Matsen (2012), edge formula; 0.1 + 0 + 0.15 + 0.45 + 0.2 + 0.125 = 1.025 (mass at the root left out here:
    Q holds 0.1 there, carried by a node of its own at length 0)."""
    edges = {**EDGES, "root": ("", 0.0)}
    p = {"Fruity": 0.1, "Berry": 0.2, "Citrus": 0.4, "Almond": 0.3}
    q = {"root": 0.1, "Nutty": 0.2, "Citrus": 0.1, "Almond": 0.1, "Blackberry": 0.5}
    assert tree_movers(p, q, lambda id: edges[id][0], lambda id: edges[id][1]) == pytest.approx(1.025)


@given(st.lists(st.integers(0, 9), min_size=6, max_size=6), st.lists(st.integers(0, 9), min_size=6, max_size=6))
@trials(20)
def test_tree_movers_against_pot(p, q) -> None:
    """The closed form on a tree is the optimum of the transport problem (POT's exact solver)."""
    if not sum(p) or not sum(q):
        return
    ids = list(EDGES)
    cost = np.array([[path_length(a, b) for b in ids] for a in ids])
    expected = ot.emd2(np.array(p) / sum(p), np.array(q) / sum(q), cost)
    made = tree_movers(
        dict(zip(ids, p, strict=True)), dict(zip(ids, q, strict=True)), lambda id: EDGES[id][0], lambda id: EDGES[id][1]
    )
    assert made == pytest.approx(expected, abs=1e-9)
