"""Print files: SVG, PNG and PDF, read back by other programs; options; several wheels on one sheet."""

from __future__ import annotations

import io
import math
import os
import re
import subprocess
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import font_source_sans_pro
import pypdf
import pytest
from PIL import Image, ImageChops, ImageStat
from wheel_cases import HOSTILE, LETTERED, many, renamed, words_on
from wheel_geometry import outside_sheet, overlaps
from wheel_trees import FOUND, make_tree

from tastevocab.errors import InputError
from tastevocab.wheel.arcs import arcs
from tastevocab.wheel.card import Options, draw_card
from tastevocab.wheel.drawing import Drawing, Lettering, Shape
from tastevocab.wheel.multiples import draw_multiples
from tastevocab.wheel.pdf import pdf_bytes
from tastevocab.wheel.png import svg_to_png
from tastevocab.wheel.sizes import CARDS, SIZES
from tastevocab.wheel.svg import draw_svg, svg_text
from tastevocab.wheel.tree import Printed, WheelTree
from tastevocab.wheel.words import alt_text

SVG = "{http://www.w3.org/2000/svg}"
CHROMIUM = Path("/usr/bin/chromium")
LIGHT = str(Path(font_source_sans_pro.font_directory) / "SourceSansPro-Light.ttf")


def draw_pdf(tree: WheelTree, size: str = "page", options: Options | None = None) -> bytes:
    return pdf_bytes([draw_card(tree, size, options)])


# --- SVG ---


def _links(root: ET.Element) -> Iterator[str]:
    for element in root.iter():
        yield from (v for k, v in element.attrib.items() if k.endswith("href"))


@pytest.mark.parametrize("size", CARDS)
def test_svg_is_well_formed_titled_and_self_contained(tree: WheelTree, size: str) -> None:
    root = ET.fromstring(draw_svg(tree, size))
    assert root.find(f"{SVG}title").text.startswith("Vale Alto")
    assert root.find(f"{SVG}desc").text == alt_text(tree)
    assert root.attrib["width"] == f"{SIZES[size].width:g}mm"
    ids = [e.attrib["id"] for e in root.iter() if "id" in e.attrib]
    assert len(ids) == len(set(ids))
    assert all(link.startswith("#") and link[1:] in ids for link in _links(root))
    assert not list(root.iter(f"{SVG}text"))
    assert not list(root.iter(f"{SVG}style"))


def test_every_arc_is_an_element_that_a_page_can_find_and_ask(tree: WheelTree) -> None:
    word = Printed("reach/dark_fruit", "dark fruit", 4, 5, ("reach/dark_fruit", "choc_cream/dark_choc/cocoa_nib"))
    tree = replace(tree, printed=(word,))
    elements = {
        e.attrib["id"]: e.attrib for e in ET.fromstring(draw_svg(tree)).iter(f"{SVG}path") if "data-ring" in e.attrib
    }
    drawn = [arc for arc in arcs(tree) if arc.ring == "petal" or not arc.open]  # an open arc is its petal's outline
    for arc in drawn:
        told = elements[arc.name]
        assert told["data-about"] == arc.node
        assert (told["data-ring"], told["data-people"], told["data-of"]) == (arc.ring, str(arc.people), "5")
    assert len(elements) == len(drawn)
    assert elements["petal.citrus_crate.peel_oil.bergamot"]["data-print"] == "bergamot"
    marked = {name for name, told in elements.items() if told.get("data-printed") == "1"}
    assert marked == {"petal.reach.dark_fruit", "petal.choc_cream.dark_choc.cocoa_nib"}


def test_wheels_of_one_sheet_share_no_id(tree: WheelTree) -> None:
    root = ET.fromstring(svg_text(draw_multiples({"hot": tree, "warm": tree}, "page")))
    ids = [e.attrib["id"] for e in root.iter() if "id" in e.attrib]
    assert len(ids) == len(set(ids))
    assert "2.petal.citrus_crate.peel_oil.bergamot" in ids


def test_same_tree_same_bytes(tree: WheelTree) -> None:
    assert draw_svg(tree, options=Options("dark")) == draw_svg(make_tree(), options=Options("dark"))
    assert draw_pdf(tree) == draw_pdf(make_tree())
    assert svg_to_png(draw_svg(tree), 60) == svg_to_png(draw_svg(make_tree()), 60)


def test_hostile_text_is_only_text() -> None:
    tree = make_tree(renamed(HOSTILE), title=HOSTILE, subtitle=(HOSTILE,), footer=("]]> <!-- " + HOSTILE,))
    root = ET.fromstring(draw_svg(tree))
    assert not list(root.iter(f"{SVG}script"))
    assert HOSTILE in root.find(f"{SVG}desc").text


def _golden(drawing: Drawing) -> str:
    """The drawing's bones: kinds, counts and rounded places, not bytes of floats."""
    lines = []
    for item in drawing.items:
        if isinstance(item, Lettering):
            lines.append(f"{item.kind} {item.text!r} {item.points:.1f} {item.runs[0].x:.0f} {item.runs[0].y:.0f}")
        elif item.kind not in ("hatch", "guide", "swatch", "step"):
            numbers = [float(v) for c in item.commands for v in c[1:]]
            lines.append(
                f"{item.kind} {item.about} {min(numbers):.0f} {max(numbers):.0f} {sum(numbers) / len(numbers):.0f}"
            )
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("size", LETTERED)
def test_the_drawing_is_the_one_that_was_looked_at(tree: WheelTree, size: str) -> None:
    """After a wanted change: look at the picture, then run once with LOOKED_AT=1."""
    golden = Path(__file__).parent / "golden" / f"{size}.txt"
    drawn = _golden(draw_card(tree, size))
    if os.environ.get("LOOKED_AT"):
        golden.write_text(drawn, encoding="utf-8")
    kept = golden.read_text(encoding="utf-8").splitlines()
    now = drawn.splitlines()
    assert len(now) == len(kept)
    for was, line in zip(kept, now, strict=True):
        assert _near(was, line), f"{was} became {line}"


def _near(one: str, other: str) -> bool:
    number = re.compile(r"-?\d+(?:\.\d+)?")
    same_words = number.sub("#", one) == number.sub("#", other)
    pairs = zip(number.findall(one), number.findall(other), strict=False)
    return same_words and all(math.isclose(float(a), float(b), abs_tol=1.01) for a, b in pairs)


# --- PNG ---


def test_png_has_the_pixels_and_dpi_asked_for(tree: WheelTree) -> None:
    square = Image.open(io.BytesIO(svg_to_png(draw_svg(tree, "square"), SIZES["square"].dpi)))
    assert square.size == (1080, 1080)
    page = Image.open(io.BytesIO(svg_to_png(draw_svg(tree), 100)))
    assert page.size == (583, 827)
    assert page.info["dpi"] == pytest.approx((100, 100), abs=0.1)


@pytest.mark.parametrize("dpi", [0, -5, 9, 5000, float("nan")])
def test_senseless_dpi_is_refused(tree: WheelTree, dpi: float) -> None:
    with pytest.raises(InputError):
        svg_to_png(draw_svg(tree, "board"), dpi)


@pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium at /usr/bin/chromium as second renderer")
def test_a_second_renderer_draws_the_same_picture(tree: WheelTree, tmp_path: Path) -> None:
    svg = draw_svg(tree, "square")
    (tmp_path / "w.svg").write_text(
        svg.replace('width="108mm" height="108mm"', 'width="540" height="540"'), encoding="utf-8"
    )
    (tmp_path / "w.html").write_text('<body style="margin:0"><img src="w.svg"></body>')
    flags = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync",
             "--disable-background-networking", "--disable-component-update", "--hide-scrollbars",
             f"--user-data-dir={tmp_path / 'profile'}", f"--screenshot={tmp_path / 'w.png'}",
             "--window-size=540,640"]  # fmt: skip
    subprocess.run(
        [str(CHROMIUM), *flags, f"file://{tmp_path / 'w.html'}"], check=True, capture_output=True, timeout=60
    )
    theirs = Image.open(tmp_path / "w.png").convert("RGB").crop((0, 0, 540, 540))
    ours = Image.open(io.BytesIO(svg_to_png(svg, 127))).convert("RGB")
    difference = ImageStat.Stat(ImageChops.difference(ours, theirs))
    assert max(difference.mean) < 3


# --- PDF ---


def test_pdf_has_the_boxes_text_and_font(tree: WheelTree) -> None:
    reader = pypdf.PdfReader(io.BytesIO(draw_pdf(tree, "bag", Options(bleed=3))))
    page = reader.pages[0]
    k = 72 / 25.4
    assert [float(v) for v in page.mediabox] == pytest.approx([0, 0, 96 * k, 156 * k], abs=0.02)
    assert [float(v) for v in page.trimbox] == pytest.approx([3 * k, 3 * k, 93 * k, 153 * k], abs=0.02)
    assert reader.metadata.title.startswith("Vale Alto")
    text = page.extract_text()
    for name in ("Vale Alto", "shortbread", "nectarine", "sweetness", "Not an ingredient or allergen statement"):
        assert name in text
    fonts = page["/Resources"]["/Font"]
    assert all("/FontFile2" in f["/DescendantFonts"][0]["/FontDescriptor"] for f in fonts.values())
    assert len(reader.pages) == 1


def test_curved_words_read_as_words_in_the_pdf(tree: WheelTree) -> None:
    content = pypdf.PdfReader(io.BytesIO(draw_pdf(tree))).pages[0].get_contents().get_data()
    assert b"/ActualText <feff" + "bergamot 3".encode("utf-16-be").hex().encode() + b">" in content


def test_pdf_of_other_scripts_keeps_their_text() -> None:
    content = pypdf.PdfReader(io.BytesIO(draw_pdf(make_tree(renamed("桃"))))).pages[0].get_contents().get_data()
    assert "桃".encode("utf-16-be").hex().encode() in content


# --- options ---


def test_every_option_changes_the_drawing(tree: WheelTree) -> None:
    plain = draw_svg(tree)
    others = [
        draw_svg(tree, options=Options("grey")),
        draw_svg(tree, "bag"),
        draw_svg(tree, options=Options(bleed=3)),
        draw_svg(tree, options=Options(safe=20)),
        draw_svg(tree, options=Options(strips=False)),
        draw_svg(tree, options=Options(font=LIGHT)),
    ]
    assert len({plain, *others}) == 7


def test_bleed_widens_the_paper_and_safe_keeps_off_the_edge(tree: WheelTree) -> None:
    assert 'width="154mm" height="216mm" viewBox="-3 -3 154 216"' in draw_svg(tree, options=Options(bleed=3))
    drawing = draw_card(tree, "page", Options(safe=20))
    for item in drawing.items:
        if isinstance(item, Lettering):
            assert all(20 - 0.3 <= run.x <= 128.3 and 20 <= run.y <= 190.3 for run in item.runs)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (("a9", None), "no size 'a9'"),
        (("page", Options("pink")), "no theme"),
        (("page", Options(safe=90)), "safe margin"),
        (("page", Options(bleed=-1)), "bleed"),
    ],
)
def test_wrong_options_are_refused(tree: WheelTree, asked: tuple[str, Options | None], said: str) -> None:
    with pytest.raises(InputError, match=said):
        draw_svg(tree, *asked)


def test_nothing_found_is_a_sheet_all_the_same() -> None:
    drawing = draw_card(replace(make_tree(), nodes=()), "page")
    assert "Vale Alto" in words_on(drawing)
    assert "Nothing was found" in drawing.description


# --- several wheels ---


@pytest.mark.parametrize(("of", "told"), [(5, "people of 5"), (4, "people of those there")])
def test_the_key_of_several_wheels_counts_nobody_who_was_not_there(of: int, told: str) -> None:
    drawing = draw_multiples({"hot": make_tree(FOUND[:6], of=of), "warm": make_tree(FOUND[:6], of=5)}, "page")
    assert f"length, number: {told}" in {item.text for item in drawing.items if isinstance(item, Lettering)}


def test_several_wheels_share_one_scale(tree: WheelTree) -> None:
    drawing = draw_multiples({"hot": make_tree(FOUND[:6], of=4), "warm": tree, "cool": make_tree(FOUND[3:9])}, "page")
    assert overlaps(drawing) == []
    assert outside_sheet(drawing) == []
    rims = [item for item in drawing.items if isinstance(item, Shape) and item.kind == "rim"]
    heights = [
        max(float(c[-1]) for c in r.commands if len(c) > 1) - min(float(c[-1]) for c in r.commands if len(c) > 1)
        for r in rims
    ]
    assert len(rims) == 3
    assert heights == pytest.approx([heights[0]] * 3)
    ET.fromstring(svg_text(drawing))
    assert pdf_bytes([drawing]).startswith(b"%PDF")


def test_what_has_no_room_is_told_clear_of_the_next_wheels_name() -> None:
    drawing = draw_multiples({"hot": make_tree(many(60)), "cool": make_tree(many(60, seed=2))}, "page")
    words = [item for item in drawing.items if isinstance(item, Lettering)]
    told = [item for item in words if item.text.startswith("For want of room")]
    (name,) = (item for item in words if item.text == "cool")
    assert len(told) == 2
    assert outside_sheet(drawing) == []
    # Baselines lie a line and more apart: the name's capitals stand free below the line.
    assert told[0].runs[0].y + told[0].size * 0.25 < name.runs[0].y - name.size * 0.7


def test_too_many_wheels_are_refused(tree: WheelTree) -> None:
    with pytest.raises(InputError, match="13 wheels"):
        draw_multiples({str(i): tree for i in range(13)})
