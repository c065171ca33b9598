"""The geometry of the wheel: sums, containment and the errors of a tree that contradicts itself."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from trials import trials
from wheel_trees import FOUND, RING, make_tree

from tastevocab.errors import InputError
from tastevocab.wheel.arcs import arcs
from tastevocab.wheel.tree import WheelNode, WheelTree


def test_angle_is_share_of_the_map(tree: WheelTree) -> None:
    total = sum(row[6] for row in FOUND)
    petals = {(a.node, a.own): a for a in arcs(tree) if a.ring == "petal"}
    black_tea = petals["tea_caddy/black_leaf/black_tea", False]
    assert black_tea.span == pytest.approx(9.0 / total * math.tau)
    assert black_tea.start == 0.0
    assert petals["citrus_crate/orange_mandarin", True].span == pytest.approx(4.5 / total * math.tau)


def test_petal_length_is_people_of_the_tasters(tree: WheelTree) -> None:
    petals = {(a.node, a.own): a for a in arcs(tree) if a.ring == "petal"}
    assert petals["tea_caddy/black_leaf/black_tea", False].length == 4 / 5
    assert petals["orchard/golden_stone", True].length == 2 / 5  # those who said it broadly, not all below it


def test_broad_and_doubtful_parts_are_told_apart(tree: WheelTree) -> None:
    by_key = {(a.node, a.ring): a for a in arcs(tree)}
    assert by_key["reach/dark_fruit", "family"].open
    assert by_key["reach/dark_fruit", "petal"].open
    assert by_key["reach/dark_fruit", "petal"].reach
    assert by_key["orchard/golden_stone", "petal"].open
    assert not by_key["orchard/golden_stone", "family"].open
    assert by_key["citrus_crate/peel_oil/orange_zest", "petal"].hedged == 0.5


def test_categories_walk_in_the_order_of_the_ring() -> None:
    shuffled = make_tree(FOUND[::-1])
    order = [a.node for a in arcs(shuffled) if a.ring == "category"]
    assert order == [id for id in RING if id in order]
    assert len(order) == 7


def test_a_word_without_a_home_has_a_place_of_its_own() -> None:
    lone = WheelNode("reach/fruity", "", "fruity", "reach", 1.0, 1.0, 2, 5, open=True)
    tree = make_tree()
    found = arcs(replace(tree, nodes=(*tree.nodes, lone)))
    assert [(a.ring, a.category, a.open) for a in found if a.node == "reach/fruity"] == [
        ("category", "", True),
        ("petal", "", True),
    ]


weights = st.floats(0.01, 50)
rows = st.lists(
    st.tuples(st.sampled_from(RING), st.integers(0, 3), st.integers(0, 5), weights, st.integers(1, 5), st.floats(0, 1)),
    min_size=1,
    max_size=40,
    unique_by=lambda r: r[:3],
)


@trials(20)
@given(rows)
def test_rings_close_and_children_lie_within_their_parents(given_rows: list) -> None:
    tree = make_tree(
        tuple(
            (c, c, f"f{f}", f"family {f}", f"n{n}" if n else "", f"note {n}", w, k, h)
            for c, f, n, w, k, h in given_rows
        )
    )
    found = arcs(tree)
    categories = [a for a in found if a.ring == "category"]
    assert categories[0].start == 0
    assert categories[-1].end == pytest.approx(math.tau)
    assert all(a.end == b.start for a, b in pairwise(categories))
    petals = [a for a in found if a.ring == "petal"]
    assert sum(a.span for a in petals) == pytest.approx(math.tau)
    assert all(a.end <= b.start + 1e-9 for a, b in pairwise(petals))
    for arc in found:
        category = next(a for a in categories if a.node == arc.category)
        assert category.start - 1e-9 <= arc.start <= arc.end <= category.end + 1e-9


GOOD = WheelNode("citrus", "", "Citrus", "category", 2.0, 2.0, 1, 3)


@pytest.mark.parametrize(
    ("nodes", "said"),
    [
        ((GOOD, GOOD), "twice"),
        ((replace(GOOD, wedge=3.0),), "add up to 2"),
        ((replace(GOOD, wedge=math.nan),), "wedge nan"),
        ((replace(GOOD, own=-1.0),), "own -1"),
        ((replace(GOOD, people=4),), "4 of 3"),
        ((replace(GOOD, hedged_share=1.5),), "hedged share"),
        ((GOOD, WheelNode("x", "gone", "x", "family", 0, 0)), "'gone', which is not there"),
        ((GOOD, WheelNode("x", "citrus", "x", "note", 0, 0)), "hangs from 'citrus'"),
        ((GOOD, WheelNode("x", "", "x", "note", 0, 0)), "hangs from nothing"),
        ((GOOD, WheelNode("", "", "x", "category", 0, 0)), "no id"),
    ],
)
def test_a_tree_that_contradicts_itself_is_refused(nodes: tuple, said: str) -> None:
    with pytest.raises(InputError, match=said):
        arcs(WheelTree(nodes, ("citrus",), "x"))


def test_nothing_found_gives_no_arcs() -> None:
    assert arcs(WheelTree((), RING, "x")) == ()
