"""The page: its bytes, and how it behaves in a real browser with the network off, for eyes, fingers, keys and ears."""

from __future__ import annotations

import base64
import hashlib
import io
import re
from collections.abc import Iterator
from dataclasses import replace
from html import unescape
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from pages_checks import Tabs, until
from PIL import Image, ImageChops, ImageStat
from wheel_trees import FOUND, make_tree

from tastevocab.errors import InputError
from tastevocab.wheel.page import MOST_BYTES, Around, draw_page
from tastevocab.wheel.page_picture import SCREENS, Palette, letters_svg, wheel_items, wheel_svg
from tastevocab.wheel.png import svg_to_png
from tastevocab.wheel.tree import Printed, WheelTree

CHROMIUM = Path("/usr/bin/chromium")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"]
FLAGS += ["--disable-background-networking", "--disable-component-update"]
HOSTILE = (
    "</script><script>document.title='owned'</script><img src=x onerror=\"document.title='owned'\">{{7*7}}</style>"
)
BERGAMOT = "citrus_crate/peel_oil/bergamot"
PRINTED = (
    Printed("reach/dark_fruit", "dark fruit", 4, 5, ("reach/dark_fruit", "hedgerow_vine/dark_berries/blackcurrant")),
    Printed(BERGAMOT, "bergamot", 3, 5, (BERGAMOT,)),
)


def printed_tree(*args: object, **more: object) -> WheelTree:
    return replace(make_tree(*args, **more), printed=PRINTED)


ROW = re.compile(
    r'data-id="([^"]*)" data-up="([^"]*)"[^>]*>.*?class="name">([^<]*)</span> <span class="count">(\d+) of 5<'
)


def test_no_row_holds_more_people_than_the_one_it_lies_in() -> None:
    """Dark fruit counts berries and plum jam: four people, of whom one of berries' two said that very word."""
    tree = printed_tree()
    counts = {"reach/dark_fruit": (4, 1), "hedgerow_vine": (2, None)}
    nodes = (
        replace(n, people=counts[n.id][0], own_people=counts[n.id][1]) if n.id in counts else n for n in tree.nodes
    )
    page = draw_page({"filter": replace(tree, nodes=tuple(nodes))})
    rows = {id: (up, unescape(name), int(people)) for id, up, name, people in ROW.findall(page)}
    assert len(rows) == len(tree.nodes)
    assert [id for id, (up, _, people) in rows.items() if up and people > rows[up][2]] == []
    assert rows["reach/dark_fruit"] == ("hedgerow_vine", "dark fruit, said broadly", 1)
    assert 'data-all="4 of 5"' in page
    assert "4 of 5 with all that it stands for" in page
    assert 'data-id="reach/dark_fruit" data-over' in page  # printed above, with its people


# --- the file ---


def test_same_maps_same_bytes() -> None:
    assert draw_page({"a": printed_tree()}) == draw_page({"a": printed_tree()})


def test_nothing_points_outside(tree: WheelTree) -> None:
    page = unescape(draw_page({"a": tree, "b": printed_tree()}))
    assert all(found.startswith("#") for found in re.findall(r'(?:src|href)="([^"]*)"', page))
    assert "http:" not in page
    assert "https:" not in page
    assert "url(" not in page


def test_the_policy_allows_the_pages_own_script_and_style_and_nothing_else(tree: WheelTree) -> None:
    page = draw_page({"a": tree, "b": tree})
    policy = unescape(re.search(r'Content-Security-Policy" content="([^"]*)"', page)[1])  # type: ignore[index]
    script = re.findall(r"<script>(.*?)</script>", page, re.S)
    style = re.findall(r"<style>(.*?)</style>", page, re.S)
    assert len(script) == len(style) == 1
    for text in (*script, *style):
        assert f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'" in policy
    assert policy.startswith("default-src 'none'; ")
    assert "unsafe" not in policy
    assert not re.search(r"<[^>]* (style|on[a-z]+)=", page)


def test_a_page_of_many_steps_is_small() -> None:
    maps = {f"{brew}, {moment}": printed_tree() for brew in ("filter", "espresso") for moment in "dhwc"}
    assert len(draw_page(maps).encode()) < MOST_BYTES


def test_it_says_what_a_link_shows_and_a_hold_first() -> None:
    held = replace(printed_tree(), hold="On hold: taste again")
    page = draw_page({"a": held}, around=Around("Dark fruit & more", "share.png"))
    assert '<meta property="og:description" content="Dark fruit &amp; more">' in page
    assert '<meta property="og:image" content="share.png">' in page
    assert "<title>Vale Alto: Dark fruit, 4 of 5; bergamot, 3 of 5</title>" in page
    assert page.index("On hold: taste again") < page.index("<h1>")
    assert "og:image" not in draw_page({"a": printed_tree()})


def test_wrong_use_is_refused() -> None:
    with pytest.raises(InputError, match="no map"):
        draw_page({})


def test_the_wheel_is_the_drawing_of_the_print_files(tree: WheelTree) -> None:
    """The same petals: every arc of the tree is there once a screen, with its people."""
    from tastevocab.wheel.arcs import arcs

    page = draw_page({"a": tree})
    drawn = [arc for arc in arcs(tree) if arc.ring == "petal" or not arc.open]  # an open arc is its petal's outline
    found = re.findall(r'data-about="([^"]*)" data-ring="([^"]*)"[^>]*data-people="(\d+)"', page)
    assert sorted(found) == sorted([(arc.node, arc.ring, str(arc.people)) for arc in drawn] * len(SCREENS))


# --- in the browser ---

needs_browser = pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium at /usr/bin/chromium")


@pytest.fixture(scope="module")
def browser() -> Iterator:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as engine:
        running = engine.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield Tabs(running)
        running.close()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("pages")
    maps = {"filter, warm": printed_tree(), "espresso": make_tree(FOUND[3:9], subtitle=("espresso",))}
    (made / "page.html").write_text(draw_page(maps), encoding="utf-8")
    evil = tuple((*row[:5], HOSTILE if row[4] else "", *row[6:]) for row in FOUND)
    around = Around(HOSTILE)
    (made / "evil.html").write_text(
        draw_page({HOSTILE: make_tree(evil, title=HOSTILE, footer=(HOSTILE,))}, around=around), encoding="utf-8"
    )
    return made


def opened(browser: Tabs, path: Path, hash: str = "", **how: Any) -> tuple:
    """The page in a context without network, and all that it complained of."""
    page, said = browser.opened(("file:", "data:", "blob:"), offline=True, **how)
    page.goto(path.as_uri() + hash)
    page.wait_for_selector(".wheel [role=button]", state="attached")
    return page, said


def chosen(page) -> str:
    return page.evaluate("document.querySelector('.chosen')?.dataset.about || ''")


def arc(page, about: str):
    """The arc of the visible wheel farthest out that is about it."""
    return page.locator(f'.wheel:visible [data-ring][data-about="{about}"]').last


@needs_browser
def test_it_opens_offline_without_a_murmur(browser, folder: Path) -> None:
    page, said = opened(browser, folder / "page.html")
    assert said == []
    assert page.locator(".message:visible .word").all_inner_texts() == ["dark fruit 4 of 5", "bergamot 3 of 5"]


@pytest.mark.slow
@needs_browser
def test_pointing_choosing_and_looking_closer(browser, folder: Path) -> None:
    page, said = opened(browser, folder / "page.html", viewport={"width": 1100, "height": 1200})
    arc(page, BERGAMOT).hover()
    assert page.locator("#tip").inner_text() == "Bergamot 3 of 5"
    arc(page, BERGAMOT).click()
    assert page.locator("#told h2").inner_text() == "Bergamot 3 of 5"
    assert page.locator("#told .said").inner_text() == "Mira, 01:23: a bit of bergamot"
    assert "filter, warm: 3 of 5" in page.locator("#told .turns").inner_text()
    whole = page.locator(".wheel:visible").get_attribute("viewBox")
    page.get_by_text("Look closer").click()
    until(page, f"document.querySelector('.wheel.wide').getAttribute('viewBox') !== '{whole}'")
    page.wait_for_timeout(350)
    before = arc(page, BERGAMOT).bounding_box()
    page.get_by_text("Whole wheel").click()
    page.wait_for_timeout(350)
    assert before["width"] > arc(page, BERGAMOT).bounding_box()["width"] * 1.2
    assert page.locator(".wheel:visible").get_attribute("viewBox") == whole
    assert chosen(page) == ""
    assert said == []


@needs_browser
def test_a_printed_word_lights_up_all_that_counts_for_it(browser, folder: Path) -> None:
    page, _ = opened(browser, folder / "page.html", viewport={"width": 1100, "height": 1200})
    page.get_by_role("button", name="dark fruit 4 of 5").first.click()
    lit = page.locator(".wheel:visible [data-ring=petal]:not(.dim)").evaluate_all("a => a.map(e => e.dataset.about)")
    assert set(lit) == {"reach/dark_fruit", "hedgerow_vine/dark_berries/blackcurrant"}
    assert page.locator("#told h2").inner_text() == "Dark fruit 4 of 5"


@needs_browser
def test_the_steps_keep_the_word(browser, folder: Path) -> None:
    page, said = opened(browser, folder / "page.html")
    arc(page, BERGAMOT).click()
    page.get_by_label("espresso").check(force=True)
    until(page, "document.querySelector('.map:not([hidden]) h2').textContent === 'espresso'")
    assert page.locator(".message:visible .base").inner_text() == "espresso"
    assert page.locator(".wheel:visible [data-ring]").count() < 20
    told = page.locator("#told h2, #told .facts").first.inner_text()
    assert told in ("Bergamot 3 of 5", "At this step: not printed.")
    assert said == []


@needs_browser
def test_a_word_that_is_not_printed_at_a_step_is_not_said_to_be_nobodys(browser, folder: Path) -> None:
    maps = {"hot": printed_tree(), "cool": replace(make_tree(FOUND[:1]), printed=())}
    (folder / "silent.html").write_text(draw_page(maps), encoding="utf-8")
    page, _ = opened(browser, folder / "silent.html")
    page.get_by_role("button", name="dark fruit 4 of 5").first.click()
    until(page, "document.querySelectorAll('#told .turns li').length === 2")
    assert page.locator("#told .turns li").all_inner_texts() == ["hot: 4 of 5", "cool: not printed"]


@needs_browser
def test_a_link_opens_at_its_word_and_step(browser, folder: Path) -> None:
    page, _ = opened(browser, folder / "page.html", viewport={"width": 1000, "height": 900})
    arc(page, BERGAMOT).click()
    hash = page.evaluate("location.hash")
    assert hash == f"#word={BERGAMOT}&step=filter%2C+warm"
    page.get_by_text("Copy a link").click()
    until(page, "document.getElementById('copied').textContent !== ''")
    again, _ = opened(browser, folder / "page.html", hash)
    assert again.locator("#told h2").inner_text() == "Bergamot 3 of 5"
    other, _ = opened(browser, folder / "page.html", "#step=espresso")
    until(other, "document.querySelector('.map:not([hidden]) h2').textContent === 'espresso'")


@needs_browser
def test_it_opens_at_the_map_that_is_printed(browser, folder: Path) -> None:
    maps = {"filter, hot": make_tree(FOUND[:4]), "filter, warm": printed_tree()}
    (folder / "second.html").write_text(draw_page(maps, first="filter, warm"), encoding="utf-8")
    page, said = opened(browser, folder / "second.html")
    assert page.locator(".map:visible h2").inner_text() == "filter, warm"
    assert page.get_by_label("filter, warm").is_checked()
    assert said == []


@needs_browser
def test_every_arc_is_reached_by_keys_and_read_well_aloud(browser, folder: Path) -> None:
    page, _ = opened(browser, folder / "page.html", viewport={"width": 1100, "height": 1200})
    assert page.get_by_role("group", name="Flavour wheel: Dark fruit, 4 of 5; bergamot, 3 of 5").count() == 1
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    for _ in range(6):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.dataset.ring || ''"):
            break
    names, seen = [], set()
    for ring in ("category", "family", "petal"):
        assert page.evaluate("document.activeElement.dataset.ring") == ring
        count = page.locator(f".wheel:visible [data-ring={ring}]").count()
        for _ in range(count):
            names.append(page.evaluate("document.activeElement.getAttribute('aria-label')"))
            seen.add(page.evaluate("[...document.querySelectorAll('[data-ring]')].indexOf(document.activeElement)"))
            page.keyboard.press("ArrowRight")
        page.keyboard.press("Home")
        page.keyboard.press("ArrowUp")
    assert len(seen) == page.locator(".wheel:visible [data-ring]").count()
    assert "Bergamot, 3 of 5" in names
    arc(page, BERGAMOT).focus()
    page.keyboard.press("Enter")
    assert chosen(page) == BERGAMOT
    page.keyboard.press("ArrowDown")
    assert page.evaluate("document.activeElement.dataset.about") == "citrus_crate/peel_oil"
    page.keyboard.press("Escape")
    assert chosen(page) == ""


@needs_browser
def test_search_lights_up_the_wheel(browser, folder: Path) -> None:
    page, _ = opened(browser, folder / "page.html")
    page.locator("#search").fill("BÉRGAMOT")
    shown = page.locator(".rows > li:visible").evaluate_all("rows => rows.map(row => row.dataset.id)")
    assert shown == ["citrus_crate", "citrus_crate/peel_oil", BERGAMOT]
    assert page.locator("#found").inner_text() == "1 word"
    lit = page.locator(".wheel:visible [data-ring]:not(.dim)").evaluate_all("arcs => arcs.map(a => a.dataset.about)")
    assert lit == [BERGAMOT]
    page.locator("#search").fill("nothing like it")
    assert page.locator("#found").inner_text() == "0 words"
    page.locator("#search").fill("")
    assert page.locator(".dim").count() == 0


@needs_browser
def test_a_finger_that_misses_a_thin_arc_still_finds_it(browser, folder: Path) -> None:
    page, _ = opened(browser, folder / "page.html", viewport={"width": 320, "height": 800}, has_touch=True)
    box = arc(page, BERGAMOT).bounding_box()
    page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    assert page.locator("#told h2").count() == 1


@needs_browser
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_fits_a_small_phone_in_both_schemes(browser, folder: Path, scheme: str) -> None:
    page, said = opened(browser, folder / "page.html", viewport={"width": 320, "height": 640}, color_scheme=scheme)
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    lightness = page.evaluate("getComputedStyle(document.documentElement).backgroundColor.match(/\\d+/g).map(Number)")
    assert (max(lightness) < 60) == (scheme == "dark")
    arc(page, BERGAMOT).click()
    targets = page.locator("button:visible, .steps label:visible, summary:visible, input[type=search]")
    small = targets.evaluate_all("all => all.filter(e => e.getBoundingClientRect().height < 44).map(e => e.outerHTML)")
    assert small == []
    assert said == []


@pytest.mark.slow
@needs_browser
def test_paper_gets_the_whole_wheel_by_day(browser, folder: Path) -> None:
    """The PDF of the page against the drawing itself, though the page was dark, zoomed and sifted."""
    page, _ = opened(browser, folder / "page.html", color_scheme="dark", viewport={"width": 400, "height": 800})
    arc(page, BERGAMOT).click()
    page.get_by_text("Look closer").click()
    page.locator("#search").fill("bergamot")
    page.wait_for_timeout(350)
    sheets = pypdfium2.PdfDocument(page.pdf(format="A4", print_background=True))
    assert len(sheets) <= 2
    paper = sheets[0].render(scale=2).to_pil().convert("RGB")
    text = sheets[0].get_textpage().get_text_range()
    assert "dark fruit" in text
    assert "Look closer" not in text
    assert "Search" not in text
    palette = Palette()
    items = wheel_items(printed_tree(), SCREENS[0], palette)
    svg = wheel_svg(items, SCREENS[0], "")
    for pair, name in palette.names.items():
        svg = svg.replace(f"var({name})", pair[0])
    letters = re.search(r"<defs>.*</defs>", letters_svg([items]), re.S)[0]  # type: ignore[index]
    size = f'width="{SCREENS[0].width}mm" height="{SCREENS[0].height}mm"'
    svg = svg.replace("<svg ", f'<svg xmlns="http://www.w3.org/2000/svg" {size} ', 1).replace("\n", f"\n{letters}\n", 1)
    ours = Image.open(io.BytesIO(svg_to_png(svg, 120))).convert("RGBA")
    ours = Image.alpha_composite(Image.new("RGBA", ours.size, "white"), ours).convert("RGB")
    theirs = cut_out(paper, ours.size)
    assert max(ImageStat.Stat(ImageChops.difference(cut_out(ours, ours.size), theirs)).mean) < 12


def cut_out(picture: Image.Image, size: tuple[int, int]) -> Image.Image:
    """What is coloured of a picture (the wheel, without black lettering around it), brought to a size."""
    r, g, b = picture.split()
    colour = ImageChops.subtract(
        ImageChops.lighter(ImageChops.lighter(r, g), b), ImageChops.darker(ImageChops.darker(r, g), b)
    )
    box = colour.point(lambda v: 255 if v > 25 else 0).getbbox()
    return picture.crop(box).resize(size)


@needs_browser
def test_hostile_text_is_only_text(browser, folder: Path) -> None:
    page, said = opened(browser, folder / "evil.html")
    page.locator(".wheel:visible [data-ring]").nth(3).click()
    assert page.evaluate("document.title") != "owned"
    assert page.locator("img").count() == 0
    assert "{{7*7}}" in page.locator("h1").inner_text()
    assert said == []


@needs_browser
def test_without_scripts_the_picture_and_all_words_stand(browser, folder: Path) -> None:
    page, _ = browser.opened(("file:",), offline=True, java_script_enabled=False)
    page.goto((folder / "page.html").as_uri())
    assert page.locator(".wheel:visible").count() == 1
    assert page.get_by_text("Mira, 01:23: a bit of bergamot").first.is_visible()
    assert not page.locator("#search").is_visible()


@needs_browser
@pytest.mark.parametrize(
    ("scheme", "width"),
    [
        ("light", 320),
        *(pytest.param(*at, marks=pytest.mark.slow) for at in (("dark", 320), ("light", 1100), ("dark", 1100))),
    ],
)
def test_axe_finds_nothing(browser, folder: Path, scheme: str, width: int) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe-playwright-python")
    page, _ = opened(browser, folder / "page.html", viewport={"width": width, "height": 900}, bypass_csp=True,
                     color_scheme=scheme)  # fmt: skip
    arc(page, BERGAMOT).click()
    page.wait_for_timeout(250)
    found = axe.Axe().run(page).response["violations"]
    assert [(v["id"], [n["target"] for n in v["nodes"]][:3]) for v in found] == []


# --- the recording ---


@pytest.fixture(scope="module")
def spoken_page(folder: Path) -> Path:
    """A page beside a silent recording of three minutes."""
    import wave

    with wave.open(str(folder / "recording.wav"), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(1)
        out.setframerate(8000)
        out.writeframes(b"\x80" * 8000 * 180)
    tree = printed_tree()
    nodes = tuple(replace(node, heard=(83.5,)) if node.id == BERGAMOT else node for node in tree.nodes)
    page = draw_page({"a": replace(tree, nodes=nodes)}, around=Around(sound="recording.wav"))
    (folder / "spoken.html").write_text(page, encoding="utf-8")
    return folder / "spoken.html"


def test_nothing_can_be_heard_where_nobody_asked(tree: WheelTree) -> None:
    nodes = tuple(replace(node, heard=(83.5,)) for node in tree.nodes)
    page = draw_page({"a": replace(tree, nodes=nodes)})
    assert "<audio" not in page
    assert "data-at" not in page
    assert "media-src" not in page


@needs_browser
def test_the_pages_policy_lets_its_recording_in(browser, spoken_page: Path) -> None:
    page, said = opened(browser, spoken_page)
    page.evaluate("document.getElementById('sound').load()")
    page.evaluate("document.getElementById('sound').preload = 'auto'")
    until(page, "document.getElementById('sound').duration === 180")
    assert said == []


PLAYER = """sound => {
  window.player = { at: [], on: false };
  sound.play = () => { player.at.push(sound.currentTime); player.on = true; return Promise.resolve(); };
  sound.pause = () => { player.on = false; };
  Object.defineProperty(sound, "paused", { get: () => !player.on });
}"""
"""A player that needs no loudspeaker: machines that test have none."""


@needs_browser
def test_a_words_time_plays_the_recording(browser, spoken_page: Path) -> None:
    page, said = opened(browser, spoken_page)
    page.locator("#sound").evaluate(PLAYER)
    arc(page, BERGAMOT).click()
    hear = page.get_by_role("button", name="Hear Mira, 01:23: a bit of bergamot")
    hear.click()
    assert page.evaluate("player") == {"at": [82.5], "on": True}
    assert hear.get_attribute("aria-pressed") == "true"
    hear.click()
    assert page.evaluate("player.on") is False
    assert hear.get_attribute("aria-pressed") == "false"
    assert said == []


@needs_browser
def test_a_recording_that_is_gone_is_said(browser, spoken_page: Path) -> None:
    moved = spoken_page.with_name("moved.html")
    moved.write_text(spoken_page.read_text(encoding="utf-8").replace("recording.wav", "gone.wav"), encoding="utf-8")
    page, _ = opened(browser, moved)
    arc(page, BERGAMOT).click()
    page.get_by_role("button", name="Hear Mira").click()
    page.get_by_text("The recording is not where this page looks for it.").wait_for()
