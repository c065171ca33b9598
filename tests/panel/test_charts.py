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
from tastevocab.panel.chart_text import broken, letters, title_of
from tastevocab.panel.correspondence import correspondence
from tastevocab.panel.ellipses import Ellipse
from tastevocab.panel.flavour_map import Serving, build_map
from tastevocab.panel.over_moments import Course, Share, courses
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
    figure = slope_figure(slopes(cooling, spans), ("hot", "<b>cool_down"), "Vale & Alto", "n = 5").to_dict()
    assert next(list(trace["y"]) for trace in figure["data"]) == [0.4, 0.0]
    texts = [a["text"] for a in figure["layout"]["annotations"]]
    assert any("orange and mandarin  4 of 5" in t for t in texts)
    assert "n = 5" in texts[-1]
    assert figure["layout"]["title"]["text"] == "Vale &amp; Alto"
    assert list(figure["layout"]["xaxis"]["ticktext"]) == ["hot", "&lt;b&gt;cool down"]


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
    figure = plane_figure(Plane(made, (), "too few"), "four families", {"A": "Coffee_of A"}).to_dict()
    assert figure["layout"]["xaxis"]["title"]["text"] == f"{100 * made.share[0]:.0f} % of the pattern"
    texts = " ".join(a["text"] for a in figure["layout"]["annotations"])
    assert "<b>Coffee of A</b>" in texts
    assert "<b>B</b>" in texts
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


SCRIPTS = (
    "\u0642\u0647\u0648\u0629 \u0627\u0644\u062c\u0628\u0644"
    " \u0627\u0644\u0623\u062e\u0636\u0631 \u0627\u0644\u0639\u0627\u0644\u064a",
    "\u4e91\u5357\u666e\u6d31\u65e5\u6652\u5e84\u56ed\u5496\u5561\u8c46",
    "\u0915\u0949\u095e\u0940 \u092c\u093e\u092c\u093e\u092c\u0941\u0926\u0928\u0917\u093f\u0930\u093f",
    "Y\u0131rga\u00e7effe \U0001f338\u2615",
    "Finca El Para\u00edso de las Monta\u00f1as Altas, Lote 27 Fermentaci\u00f3n Doble Anaer\u00f3bica",
)


def test_width_is_that_of_the_script() -> None:
    """East Asian Width (Unicode annex 11): wide signs take two columns, marks that join the one before none."""
    assert letters("cafe\u0301") == 4
    assert letters("\u4e91\u5357") == 4
    assert letters("\U0001f338") == 2


@given(st.text(st.sampled_from("ab \u0301\u4e91\u0941\U0001f338\u0642"), max_size=40), st.integers(2, 30))
def test_broken_lines_fit_and_lose_nothing(text, width) -> None:
    lines = broken(text, width)
    assert all(letters(line) <= width for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())
    assert broken("espresso_at_the_bar", 12) == ["espresso at", "the bar"]
    assert not any(line[0] in "\u0301\u0941" for line in lines[1:] if " " not in text)


def test_long_names_lie_in_the_plane_and_over_no_other() -> None:
    table = np.array([[30.0, 5, 4, 8, 9], [4, 28, 6, 3, 9], [5, 6, 31, 9, 2], [3, 9, 4, 25, 9], [9, 2, 8, 3, 30]])
    made = correspondence(table, ("berry", "nut", "citrus", "caramel", "vanilla, liquorice and roots"), "ABCDE")
    figure = plane_figure(
        Plane(made, (), ""), " and ".join(SCRIPTS), dict(zip("ABCDE", SCRIPTS, strict=True))
    ).to_dict()
    layout, boxes = figure["layout"], []
    (left, right), (_, top), margin = layout["xaxis"]["range"], layout["yaxis"]["range"], layout["margin"]
    wide, high = (layout["width"] - margin["l"] - margin["r"]), (layout["height"] - margin["t"] - margin["b"])
    for told in layout["annotations"][:-1]:
        lines = told["text"].removeprefix("<b>").removesuffix("</b>").split("<br>")
        half, tall = max(map(letters, lines)) * 0.25 * told["font"]["size"], len(lines) * 0.6 * told["font"]["size"]
        x = (told["x"] - left) * wide / (right - left) + told["ax"]
        y = (top - told["y"]) * wide / (right - left) + told["ay"]
        assert -margin["l"] < x - half < x + half < wide + margin["r"]
        assert -margin["t"] / 2 < y - tall < y + tall < high + 40
        assert not any(abs(x - a) < half + b and abs(y - c) < tall + d for a, b, c, d in boxes), lines
        boxes.append((x, half, y, tall))
    assert layout["title"]["text"].count("<br>") >= 1


def test_long_titles_and_servings_make_the_picture_higher(cooling, spans) -> None:
    short = slope_figure(slopes(cooling, spans), ("hot", "cool"), "Vale", "n = 5").to_dict()["layout"]
    long = slope_figure(slopes(cooling, spans), (SCRIPTS[0], SCRIPTS[4]), SCRIPTS[4] * 2, "n = 5").to_dict()["layout"]
    assert title_of("Vale", 900)[1] == 0
    lines = [tick.split("<br>") for tick in long["xaxis"]["ticktext"]]
    assert max(letters(line) for tick in lines for line in tick) <= 19
    assert long["height"] > short["height"]
    plot = {layout["height"] - layout["margin"]["t"] - layout["margin"]["b"] for layout in (short, long)}
    assert plot == {430}


def test_people_under_a_moment_break_before_of_where_room_lacks() -> None:
    moments = ("dry", "hot", "warm", "cool")
    few, many = (
        Course("x", "vanilla, liquorice and roots", tuple(Share(m, of, of, 0.5, 1.0) for m in moments))
        for of in (8, 12)
    )
    layout = moments_figure([few, many, few, many], "Vale", "n").to_dict()["layout"]
    assert layout["xaxis"]["ticktext"][0] == "dry<br>8 of 8"
    assert layout["xaxis2"]["ticktext"][0] == "dry<br>12<br>of 12"
    assert layout["annotations"][0]["text"] == "<b>vanilla, liquorice and<br>roots</b>"
