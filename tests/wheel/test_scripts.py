"""Names in any script: shaped as HarfBuzz shapes them, ordered as Unicode orders them, drawn and never boxed."""

from __future__ import annotations

import io
import re

import pytest
import uharfbuzz as hb
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from trials import trials
from wheel_trees import FOUND, make_tree

from tastevocab.errors import InputError
from tastevocab.wheel.card import draw_card
from tastevocab.wheel.drawing import Lettering
from tastevocab.wheel.pdf import pdf_bytes
from tastevocab.wheel.png import svg_to_png
from tastevocab.wheel.scripts import _files, _letters, set_line
from tastevocab.wheel.svg import draw_svg
from tastevocab.wheel.typeface import face

NAMES = {
    "emoji": "🍑 peach",
    "Arabic": "زهرة البرتقال",
    "Chinese": "白桃乌龙",
    "Amharic": "ይርጋጨፌ",
    "Devanagari": "क्षीर चाय",
    "Hebrew": "פריחת הדר",
    "Thai": "ดอกส้ม",
    "Korean": "커피꽃",
    "Japanese": "さくらんぼ",
}


def contours(text: str) -> int:
    return sum(command[0] == "M" for command in face("regular").set_whole(text).commands)


@pytest.mark.parametrize("script", NAMES)
def test_a_name_in_any_script_is_drawn_as_outlines(script: str) -> None:
    name = NAMES[script]
    svg = draw_svg(make_tree(tuple((*row[:5], name, *row[6:]) for row in FOUND[1:2])), "bag")
    assert "<text" not in svg
    assert name in svg  # as data-text and in the description
    drawn = re.search(rf'data-text="{name}[^"]*"[^>]*><path transform="[^"]*" d="([^"]{{80,}})"', svg)
    assert drawn


@pytest.mark.parametrize("script", ["Arabic", "Devanagari"])
def test_letters_that_join_are_shaped(script: str) -> None:
    """Joined they are not the sum of their letters alone."""
    name = NAMES[script]
    whole = face("regular").set_whole(name).width
    assert whole != pytest.approx(sum(face("regular").set_whole(c).width for c in _letters(name)), abs=0.05)


def test_shaping_is_that_of_harfbuzz() -> None:
    """The line is as wide as HarfBuzz itself says for the font that has the script."""
    file = next(f for f in _files() if "NotoSansArabic" in f)
    font = hb.Font(hb.Face(hb.Blob.from_file_path(file)))
    font.set_variations({"wght": 400})
    buffer = hb.Buffer()
    buffer.add_str("زهرة")
    buffer.guess_segment_properties()
    hb.shape(font, buffer)
    theirs = sum(place.x_advance for place in buffer.glyph_positions) / font.face.upem
    assert face("regular").set_whole("زهرة").width == pytest.approx(theirs, abs=1e-6)


def test_numbers_and_latin_stand_in_order_in_a_line_that_runs_left() -> None:
    """UAX 9: in a paragraph from right to left "4" stands left of the Arabic before it, and reads 12, not 21."""
    text = set_line("جبل 12", "regular", [face("regular").path])
    number = set_line("12", "regular", [face("regular").path])
    start = next(c for c in text.commands if c[0] == "M")
    first = next(c for c in number.commands if c[0] == "M")
    assert start[1:] == pytest.approx(first[1:], abs=0.2)


def test_the_error_names_the_letters_that_no_font_has() -> None:
    with pytest.raises(InputError, match=r"no font here has .*U\+13000 EGYPTIAN HIEROGLYPH A001.*stands in “"):
        draw_card(make_tree(title="Vale \U00013000"))


def test_zero_width_and_chosen_pictures_draw_nothing_more() -> None:
    assert contours("☕️") == contours("☕")
    assert contours("🍑\u200d") == contours("🍑")


@trials(20)
@given(st.lists(st.sampled_from([*NAMES.values(), "Vale", "4 of 5", "(x)"]), min_size=1, max_size=4))
def test_any_mixture_is_as_wide_as_its_words(words: list[str]) -> None:
    made = face("semibold").set_whole(" ".join(words))
    assert 0.3 * sum(map(len, words)) * 0.3 < made.width < 1.7 * (sum(map(len, words)) + len(words))
    reach = [float(v) for command in made.commands for v in command[1::2]]
    assert min(reach) > -400
    assert max(reach) < made.width * 1000 + 400


def test_the_picture_shows_the_letters(tmp_path: object) -> None:
    """Ink where the name stands, in the PNG as in the PDF."""
    drawing = draw_card(make_tree(FOUND[:2], title=NAMES["Amharic"]), "square")
    title = next(i for i in drawing.items if isinstance(i, Lettering) and i.text == NAMES["Amharic"])
    run = title.runs[0]
    png = Image.open(io.BytesIO(svg_to_png(draw_svg(make_tree(FOUND[:2], title=NAMES["Amharic"]), "square"), 254)))
    box = (run.x * 10, (run.y - title.size * 0.8) * 10, (run.x + title.width) * 10, run.y * 10)
    assert png.convert("L").crop(tuple(map(int, box))).getextrema()[0] < 90
    assert NAMES["Amharic"].encode("utf-16-be").hex().encode() in pdf_content(pdf_bytes([drawing]))


def pdf_content(data: bytes) -> bytes:
    import pypdf

    return pypdf.PdfReader(io.BytesIO(data)).pages[0].get_contents().get_data()
