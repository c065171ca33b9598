"""Tree measures against a hand-made check tree, WordNet's published pair, networkx and their own laws."""

from __future__ import annotations

import math
import random

import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st
from vocabulary_toys import tree_of

from tastevocab.vocabulary.graph import graph, only
from tastevocab.vocabulary.measures import TreeMeasures
from tastevocab.vocabulary.model import Vocabulary

HOMES = {
    "Stall": None, "Counter": None, "Berry": "Stall", "Citrus": "Stall",
    "Blackberry": "Berry", "Raspberry": "Berry", "Lemon": "Citrus", "Almond": "Counter",
}  # fmt: skip
COUNTS = {
    "Stall": 10,
    "Berry": 5,
    "Blackberry": 15,
    "Raspberry": 5,
    "Citrus": 5,
    "Lemon": 20,
    "Counter": 20,
    "Almond": 20,
}

# Worked by hand from the formulas in the three papers named in measures.py, own counts N = 100.
PAIRS = [
    ("Blackberry", "Raspberry", "Berry", 0.333333, 1.386294, 0.566661),
    ("Blackberry", "Lemon", "Stall", 0.2, 0.510826, 0.291354),
    ("Blackberry", "Almond", "", 0.166667, 0, 0),
    ("Blackberry", "Berry", "Berry", 0.5, 1.386294, 0.844422),
    ("Berry", "Citrus", "Stall", 0.333333, 0.510826, 0.368483),
    ("Lemon", "Lemon", "Lemon", 1, 1.609438, 1),
]


@pytest.fixture(scope="module")
def check_tree() -> TreeMeasures:
    # The check tree hangs Almond straight under Counter; levels play no part in the formulas.
    return TreeMeasures(tree_of(HOMES), COUNTS)


@pytest.mark.parametrize(("a", "b", "lcs", "path", "resnik", "lin"), PAIRS)
def test_check_tree(check_tree: TreeMeasures, a: str, b: str, lcs: str, path: float, resnik: float, lin: float) -> None:
    for x, y in ((a, b), (b, a)):
        assert check_tree.lca(x, y) == lcs
        assert check_tree.path(x, y) == pytest.approx(path, abs=5e-7)
        assert check_tree.resnik(x, y) == pytest.approx(resnik, abs=5e-7)
        assert check_tree.lin(x, y) == pytest.approx(lin, abs=5e-7)


@pytest.mark.parametrize(
    ("id", "content"),
    [
        ("Stall", 0.510826),
        ("Counter", 0.916291),
        ("Berry", 1.386294),
        ("Blackberry", 1.897120),
        ("Raspberry", 2.995732),
        ("", 0),
    ],
)
def test_information_content(check_tree: TreeMeasures, id: str, content: float) -> None:
    assert check_tree.information(id) == pytest.approx(content, abs=5e-7)


def random_tree(size: int, seed: int) -> Vocabulary:
    pick = random.Random(seed)
    homes: dict[str, str | None] = {}
    for i in range(size):
        homes[f"n{i}"] = pick.choice([None, *homes]) if i else None
    return tree_of(homes)


@given(st.integers(2, 40), st.integers(0, 10_000))
def test_lca_is_networkxs(size: int, seed: int) -> None:
    vocabulary = random_tree(size, seed)
    measures = TreeMeasures(vocabulary)
    tree = networkx.DiGraph(only(graph(vocabulary), "tree").edges)
    pairs = [(a, b) for a in vocabulary.descriptors for b in vocabulary.descriptors if a < b][:60]
    for (a, b), theirs in networkx.tree_all_pairs_lowest_common_ancestor(tree, pairs=pairs):
        assert measures.lca(a, b) == theirs
        assert measures.distance(a, b) == networkx.shortest_path_length(tree.to_undirected(as_view=True), a, b)


@given(st.integers(2, 30), st.integers(0, 10_000))
def test_laws(size: int, seed: int) -> None:
    vocabulary = random_tree(size, seed)
    measures = TreeMeasures(vocabulary)
    pick = random.Random(seed + 1)
    a, b = pick.choices(list(vocabulary.descriptors), k=2)
    assert measures.lin(a, b) == measures.lin(b, a)
    assert 0 <= measures.lin(a, b) <= 1 + 1e-12
    assert measures.lin(a, a) == 1
    assert measures.resnik(a, b) <= min(measures.information(a), measures.information(b))


def test_default_counts_are_leaves() -> None:
    measures = TreeMeasures(tree_of(HOMES))
    assert measures.information("Berry") == pytest.approx(-math.log(2 / 4))


def test_a_reach_word_stands_above_its_span() -> None:
    homes = {"fruit": None, "stone": "fruit", "vine": "fruit", "plum": "stone", "peach": "stone", "grape": "vine"}
    other = {"nut": None, "nuts": "nut", "almond": "nuts"}
    measures = TreeMeasures(tree_of(homes | other, spans={"reach/dark": ("plum", "vine")}))
    assert measures.span_notes("reach/dark") == {"plum", "grape"}
    assert measures.covers("reach/dark", "vine")
    assert not measures.covers("reach/dark", "stone")
    assert not measures.covers("plum", "reach/dark")
    content = -math.log(2 / 4)
    assert measures.lin("plum", "reach/dark") == pytest.approx(2 * content / (content - math.log(1 / 4)))
    assert measures.lin("peach", "reach/dark") == 0
    assert measures.lin("reach/dark", "reach/dark") == 1


def test_weights_must_make_sense() -> None:
    tree = tree_of(HOMES)
    with pytest.raises(KeyError, match="Bread"):
        TreeMeasures(tree, {"Bread": 1})
    with pytest.raises(ValueError, match="not negative"):
        TreeMeasures(tree, {"Berry": -1})
    with pytest.raises(ValueError, match="above zero"):
        TreeMeasures(tree, {})
    assert TreeMeasures(tree, {"Lemon": 1}).lin("Almond", "Lemon") == 0


def test_the_shipped_vocabulary_is_a_tree(coffee: Vocabulary) -> None:
    whole = graph(coffee)
    assert networkx.is_arborescence(only(whole, "tree"))
    measures = TreeMeasures(coffee)
    notes = {d.id for d in coffee.descriptors.values() if d.level == "note" and not d.use_instead}
    assert measures.span_notes("") == notes
    assert measures.lin("hedgerow_vine/dark_berries/blackberry", "reach/dark_fruit") > measures.lin(
        "hedgerow_vine/red_berries/raspberry", "reach/dark_fruit"
    )


def test_every_link_is_an_edge(toy: Vocabulary) -> None:
    whole = graph(toy)
    lemonade, lemon = "citrus_row/orange_side/lemonade", "citrus_row/lemon_side/lemon"
    assert whole.edges[lemonade, lemon] == {"kin": True, "part": True}
    assert whole.edges[lemon, lemonade] == {"kin": True}
    assert whole.edges["reach/fruity", "citrus_row"] == {"span": True}
    assert whole.edges["", "reach/fruity"] == whole.edges["citrus_row", "reach/citrus"] == {"tree": True}
    with pytest.raises(ValueError, match="no kind of link"):
        only(whole, "uncle")


def test_retired_notes_are_not_counted(toy: Vocabulary) -> None:
    measures = TreeMeasures(toy)
    assert len(measures.span_notes("orchard_row/stones")) == 2
    assert measures.span_notes("orchard_row/stones/apricock") == {"orchard_row/stones/apricock"}
    assert measures.depth("orchard_row/stones/apricock") == 4
