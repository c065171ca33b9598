"""Every screen of the desk and the table, one after the other, in a real browser: to be looked at and checked.

`python tests/web/screens.py FOLDER [PATTERN]` takes a picture of each (those whose name the pattern fits) at 320, 390,
768 and 1,280 px, light and dark, and lays those of one screen side by side. The suite checks them all
(`screen_checks.py`).
"""

from __future__ import annotations

import io
import re
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from desk_table import make_table
from pages_checks import until
from table_toys import Table, running
from web_client import served
from web_client import until as soon

from tastevocab.web.desk.app import desk_app
from tastevocab.web.desk.sitting import Sitting
from tastevocab.web.table.setting import Wanted
from tastevocab.web.table.worker import Asks

CHROMIUM = Path("/usr/bin/chromium")
WIDTHS, SCHEMES = (320, 390, 768, 1280), ("light", "dark")
TOKEN = "a-token-of-the-screens"
Look = Callable[[str, Any], None]
"""What is done with a screen: its name, its page."""
SAID = (
    ("Juicy blackberry and a bit of bergamot, maybe honey. No lemon.", "hot"), ("Turns to slatterberry, silky", "warm"),
)  # fmt: skip


@contextmanager
def browsing() -> Iterator[Any]:
    """Chromium."""
    from playwright.sync_api import sync_playwright

    flags = ["--no-sandbox", "--disable-gpu", "--hide-scrollbars"]
    with sync_playwright() as engine:
        browser = engine.chromium.launch(executable_path=str(CHROMIUM), args=flags)
        yield browser
        browser.close()


# --- the desk ---


def desk_screens(browser: Any, sitting: Sitting, look: Look) -> None:
    """The desk from its first question to the last, in what it holds in hand and what it tells."""
    with served(desk_app(sitting, TOKEN)) as door:
        stranger = browser.new_page()
        stranger.goto(f"{door.url}/")
        look("desk-refused", stranger)
        page = browser.new_context(bypass_csp=True).new_page()
        page.goto(f"{door.url}/open/{TOKEN}")
        page.wait_for_selector("body[data-ready=yes]")
        page.wait_for_selector("#wheel [data-ring]")
        hand = page.locator("#hand")
        look("desk-question", page)
        page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
        look("desk-unfolded", page)
        page.evaluate("for (const d of document.querySelectorAll('details')) d.open = d.id === 'times'")
        hand.get_by_role("button", name="Change").click()
        page.locator("#change-to").fill("plu")
        page.wait_for_selector("#change-to-list li")
        look("desk-change", page)
        page.keyboard.press("Escape")
        page.locator("#transcript .w", has_text="kettle").click()
        look("desk-words", page)
        page.locator(".run", has_text="not said").first.click()
        look("desk-stretch", page)
        page.get_by_role("button", name="Leave").click()
        page.locator("#wheel [data-ring=petal]").first.click()
        look("desk-wheel-pressed", page)
        page.locator("#keys").click()
        look("desk-keys", page)
        page.get_by_role("button", name="Close").click()
        page.keyboard.press("h")
        look("desk-told", page)
        page.keyboard.press("n")
        while hand.get_by_role("button", name="Skip").count():
            before = page.locator("#left").text_content()
            page.keyboard.press("r")
            until(page, "b => document.getElementById('left').textContent !== b", before)
        look("desk-done", page)
    page.keyboard.press("u")
    page.wait_for_selector("#told.bad")
    look("desk-away", page)


# --- the table ---


def table_screens(browser: Any, folder: Path, work: Asks, look: Look) -> None:
    """The table from the door to its end, as tasters, the leader and the wall see it."""
    with running(folder, work, wanted=Wanted(guests=3)) as table:
        leader = entered(browser, table, "leader", "#seats tr")
        look("leader-empty", leader)
        wall = entered(browser, table, "wall", "#session:not(:empty)")
        look("wall-empty", wall)
        mira = _door(browser, table, look)
        otto, guest = (table.sit(seat) for seat in ("s2", "guest"))
        _typed(mira, look)
        _led(leader, otto, look)
        for place, text in ((0, "blackberry"), (0, "blackberry and honey"), (1, "strawberry jam"), (1, "phenolic")):
            otto.note(text, place)
            guest.note(text.replace("honey", "bergamot"), place)
        guest.close_all()
        soon(lambda: all(n["read"] for t in (otto, guest) for n in t.view()["notes"]))
        wall.wait_for_selector("text=have closed")
        look("wall-open", wall)
        _ended(table, leader, wall, mira, look)


def _door(browser: Any, table: Table, look: Look) -> Any:
    page = browser.new_context(bypass_csp=True).new_page()
    page.goto(table.door.url)
    look("join-code", page)
    page.fill("#code", "WRONGX")
    page.click("text=Show the seats")
    page.wait_for_selector("#said:not([hidden])")
    look("join-wrong", page)
    page.fill("#code", table.live.entrance.code)
    page.click("text=Show the seats")
    page.check("#seats input[value=guest]")
    page.click("details summary")
    look("join-seats", page)
    page.check("#seats input[value=s1]")
    page.check("#consent")
    page.click("text=Sit down")
    page.wait_for_selector("#codes button")
    look("seat-fresh", page)
    back = page.context.new_page()
    back.goto(f"{table.door.url}/#{table.live.entrance.code}")
    back.wait_for_selector("#seats label")
    look("join-again", back)
    back.close()
    return page


def _typed(page: Any, look: Look) -> None:
    page.click("text=Keep this note")
    look("seat-nothing-written", page)
    for text, moment in SAID:
        page.click(f"#moments button:has-text('{moment}')")
        page.fill("#text", text)
        page.click("text=Keep this note")
    page.wait_for_selector(".mark.unknown")
    page.wait_for_selector(".mark.counted:has-text('blackberry')")
    look("seat-notes", page)
    page.click(".mark.unknown")
    look("seat-mark-unknown", page)
    page.fill("#mark-find", "blackb")
    page.wait_for_selector("#mark-found button")
    look("seat-mark-search", page)
    page.click("#mark-shut")
    page.click(".mark.counted >> nth=0")
    look("seat-mark", page)
    page.click("#mark-shut")
    for box in ("#scales-box", "#bowl-box", "summary:has-text('Your notes and you')"):
        page.click(box if "has-text" in box else f"{box} summary")
    page.click("#scales button >> nth=3")
    page.click("#bowls button >> nth=1")
    look("seat-scales-bowls", page)
    page.click("#notes button:has-text('Remove') >> nth=0")
    look("seat-sure", page)
    page.click("#sure-no")
    for box in ("#scales-box", "#bowl-box", "summary:has-text('Your notes and you')"):
        page.click(box if "has-text" in box else f"{box} summary")
    page.context.set_offline(True)
    page.fill("#text", "black tea, dry")
    page.click("text=Keep this note")
    page.wait_for_selector("text=No connection")
    look("seat-offline", page)
    page.context.set_offline(False)
    page.wait_for_selector("text=Everything is kept.")
    page.click("#close")
    page.click("#codes button >> nth=0")
    look("seat-closed", page)


def _led(leader: Any, otto: Any, look: Look) -> None:
    leader.fill("#minutes", "4")
    leader.click("#moments button:has-text('hot')")
    leader.wait_for_selector("#timer:has-text('left')")
    look("leader-running", leader)
    leader.click("#seats button >> nth=1")
    look("leader-seat", leader)
    leader.click("text=A new phone for this seat")
    leader.wait_for_selector("#seat-link:not([hidden])")
    look("leader-link", leader)
    leader.click("#seat-shut")
    leader.fill("#late", "Sven of the roastery next door")
    leader.click("text=Add a seat")
    leader.wait_for_selector("#seats tr:has-text('Sven')")
    for _ in range(5):
        otto.client.post("/join", {"code": "WRONGX"})
    leader.click("#rounds button >> nth=0")
    leader.wait_for_selector("#sure[open]")
    look("leader-sure", leader)
    leader.click("#sure-no")


def _ended(table: Table, leader: Any, wall: Any, mira: Any, look: Look) -> None:
    leader.click("#rounds button >> nth=0")
    leader.click("#sure-yes")
    mira.wait_for_selector("#results .bars li", state="attached", timeout=60_000)
    wall.wait_for_selector("#results section", timeout=60_000)
    for name, page in (("seat-shown", mira), ("wall-shown", wall), ("leader-shown", leader)):
        look(name, page)
    leader.click("#reveal")
    leader.click("#sure-yes")
    leader.wait_for_selector("text=Close for all?")
    leader.click("#sure-yes")
    mira.wait_for_selector("#cup-name:has-text(':')")
    wall.wait_for_selector("#results img", timeout=60_000)
    leader.wait_for_selector("#coffees li")
    for name, page in (("seat-revealed", mira), ("wall-revealed", wall), ("leader-revealed", leader)):
        look(name, page)
    late = table.sit("s3")
    gone = entered(mira.context.browser, table, "seat/s3", "#codes button")
    late.note("plum")
    gone.click("summary:has-text('Your notes and you')")
    gone.click("#withdraw")
    gone.click("#sure-yes")
    gone.wait_for_selector("text=You took your notes back.")
    look("seat-withdrawn", gone)
    leader.click("#end")
    leader.click("#sure-yes")
    leader.wait_for_selector("#files li:has-text('pack')", timeout=120_000)
    for name, page in (("leader-ended", leader), ("wall-ended", wall), ("seat-ended", mira)):
        look(name, page)
    table.leader().post("/leader/act", {"kind": "shut_out", "seat": "s1"})
    mira.reload()
    look("seat-shut-out", mira)
    used = mira.context.browser.new_page()
    used.goto(f"{table.door.url}/seat/s2/enter/used")
    look("link-used", used)


def entered(browser: Any, table: Table, path: str, ready: str) -> Any:
    """The page of a seat, the leader or the wall, by a link of the leader's, once `ready` is there."""
    page = browser.new_context(bypass_csp=True).new_page()
    page.goto(f"{table.door.url}/{path}/enter/{table.live.entrance.ticket(path.split('/')[-1])}")
    page.wait_for_selector(ready)
    return page


# --- looked at ---


def pictured(out: Path, words: str = "") -> Look:
    """Takes the pictures: NAME-phone.png and NAME-wide.png, light above dark."""
    from PIL import Image

    def look(name: str, page: Any) -> None:
        if not re.search(words, name):
            return
        taken = {}
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 800})
            for scheme in SCHEMES:
                page.emulate_media(color_scheme=scheme)
                page.wait_for_timeout(60)
                taken[width, scheme] = Image.open(
                    io.BytesIO(page.screenshot(full_page=not name.startswith("desk") or name == "desk-unfolded"))
                )
        page.emulate_media(color_scheme="light")
        for kind, widths in (("phone", WIDTHS[:2]), ("wide", WIDTHS[2:])):
            _beside([taken[w, s] for s in SCHEMES for w in widths]).save(out / f"{name}-{kind}.png")

    return look


def _beside(images: list[Any], most: int = 1900) -> Any:
    from PIL import Image

    width = sum(i.width + 12 for i in images)
    sheet = Image.new("RGB", (width, min(max(i.height for i in images), most)), "#d020d0")
    x = 0
    for image in images:
        sheet.paste(image, (x, 0))
        x += image.width + 12
    return sheet


def main(out: Path, words: str = "") -> None:
    from tastevocab.web.table.worker import Work, WorkHere

    out.mkdir(parents=True, exist_ok=True)
    look = pictured(out, words)
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        browser = stack.enter_context(browsing())
        (folder / "desk").mkdir()
        if not words.startswith(("join", "seat", "leader", "wall", "link")):
            desk_screens(browser, Sitting(make_table(folder / "desk")), look)
        if not words.startswith("desk"):
            table_screens(browser, folder, WorkHere(Work()), look)


if __name__ == "__main__":
    main(Path(sys.argv[1]), *sys.argv[2:])
