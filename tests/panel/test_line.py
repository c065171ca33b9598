"""The notes line: the facility location optimum, coverage, stability, order."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from panel_examples import first_example
from trials import trials

from tastevocab.panel import line as line_module
from tastevocab.panel.flavour_map import Serving, build_map
from tastevocab.panel.line import best_subset, coverage, notes_line, own_weights, unfolding
from tastevocab.panel.rungs import climb

CLIENTS = np.array(
    [[0.7, 0.1, 0, 0.4], [0.9, 0.7, 0.4, 0.6], [0.5, 0, 0.7, 0.5], [0.2, 0.9, 0.1, 0.7], [0, 0.3, 0.4, 0.2]]
)


def value(likeness, weights, chosen) -> float:
    return float((likeness[:, list(chosen)].max(axis=1) * weights).sum())


def test_where_greedy_is_not_the_optimum(monkeypatch) -> None:
    """Facility location (Cornuejols, Fisher & Nemhauser 1977): best pair {0, 1} with 3.3; greedy takes {0, 3}, 3.0."""
    weights = np.ones(5)
    assert best_subset(CLIENTS, weights, 2) == (0, 1)
    assert value(CLIENTS, weights, (0, 1)) == pytest.approx(3.3)
    monkeypatch.setattr(line_module, "EXACT", 0)
    greedy = best_subset(CLIENTS, weights, 2)
    assert greedy == (0, 3)
    assert value(CLIENTS, weights, greedy) == pytest.approx(3.0)


@given(st.integers(1, 6), st.integers(1, 6), st.integers(1, 4), st.randoms(use_true_random=False))
@trials(20)
def test_optimum_against_brute_force(rows, columns, size, random) -> None:
    likeness = np.array([[random.random() for _ in range(columns)] for _ in range(rows)])
    weights = np.array([random.random() for _ in range(rows)])
    chosen = best_subset(likeness, weights, size)
    every = combinations(range(columns), min(size, columns))
    assert value(likeness, weights, chosen) == pytest.approx(max(value(likeness, weights, c) for c in every))


def test_the_line_of_the_first_example(spans, tools, table) -> None:
    made = build_map(first_example(table), Serving("x"), "ABCDE", spans)
    line = notes_line(made, climb(made, spans), spans, tools.measures)
    assert line.words == ("reach/dark_fruit",)
    assert line.why == "The only word at quorum."
    assert 0 < line.coverage < line.best[0].coverage < line.best[1].coverage < line.best[2].coverage <= 1
    assert line.unstable == ()


def test_coverage_is_one_where_every_word_is_printed(spans, tools, table) -> None:
    made = build_map([table.say("A", "jasmine"), table.say("B", "cola")], Serving("x"), "AB", spans)
    weights = own_weights(made.folded, "mark")
    assert coverage(made.folded, weights, made.folded.descriptors, tools.measures) == pytest.approx(1)
    assert coverage(made.folded, weights, (), tools.measures) == 0


def test_leaving_one_taster_out_is_told(spans, tools, table) -> None:
    found = [table.say(t, "jasmine") for t in "ABC"] + [table.say(t, "mandarin") for t in "CDE"]
    made = build_map(found, Serving("x"), "ABCDE", spans)
    line = notes_line(made, climb(made, spans), spans, tools.measures)
    assert set(line.words) == {"flower_bench/white_blossom/jasmine", "citrus_crate/orange_mandarin/mandarin"}
    without = dict(line.unstable)
    assert set(without) == set("ABCDE")
    assert without["A"] == ("citrus_crate/orange_mandarin/mandarin",)
    assert without["C"] == ()


def test_three_of_four_words_at_quorum(spans, tools, table) -> None:
    found = [table.say(t, w) for t in "ABC" for w in ("jasmine", "mandarin", "cocoa_powder", "blackberry")]
    found += [table.say("A", "milk_chocolate"), table.say("B", "lime")]
    made = build_map(found, Serving("x"), "ABC", spans)
    line = notes_line(made, climb(made, spans), spans, tools.measures)
    assert len(line.words) == 3
    assert line.why == "Of 4 words at quorum the 3 that best stand for the whole map, strongest first."


def test_order_as_the_cup_unfolds(spans, table) -> None:
    ids = ["choc_cream/dark_choc/cocoa_powder", "flower_bench/white_blossom/jasmine"]
    found = [
        table.say("A", "cocoa_powder", moment="cool"),
        table.say("B", "jasmine", moment="dry"),
        table.say("A", "jasmine", moment="hot"),
    ]
    assert unfolding(ids, found, spans) == ids[::-1]
    finish = [table.say("A", "jasmine", place="finish"), table.say("A", "cocoa_powder", place="front")]
    assert unfolding(ids[::-1], finish, spans) == ids
