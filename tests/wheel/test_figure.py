"""Plotly's figure: its rows, what it holds, from a tree and from a map of the JSON contract."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from trials import trials
from wheel_trees import FOUND, RING, make_tree

from tastevocab.errors import InputError
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.wheel import figure
from tastevocab.wheel.page_figure import figure_page, hover, tree_from
from tastevocab.wheel.page_rows import ROOT, WHOLE, check_rows, page_rows
from tastevocab.wheel.tree import WheelTree

# --- rows ---


def test_rows_say_what_the_tree_says(tree: WheelTree) -> None:
    rows = {row.id: row for row in page_rows(tree)}
    assert rows[ROOT].value == pytest.approx(WHOLE, abs=len(rows))
    total = sum(row[6] for row in FOUND)
    assert rows["tea_caddy/black_leaf/black_tea"].share == pytest.approx(9.0 / total, abs=1e-8)
    assert rows["orchard/golden_stone#own"].label == "said broadly"
    assert rows["orchard/golden_stone#own"].parent == "orchard/golden_stone"
    assert rows["reach/dark_fruit"].open
    assert "reach/dark_fruit#own" not in rows
    assert rows["citrus_crate/peel_oil/orange_zest"].count == "2 of 5"


@trials(20)
@given(
    st.lists(
        st.tuples(st.sampled_from(RING), st.integers(0, 3), st.integers(0, 4), st.floats(0.001, 99)),
        min_size=1,
        max_size=40,
        unique_by=lambda r: r[:3],
    )
)
def test_rows_always_add_up(found: list) -> None:
    rows = page_rows(make_tree(tuple((c, c, f"f{f}", "f", f"n{n}" if n else "", "n", w, 1, 0) for c, f, n, w in found)))
    children: dict[str, int] = {}
    for row in rows:
        children[row.parent] = children.get(row.parent, 0) + row.value
    assert all(children[row.id] == row.value for row in rows if row.id in children)
    assert sum(row.parent == "" for row in rows) == 1


def test_wrong_rows_are_refused(tree: WheelTree) -> None:
    rows = page_rows(tree)
    for wrong, said in (
        ((*rows, rows[-1]), "twice"),
        ((*rows, replace(rows[-1], id="x", parent="")), "second root"),
        ((*rows, replace(rows[-1], id="x", parent="nowhere")), "not before it"),
        ((*rows[:-1], replace(rows[-1], value=1)), "add up to"),
    ):
        with pytest.raises(InputError, match=said):
            check_rows(wrong)


def test_the_figure_holds_the_rows_and_nothing_else(tree: WheelTree) -> None:
    drawn = figure(tree).to_plotly_json()["data"][0]
    assert drawn["branchvalues"] == "total"
    assert sorted(drawn["ids"]) == sorted(row.id for row in page_rows(tree))
    assert len(drawn["marker"]["colors"]) == len(drawn["ids"]) == len(drawn["customdata"])


def test_pointing_shows_people_and_the_very_words(tree: WheelTree) -> None:
    row = next(row for row in page_rows(tree) if row.label == "bergamot")
    assert hover(row) == "<b>bergamot</b><br>3 of 5 tasters, 11 % of the map<br>Mira, 01:23: a bit of bergamot"
    many = replace(row, evidence=tuple(f"<b>{i}" for i in range(9)), denials=2)
    assert "2 said no" in hover(many)
    assert "&lt;b&gt;0" in hover(many)
    assert "and 4 more" in hover(many)


# --- from the JSON contract ---

GALLERY = Path(__file__).parents[2] / "exports" / "gallery" / "pack" / "map.json"


@pytest.fixture(scope="module")
def made_map() -> dict:
    return json.loads(GALLERY.read_text("utf-8"))["maps"][0]


def test_a_map_of_the_json_becomes_a_sunburst(made_map: dict) -> None:
    burst = figure(made_map).to_plotly_json()["data"][0]
    assert burst["type"] == "sunburst"
    shown = {node["descriptor"] for node in made_map["nodes"] if node["wedge"] > 0}
    assert shown <= {id.removesuffix("#own") for id in burst["ids"]}
    assert burst["values"][burst["ids"].index(ROOT)] == pytest.approx(WHOLE, abs=len(shown))


def test_its_shares_are_the_maps(made_map: dict) -> None:
    rows = {row.id: row for row in page_rows(tree_from(made_map))}
    for node in made_map["nodes"]:
        if node["level"] == "category" and node["wedge"] > 0:
            assert rows[node["descriptor"]].share == pytest.approx(node["share"], abs=1e-5)


def test_its_ring_is_the_shipped_one_where_its_categories_are(made_map: dict) -> None:
    """Colours are then those of the print files; a vocabulary of its own has its own ring."""
    shipped, found = open_vocabulary().ring, [n for n in made_map["nodes"] if n["level"] == "category"]
    assert tree_from(made_map).ring == shipped
    odd = {**made_map, "nodes": [{**n, "descriptor": f"our_{n['descriptor']}"} for n in found]}
    assert tree_from(odd).ring == tuple(f"our_{n['descriptor']}" for n in found if n["wedge"] > 0)


def test_what_is_no_map_is_refused() -> None:
    with pytest.raises(InputError, match="no flavour map"):
        figure({"maps": []})


def test_the_page_of_the_figure_carries_its_library(tree: WheelTree) -> None:
    page = figure_page(tree)
    assert len(page) > 1_000_000
    assert not re.search(r'<script[^>]* src="http', page)
