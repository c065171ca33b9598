"""Labels: letters only, never too small, words never dropped; and the wheel as a snippet for a page of one's own."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_page import printed_tree
from trials import trials
from wheel_geometry import outside_sheet, overlaps
from wheel_trees import FOUND, make_tree

from tastevocab.errors import InputError
from tastevocab.wheel.drawing import Lettering
from tastevocab.wheel.label import HIGHEST, draw_label
from tastevocab.wheel.page_picture import embed_svg
from tastevocab.wheel.tree import Printed

FACTS = ("washed", "filter, hot to cool", "Likenesses, nothing added.", "5 tasters, blind, day 9 after roasting")


def texts(drawing) -> list[str]:
    return [item.text for item in drawing.items if isinstance(item, Lettering)]


@pytest.mark.parametrize("width", [40, 60, 90, 120])
def test_words_process_and_brew_are_on_it(width: float) -> None:
    drawing = draw_label(printed_tree(), width, FACTS)
    assert drawing.width == width
    for text in ("Vale Alto", "dark fruit", "bergamot", "washed", "filter, hot to cool"):
        assert text in texts(drawing)


@trials(20)
@given(
    st.floats(40, 120),
    st.lists(st.text("abcdefgh ", min_size=1, max_size=40).filter(str.strip), min_size=1, max_size=4),
    st.lists(st.text("klmnop ", min_size=1, max_size=120), max_size=6),
    st.sampled_from(["", "On hold: taste again"]),
)
def test_any_label_is_set_clear_and_keeps_its_words(
    width: float, words: list[str], facts: list[str], hold: str
) -> None:
    printed = tuple(Printed(f"w{i}", word, 3, 5, ()) for i, word in enumerate(words))
    drawing = draw_label(replace(make_tree(), printed=printed, hold=hold), width, facts)
    assert outside_sheet(drawing) == []
    assert overlaps(drawing) == []
    assert min(i.points for i in drawing.items if isinstance(i, Lettering)) >= 6 - 1e-9
    said = "".join(texts(drawing)).replace("-", "").replace(" ", "")
    for word in words[:3]:
        assert word.replace(" ", "") in said


def test_what_has_no_room_goes_from_the_end() -> None:
    drawing = draw_label(printed_tree(), 40, ("washed", *("a long fact of many words that fills lines " * 4,) * 4))
    assert "washed" in texts(drawing)
    assert drawing.height <= 40 * HIGHEST + 1e-9


@pytest.mark.parametrize("width", [39, 121])
def test_other_widths_are_refused(width: float) -> None:
    with pytest.raises(InputError, match="choose 40 to 120 mm"):
        draw_label(printed_tree(), width)


def test_the_snippet_is_small_and_brings_all_it_needs() -> None:
    svg = embed_svg(printed_tree(FOUND[:7]))
    assert len(svg.encode()) < 30_000
    root = ElementTree.fromstring(svg)
    assert root.get("aria-label", "").startswith("Flavour wheel: Dark fruit, 4 of 5")
    ids = set(re.findall(r'id="([^"]+)"', svg))
    assert set(re.findall(r'href="#([^"]+)"', svg)) <= ids
    assert all(id.startswith("fw-") for id in ids)
    assert set(re.findall(r"var\((--c\d+)\)", svg)) <= set(re.findall(r"(--c\d+):", svg))
    assert "http" not in svg.replace("http://www.w3.org/2000/svg", "")
