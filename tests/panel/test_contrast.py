"""Contrasts: hot to cool as worked by hand, coffees told apart, the map of coffees and families."""

from __future__ import annotations

import numpy as np
import pandas as pd
import prince
import pytest

from tastevocab.errors import StatisticsError
from tastevocab.panel.contrast import contrast
from tastevocab.panel.correspondence import correspondence
from tastevocab.panel.crowd import sets_apart, stand_apart
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
    assert (pale.before, pale.after, len(pale.lost), len(pale.gained)) == (4, 1, 3, 0)
    assert (mandarin.before, mandarin.after, len(mandarin.lost), len(mandarin.gained)) == (0, 4, 0, 4)
    # Of the 16 ways to swap hot and cool of the four who said different things, 2 move mandarin by four. Chocolate
    # moves by three in 4 of the 16 ways (both ways of all three, whatever the fourth does).
    assert mandarin.p == 2 / 16
    assert pale.p == 4 / 16
    assert pale.told
    assert mandarin.told
    assert not pale.proved
    assert not mandarin.proved
    assert hot_to_cool.sentence == (
        f"From hot to cool: {pale.print} fades (3 of 5 lost it); {mandarin.print} comes (4 of 5 gained it). "
        "This may be told, is not proved."
    )
    assert "at least 4 of 5 right" in hot_to_cool.proof


def test_a_majority_that_others_undo_is_not_told(spans, table) -> None:
    """Three of five gain mandarin and two lose it: a majority moved one way, the panel hardly did."""
    hot = [table.say(t, "mandarin") for t in "DE"]
    cool = [table.say(t, "mandarin") for t in "ABC"]
    maps = [
        build_map([*found, *(table.say(t, "jasmine") for t in "ABCDE")], Serving("x", None, m), "ABCDE", spans)
        for found, m in ((hot, "hot"), (cool, "cool"))
    ]
    made = contrast(*maps, spans, ("hot", "cool"), shows="the temperature")
    change = next(c for c in made.changes if c.descriptor == MANDARIN)
    assert (len(change.gained), len(change.lost), change.told) == (3, 2, False)
    assert made.sentence == "From hot to cool no majority changed in one direction: tell no change."
    # Nobody can be served hot and cool and not know which is which.
    assert "cannot be hidden" in made.proof
    assert "right" not in made.proof


def test_between_coffees_nothing_fades_or_comes(spans, table) -> None:
    one = [table.say(t, "jasmine") for t in "ABCD"]
    two = [*(table.say(t, "mandarin") for t in "ABCD"), table.say("E", "jasmine")]
    maps = [build_map(found, Serving(coffee), "ABCDE", spans) for coffee, found in (("vale", one), ("rio", two))]
    told = contrast(*maps, spans, ("vale", "rio")).sentence
    assert told.startswith("vale beside rio: ")
    assert "in vale (4 of 5 found it there alone, 1 in the other alone)" in told
    assert "in rio (4 of 5 found it there alone)" in told
    same = contrast(maps[0], maps[0], spans, ("vale", "rio")).sentence
    assert same == "vale beside rio: no majority parts them: tell no difference."


def test_who_moved_the_other_way_is_said(spans, table) -> None:
    hot = [table.say("E", "mandarin")]
    cool = [table.say(t, "mandarin") for t in "ABCD"]
    maps = [build_map(found, Serving("x", None, m), "ABCDE", spans) for found, m in ((hot, "hot"), (cool, "cool"))]
    made = contrast(*maps, spans, ("hot", "cool"))
    assert "(4 of 5 gained it, 1 lost it)" in made.sentence


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
    assert "stands the test" in made.sentence


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


def test_the_word_that_separates_is_named(spans, three_coffees) -> None:
    made = stand_apart(three_coffees, spans)
    first = made.separations[0]
    assert (first.most, first.people) == ("C", {"A": 4, "B": 5, "C": 24})
    assert first.p < 0.001
    assert first.verdict({"C": "Vale Alto"}) == "separates them: most in Vale Alto, least in A"
    pale = next(s for s in made.separations if s.descriptor == PALE)
    assert (pale.p, pale.verdict({})) == (1.0, "no difference shown")


def test_what_sets_a_coffee_apart(spans, three_coffees) -> None:
    top = sets_apart(three_coffees, spans, "C")[0]
    assert (top.people, top.of, top.people_rest, top.of_rest) == (24, 30, 9, 60)
    assert top.difference == pytest.approx(24 / 30 - 9 / 60)
    assert 0 < top.low < top.difference < top.high < 1
    assert top.proved
    with pytest.raises(StatisticsError, match="set it apart from"):
        sets_apart({"C": three_coffees["C"]}, spans, "C")


def test_identical_coffees_are_not_set_apart(spans, table) -> None:
    """Three cups of one coffee, five tasters who say what they like of it: nothing separates them, in hardly any
    seeded table."""
    random = np.random.default_rng(5)
    words = ("mandarin", "jasmine", "milk_chocolate", "blackberry", "plum_jam", "black_plum")
    named = 0
    for _ in range(40):
        maps = {}
        for cup in "XYZ":
            found = [table.say(t, str(w)) for t in "ABCDE" for w in random.choice(words, 3, replace=False)]
            maps[cup] = build_map(found, Serving(cup), "ABCDE", spans)
        named += any(a.proved for apart in stand_apart(maps, spans).apart.values() for a in apart)
    assert named <= 4


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
