"""The table of coffees and words: cells, ellipses, shares over the moments, each against something outside."""

from __future__ import annotations

import math
from itertools import permutations, product
from unittest.mock import patch

import numpy as np
import pandas as pd
import prince
import pytest
import scipy.stats
from hypothesis import given
from hypothesis.extra.numpy import arrays
from scipy.linalg import orthogonal_procrustes
from statsmodels.stats.contingency_tables import StratifiedTable
from statsmodels.stats.proportion import proportion_confint
from trials import trials

from tastevocab.errors import StatisticsError
from tastevocab.panel.cell_tests import cell_chances, cell_lines, cell_table
from tastevocab.panel.correspondence import correspondence
from tastevocab.panel.ellipses import _gaps, _hotelling, ellipses
from tastevocab.panel.flavour_map import Serving, build_map
from tastevocab.panel.over_moments import courses, share_lines
from tastevocab.panel.plane import plane

# --- cells ---


@given(arrays(bool, (3, 3, 2)), arrays(bool, (3, 3)))
@trials(20)
def test_cells_against_every_order_written_out(found, had) -> None:
    """Every taster's own finds in every order over the coffees they had; those of one coffee change places."""
    found = found & had[:, :, None]
    single = np.flatnonzero(had.sum(axis=1) == 1)
    many = np.flatnonzero(had.sum(axis=1) > 1)
    orders = [list(permutations(np.flatnonzero(had[t]))) for t in many]
    tables = []
    for chosen, swapped in product(product(*orders), permutations(single)):
        table = np.zeros_like(found)
        for t, order in zip(many, chosen, strict=True):
            table[t, np.flatnonzero(had[t])] = found[t, list(order)]
        for t, other in zip(single, swapped, strict=True):
            table[t, had[t]] = found[other, had[other]]
        tables.append(table.sum(axis=0))
    counts = np.array(tables)
    expected, p, _ = cell_chances(found, had)
    for cell in np.ndindex(expected.shape):
        values, times = np.unique(counts[(slice(None), *cell)], return_counts=True)
        seen = times[values == found[:, cell[0], cell[1]].sum()][0]
        assert p[cell] == pytest.approx(times[times <= seen].sum() / len(counts))
        assert expected[cell] == pytest.approx(counts[(slice(None), *cell)].mean())


@pytest.mark.parametrize(("gained", "lost"), [(8, 1), (9, 1), (6, 0), (5, 4)])
def test_two_coffees_each_are_mcnemars_exact_test(gained, lost) -> None:
    rows = [(0, 1)] * gained + [(1, 0)] * lost + [(1, 1)] * 3 + [(0, 0)] * 2
    found = np.array(rows, dtype=bool)[:, :, None]
    _, p, _ = cell_chances(found, np.ones(found.shape[:2], dtype=bool))
    expected = scipy.stats.binomtest(gained, gained + lost).pvalue
    assert p[:, 0].tolist() == pytest.approx([expected] * 2)


@pytest.mark.parametrize(("a", "n", "b", "m"), [(8, 10, 1, 6), (3, 4, 1, 4), (20, 30, 12, 40), (0, 7, 5, 8)])
def test_one_coffee_each_is_fishers_exact_test(a, n, b, m) -> None:
    """3 of 4 and 1 of 4 is the lady who tastes tea (Fisher 1935): 0.486 two-sided."""
    had = np.array([(1, 0)] * n + [(0, 1)] * m, dtype=bool)
    found = np.zeros((n + m, 2, 1), dtype=bool)
    found[:a, 0] = found[n : n + b, 1] = True
    _, p, _ = cell_chances(found, had)
    assert p[0, 0] == pytest.approx(scipy.stats.fisher_exact([[a, n - a], [b, m - b]]).pvalue)
    if (a, n) == (3, 4):
        assert p[0, 0] == pytest.approx(34 / 70)


def test_crowds_get_mantel_and_haenszel_by_statsmodels() -> None:
    random = np.random.default_rng(3)
    found = random.random((1200, 3, 1)) < np.array([0.3, 0.2, 0.2])[:, None]
    had = np.ones((1200, 3), dtype=bool)
    _, p, _ = cell_chances(found, had)
    with patch("tastevocab.panel.cell_tests.EXACT", 2000):
        exact = cell_chances(found, had)[1]
    for coffee in range(3):
        tables = []
        for row in found[:, :, 0].astype(float):
            here, rest = row[coffee], row.sum() - row[coffee]
            tables.append(np.array([[here, 1 - here], [rest, 2 - rest]]))
        assert p[coffee, 0] == pytest.approx(StratifiedTable(tables).test_null_odds(correction=True).pvalue)
        assert p[coffee, 0] == pytest.approx(exact[coffee, 0], rel=0.15)


@pytest.fixture
def three(spans, table):
    """Twelve tasters: C is jasmine for ten, chocolate is everywhere for the same six."""
    panel = [f"t{i:02}" for i in range(12)]
    maps = {}
    for coffee, share in (("A", 1), ("B", 1), ("C", 10)):
        found = [table.say(t, "jasmine") for t in panel[:share]] + [table.say(t, "milk_chocolate") for t in panel[::2]]
        maps[coffee] = build_map(found, Serving(coffee), panel, spans)
    return maps


def test_the_cell_that_stands_out_is_told_once_with_its_correction(spans, three) -> None:
    made = cell_table(three, spans)
    # The family holds nothing but jasmine, and chocolate cannot move: three cells are asked.
    assert (made.cells[0].coffee, made.cells[0].print) == ("C", "jasmine")
    assert len(made.cells) == 3
    # Nine found it in C alone (each 1/3 by chance), one in all three.
    assert made.cells[0].p == pytest.approx(3.0**-9)
    assert made.cells[0].q == pytest.approx(3 * 3.0**-9)
    assert made.cells[0].expected == pytest.approx(9 / 3 + 1)
    assert [(c.coffee, c.way) for c in made.told] == [("C", "more")] + [(c, "less") for c in "AB" if made.cells[1].told]
    assert any("jasmine" in line and "10 of 12, more than the 4.0 expected" in line for line in cell_lines(made, {}))


def test_identical_coffees_hardly_ever_have_a_cell_that_is_told(spans, table) -> None:
    random = np.random.default_rng(8)
    words = ("mandarin", "jasmine", "milk_chocolate", "blackberry", "plum_jam", "black_plum")
    told = 0
    for _ in range(40):
        maps = {}
        for cup in "XYZ":
            found = [table.say(t, str(w)) for t in "ABCDEF" for w in random.choice(words, 3, replace=False)]
            maps[cup] = build_map(found, Serving(cup), "ABCDEF", spans)
        told += bool(cell_table(maps, spans).told)
    assert told <= 4


def test_tables_too_small_for_cells_are_refused(spans, table) -> None:
    one = {
        c: build_map([table.say(t, "jasmine") for t in who], Serving(c), "AB", spans)
        for c, who in zip("xy", ("AB", ""), strict=True)
    }
    with pytest.raises(StatisticsError, match="too few"):
        cell_table(one, spans)
    with pytest.raises(StatisticsError, match="no table"):
        cell_table({"x": one["x"]}, spans)


# --- ellipses ---


def drawn_table(tasters=14, seed=2):
    random = np.random.default_rng(seed)
    chances = random.dirichlet(np.ones(6), size=4) * 2.2
    found = random.random((tasters, 4, 6)) < np.minimum(chances, 0.9)
    return found, correspondence(found.sum(axis=0).T.astype(float), "abcdef", "WXYZ")


def test_resampled_planes_are_princes_turned_by_scipy() -> None:
    found, made = drawn_table()
    gaps = next(_gaps(found.astype(float), made, 20, 5))
    times = np.random.default_rng(5).multinomial(14, np.full(14, 1 / 14), size=20)
    axes = made.row_points[:, :2] / np.sqrt(made.inertia[:2])
    real = found.sum(axis=0) / found.sum(axis=(0, 2))[:, None]
    checked = 0
    for drawn, gap in zip(times, gaps, strict=True):
        counts = np.einsum("t,tcw->cw", drawn, found.astype(float))
        if not counts.sum(axis=0).all():
            continue  # prince takes no empty row
        frame = pd.DataFrame(counts.T, index=list("abcdef"), columns=list("WXYZ"))
        ca = prince.CA(n_components=2).fit(frame)
        own = ca.row_coordinates(frame).to_numpy() / np.sqrt(ca.eigenvalues_[:2])
        weight = np.sqrt(made.row_mass)[:, None]
        turn, _ = orthogonal_procrustes(weight * own, weight * axes)
        assert gap == pytest.approx((real - counts / counts.sum(axis=1)[:, None]) @ own @ turn, abs=1e-8)
        checked += 1
    assert checked > 10


@pytest.mark.parametrize("tasters", [5, 8, 20, 200])
def test_the_reach_of_an_ellipse_is_hotellings(tasters) -> None:
    expected = 2 * (tasters - 1) / (tasters - 2) * scipy.stats.f.ppf(0.95, 2, tasters - 2)
    assert _hotelling(tasters) == pytest.approx(expected)


def test_an_ellipse_is_the_spread_of_the_gaps_and_seeded() -> None:
    found, made = drawn_table()
    had = np.ones(found.shape[:2], dtype=bool)
    first = ellipses(found, had, made, samples=640)[0]
    gaps = np.concatenate(list(_gaps(found.astype(float), made, 640, 1)))[:, 0]
    assert (first.x, first.y) == pytest.approx(tuple(made.column_points[0, :2] + gaps.mean(axis=0)))
    spread = np.cov(gaps.T) * 14 / 13 * _hotelling(14)
    assert (first.long**2, first.short**2) == pytest.approx(tuple(np.linalg.eigvalsh(spread)[::-1]))
    x, y = (line - middle for line, middle in zip(first.outline(), (first.x, first.y), strict=True))
    on_it = np.einsum("ia,ab,ib->i", np.stack([x, y], 1), np.linalg.inv(spread), np.stack([x, y], 1))
    assert on_it == pytest.approx(np.ones(73))
    assert ellipses(found, had, made, samples=640)[0] == first


def test_ellipses_hold_the_true_place_about_as_often_as_they_say() -> None:
    """Sixty seeded tables of ten tasters: the true profile, laid on each table's own plane, lies inside. Of 240 at 95 %
    fewer than 213 come in one of ten thousand."""
    random = np.random.default_rng(7)
    inside = 0
    for _ in range(60):
        chances = np.clip(random.dirichlet(np.ones(8)) * 3.5 * np.exp(random.normal(0, 0.7, (4, 8))), 0.02, 0.9)
        found = random.random((10, 4, 8)) < chances
        kept = found.sum(axis=(0, 1)) > 0
        made = correspondence(found[:, :, kept].sum(axis=0).T.astype(float), list(np.flatnonzero(kept)), "WXYZ")
        drawn = ellipses(found[:, :, kept], np.ones((10, 4), dtype=bool), made, samples=256)
        true = chances[:, kept] / chances[:, kept].sum(axis=1)[:, None]
        places = true @ (made.row_points[:, :2] / np.sqrt(made.inertia[:2]))
        for e, place in zip(drawn, places, strict=True):
            x, y = place - (e.x, e.y)
            cosine, sine = math.cos(e.turned), math.sin(e.turned)
            inside += ((x * cosine + y * sine) / e.long) ** 2 + ((y * cosine - x * sine) / e.short) ** 2 <= 1
    assert inside >= 213


def test_the_plane_says_why_it_has_no_ellipses(spans, table, three) -> None:
    from tastevocab.panel.comparison import Comparison

    few = {
        c: build_map([table.say(t, w) for t in "AB" for w in words], Serving(c), "AB", spans)
        for c, words in {
            "x": ("jasmine", "mandarin"),
            "y": ("milk_chocolate",),
            "z": ("blackberry", "mandarin"),
        }.items()
    }
    made = plane(Comparison("coffee", "few", tuple(few), few, (), None), spans)
    assert made.ellipses == ()
    assert "fewer than 5 tasters" in made.without
    two_axes = plane(Comparison("coffee", "flat", tuple(three), three, (), None), spans)
    assert "three coffees and three words" in two_axes.without


# --- shares over the moments ---


def test_shares_count_those_who_were_there(spans, table) -> None:
    """Five at the hot cup, three at the cool one: B and E had left, and are no no."""
    hot = build_map([table.say(t, "jasmine") for t in "AB"], Serving("x", None, "hot"), "ABCDE", spans)
    cool = build_map([table.say(t, "jasmine") for t in "ACD"], Serving("x", None, "cool"), "ACD", spans)
    (made,) = courses((hot, cool), spans)
    assert [(s.moment, s.people, s.of) for s in made.shares] == [("hot", 2, 5), ("cool", 3, 3)]
    for share in made.shares:
        assert (share.low, share.high) == pytest.approx(
            proportion_confint(share.people, share.of, method="beta"), abs=1e-6
        )
    assert "hot 2 of 5 (5 to 85 %), cool 3 of 3 (29 to 100 %)" in list(share_lines([made]))[1]


def test_a_crowds_shares_have_wilsons_intervals(spans, table) -> None:
    panel = [f"t{i:03}" for i in range(80)]
    maps = [
        build_map([table.say(t, "jasmine") for t in panel[:k]], Serving("x", None, m), panel, spans)
        for m, k in (("hot", 60), ("cool", 12))
    ]
    (made,) = courses(maps, spans)
    for share in made.shares:
        expected = proportion_confint(share.people, 80, method="wilson")
        assert (share.low, share.high) == pytest.approx(expected, abs=1e-9)


def test_shares_need_two_moments_with_people(spans, table) -> None:
    hot = build_map([table.say("A", "jasmine")], Serving("x", None, "hot"), "A", spans)
    empty = build_map([], Serving("x", None, "cool"), "", spans)
    with pytest.raises(StatisticsError, match="no course"):
        courses([hot], spans)
    with pytest.raises(StatisticsError, match="nobody was there at cool"):
        courses([hot, empty], spans)
