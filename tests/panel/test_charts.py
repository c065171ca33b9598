"""The rows behind the pictures, and the pictures' own facts."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tastevocab.panel.chart_moments import moments_figure
from tastevocab.panel.chart_plane import plane_figure, points
from tastevocab.panel.chart_slope import slope_figure, slopes, spread_labels
from tastevocab.panel.correspondence import correspondence
from tastevocab.panel.ellipses import Ellipse
from tastevocab.panel.flavour_map import Serving, build_map
from tastevocab.panel.over_moments import courses
from tastevocab.panel.plane import Plane


@pytest.fixture
def cooling(spans, table):
    said = {
        "hot": [("ABCD", "milk_chocolate"), ("AB", "jasmine")],
        "cool": [("A", "milk_chocolate"), ("BCDE", "mandarin")],
    }
    return [
        build_map([table.say(t, w) for ts, w in found for t in ts], Serving("x", None, m), "ABCDE", spans)
        for m, found in said.items()
    ]


def test_slope_rows_are_people_at_each_serving(cooling, spans) -> None:
    rows = {s.print: (s.people, s.of) for s in slopes(cooling, spans)}
    assert rows["orange and mandarin"] == ((0, 4), (5, 5))
    assert rows["white blossom"] == ((2, 0), (5, 5))
    assert len(slopes(cooling, spans, most=1)) == 1
    assert slopes(cooling, spans, most=1)[0].print == "orange and mandarin"


def test_the_slope_figure_says_people_and_escapes_what_people_wrote(cooling, spans) -> None:
    figure = slope_figure(slopes(cooling, spans), ("hot", "<b>cool"), "Vale & Alto", "n = 5").to_dict()
    assert next(list(trace["y"]) for trace in figure["data"]) == [0.4, 0.0]
    texts = [a["text"] for a in figure["layout"]["annotations"]]
    assert any("orange and mandarin  4 of 5" in t for t in texts)
    assert "n = 5" in texts[-1]
    assert figure["layout"]["title"]["text"] == "Vale &amp; Alto"
    assert list(figure["layout"]["xaxis"]["ticktext"]) == ["hot", "&lt;b&gt;cool"]


@given(st.lists(st.floats(0, 1), min_size=1, max_size=12))
def test_labels_never_touch(heights) -> None:
    placed = sorted(spread_labels(heights, 0.045))
    assert all(b - a >= 0.044 for a, b in itertools.pairwise(placed))
    assert len(placed) == len(heights)


def test_the_plane_has_every_coffee_and_family_and_says_what_axes_hold() -> None:
    table = np.array([[30.0, 5, 4], [4, 28, 6], [5, 6, 31], [10, 10, 10]])
    made = correspondence(table, ("berry", "nut", "citrus", "caramel"), ("A", "B", "C"))
    found = points(made)
    assert [p.name for p in found] == ["A", "B", "C", "berry", "nut", "citrus", "caramel"]
    assert sum(p.size for p in found if p.kind == "family") == pytest.approx(1)
    figure = plane_figure(Plane(made, (), "too few"), "four families", {}).to_dict()
    assert figure["layout"]["xaxis"]["title"]["text"] == f"{100 * made.share[0]:.0f} % of the pattern"
    texts = " ".join(a["text"] for a in figure["layout"]["annotations"])
    assert "<b>A</b>" in texts
    assert "Too small" not in texts
    assert "No ellipses: too few." in texts
    small = plane_figure(Plane(correspondence(table / 5, "abcd", "ABC"), (), ""), "small", {}).to_dict()
    assert any("Too small a table" in a["text"] for a in small["layout"]["annotations"])


def test_ellipses_are_drawn_whole_and_explained() -> None:
    made = correspondence(np.array([[30.0, 5, 4], [4, 28, 6], [5, 6, 31]]), ("berry", "nut", "citrus"), "ABC")
    far = Ellipse("A", 3.0, 0.5, 2.0, 0.5, 0.0, 12)
    figure = plane_figure(Plane(made, (far,), ""), "with", {}).to_dict()
    line = figure["data"][0]
    assert (min(line["x"]), max(line["x"])) == pytest.approx((1.0, 5.0))
    assert (min(line["y"]), max(line["y"])) == pytest.approx((0.0, 1.0), abs=1e-3)
    low, high = figure["layout"]["xaxis"]["range"]
    assert low < 1.0 < 5.0 < high
    assert "95 % confidence ellipses" in " ".join(a["text"] for a in figure["layout"]["annotations"])


def test_the_cooling_cup_has_a_panel_a_word_with_people_and_bars(cooling, spans) -> None:
    made = courses(cooling, spans)
    figure = moments_figure(made, "Vale & Alto", "n = 5").to_dict()
    names = [a["text"] for a in figure["layout"]["annotations"]]
    assert names[:3] == ["<b>orange and mandarin</b>", "<b>milk and white chocolate</b>", "<b>white blossom</b>"]
    assert list(figure["layout"]["xaxis"]["ticktext"]) == ["hot<br>0 of 5", "cool<br>4 of 5"]
    bars = [t for t in figure["data"] if t["mode"] == "lines"]
    assert [list(t["y"]) for t in bars[:2]] == [[s.low, s.high] for s in made[0].shares]
    assert figure["layout"]["title"]["text"] == "Vale &amp; Alto"
