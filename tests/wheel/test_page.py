"""The interactive page: its rows, its bytes, and how it behaves in a real browser with the network off."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader
from wheel_trees import FOUND, RING, make_tree

from tastevocab.errors import InputError
from tastevocab.wheel.page import SHARED_SCRIPT, draw_page, figure, hover, plotly_script
from tastevocab.wheel.page_rows import ROOT, WHOLE, check_rows, page_rows
from tastevocab.wheel.tree import WheelTree

CHROMIUM = Path("/usr/bin/chromium")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"]
FLAGS += ["--disable-background-networking", "--disable-component-update"]
HOSTILE = (
    "</script><script>document.title='owned'</script><img src=x onerror=\"document.title='owned'\">{{7*7}}</style>"
)


# --- rows ---


def test_rows_say_what_the_tree_says(tree: WheelTree) -> None:
    rows = {row.id: row for row in page_rows(tree)}
    assert rows[ROOT].value == pytest.approx(WHOLE, abs=len(rows))
    total = sum(row[6] for row in FOUND)
    assert rows["tea_caddy/black_leaf/black_tea"].share == pytest.approx(9.0 / total, abs=1e-8)
    assert rows["orchard/golden_stone#own"].label == "unspecified"
    assert rows["orchard/golden_stone#own"].parent == "orchard/golden_stone"
    assert rows["reach/dark_fruit"].open
    assert "reach/dark_fruit#own" not in rows
    assert rows["citrus_crate/peel_oil/orange_zest"].count == "2 of 5"


@settings(max_examples=50, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(RING), st.integers(0, 3), st.integers(0, 4), st.floats(0.001, 99)),
        min_size=1,
        max_size=40,
        unique_by=lambda r: r[:3],
    )
)
def test_rows_always_add_up(found: list) -> None:
    rows = page_rows(make_tree(tuple((c, c, f"f{f}", "f", f"n{n}" if n else "", "n", w, 1, 0) for c, f, n, w in found)))
    children: dict[str, int] = {}
    for row in rows:
        children[row.parent] = children.get(row.parent, 0) + row.value
    assert all(children[row.id] == row.value for row in rows if row.id in children)
    assert sum(row.parent == "" for row in rows) == 1


def test_wrong_rows_are_refused(tree: WheelTree) -> None:
    rows = page_rows(tree)
    for wrong, said in (
        ((*rows, rows[-1]), "twice"),
        ((*rows, replace(rows[-1], id="x", parent="")), "second root"),
        ((*rows, replace(rows[-1], id="x", parent="nowhere")), "not before it"),
        ((*rows[:-1], replace(rows[-1], value=1)), "add up to"),
    ):
        with pytest.raises(InputError, match=said):
            check_rows(wrong)


def test_the_figure_holds_the_rows_and_nothing_else(tree: WheelTree) -> None:
    drawn = figure(tree).to_plotly_json()["data"][0]
    assert drawn["branchvalues"] == "total"
    assert sorted(drawn["ids"]) == sorted(row.id for row in page_rows(tree))
    assert len(drawn["marker"]["colors"]) == len(drawn["ids"]) == len(drawn["customdata"])


def test_pointing_shows_people_and_the_very_words(tree: WheelTree) -> None:
    row = next(row for row in page_rows(tree) if row.label == "bergamot")
    assert hover(row) == "<b>bergamot</b><br>3 of 5 tasters, 11 % of the map<br>Mira, 01:23: a bit of bergamot"
    many = replace(row, evidence=tuple(f"<b>{i}" for i in range(9)), denials=2)
    assert "2 said no" in hover(many)
    assert "&lt;b&gt;0" in hover(many)
    assert "and 4 more in the table" in hover(many)


# --- the file ---


def test_same_maps_same_bytes(tree: WheelTree) -> None:
    assert draw_page({"a": tree}, plotlyjs="shared") == draw_page({"a": make_tree()}, plotlyjs="shared")


def test_nothing_points_outside(tree: WheelTree) -> None:
    page = unescape(draw_page({"a": tree}, plotlyjs="shared"))
    assert re.findall(r'(?:src|href)="([^"]*)"', page) == ["#table", SHARED_SCRIPT]
    assert "default-src 'none'" in page
    assert "http" not in page.replace('http-equiv="Content', "")


def test_shared_pages_are_small(tree: WheelTree) -> None:
    assert len(draw_page({"a": tree}, plotlyjs="shared")) < 100_000 < len(draw_page({"a": tree}))


def test_data_cannot_end_its_element() -> None:
    page = draw_page({HOSTILE: make_tree(title=HOSTILE)}, plotlyjs="shared")
    block = re.search(r'<script type="application/json" id="data">(.*?)</script>', page, re.S)
    assert block
    assert set(json.loads(block[1])) == {"root", "maps"}


def test_wrong_use_is_refused(tree: WheelTree) -> None:
    with pytest.raises(InputError, match="no map"):
        draw_page({})
    with pytest.raises(InputError, match="no way 'cdn'"):
        draw_page({"a": tree}, plotlyjs="cdn")  # type: ignore[arg-type]


# --- in the browser ---

needs_browser = pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium at /usr/bin/chromium")


@pytest.fixture(scope="module")
def browser() -> Iterator:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as engine:
        running = engine.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield running
        running.close()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("pages")
    maps = {"filter, warm": make_tree(), "espresso": make_tree(FOUND[3:9], subtitle=("espresso",))}
    (made / "page.html").write_text(draw_page(maps), encoding="utf-8")
    (made / "shared.html").write_text(draw_page(maps, plotlyjs="shared"), encoding="utf-8")
    (made / SHARED_SCRIPT).write_text(plotly_script(), encoding="utf-8")
    (made / "coffee").mkdir()
    below = draw_page(maps, plotlyjs="shared", shared=f"../{SHARED_SCRIPT}")
    (made / "coffee" / "below.html").write_text(below, encoding="utf-8")
    evil = tuple((*row[:5], HOSTILE if row[4] else "", *row[6:]) for row in FOUND)
    (made / "evil.html").write_text(
        draw_page({HOSTILE: make_tree(evil, title=HOSTILE, footer=(HOSTILE,))}, plotlyjs="shared"), encoding="utf-8"
    )
    return made


def opened(browser, path: Path, **how: object) -> tuple:
    """The page in a context without network, and all that it complained of."""
    context = browser.new_context(offline=True, **how)
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on(
        "request",
        lambda request: None if request.url.startswith(("file:", "data:", "blob:")) else said.append(request.url),
    )
    page.goto(path.as_uri())
    page.wait_for_selector("#wheel .slice")
    return page, said


@needs_browser
@pytest.mark.parametrize("name", ["page.html", "shared.html", "coffee/below.html"])
def test_it_opens_offline_without_a_murmur(browser, folder: Path, name: str) -> None:
    page, said = opened(browser, folder / name)
    assert said == []
    assert page.locator("#wheel .slice").count() == len(page_rows(make_tree()))


@needs_browser
def test_pointing_and_choosing(browser, folder: Path) -> None:
    page, said = opened(browser, folder / "shared.html", viewport={"width": 1000, "height": 1400})
    page.locator("#wheel .slice", has_text="bergamot").hover()
    page.wait_for_selector("#wheel .hovertext")
    assert "Mira, 01:23" in page.locator("#wheel .hovertext").text_content()
    page.locator("#wheel .slice", has_text="Citrus").first.click()
    page.wait_for_function("document.querySelectorAll('#wheel .slice').length < 12")
    assert page.locator("tr.chosen").get_attribute("data-id") == "citrus_crate"
    page.locator("#whole").click()
    page.wait_for_function("document.querySelectorAll('#wheel .slice').length > 25")
    assert said == []


@needs_browser
def test_the_switch_shows_the_other_map(browser, folder: Path) -> None:
    page, _ = opened(browser, folder / "shared.html")
    page.get_by_label("espresso").check()
    assert page.locator(".map:visible h2").text_content().startswith("espresso")
    assert page.locator("#wheel .slice").count() == len(page_rows(make_tree(FOUND[3:9])))


@needs_browser
def test_it_opens_at_the_map_that_is_printed(browser, folder: Path) -> None:
    maps = {"filter, hot": make_tree(FOUND[:4]), "filter, warm": make_tree(FOUND[3:9])}
    (folder / "second.html").write_text(draw_page(maps, first="filter, warm", plotlyjs="shared"), encoding="utf-8")
    page, said = opened(browser, folder / "second.html")
    assert page.locator(".map:visible h2").text_content().startswith("filter, warm")
    assert page.get_by_label("filter, warm").is_checked()
    assert page.locator("#wheel .slice").count() == len(page_rows(maps["filter, warm"]))
    assert said == []


@needs_browser
def test_every_wide_piece_bears_its_name(browser, folder: Path) -> None:
    page, _ = opened(browser, folder / "shared.html", viewport={"width": 1100, "height": 1200})
    named = page.locator("#wheel .slicetext").evaluate_all("texts => texts.map(t => t.textContent.replace(/ /g, ''))")
    for row in page_rows(make_tree()):
        if row.share > 0.09 and row.depth:
            assert row.label.replace(" ", "") in named, row.label


@needs_browser
def test_print_leaves_out_what_is_for_fingers(browser, folder: Path) -> None:
    page, _ = opened(browser, folder / "shared.html", color_scheme="dark")
    page.emulate_media(media="print", color_scheme="dark")
    for gone in (".switch", ".find", ".hint"):
        assert not page.locator(gone).is_visible()
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(252, 251, 248)"
    assert len(PdfReader(io.BytesIO(page.pdf())).pages) >= 1


@needs_browser
def test_search_and_keyboard(browser, folder: Path) -> None:
    page, _ = opened(browser, folder / "shared.html")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.locator("#search").fill("BÉRGAMOT")
    shown = page.locator("tr[data-id]:visible").evaluate_all("rows => rows.map(row => row.dataset.id)")
    assert shown == ["citrus_crate", "citrus_crate/peel_oil", "citrus_crate/peel_oil/bergamot"]
    assert page.locator("#found").text_content() == "1 row"
    for _ in range(8):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent") == "bergamot":
            break
    page.keyboard.press("Enter")
    assert page.locator("tr.chosen").get_attribute("data-id") == "citrus_crate/peel_oil/bergamot"
    page.locator("#search").fill("nothing like it")
    assert page.locator("#found").text_content() == "0 rows"


@needs_browser
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_fits_a_small_phone_in_both_schemes(browser, folder: Path, scheme: str) -> None:
    page, said = opened(browser, folder / "shared.html", viewport={"width": 320, "height": 640}, color_scheme=scheme)
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    paper = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    assert paper == {"light": "rgb(252, 251, 248)", "dark": "rgb(22, 23, 27)"}[scheme]
    fill = page.locator("#wheel .main-svg").first.evaluate("e => getComputedStyle(e).backgroundColor")
    assert fill == paper
    assert said == []


@needs_browser
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_hatched_pieces_lie_on_the_ground_their_lettering_was_chosen_for(browser, folder: Path, scheme: str) -> None:
    page, _ = opened(browser, folder / "shared.html", color_scheme=scheme)
    marker = page.evaluate("document.getElementById('wheel').data[0].marker")
    assert marker["pattern"]["bgcolor"] == marker["colors"]


@needs_browser
def test_reduced_motion_zooms_at_once(browser, folder: Path) -> None:
    page, _ = opened(browser, folder / "shared.html", reduced_motion="reduce", viewport={"width": 900, "height": 1200})
    page.locator("#wheel .slice", has_text="Citrus").first.click()
    page.wait_for_timeout(120)
    assert page.locator("#wheel .slice").count() < 12


@needs_browser
def test_hostile_text_is_only_text(browser, folder: Path) -> None:
    page, said = opened(browser, folder / "evil.html")
    page.locator("#wheel .slice").nth(3).hover()
    page.wait_for_timeout(200)
    assert "owned" not in page.title().split(":")[-1]
    assert page.locator("img").count() == 0
    assert "{{7*7}}" in page.locator("h1").text_content()
    assert said == []


@needs_browser
@pytest.mark.parametrize("width", [320, 1100])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_serious(browser, folder: Path, width: int, scheme: str) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe-playwright-python")
    context = browser.new_context(viewport={"width": width, "height": 900}, bypass_csp=True, color_scheme=scheme)
    page = context.new_page()
    page.goto((folder / "shared.html").as_uri())
    page.wait_for_selector("#wheel .slice")
    found = axe.Axe().run(page).response["violations"]
    assert [v["id"] for v in found if v["impact"] in ("serious", "critical")] == []
