"""PDF for the press: structure read back with other libraries, inks held against the standard, black over colour."""

from __future__ import annotations

import io
import itertools
import re
from functools import cache

import numpy as np
import pikepdf
import pypdf
import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st
from trials import trials
from wheel_trees import FOUND, make_tree

from tastevocab.wheel.card import Options, draw_card
from tastevocab.wheel.drawing import Lettering, Shape
from tastevocab.wheel.pdf import pdf_bytes
from tastevocab.wheel.press import inks, lab_of, printed
from tastevocab.wheel.tree import WheelTree

MM = 72 / 25.4


@pytest.fixture(scope="module")
def pressed() -> bytes:
    return pdf_bytes([draw_card(make_tree(), "bag", Options(bleed=3))], marks=True)


def content(data: bytes) -> str:
    return pypdf.PdfReader(io.BytesIO(data)).pages[0].get_contents().get_data().decode("latin-1")


# --- PDF/X-3:2003 (ISO 15930-6), clause by clause as far as the file's structure says it ---


def test_structure_is_that_of_pdf_x_3(pressed: bytes) -> None:
    file = pikepdf.open(io.BytesIO(pressed))
    assert file.pdf_version == "1.4"
    assert not file.is_encrypted
    info = file.docinfo
    assert str(info["/GTS_PDFXVersion"]) == "PDF/X-3:2003"
    assert info["/Trapped"] == pikepdf.Name("/False")
    assert all(str(info[key]) for key in ("/Title", "/Creator", "/Producer", "/CreationDate", "/ModDate"))
    assert len(file.trailer["/ID"]) == 2
    (intent,) = file.Root.OutputIntents
    assert pikepdf.Name("/GTS_PDFX") == intent.S
    assert (str(intent.OutputConditionIdentifier), str(intent.RegistryName)) == ("FOGRA39", "http://www.color.org")


def test_nothing_that_pdf_x_3_forbids(pressed: bytes) -> None:
    file = pikepdf.open(io.BytesIO(pressed))
    assert "/AA" not in file.Root
    assert "/JavaScript" not in file.Root.get("/Names", {})
    for page in file.pages:
        assert "/Annots" not in page
        assert "/Group" not in page  # transparency
        for state in page.Resources.ExtGState.values():
            assert not {"/SMask", "/ca", "/CA", "/BM", "/TR", "/HTP"} & set(state.keys())
        for font in page.Resources.Font.values():
            assert "/FontFile2" in font.DescendantFonts[0].FontDescriptor


def test_boxes_nest_and_the_trim_is_the_sheet(pressed: bytes) -> None:
    page = pypdf.PdfReader(io.BytesIO(pressed)).pages[0]
    media, bleed, trim = ([float(v) for v in box] for box in (page.mediabox, page.bleedbox, page.trimbox))
    assert all(m <= b <= t for m, b, t in zip(media[:2], bleed[:2], trim[:2], strict=True))
    assert all(m >= b >= t for m, b, t in zip(media[2:], bleed[2:], trim[2:], strict=True))
    assert [trim[2] - trim[0], trim[3] - trim[1]] == pytest.approx([90 * MM, 150 * MM], abs=0.02)
    assert [bleed[2] - bleed[0], bleed[3] - bleed[1]] == pytest.approx([96 * MM, 156 * MM], abs=0.02)


def test_every_colour_is_ink(pressed: bytes) -> None:
    body = content(pressed)
    assert not re.search(r"\b(rg|RG|sc|scn|SC|SCN|cs|CS)\b", re.sub(r"\[<.*?>\] TJ|\(.*?\)", "", body))
    assert len(re.findall(r"(?:[\d.]+ ){4}k\b", body)) > 10


def test_black_lettering_is_black_ink_alone_and_overprints(pressed: bytes) -> None:
    body = content(pressed)
    black = [line for line in body.split("\n") if "BT " in line and "0 0 0 1 k" in line]
    assert black
    assert all("/GS0 gs" in line and line.index("/GS0 gs") < line.index("0 0 0 1 k") for line in black)
    file = pikepdf.open(io.BytesIO(pressed))
    state = file.pages[0].Resources.ExtGState["/GS0"]
    assert (state["/OP"], state["/op"], state["/OPM"]) == (True, True, 1)
    pale = [line for line in body.split("\n") if " Tf 0 0 0 0 k" in line]
    assert not any("/GS0 gs" in line for line in pale)


def test_crop_marks_stand_outside_the_bleed(tree: WheelTree, pressed: bytes) -> None:
    (marks,) = [line for line in content(pressed).split("\n") if line.startswith("1 1 1 1 K")]
    lines = [tuple(map(float, found)) for found in re.findall(r"(\S+) (\S+) m (\S+) (\S+) l S", marks)]
    assert len(lines) == 8
    for x1, y1, x2, y2 in lines:
        assert {x1, x2} <= {0, 90} or {y1, y2} <= {0, 150}
        assert not (-3 < x1 < 93 and -3 < y1 < 153)
        assert not (-3 < x2 < 93 and -3 < y2 < 153)
    assert "1 1 1 1 K" not in content(pdf_bytes([draw_card(tree, "bag", Options(bleed=3))]))


def test_another_renderer_draws_what_the_sheet_shows(pressed: bytes) -> None:
    picture = pypdfium2.PdfDocument(pressed)[0].render(scale=1).to_pil().convert("RGB")
    assert picture.getpixel((2, 2)) == (255, 255, 255)
    colours = picture.getcolors(1 << 20)
    assert len([n for n, (r, g, b) in colours if max(r, g, b) - min(r, g, b) > 40]) > 50


def test_without_paper_nothing_of_its_colour_is_printed(tree: WheelTree) -> None:
    plain, bare = draw_card(tree, "bag"), draw_card(tree, "bag", Options(paper=False))
    paper = next(i.fill for i in plain.items if isinstance(i, Shape) and i.kind == "background")
    assert not any(paper in (i.fill, i.stroke) for i in bare.items if isinstance(i, Shape))
    assert [i.text for i in bare.items if isinstance(i, Lettering)] == [
        i.text for i in plain.items if isinstance(i, Lettering)
    ]


# --- inks ---


def test_solids_come_out_at_the_aim_values_of_the_standard() -> None:
    # ISO 12647-2:2004/Amd 1:2007, paper types 1 and 2 on black (from memory), told relative to a paper of L* 93, b* -3.
    assert printed((0, 0, 0, 0)) == pytest.approx([100, 0, 0], abs=0.01)
    assert printed((0, 1, 0, 0))[0] == pytest.approx(50, abs=1.5)
    assert printed((0, 0, 0, 1))[0] == pytest.approx(18, abs=1)
    cyan, yellow = printed((1, 0, 0, 0)), printed((0, 0, 1, 0))
    assert cyan[1] < -30
    assert cyan[2] < -40
    assert yellow[2] > 85


@trials(20)
@given(st.tuples(*[st.integers(0, 255)] * 3))
def test_inks_are_few_and_near_where_the_press_can_reach(rgb: tuple[int, int, int]) -> None:
    colour = "#{:02x}{:02x}{:02x}".format(*rgb)
    found = inks(colour)
    assert all(0 <= share <= 1 for share in found)
    assert sum(found) <= 3.0 + 1e-9  # total coverage that a press with coated paper takes
    lab = lab_of(colour)
    off = np.linalg.norm(printed(found) - lab)
    if lab[0] > 60 and np.hypot(lab[1], lab[2]) > 5:  # no black in it: no mixture of the other three is much nearer
        assert off < np.linalg.norm(without_black() - lab, axis=1).min() + 0.5
    elif np.hypot(lab[1], lab[2]) < 25 and lab[0] > 30:
        assert off < 8


@cache
def without_black() -> np.ndarray:
    """What every mixture of cyan, magenta and yellow in tenths prints."""
    return np.array([printed((*mixture, 0)) for mixture in itertools.product(np.linspace(0, 1, 11), repeat=3)])


def test_neutrals_are_black_ink_alone() -> None:
    assert inks("#000000") == (0, 0, 0, 1)
    assert inks("#1b1c20") == (0, 0, 0, 1)
    assert inks("#ffffff") == inks("#fcfbf8") == (0, 0, 0, 0)
    c, m, y, k = inks("#808080")
    assert (c, m, y) == (0, 0, 0)
    assert printed((c, m, y, k))[0] == pytest.approx(lab_of("#808080")[0], abs=0.5)


def test_same_drawing_same_bytes(tree: WheelTree) -> None:
    assert pdf_bytes([draw_card(tree)]) == pdf_bytes([draw_card(make_tree(FOUND))])
