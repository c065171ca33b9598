"""The table's pages in a real browser, several phones at once: networks that go, tabs that die, two tabs of one taster,
a server that is killed; large letters, the keyboard. Every screen for itself is in `screen_checks.py`."""

from __future__ import annotations

from pathlib import Path

import pytest
from table_toys import Silent, running
from web_client import until

from tastevocab.web.table import state as st

CHROMIUM = Path("/usr/bin/chromium")
pytestmark = pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium at /usr/bin/chromium")
WIDE = """[...document.querySelectorAll("body *:not(.unseen, .skip)")]
  .filter(e => e.getBoundingClientRect().right > innerWidth + 1).map(e => e.outerHTML.slice(0, 100))"""
PHONE = {"width": 320, "height": 640}


@pytest.fixture(scope="module")
def table(tmp_path_factory, work):
    with running(tmp_path_factory.mktemp("browsed"), work) as made:
        yield made


def sit(browser, table, seat: int, context=None):
    """A phone that joins as people do: by the address with the code, a seat, consent."""
    context = context or browser.new_context(viewport=PHONE)
    page = context.new_page()
    page.goto(f"{table.door.url}/#{table.live.entrance.code}")
    page.locator("#seats label").nth(seat).click()
    page.check("#consent")
    page.click("text=Sit down")
    page.wait_for_selector("#codes button")
    return page


def keep(page, text: str) -> None:
    page.fill("#text", text)
    page.click("text=Keep this note")


def texts(table, seat: str) -> list[str]:
    return [n.text for n in st.notes_of(table.live.state, seat)]


def leads(browser, table):
    page = browser.new_context().new_page()
    page.goto(f"{table.door.url}/leader/enter/{table.live.entrance.ticket('leader')}")
    page.wait_for_selector("#seats tr")
    return page


def test_a_tasting_on_two_phones(browser, table):
    """Typed, read back, put right, closed, shown; a hostile name and note stay words."""
    evil = "<img src=x onerror=document.title='gone'> & blackberry"
    said: list[str] = []
    mira, otto = sit(browser, table, 0), sit(browser, table, 1)
    for page in (mira, otto):
        page.on("pageerror", lambda error: said.append(str(error)))
    keep(mira, evil)
    mira.wait_for_selector(".mark.counted:has-text('blackberry')")
    assert mira.locator(".typed").first.text_content() == evil
    keep(otto, "slatterberry")
    otto.click(".mark.unknown")
    otto.fill("#mark-find", "blackb")
    otto.click("#mark-found button >> nth=0")
    otto.wait_for_selector(".mark.counted:has-text('blackberry')")
    for page in (mira, otto):
        for _ in range(2):
            page.click("#close")
    leader = leads(browser, table)
    leader.wait_for_selector("#seats tr:nth-child(1) >> text=2 of 2 ✓")
    assert "blackberry" not in leader.content()
    leader.click("#rounds button >> nth=0")
    mira.wait_for_selector("#results .bars li", timeout=60_000)
    assert mira.title() == "Your notes"
    assert "Finca" not in mira.content()
    assert said == []


def test_nothing_is_cut_at_320_with_letters_twice_as_large(browser, table):
    for path in ("seat/s1", "leader", "wall"):
        page = entered(browser, table, path)
        page.evaluate("document.documentElement.style.setProperty('font-size', '200%')")
        assert page.evaluate(WIDE) == [], path


def entered(browser, table, path: str):
    """The page of a seat, the leader or the wall on a phone, by a link of the leader's."""
    page = browser.new_context(viewport=PHONE).new_page()
    page.goto(f"{table.door.url}/{path}/enter/{table.live.entrance.ticket(path.split('/')[-1])}")
    page.wait_for_selector(".codes button, #seats tr, #session:not(:empty)")
    return page


@pytest.mark.slow
def test_the_keyboard_alone_is_enough(browser, tmp_path):
    with running(tmp_path, Silent()) as table:
        page = browser.new_page()
        page.goto(f"{table.door.url}/")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == "To the content"
        page.keyboard.press("Tab")
        page.keyboard.type(table.live.entrance.code.lower())
        page.keyboard.press("Enter")
        page.wait_for_selector("#seats input:focus")
        page.keyboard.press("Space")
        while page.evaluate("document.activeElement.id") != "consent":
            page.keyboard.press("Tab")
        page.keyboard.press("Space")
        page.keyboard.press("Enter")
        page.wait_for_selector("#codes button")
        while page.evaluate("document.activeElement.id") != "text":
            page.keyboard.press("Tab")
        page.keyboard.type("peach")
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        until(lambda: texts(table, "s1") == ["peach"])
        assert page.evaluate("document.activeElement.id") == "text", "ready for the next note"


@pytest.mark.slow
def test_what_is_written_without_a_network_waits_and_survives_the_tab(browser, tmp_path):
    with running(tmp_path, Silent()) as table:
        page = sit(browser, table, 0)
        page.context.set_offline(True)
        keep(page, "written in the cellar")
        page.wait_for_selector(".waits")
        page.wait_for_selector("text=No connection: 1 thing waits on this phone.")
        page.fill("#text", "half a note")
        home, context = page.url, page.context
        page.close()
        assert texts(table, "s1") == []
        context.set_offline(False)
        again = context.new_page()
        again.goto(home)
        until(lambda: texts(table, "s1") == ["written in the cellar"])
        again.wait_for_selector("text=Everything is kept.")
        assert again.input_value("#text") == "half a note", "a draft is not lost either"


@pytest.mark.slow
def test_two_tabs_of_one_taster_show_and_send_the_same(browser, tmp_path):
    with running(tmp_path, Silent()) as table:
        one = sit(browser, table, 0)
        two = one.context.new_page()
        two.goto(one.url)
        two.wait_for_selector("#codes button")
        one.context.set_offline(True)
        keep(one, "from the first")
        keep(two, "from the second")
        one.context.set_offline(False)
        until(lambda: sorted(texts(table, "s1")) == ["from the first", "from the second"])
        for page in (one, two):
            page.wait_for_selector("li:has-text('from the first'):has-text('kept')")
            page.wait_for_selector("li:has-text('from the second'):has-text('kept')")


@pytest.mark.slow
def test_a_server_that_comes_back_finds_its_phones(browser, tmp_path):
    """The page lives through it, says so, and takes up its line by itself."""
    from tastevocab.web.serve import open_door

    with running(tmp_path, Silent()) as table:
        page = sit(browser, table, 0)
        port = table.door.port
    page.wait_for_selector("text=No connection", timeout=20_000)
    keep(page, "while it was away")
    with running(tmp_path, Silent(), door=open_door(port)) as table:
        until(lambda: texts(table, "s1") == ["while it was away"], 40)
        page.wait_for_selector("text=Everything is kept.", timeout=40_000)


def test_a_phone_that_keeps_nothing_says_so_and_sends_all_the_same(browser, tmp_path):
    with running(tmp_path, Silent()) as table:
        context = browser.new_context(viewport=PHONE)
        context.add_init_script(
            "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };"
        )
        page = sit(browser, table, 0, context)
        keep(page, "no room on this phone")
        until(lambda: texts(table, "s1") == ["no room on this phone"])
        page.wait_for_selector("text=stay on it until all is sent")
