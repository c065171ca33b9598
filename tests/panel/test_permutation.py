"""Shuffling within tasters: against counting by hand, scipy, published exact tests and seeded identical coffees."""

from __future__ import annotations

from itertools import permutations, product

import numpy as np
import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from trials import trials

from tastevocab.panel.permutation import drawn, shuffle, tallied, telling_of
from tastevocab.panel.tried import against_rest, joined, pairs, permuted, tried_of


def everybody(found: np.ndarray) -> np.ndarray:
    return np.ones(found.shape[:2], dtype=bool)


def one_word(gained: int, lost: int) -> np.ndarray:
    """Two servings, one word: so many find it only in the second, so many only in the first, three in both."""
    rows = [(0, 1)] * gained + [(1, 0)] * lost + [(1, 1)] * 3
    return np.array(rows, dtype=bool)[:, :, None]


@pytest.mark.parametrize(
    ("gained", "lost", "p"),
    [(8, 1, 0.0390625), (9, 1, 0.021484375), (7, 1, 0.0703125), (6, 0, 0.03125), (5, 0, 0.0625)],
)
def test_one_word_of_two_servings_is_the_exact_sign_test(gained, lost, p) -> None:
    """McNemar (1947) exact; sign test of 8 of 9, 9 of 10, 7 of 8 (Conover 1999, from tables). Five tasters cannot
    prove anything with two servings: even all of them one way is 0.0625."""
    found = one_word(gained, lost)
    made = shuffle(found, everybody(found), pairs([(0, 1)]))
    assert made.exact
    assert made.tasters == gained + lost
    assert made.p[0, 0] == pytest.approx(p)
    assert made.p[0, 0] == pytest.approx(scipy.stats.binomtest(gained, gained + lost).pvalue)


def by_hand(found: np.ndarray, had: np.ndarray, asked: list[tuple[int, int]]) -> np.ndarray:
    """Westfall and Young's step-down adjusted p, every order of every taster's servings written out."""

    def statistics(cube: np.ndarray) -> np.ndarray:
        rows = []
        for a, b in asked:
            both = had[:, a] & had[:, b]
            rows.append([float(cube[both, b, w].sum() - cube[both, a, w].sum()) for w in range(cube.shape[2])])
        return np.array(rows).ravel()

    cubes = []
    orders = [list(permutations(np.flatnonzero(row))) for row in had]
    for chosen in product(*orders):
        cube = found.astype(float).copy()
        for t, order in enumerate(chosen):
            cube[t, np.flatnonzero(had[t])] = found[t, list(order)]
        cubes.append(statistics(cube))
    worked = np.array(cubes)
    spread = np.sqrt((worked**2).mean(axis=0))
    live = [i for i in range(len(spread)) if spread[i] > 1e-12]
    seen = np.abs(statistics(found.astype(float)))
    adjusted, highest = np.ones(len(spread)), 0.0
    left = sorted(live, key=lambda i: -seen[i] / spread[i])
    while left:
        biggest = np.max(np.abs(worked[:, left]) / spread[left], axis=1)
        highest = max(highest, float((biggest >= seen[left[0]] / spread[left[0]] - 1e-9).mean()))
        adjusted[left.pop(0)] = highest
    return adjusted


@given(arrays(bool, (3, 3, 3)), arrays(bool, (3, 3), elements=st.sampled_from([True, True, True, False])))
@trials(20)
def test_adjusted_p_against_enumeration_by_hand(found, had) -> None:
    """Gaps too: who was not there is shuffled among what they had. Variances come from the enumeration here, from the
    formula there."""
    found &= had[:, :, None]
    asked = [(0, 1), (1, 2), (0, 2)]
    made = shuffle(found, had, pairs(asked))
    assert made.exact
    assert made.p.ravel() == pytest.approx(by_hand(found, had, asked))


def test_one_word_of_three_servings_against_scipy() -> None:
    """scipy's exact permutation of samples: each taster's three marks in every order, the biggest pair difference."""
    data = np.array([[0, 0, 1], [0, 0, 1], [0, 1, 1], [0, 0, 1]], dtype=float)

    def biggest(*columns, axis):
        sums = [c.sum(axis=axis) for c in columns]
        return np.max([np.abs(b - a) for i, a in enumerate(sums) for b in sums[i + 1 :]], axis=0)

    # scipy shuffles each sample (serving) across tasters: turned on its side, a taster's servings.
    def statistic(*tasters, axis):
        return biggest(*np.moveaxis(np.stack(tasters), -1, 0), axis=0)

    expected = scipy.stats.permutation_test(
        list(data), statistic, permutation_type="pairings", n_resamples=np.inf, alternative="greater", vectorized=True
    )
    found = data.astype(bool)[:, :, None]
    made = shuffle(found, everybody(found), pairs([(0, 1), (0, 2), (1, 2)]))
    assert made.overall == pytest.approx(expected.pvalue)


def test_more_servings_let_a_small_panel_prove() -> None:
    """Four of four find it in the third of three cups and nowhere else: 3 of the 81 ways put it in one cup."""
    found = np.zeros((4, 3, 1), dtype=bool)
    found[:, 2] = True
    assert shuffle(found, everybody(found), against_rest(3)).p[2, 0] == pytest.approx(3 / 81)


def test_drawn_shuffles_agree_with_all_of_them() -> None:
    random = np.random.default_rng(3)
    found = random.random((5, 3, 4)) < 0.35
    found[:, 2, 0] = True
    had = everybody(found)
    whole = shuffle(found, had, against_rest(3))
    import tastevocab.panel.permutation as module

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "EXACT", 1)
        drawn = shuffle(found, had, against_rest(3), seed=4)
        assert drawn.p == pytest.approx(shuffle(found, had, against_rest(3), seed=4).p)
    assert (whole.exact, drawn.exact) == (True, False)
    assert drawn.p == pytest.approx(whole.p, abs=0.02)


def test_nothing_differs() -> None:
    found = np.ones((3, 2, 2), dtype=bool)
    made = shuffle(found, everybody(found), pairs([(0, 1)]))
    assert (made.overall, made.tasters, made.p.tolist()) == (1.0, 0, [[1.0, 1.0]])


@given(arrays(bool, (4, 3, 3)), st.permutations(range(4)), st.permutations(range(3)))
@trials(20)
def test_order_of_tasters_and_words_does_not_matter(found, tasters, words) -> None:
    made = shuffle(found, everybody(found), against_rest(3))
    turned = shuffle(found[tasters][:, :, words], everybody(found), against_rest(3))
    assert turned.p == pytest.approx(made.p[:, words])


def test_false_alarms_for_identical_coffees() -> None:
    """Words drawn alike in both cups (fixed seed): at most 5 % of tables may name a difference anywhere. The bound is
    5 % and three standard errors of 300 tables. The whole table: tests/bench/claims_tables.py."""
    random = np.random.default_rng(11)
    rates = np.array([0.6, 0.4, 0.3, 0.2, 0.2, 0.1, 0.1, 0.1])
    habit = random.random((300, 8, 1, 8)) < 0.3
    found = habit | (random.random((300, 8, 2, 8)) < rates)
    alarms = sum(shuffle(table, everybody(table), pairs([(0, 1)])).overall <= 0.05 for table in found)
    assert alarms / 300 <= 0.05 + 3 * (0.05 * 0.95 / 300) ** 0.5


@given(arrays(bool, (6, 4, 3)), arrays(bool, (6, 4)), st.integers(1, 5))
@trials(20)
def test_a_crowd_in_pieces_tells_what_it_tells_as_one(found, had, cut) -> None:
    """Sums of what two groups of tasters add up to, and of the same shuffles of both; exact ways and drawn ones."""
    names = [f"taster {i}" for i in range(6)]
    for question in (pairs([(0, 1), (1, 2), (2, 3), (0, 3)]), against_rest(4)):
        pieces = [tried_of(found[part], had[part], names[part]) for part in (slice(cut), slice(cut, None))]
        whole = tallied(tried_of(found, had, names), question, 3)
        summed = tallied(pieces[0], question, 3) + tallied(pieces[1], question, 3)
        assert summed.observed == pytest.approx(whole.observed)
        assert summed.variance == pytest.approx(whole.variance)
        assert (summed.tasters, summed.findings, summed.ways) == (whole.tasters, whole.findings, whole.ways)
        telling = [telling_of(piece, question, 3) for piece in pieces]
        both = telling_of(tried_of(found, had, names), question, 3)
        blocks = [next(drawn(piece, question, 3, range(20, 50))) for piece in (*telling, joined(telling), both)]
        assert blocks[0] + blocks[1] == pytest.approx(blocks[3])
        assert blocks[2] == pytest.approx(blocks[3])


def test_shuffles_are_even() -> None:
    """Each of three servings' words come to stand in each place a third of the time (chi square, 99.9 %)."""
    tried = tried_of(np.ones((50, 3, 1), dtype=bool), np.ones((50, 3), dtype=bool))
    stands = permuted(tried, range(400), 1) % 3
    for row in range(3):
        counts = np.bincount(stands[:, row::3].ravel(), minlength=3)
        assert scipy.stats.chisquare(counts).pvalue > 0.001
