"""The poster of a whole vocabulary."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from wheel_geometry import outside_sheet, overlaps

from tastevocab.errors import InputError
from tastevocab.vocabulary.load import load
from tastevocab.vocabulary.model import Vocabulary
from tastevocab.wheel.arcs import arcs
from tastevocab.wheel.drawing import Drawing, Lettering, Shape
from tastevocab.wheel.lettering import Style
from tastevocab.wheel.packing import Name, Rows, name_forms, pack_family, rows_between
from tastevocab.wheel.png import svg_to_png
from tastevocab.wheel.poster import LEAST_GAP, _opened, draw_poster, vocabulary_tree
from tastevocab.wheel.svg import svg_text


@pytest.fixture(scope="module")
def vocabulary() -> Vocabulary:
    return load()


@pytest.fixture(scope="module", params=["poster-a2", "poster-a1"])
def poster(request: pytest.FixtureRequest, vocabulary: Vocabulary) -> Drawing:
    return draw_poster(vocabulary_tree(vocabulary), request.param)


def notes_of(vocabulary: Vocabulary) -> list[str]:
    return [d.id for d in vocabulary.descriptors.values() if d.level == "note" and not d.fault and not d.use_instead]


def test_the_tree_holds_every_note_and_no_fault(vocabulary: Vocabulary) -> None:
    tree = vocabulary_tree(vocabulary)
    assert {n.id for n in tree.nodes if n.level == "note"} == set(notes_of(vocabulary))
    assert not any(vocabulary.descriptors[n.id].fault for n in tree.nodes)
    assert len([a for a in arcs(tree) if a.ring == "category"]) == len(vocabulary.ring)


def test_every_note_is_lettered_once(poster: Drawing, vocabulary: Vocabulary) -> None:
    lines = [item for item in poster.items if isinstance(item, Lettering) and item.kind == "note"]
    said: dict[str, str] = {}
    for line in lines:
        said[line.about] = f"{said.get(line.about, '')} {line.text}".strip()
    for id in notes_of(vocabulary):
        assert said[id] == vocabulary.descriptors[id].print


def test_every_family_and_category_is_named(poster: Drawing, vocabulary: Vocabulary) -> None:
    for level in ("family", "category"):
        named = Counter(i.about for i in poster.items if isinstance(i, Lettering) and i.kind == level)
        wanted = {d.id for d in vocabulary.descriptors.values() if d.level == level and not d.fault}
        assert wanted <= set(named)


def test_nothing_overlaps_or_leaves_the_sheet(poster: Drawing) -> None:
    assert overlaps(poster) == []
    assert outside_sheet(poster) == []


def test_lettering_is_legible_at_print_size(poster: Drawing) -> None:
    smallest = {420: (7.0, 9.0), 594: (10.0, 12.0)}[round(poster.width)]
    points = [i.points for i in poster.items if isinstance(i, Lettering)]
    notes = [i.points for i in poster.items if isinstance(i, Lettering) and i.kind == "note"]
    assert min(points) >= smallest[0] - 1e-9
    assert min(notes) >= smallest[1] - 1e-9


def test_the_poster_stands_open(poster: Drawing) -> None:
    """Its silhouette is a fan, open on the left: nothing of the ring lies there."""
    rim = [i for i in poster.items if isinstance(i, Shape) and i.kind == "category"]
    points = [(float(c[k]), float(c[k + 1])) for i in rim for c in i.commands for k in range(1, len(c), 2)]
    left, right = min(x for x, _ in points), max(x for x, _ in points)
    top, bottom = min(y for _, y in points), max(y for _, y in points)
    centre = right - (bottom - top) / 2
    assert centre - left < 0.9 * (bottom - top) / 2
    middle = (top + bottom) / 2
    assert not any(x < centre - 10 and abs(y - middle) < (bottom - top) * 0.1 for x, y in points)


def test_the_opening_is_never_narrow_however_wide_the_sheet() -> None:
    """A sheet five times as wide as tall would close the ring."""
    radius, gap = _opened(1000.0, 200.0)
    assert (radius, gap) == (100.0, LEAST_GAP)


def test_it_becomes_a_picture(vocabulary: Vocabulary) -> None:
    svg = svg_text(draw_poster(vocabulary_tree(vocabulary), "poster-a2"))
    assert svg_to_png(svg, 40).startswith(b"\x89PNG")
    ET.fromstring(svg)


def test_too_small_a_sheet_is_refused(vocabulary: Vocabulary) -> None:
    with pytest.raises(InputError, match=r"notes do not fit this sheet at 7.0 pt"):
        draw_poster(vocabulary_tree(vocabulary), "page")


def plain(*names: str) -> list[Name]:
    """Names as wide as they have letters, in one line or in one a word."""
    ways = [[(name,)] + [tuple(name.split(" "))] * (" " in name) for name in names]
    return [Name(tuple((lines, float(max(map(len, lines)))) for lines in forms)) for forms in ways]


def test_names_take_the_shortest_row_that_holds_them() -> None:
    rows = Rows(starts=(10.0, 20.0), rooms=(3.0, 6.0), pitch=1.0, pad=0.0)
    slots = pack_family(plain("fig", "quince", "pea", "hop"), 0.2, rows)  # 2 columns, then 4
    assert slots is not None
    assert [(s.row, s.column, s.columns) for s in slots] == [(0, 0, 2), (1, 0, 2), (0, 1, 2), (1, 1, 2)]
    assert pack_family(plain(*["fig"] * 7), 0.2, rows) is None


def test_a_name_is_broken_only_where_no_row_holds_it_whole() -> None:
    rows = Rows(starts=(10.0, 20.0), rooms=(3.0, 6.0), pitch=1.0, pad=0.0)
    slots = pack_family(plain("red fig", "sloe"), 0.2, rows)
    assert slots is not None
    assert [(s.lines, s.row) for s in slots] == [(("red", "fig"), 0), (("sloe",), 1)]


@given(
    st.lists(st.text("abcdef ", min_size=1).map(str.strip).filter(bool), min_size=1, max_size=12), st.floats(0.05, 6)
)
def test_packed_names_keep_to_their_rows_and_columns(names: list[str], angle: float) -> None:
    rows = rows_between(20.0, 60.0, 4, 2.0, 1.9)
    forms = [name_forms(" ".join(name.split()), Style(2.0, "#000000"), max(rows.rooms), cut=True) for name in names]
    slots = pack_family([form for form in forms if form], angle, rows)
    for row, room in enumerate(rows.rooms):
        here = [s for s in slots or () if s.row == row]
        taken = sorted(s.column + i for s in here for i in range(len(s.lines)))
        assert taken == list(range(len(taken)))
        assert len(taken) <= rows.columns(row, angle)
        assert all(Style(2.0, "#000000").width(line) <= room for s in here for line in s.lines)


def test_broad_words_stand_open_on_the_rim(poster: Drawing, vocabulary: Vocabulary) -> None:
    broad = [d for d in vocabulary.descriptors.values() if d.level == "reach" and d.home and not d.use_instead]
    lettered = Counter(i.about for i in poster.items if isinstance(i, Lettering) and i.kind == "broad")
    said = " · ".join(i.text for i in poster.items if isinstance(i, Lettering) and i.kind == "broad").split(" · ")
    assert sorted(said) == sorted(d.print for d in broad)
    assert set(lettered) == {d.home for d in broad}
    assert {i.about for i in poster.items if getattr(i, "kind", "") == "open-band"} == set(lettered)


def test_a_word_longer_than_any_row_is_cut_not_refused(vocabulary: Vocabulary) -> None:
    tree = vocabulary_tree(vocabulary)
    nodes = [replace(n, label="x" * 60) if n.id == notes_of(vocabulary)[0] else n for n in tree.nodes]
    drawn = draw_poster(replace(tree, nodes=tuple(nodes)), "poster-a2")
    lines = [i.text for i in drawn.items if isinstance(i, Lettering) and i.about == notes_of(vocabulary)[0]]
    assert "".join(line.rstrip("-") for line in lines) == "x" * 60
    assert overlaps(drawn) == []
