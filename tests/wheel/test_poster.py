"""The poster of a whole vocabulary."""

from __future__ import annotations

import time
import xml.etree.ElementTree as ET
from collections import Counter

import pytest
from wheel_geometry import outside_sheet, overlaps

from tastevocab.errors import InputError
from tastevocab.vocabulary.load import load
from tastevocab.vocabulary.model import Vocabulary
from tastevocab.wheel.arcs import arcs
from tastevocab.wheel.drawing import Drawing, Lettering
from tastevocab.wheel.packing import Rows, pack_family
from tastevocab.wheel.png import svg_to_png
from tastevocab.wheel.poster import BROAD, draw_poster, vocabulary_tree
from tastevocab.wheel.svg import svg_text


@pytest.fixture(scope="module")
def vocabulary() -> Vocabulary:
    return load()


@pytest.fixture(scope="module", params=["poster-a3", "poster-a2"])
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
    smallest = {297: (5.0, 5.5), 420: (6.5, 7.5)}[round(poster.width)]
    points = [i.points for i in poster.items if isinstance(i, Lettering)]
    notes = [i.points for i in poster.items if isinstance(i, Lettering) and i.kind == "note"]
    assert min(points) >= smallest[0] - 1e-9
    assert min(notes) >= smallest[1]


def test_it_is_drawn_in_time(vocabulary: Vocabulary) -> None:
    tree = vocabulary_tree(vocabulary)
    start = time.perf_counter()
    svg = svg_text(draw_poster(tree, "poster-a3"))
    svg_to_png(svg, 150)
    assert time.perf_counter() - start < 3 * 2  # 3 s is the aim; machines under test are shared
    ET.fromstring(svg)


def test_too_small_a_sheet_is_refused(vocabulary: Vocabulary) -> None:
    with pytest.raises(InputError, match=r"notes do not fit this sheet at 6.5 pt"):
        draw_poster(vocabulary_tree(vocabulary), "page")


def test_packing_takes_the_innermost_row_with_room() -> None:
    rows = Rows(starts=(10.0, 20.0), length=10.0, pitch=1.0, pad=0.0)
    slots = pack_family([("a",), ("b", "c"), ("d",)], 0.2, rows)  # 2 columns, then 4
    assert slots is not None
    assert [(s.row, s.column, s.columns) for s in slots] == [(0, 0, 2), (1, 0, 2), (0, 1, 2)]
    assert pack_family([("a",)] * 7, 0.2, rows) is None


def test_broad_words_stand_open(poster: Drawing) -> None:
    assert any(getattr(i, "kind", "") == "open-notes" for i in poster.items)
    assert BROAD in [i.text for i in poster.items if isinstance(i, Lettering)]
