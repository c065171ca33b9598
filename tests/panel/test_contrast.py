"""Contrasts: hot to cool as worked by hand, coffees told apart, the map of coffees and families."""

from __future__ import annotations

import numpy as np
import pandas as pd
import prince
import pytest

from tastevocab.errors import StatisticsError
from tastevocab.panel.contrast import contrast
from tastevocab.panel.correspondence import correspondence
from tastevocab.panel.crowd import separations, sets_apart
from tastevocab.panel.flavour_map import Serving, build_map

PALE, MANDARIN = "choc_cream/pale_choc", "citrus_crate/orange_mandarin"


@pytest.fixture
def hot_to_cool(spans, table):
    """Five people: hot, pale chocolate 4 and mandarin 0; cool, pale chocolate 1 (who had it hot) and mandarin 4."""
    hot = [table.say(t, "milk_chocolate") for t in "ABCD"]
    cool = [table.say("A", "milk_chocolate"), *(table.say(t, "mandarin") for t in "BCDE")]
    maps = [build_map(found, Serving("x", None, m), "ABCDE", spans) for found, m in ((hot, "hot"), (cool, "cool"))]
    return contrast(*maps, spans, ("hot", "cool"))


def test_worked_example_hot_to_cool(hot_to_cool) -> None:
    by_id = {c.descriptor: c for c in hot_to_cool.changes}
    pale, mandarin = by_id[PALE], by_id[MANDARIN]
    assert (pale.before, pale.after, len(pale.lost), len(pale.gained), pale.p) == (4, 1, 3, 0, 0.25)
    assert (mandarin.before, mandarin.after, len(mandarin.lost), len(mandarin.gained), mandarin.p) == (
        0,
        4,
        0,
        4,
        0.125,
    )
    assert pale.told
    assert mandarin.told
    assert not pale.proved
    assert not mandarin.proved
    assert mandarin.p_holm == 0.25
    assert hot_to_cool.sentence == (
        f"From hot to cool: {pale.print} fades (3 of 5 lost it); {mandarin.print} comes (4 of 5 gained it). "
        "This may be told, is not proved."
    )
    assert "at least 4 of 5 right" in hot_to_cool.proof


def test_distances_of_the_two_maps(hot_to_cool) -> None:
    """Shares 1 of chocolate against 0.2 and 0.8 of mandarin: 0.8 moves six steps, to another category."""
    assert hot_to_cool.steps == pytest.approx(0.8 * 6)
    assert 0 < hot_to_cool.distance < 1


def test_a_big_panel_can_prove(spans, table) -> None:
    panel = "ABCDEFGH"
    maps = [
        build_map([table.say(t, word) for t in panel], Serving(word), panel, spans)
        for word in ("milk_chocolate", "mandarin")
    ]
    made = contrast(*maps, spans, ("cone", "shot"))
    assert all(c.proved for c in made.changes)
    assert "stands the exact test" in made.sentence


def test_nothing_in_common_and_nothing_found_get_a_sentence(spans, table) -> None:
    one = build_map([table.say("A", "mandarin")], Serving("x"), "A", spans)
    other = build_map([table.say("B", "mandarin")], Serving("y"), "B", spans)
    empty = build_map([], Serving("z"), "A", spans)
    assert "no taster in common" in contrast(one, other, spans, ("x", "y")).sentence
    silent = contrast(one, empty, spans, ("x", "z"))
    assert "Nothing was found in z" in silent.sentence
    assert silent.distance is None


@pytest.fixture
def three_coffees(spans, table):
    """Thirty tasters: C alone is jasmine for most, chocolate is everywhere."""
    panel = [f"t{i:02}" for i in range(30)]
    maps = {}
    for coffee, share in (("A", 4), ("B", 5), ("C", 24)):
        found = [table.say(t, "jasmine") for t in panel[:share]] + [table.say(t, "milk_chocolate") for t in panel[::2]]
        maps[coffee] = build_map(found, Serving(coffee), panel, spans)
    return maps


def test_cochrans_q_names_the_family_that_separates(spans, three_coffees) -> None:
    first, second = separations(three_coffees, spans)
    assert (first.most, first.people) == ("C", {"A": 4, "B": 5, "C": 24})
    assert first.p_holm < 0.001
    assert first.verdict == "separates them: most in C, least in A"
    assert (second.descriptor, second.verdict) == (PALE, "nobody tells the coffees apart by it")


def test_what_sets_a_coffee_apart(spans, three_coffees) -> None:
    top = sets_apart(three_coffees, spans, "C")[0]
    assert (top.people, top.of, top.people_rest, top.of_rest) == (24, 30, 9, 60)
    assert top.difference == pytest.approx(24 / 30 - 9 / 60)
    assert 0 < top.low < top.difference < top.high < 1
    with pytest.raises(StatisticsError, match="set it apart from"):
        sets_apart({"C": three_coffees["C"]}, spans, "C")


SMOKE = np.array([[4, 2, 3, 2], [4, 3, 7, 4], [25, 10, 12, 4], [18, 24, 33, 13], [10, 6, 7, 2]], dtype=float)
STAFF, SMOKING = ("SM", "JM", "SE", "JE", "SC"), ("none", "light", "medium", "heavy")


def test_correspondence_analysis_of_the_smoking_data() -> None:
    """Greenacre (1984), artificial data; R's ca prints inertias 0.0748, 0.0100, 0.0004 (87.76, 11.76, 0.49 %)."""
    made = correspondence(SMOKE, STAFF, SMOKING)
    assert made.total == pytest.approx(0.0851899, abs=1e-7)
    assert made.inertia == pytest.approx([0.0747591, 0.0100172, 0.0004136], abs=1e-7)
    assert 100 * made.share == pytest.approx([87.76, 11.76, 0.49], abs=0.005)
    expected = [[0.0658, 0.1937], [-0.2590, 0.2433], [0.3806, 0.0107], [-0.2330, -0.0577], [0.2011, -0.0789]]
    for axis in (0, 1):
        column = made.row_points[:, axis]
        assert np.abs(column) == pytest.approx(np.abs(np.array(expected)[:, axis]), abs=5e-4)
        assert made.row_mass @ column == pytest.approx(0, abs=1e-12)
        assert made.row_mass @ column**2 == pytest.approx(made.inertia[axis])


def test_correspondence_analysis_against_prince() -> None:
    made = correspondence(SMOKE, STAFF, SMOKING)
    frame = pd.DataFrame(SMOKE, index=list(STAFF), columns=list(SMOKING))
    ca = prince.CA(n_components=2).fit(frame)
    for ours, theirs in (
        (made.row_points, ca.row_coordinates(frame)),
        (made.column_points, ca.column_coordinates(frame)),
    ):
        for axis in (0, 1):
            other = theirs.to_numpy()[:, axis]
            sign = np.sign(other @ ours[:, axis])
            assert ours[:, axis] == pytest.approx(sign * other, abs=1e-6)


def test_small_tables_are_warned_of_and_empty_ones_refused() -> None:
    assert correspondence(SMOKE * 10, STAFF, SMOKING).warning == ""
    assert "Too small a table" in correspondence(np.eye(3), "abc", "xyz").warning
    with pytest.raises(StatisticsError, match="two of each"):
        correspondence(np.array([[1.0, 0], [0, 0]]), "ab", "xy")
    with pytest.raises(StatisticsError, match="same profile"):
        correspondence(np.ones((2, 2)), "ab", "xy")
