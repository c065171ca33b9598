"""Print files: what is on the sheet, read back by other programs."""

from __future__ import annotations

import io
import math
import os
import random
import re
import subprocess
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import font_source_sans_pro
import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageChops, ImageStat
from wheel_geometry import crossings, leaders_through_lettering, outside_sheet, overlaps
from wheel_trees import FOUND, RING, make_tree

from tastevocab.errors import InputError
from tastevocab.wheel.arcs import arcs, picture
from tastevocab.wheel.card import Options, draw_card, look_for
from tastevocab.wheel.colour import theme
from tastevocab.wheel.dial import Dial
from tastevocab.wheel.drawing import Drawing, Lettering, Shape
from tastevocab.wheel.look import Box
from tastevocab.wheel.multiples import draw_multiples
from tastevocab.wheel.pdf import pdf_bytes
from tastevocab.wheel.png import svg_to_png
from tastevocab.wheel.sizes import CARDS, SIZES
from tastevocab.wheel.strips import lay_strips
from tastevocab.wheel.svg import draw_svg, svg_text
from tastevocab.wheel.tree import Printed, Strip, WheelTree
from tastevocab.wheel.words import alt_text

LETTERED = ("square", "bag", "page", "board")
"""Sheets with room for every name of the demo; cards to be shared and shelf cards may drop some."""
SVG = "{http://www.w3.org/2000/svg}"
CHROMIUM = Path("/usr/bin/chromium")
LIGHT = str(Path(font_source_sans_pro.font_directory) / "SourceSansPro-Light.ttf")
LONG = "a very long name of a flavour that nobody would print on a bag but somebody wrote it down"
HOSTILE = "</desc><script>alert(1)</script>&lt;\"'>"


def many(count: int, seed: int = 1) -> tuple:
    """An invented crowd of findings."""
    dice = random.Random(seed)
    rows = []
    for i in range(count):
        category, family = RING[i * 14 // count], f"f{i * 70 // count}"
        names = (category, category.replace("_", " "), family, f"family {family}", f"n{i}", f"note number {i}")
        rows.append((*names, dice.random() ** 2 * 5 + 0.1, dice.randint(1, 5), dice.choice([0, 0, 0, 0.5])))
    return tuple(rows)


def draw_pdf(tree: WheelTree, size: str = "page", options: Options | None = None) -> bytes:
    return pdf_bytes([draw_card(tree, size, options)])


def renamed(name: str, rows: tuple = FOUND[:7]) -> tuple:
    return tuple((*row[:5], name if row[4] else "", *row[6:]) for row in rows)


CASES = {
    "one finding": FOUND[:1],
    "the demo": FOUND,
    "forty": many(40),
    "three hundred": many(300),
    "long names": renamed(LONG),
    "long word": renamed("x" * 90),
    "right to left": renamed("زهرة البرتقال"),
    "emoji": renamed("🍑 peach 桃"),
    "hostile": renamed(HOSTILE),
}


def words_on(drawing: Drawing) -> str:
    return " ".join(item.text for item in drawing.items if isinstance(item, Lettering))


@pytest.mark.parametrize("size", CARDS)
@pytest.mark.parametrize("case", CASES)
def test_nothing_is_cut_covered_or_too_small(case: str, size: str) -> None:
    drawing = draw_card(make_tree(CASES[case]), size)
    assert outside_sheet(drawing) == []
    assert overlaps(drawing) == []
    assert crossings(drawing) == 0
    assert leaders_through_lettering(drawing) == []
    smallest = min(item.points for item in drawing.items if isinstance(item, Lettering))
    assert smallest >= 7 - 1e-9


@settings(max_examples=25, deadline=None)
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
    text = words_on(draw_card(tree, size)).replace("- ", "")
    slim = FOUND[10:12]  # 7 and 3 % of the map: their categories are too slim for a number on small sheets
    for name in {word for row in FOUND for label in (row[1], row[5]) for word in label.split() if row not in slim}:
        assert name in text, name


@pytest.mark.parametrize("size", CARDS)
def test_the_title_is_the_notes_line_with_its_people(tree: WheelTree, size: str) -> None:
    drawing = draw_card(tree, size)
    lines = [i for i in drawing.items if isinstance(i, Lettering)]
    title = " ".join(i.text for i in lines if i.kind in ("printed-title", "printed-count"))
    assert title == "black tea 4 of 5 dark fruit 4 of 5 orange and mandarin 3 of 5"
    largest = max(i.size for i in lines)
    assert all(i.size == largest for i in lines if i.kind == "printed-title")


@pytest.mark.parametrize("size", CARDS)
def test_every_printed_word_has_its_band_and_says_its_people_there(tree: WheelTree, size: str) -> None:
    drawing = draw_card(tree, size)
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


@pytest.mark.parametrize("size", LETTERED)
def test_every_petal_says_its_people(tree: WheelTree, size: str) -> None:
    """People come first: no petal loses its number for want of room."""
    drawing = draw_card(tree, size)
    lines = [i for i in drawing.items if isinstance(i, Lettering) and i.kind in ("label", "count")]
    for arc in arcs(tree):
        if arc.ring == "petal" and not arc.own and not any(word.id == arc.node for word in tree.printed):
            said = " ".join(i.text for i in lines if i.about == arc.node).replace("- ", "")
            assert said == f"{arc.label} {arc.people}" or f"{arc.label} {arc.people}" in words_on(drawing)


def test_the_quorum_is_one_bold_ring_that_says_itself(tree: WheelTree) -> None:
    for size in CARDS:
        drawing = draw_card(tree, size)
        assert sum(isinstance(i, Shape) and i.kind == "quorum" for i in drawing.items) == 1
        assert "3 of 5: enough to print" in words_on(drawing)


def test_what_is_not_printed_recedes(tree: WheelTree) -> None:
    tints = theme("light", RING).tints
    for item in draw_card(tree, "page").items:
        if isinstance(item, Shape) and item.kind == "petal":
            of = tints[item.about.split("/")[0]]
            loud = any(item.about in word.over for word in tree.printed)
            assert item.fill == (of.note if loud else of.quiet)


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
    drawing = draw_card(make_tree(many(300)), "bag")
    said = re.search(r"For want of room not shown: (\d+) name", words_on(drawing))
    assert said
    shown = sum(
        item.kind == "label" and item.text.startswith("note number")
        for item in drawing.items
        if isinstance(item, Lettering)
    )
    assert int(said[1]) >= 300 - shown > 0


@pytest.mark.parametrize("case", CASES)
def test_the_text_alternative_is_short_and_says_the_printed_words_first(case: str) -> None:
    tree = make_tree(CASES[case])
    text = draw_card(tree, "page").description
    assert len(text) <= 600
    if tree.printed:
        assert f"Printed: {tree.printed[0].label}, 4 of 5" in text


def test_the_footer_is_below_all_else(tree: WheelTree) -> None:
    for size in (size for size in CARDS if SIZES[size].width < 1.2 * SIZES[size].height):  # else it stands beside
        drawing = draw_card(tree, size)
        footer = min(run.y for i in drawing.items if isinstance(i, Lettering) and i.kind == "footer" for run in i.runs)
        others = max(run.y for i in drawing.items if isinstance(i, Lettering) and i.kind != "footer" for run in i.runs)
        assert others < footer


def test_every_mark_and_the_median_are_drawn(tree: WheelTree) -> None:
    kinds = [item.kind for item in draw_card(tree, "page").items if isinstance(item, Shape)]
    assert kinds.count("mark") == sum(len(s.marks) for s in tree.strips)
    assert kinds.count("median") == len(tree.strips)
    without = draw_card(tree, "page", Options(strips=False))
    assert not any(isinstance(i, Shape) and i.kind == "mark" for i in without.items)


def test_hatching_covers_the_doubtful_share_only(tree: WheelTree) -> None:
    drawing = draw_card(tree, "page")
    hatched = {item.about for item in drawing.items if isinstance(item, Shape) and item.kind == "hatch"}
    assert hatched == {
        "citrus_crate/peel_oil/orange_zest",
        "orchard/golden_stone/apricot",
        "bakers_bench/biscuit_pastry/shortbread",
    }


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


def test_too_many_wheels_are_refused(tree: WheelTree) -> None:
    with pytest.raises(InputError, match="13 wheels"):
        draw_multiples({str(i): tree for i in range(13)})
