"""What a printed sheet shows: nothing cut, covered or contradicted; the message first."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from trials import trials
from wheel_cases import CASES, LETTERED, LONG, sheet, words_on
from wheel_geometry import crossings, leaders_through_lettering, outside_sheet, overlaps, scale_through_lettering
from wheel_trees import FOUND, RING, make_tree

from tastevocab.wheel.arcs import arcs, picture
from tastevocab.wheel.card import Options, draw_card, look_for
from tastevocab.wheel.colour import theme
from tastevocab.wheel.dial import Dial
from tastevocab.wheel.drawing import Lettering, Shape
from tastevocab.wheel.lettered import letter, ties
from tastevocab.wheel.look import Box
from tastevocab.wheel.multiples import draw_multiples
from tastevocab.wheel.pieces import guide_steps
from tastevocab.wheel.sizes import CARDS, SIZES, size_named
from tastevocab.wheel.strips import lay_strips
from tastevocab.wheel.tree import Printed, Strip, WheelTree


def of_any(case: str, size: str) -> Any:
    """A case on a sheet; hundreds of names take seconds to place: most of their sheets are slow."""
    slow = case == "three hundred" and size not in ("bag", "page")
    return pytest.param(case, size, marks=pytest.mark.slow if slow else ())


@pytest.mark.parametrize(("case", "size"), [of_any(case, size) for case in CASES for size in CARDS])
def test_nothing_is_cut_covered_or_too_small(case: str, size: str) -> None:
    drawing = sheet(case, size)
    assert outside_sheet(drawing) == []
    assert overlaps(drawing) == []
    assert crossings(drawing) == 0
    assert leaders_through_lettering(drawing) == []
    assert scale_through_lettering(drawing) == []
    smallest = min(item.points for item in drawing.items if isinstance(item, Lettering))
    assert smallest >= 7 - 1e-9


@trials(20)
@given(
    st.lists(
        st.tuples(st.sampled_from(RING), st.integers(0, 2), st.integers(0, 4), st.floats(0.05, 20), st.integers(1, 7)),
        min_size=1,
        max_size=30,
        unique_by=lambda r: r[:3],
    ),
    st.sampled_from(CARDS),
)
def test_any_wheel_is_set_clear(found: list, size: str) -> None:
    rows = tuple(
        (c, c.replace("_", " "), f"f{f}", f"family {f}", f"n{n}", "lemon balm tea"[: 5 + n * 2], w, k, 0)
        for c, f, n, w, k in found
    )
    drawing = draw_card(make_tree(rows, of=7), size)
    assert outside_sheet(drawing) == []
    assert overlaps(drawing) == []
    assert crossings(drawing) == 0
    assert leaders_through_lettering(drawing) == []


@pytest.mark.parametrize("size", LETTERED)
def test_every_note_and_category_is_on_the_sheet(tree: WheelTree, size: str) -> None:
    """A category without room has a number, and its name below the wheel; a family without room stays silent."""
    text = words_on(sheet("the demo", size)).replace("- ", "")
    slim = FOUND[10:12]  # 7 and 3 % of the map: their categories are too slim for a number on small sheets
    for name in {word for row in FOUND for label in (row[1], row[5]) for word in label.split() if row not in slim}:
        assert name in text, name


@pytest.mark.parametrize("size", CARDS)
def test_the_title_is_the_notes_line_with_its_people(tree: WheelTree, size: str) -> None:
    drawing = sheet("the demo", size)
    lines = [i for i in drawing.items if isinstance(i, Lettering)]
    title = " ".join(i.text for i in lines if i.kind in ("printed-title", "printed-count"))
    assert title == "black tea 4 of 5 dark fruit 4 of 5 orange and mandarin 3 of 5"
    largest = max(i.size for i in lines)
    assert all(i.size == largest for i in lines if i.kind == "printed-title")


@pytest.mark.parametrize("size", CARDS)
def test_every_printed_word_has_its_band_and_says_its_people_there(tree: WheelTree, size: str) -> None:
    drawing = sheet("the demo", size)
    assert {i.about for i in drawing.items if isinstance(i, Shape) and i.kind == "band"} == {w.id for w in tree.printed}
    beside = [i for i in drawing.items if isinstance(i, Lettering) and i.kind in ("printed", "count")]
    for word in tree.printed:
        said = " ".join(i.text for i in beside if i.about == word.id)
        assert said.startswith(f"{word.label} {word.people} of 5")  # then perhaps notes that found no room


def test_no_broad_word_shows_a_count_that_contradicts_its_people(tree: WheelTree) -> None:
    """Four stand behind "dark fruit": its own petal, of those who said just that, shows no other number."""
    nodes = tuple(replace(n, own_people=1) if n.id == "reach/dark_fruit" else n for n in tree.nodes)
    for printed in ((), tree.printed):
        drawing = draw_card(replace(tree, nodes=nodes, printed=printed), "page")
        said = [i.text for i in drawing.items if isinstance(i, Lettering) and i.about == "reach/dark_fruit"]
        assert not any(text.endswith(" 1") or "1 of" in text for text in said)


def test_a_crowds_sheet_shows_the_scales_that_most_people_marked(tree: WheelTree) -> None:
    """Six of them, in their usual order, and says how many are left out."""
    people = [f"p{i}" for i in range(40)]
    counts = {"clarity": 30, "lift": 5, "depth": 40, "grip": 22, "length": 23, "weight": 21, "warmth": 24, "snap": 4}
    strips = tuple(
        Strip(name, ("none", "much"), tuple((who, 1.0) for who in people[:count]), 1.0)
        for name, count in counts.items()
    )
    nodes = tuple(replace(n, of=40) for n in tree.nodes)
    words = words_on(draw_card(replace(tree, nodes=nodes, tasters=40, strips=strips), "page"))
    shown = [name for name in counts if name in words]
    assert shown == ["clarity", "depth", "grip", "length", "weight", "warmth"]
    assert "not shown: 2 attributes" in words


@pytest.mark.parametrize("size", LETTERED)
def test_every_petal_says_its_people(tree: WheelTree, size: str) -> None:
    """People come first: no petal loses its number for want of room."""
    drawing = sheet("the demo", size)
    lines = [i for i in drawing.items if isinstance(i, Lettering) and i.kind in ("label", "count")]
    for arc in arcs(tree):
        if arc.ring == "petal" and not arc.own and not any(word.id == arc.node for word in tree.printed):
            said = " ".join(i.text for i in lines if i.about == arc.node).replace("- ", "")
            assert said == f"{arc.label} {arc.people}" or f"{arc.label} {arc.people}" in words_on(drawing)


def test_a_name_far_beyond_its_petal_is_tied_to_it(tree: WheelTree) -> None:
    """On a large sheet names stand in the free room beyond the petals, some of them beyond the quorum ring."""
    found = picture(tree)
    dial = Dial(0, 0, 50, found)
    look = look_for(size_named("page"), RING, Options())
    done = letter(dial, dial.bands(), look)
    far = {
        at: block.inner
        for at, block in done.blocks.items()
        if (arc := found.arcs[at]).ring == "petal"
        and not arc.printed
        and block.inner - dial.extent(arc)[1] > look.usual * 1.2
    }
    lines = list(ties(dial, done, look))
    assert far
    assert [line.about for line in lines] == [found.arcs[at].node for at in far]
    for line, (at, name) in zip(lines, far.items(), strict=True):
        (_, *start), (_, *end) = line.commands
        assert math.hypot(*start) == pytest.approx(dial.extent(found.arcs[at])[1])
        assert 0 < name - math.hypot(*end) < look.usual * 0.2
        assert math.atan2(end[0], -end[1]) % math.tau == pytest.approx(found.arcs[at].middle)


def test_the_quorum_is_one_bold_ring_that_says_itself(tree: WheelTree) -> None:
    for size in CARDS:
        drawing = sheet("the demo", size)
        assert sum(isinstance(i, Shape) and i.kind == "quorum" for i in drawing.items) == 1
        assert "3 of 5: enough to print" in words_on(drawing)


def test_what_is_not_printed_recedes(tree: WheelTree) -> None:
    tints = theme("light", RING).tints
    seen = set()
    for item in sheet("the demo", "page").items:
        if isinstance(item, Shape) and item.kind == "petal":
            of = tints[item.about.split("/")[0]]
            loud = any(item.about in word.over for word in tree.printed)
            assert item.fill == (of.note if loud else of.quiet)
            seen.add(loud)
    assert seen == {True, False}


def test_in_a_crowd_that_prints_nothing_the_notes_most_found_are_loud() -> None:
    """However many said something broad: the title names the notes, and an open petal has no colour to be loud in, and
    many small words in one are no finding."""
    rows = (
        ("citrus_crate", "Citrus", "reach/citrus", "citrus", "", "", 90.0, 254, 0.0),
        ("orchard", "Orchard fruit", "golden_stone", "peach and apricot", "peach", "peach", 30.0, 106, 0.0),
        ("orchard", "Orchard fruit", "golden_stone", "peach and apricot", "apricot", "apricot", 9.0, 40, 0.0),
    )
    tree = make_tree(rows, of=783)
    other = replace(tree.nodes[-1], id=f"{tree.nodes[-2].id}/~other", label="other (10 words)", people=90, fold=True)
    found = picture(replace(tree, nodes=(*tree.nodes[:-1], other), printed=()))
    petals = [arc for arc in found.arcs if arc.ring == "petal"]
    assert [arc.people for arc in petals if found.loud(arc) and not arc.open] == [106]


@pytest.mark.parametrize("full", range(20, 800, 7))
def test_the_circles_of_a_crowd_stand_apart(full: int) -> None:
    rows = (("orchard", "Orchard fruit", "golden_stone", "peach and apricot", "peach", "peach", 30.0, full, 0.0),)
    steps = guide_steps(Dial(0, 0, 50, picture(make_tree(rows, of=800))))
    radii = [50 * (0.44 + 0.56 * k / full) for k in dict.fromkeys((*steps, full))]
    assert 2 <= len(radii) <= 6
    assert min(b - a for a, b in pairwise(radii)) > 1.5  # mm, on the wheel of a page


def test_a_word_in_several_places_is_marked_as_one(tree: WheelTree) -> None:
    """A thing across its forms: every place has the word's number, and so has the title."""
    over = ("orchard/golden_stone/apricot", "citrus_crate/peel_oil/bergamot", "sugar_jar/honeys/acacia_honey")
    word = Printed("thing/x", "peculiar fruit", 5, 5, over, "mostly candied")
    drawing = draw_card(replace(tree, printed=(word, tree.printed[0])), "page")
    assert sum(isinstance(i, Shape) and i.kind == "band" and i.about == "thing/x" for i in drawing.items) == 3
    badges = [i.text for i in drawing.items if isinstance(i, Lettering) and i.kind == "badge"]
    assert badges == ["1"] * 5  # three places, the word beside the wheel, the title
    assert "mostly candied" in words_on(drawing)


def test_bands_on_each_other_stand_apart(tree: WheelTree) -> None:
    inner, outer = (Printed(f"w{i}", f"word {i}", 4, 5, over) for i, over in enumerate((
        ("citrus_crate/peel_oil/bergamot",), ("citrus_crate/peel_oil/bergamot", "citrus_crate/peel_oil/orange_zest"),
    )))  # fmt: skip
    bands = Dial(0, 0, 50, picture(replace(tree, printed=(outer, inner)))).bands()
    assert [band.word.id for band in bands] == ["w1", "w0"]
    assert bands[0].radius - bands[0].thick > bands[1].radius


def test_a_held_coffee_says_so_across_the_sheet(tree: WheelTree) -> None:
    held = replace(tree, hold="On hold: taste again")
    for drawing in (*(draw_card(held, size) for size in CARDS), draw_multiples({"hot": held, "cool": held}, "page")):
        band = next(i for i in drawing.items if isinstance(i, Shape) and i.kind == "hold-band")
        xs = [float(c[1]) for c in band.commands if len(c) > 1]
        assert max(xs) - min(xs) > drawing.width * (0.8 if drawing.width < 1.2 * drawing.height else 0.35)
        assert "On hold: taste again" in words_on(drawing)
        assert drawing.description.startswith("On hold: taste again.")


@pytest.mark.parametrize("size", CARDS)
def test_printed_words_longer_than_the_sheet_stand_on_it_whole(tree: WheelTree, size: str) -> None:
    long = replace(tree, title=LONG, printed=tuple(replace(word, label=LONG) for word in tree.printed))
    drawing = draw_card(long, size)
    assert outside_sheet(drawing) == []
    assert overlaps(drawing) == []
    titled = " ".join(i.text for i in drawing.items if isinstance(i, Lettering) and i.kind == "printed-title")
    assert titled == " ".join([LONG] * 3)


def test_one_persons_notes_and_nothing_at_all_are_said_in_words() -> None:
    alone = tuple((*row[:7], 1, 0.0) for row in FOUND[:4])
    alone = draw_card(make_tree(alone, of=1, headline="One person’s notes"), "page")
    assert "One person’s notes" in words_on(alone)
    assert not any(isinstance(i, Shape) and i.kind == "quorum" for i in alone.items)
    none = draw_card(replace(make_tree(), nodes=(), printed=(), headline="Nobody named a flavour"), "page")
    assert "Nobody named a flavour" in words_on(none)
    assert "length" not in words_on(none)


def test_the_scale_never_drops_the_word_it_marks() -> None:
    long = ("not at all to be found", "hardly to be found", "well to be found here", "loud and clear", "overwhelming")
    for median, marked in ((3.0, long[2:3]), (1.0, long[:1]), (3.5, long[2:4])):
        for width in (30.0, 45.0, 90.0):
            strip = Strip("clarity", long, (("Mira", median),), median)
            look = look_for(SIZES["page"], RING, Options())
            items = lay_strips([strip], Box(0, 0, width, 20), 1, look)
            shown = [i.text for i in items if isinstance(i, Lettering) and i.kind == "scale-word"]
            assert width < 60 or set(marked) <= set(shown)
            assert any(text.rstrip("…") and marked[0].startswith(text.rstrip("…")) for text in shown)


def test_names_without_room_are_counted_on_the_sheet() -> None:
    drawing = sheet("three hundred", "bag")
    said = re.search(r"For want of room not shown: (\d+) name", words_on(drawing))
    assert said
    shown = sum(
        item.kind == "label" and item.text.startswith("note number")
        for item in drawing.items
        if isinstance(item, Lettering)
    )
    assert int(said[1]) >= 300 - shown > 0


def test_the_line_of_names_without_room_stands_clear_of_the_key() -> None:
    words = [i for i in sheet("three hundred", "page").items if isinstance(i, Lettering)]
    (line,) = (i for i in words if i.text.startswith("For want of room"))
    low = line.runs[0].y
    above = max(run.y for i in words for run in i.runs if run.y < low)
    below = min(run.y for i in words for run in i.runs if run.y > low)
    assert low - above >= 1.8 * line.size
    assert below - low >= 1.2 * line.size


@pytest.mark.parametrize("case", CASES)
def test_the_text_alternative_is_short_and_says_the_printed_words_first(case: str) -> None:
    tree = make_tree(CASES[case])
    text = sheet(case, "page").description
    assert len(text) <= 600
    if tree.printed:
        assert f"Printed: {tree.printed[0].label}, 4 of 5" in text


def test_the_footer_is_below_all_else(tree: WheelTree) -> None:
    for size in (size for size in CARDS if SIZES[size].width < 1.2 * SIZES[size].height):  # else it stands beside
        drawing = sheet("the demo", size)
        footer = min(run.y for i in drawing.items if isinstance(i, Lettering) and i.kind == "footer" for run in i.runs)
        others = max(run.y for i in drawing.items if isinstance(i, Lettering) and i.kind != "footer" for run in i.runs)
        assert others < footer


def test_every_mark_and_the_median_are_drawn(tree: WheelTree) -> None:
    kinds = [item.kind for item in sheet("the demo", "page").items if isinstance(item, Shape)]
    assert kinds.count("mark") == sum(len(s.marks) for s in tree.strips)
    assert kinds.count("median") == len(tree.strips)
    without = draw_card(tree, "page", Options(strips=False))
    assert not any(isinstance(i, Shape) and i.kind == "mark" for i in without.items)


def test_hatching_covers_the_doubtful_share_only(tree: WheelTree) -> None:
    drawing = sheet("the demo", "page")
    hatched = {item.about for item in drawing.items if isinstance(item, Shape) and item.kind == "hatch"}
    assert hatched == {
        "citrus_crate/peel_oil/orange_zest",
        "orchard/golden_stone/apricot",
        "bakers_bench/biscuit_pastry/shortbread",
    }
