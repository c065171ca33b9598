"""Lettering: widths and kerning against another reading of the font, wrapping, spreading."""

from __future__ import annotations

import math
from itertools import pairwise

import font_source_sans_pro
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont
from trials import trials

from tastevocab.errors import InputError
from tastevocab.wheel.inside import Space, fit
from tastevocab.wheel.lettering import Style, along, force, outward, wrap
from tastevocab.wheel.outside import spread
from tastevocab.wheel.typeface import clean, face

STYLE = Style(3.0, "#000000")


@pytest.mark.parametrize("text", ["AVATAR To Yo", "bergamot", "crème brûlée", "piña colada", "fluffy office"])
def test_widths_with_kerning_agree_with_freetype(text: str) -> None:
    path = f"{font_source_sans_pro.font_directory}/SourceSansPro-Regular.ttf"
    other = ImageFont.truetype(path, 1000, layout_engine=ImageFont.Layout.BASIC)
    plain = sum(other.getlength(c) for c in text) / 1000
    letters = face("regular")
    kerned = sum(letters.kern(a, b) for a, b in pairwise(text)) / 1000
    assert letters.width(text) == pytest.approx(plain + kerned, abs=0.002)


def test_known_pairs_are_closer() -> None:
    letters = face("regular")
    assert letters.kern("A", "V") < 0
    assert letters.kern("T", "o") < 0
    assert letters.kern("n", "n") == 0


def test_the_font_comes_with_its_licence() -> None:
    with open(f"{font_source_sans_pro.font_directory}/LICENSE.txt", encoding="utf-8") as file:
        assert "SIL Open Font License, Version 1.1" in file.read()


def test_a_file_that_is_no_font_is_refused(tmp_path) -> None:
    (tmp_path / "x.ttf").write_text("no font")
    with pytest.raises(InputError, match="cannot be read as a font"):
        face("regular", str(tmp_path / "x.ttf"))


words = st.lists(st.text("abcdefg é", min_size=1, max_size=12), min_size=1, max_size=12).map(
    lambda w: clean(" ".join(w))
)


@trials(25)
@given(words.filter(bool), st.floats(8, 60))
def test_wrapping_loses_nothing_and_keeps_the_width(text: str, longest: float) -> None:
    lines = wrap(text, STYLE, longest)
    if lines is None:
        assert max(STYLE.width(word) for word in text.split()) > longest
    else:
        assert " ".join(lines) == text
        assert all(STYLE.width(line) <= longest for line in lines)


def test_a_word_too_long_is_cut_with_hyphens_and_nothing_lost() -> None:
    lines = force("x" * 90, STYLE, 20)
    assert all(STYLE.width(line) <= 20 for line in lines)
    assert "".join(line.removesuffix("-") for line in lines) == "x" * 90


@pytest.mark.parametrize(
    ("word", "cut"), [("strawberry", "straw-"), ("blackcurrant", "black-"), ("gooseberry", "goose-")]
)
def test_a_word_is_cut_between_its_syllables(
    word: str, cut: str
) -> None:  # where a dictionary (Merriam-Webster) has dots
    assert force(word, STYLE, STYLE.width(word) * 0.65)[0] == cut


@trials(20)
@given(st.floats(0, math.tau))
def test_no_line_stands_on_its_head(angle: float) -> None:
    for line in (along("peach", 0, 0, 50, angle, STYLE), outward("peach", 0, 0, 50, angle, STYLE)):
        runs = line.runs
        middle = runs[len(runs) // 2].angle
        assert math.cos(middle) > -0.02 * len(runs)


def test_a_curved_line_follows_its_circle() -> None:
    line = along("chocolate", 10, 20, 40, 1.0, STYLE)
    radii = [math.hypot(run.x - 10, run.y - 20) for run in line.runs]
    assert max(radii) - min(radii) < 0.05
    assert "".join(run.text for run in line.runs) == "chocolate"


@trials(25)
@given(st.lists(st.tuples(st.floats(-50, 50), st.floats(0.5, 5)), min_size=1, max_size=15))
def test_spread_boxes_are_clear_in_order_and_in_bounds(wishes: list) -> None:
    targets = sorted(t for t, _ in wishes)
    sizes = [s for _, s in wishes]
    placed = spread(targets, sizes, -60, 60)
    for (a, sa), (b, sb) in pairwise(zip(placed, sizes, strict=True)):
        assert b - a >= (sa + sb) / 2 - 1e-6
    assert placed[0] - sizes[0] / 2 >= -60 - 1e-6
    assert placed[-1] + sizes[-1] / 2 <= 60 + 1e-6


def test_spread_leaves_alone_what_has_room() -> None:
    assert spread([0.0, 10.0, 20.0], [2.0, 2.0, 2.0], -5, 30) == [0.0, 10.0, 20.0]


def test_text_is_made_fit_to_be_set() -> None:
    assert clean("a\x00b\u202ec \n d\ud800e") == "a bc de"
    assert clean("cafe\u0301") == "café"


def test_a_label_stands_along_its_space_or_else_along_the_ray() -> None:
    """Nine degrees of a ring 20 to 50 mm out are 8 mm wide and 30 deep: a long word only fits along the ray."""
    space = Space(0.0, 0.0, 20.0, 50.0, 0.7, 0.857)
    short, long = (fit([(text, STYLE)], [space], 2.0) for text in ("fig", "strawberry jam"))
    for block, deep in ((short, STYLE.size), (long, STYLE.width("strawberry jam"))):
        assert block is not None
        assert block.outer - block.inner == pytest.approx(deep, rel=0.3)
        assert (block.inner >= 20, block.outer <= 50, block.start >= 0.7, block.end <= 0.857) == (True,) * 4
    assert [run.angle for run in long.lines[0].runs] == pytest.approx([space.middle - math.pi / 2])
