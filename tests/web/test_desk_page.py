"""The desk in a real browser: the main ways by pointer and by keyboard alone, sound, another desk."""

from __future__ import annotations

import http.client
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from desk_table import SECONDS, most_heard
from pages_checks import Tabs, until
from web_client import Client, served

from tastevocab.errors import InputError
from tastevocab.reading.review.decisions import Decision, beside, read_decisions
from tastevocab.reading.review.kept import Kept
from tastevocab.web.desk.app import desk_app
from tastevocab.web.desk.sitting import Sitting
from tastevocab.web.serve import Door

CHROMIUM = Path("/usr/bin/chromium")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"]
FLAGS += ["--disable-background-networking", "--disable-component-update", "--autoplay-policy=no-user-gesture-required"]
TOKEN = "a-token-of-the-tests"

needs_browser = pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium at /usr/bin/chromium")


@pytest.fixture(scope="module")
def door(sitting: Sitting) -> Iterator[Door]:
    with served(desk_app(sitting, TOKEN)) as made:
        yield made


@pytest.fixture(scope="module")
def browser() -> Iterator:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as engine:
        running = engine.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield Tabs(running)
        running.close()


@contextmanager
def opened(browser: Tabs, door: Door) -> Iterator:
    """The desk's page, which must not complain of anything nor load from elsewhere."""
    page, said = browser.opened((door.url, "data:", "about:"), viewport={"width": 1280, "height": 900})
    page.set_default_timeout(10_000)
    page.goto(f"{door.url}/open/{TOKEN}")
    page.wait_for_selector("body[data-ready=yes]")
    yield page
    assert said == []
    browser.shut()


def marked(page, words: str, nth: int = 0):
    return page.locator("#transcript .m", has_text=words).nth(nth)


def left_over(count: int) -> str:
    return f"{count} question{'s' * (count != 1)} left"


def told(page, words: str) -> None:
    until(page, "words => document.getElementById('told').textContent.includes(words)", words)


def kept(sitting: Sitting) -> list[Decision]:
    file = beside(sitting.texts[0].path)
    return read_decisions(file) if file.exists() else []


def brews_of(sitting: Sitting, word: str) -> dict[str, str | None]:
    """The brew of what each taster found under that word."""
    found = sitting.view().gathered.findings
    return {f.spot.speaker: f.spot.brew for f in found if sitting.lexicon.prints[f.descriptor] == word}


# --- who gets in ---


@pytest.mark.parametrize("path", ["/", "/texts", "/state", "/revision", "/find?q=plum", "/audio", "/open/guessed"])
def test_nobody_gets_in_without_the_address_that_was_printed(door: Door, path: str) -> None:
    assert Client(door).get(path)[0] == 403


def test_no_action_without_it_nor_from_another_page(quay: Sitting, door: Door) -> None:
    assert Client(door).post("/act", {"do": "undo"})[0] == 403
    client = Client(door)
    assert client.get(f"/open/{TOKEN}")[0] == 303
    assert client.post("/act", {"do": "undo"})[0] == 200
    assert client.post("/act", {"do": "undo"}, Origin="http://evil.example")[0] == 403
    assert client.post("/act", {"do": "../../etc"})[0] == 400
    assert client.post("/act", {"do": "keep", "mark": "0.0", "seen": "accept"})[0] == 409
    assert client.post("/act", [])[0] == 400
    assert kept(quay) == []


def test_the_recording_is_sent_in_ranges(quay: Sitting, door: Door) -> None:
    client = Client(door)
    client.get(f"/open/{TOKEN}")
    whole = quay.recording().read_bytes()
    status, headers, data = client.get("/audio", Range="bytes=100-299")
    assert (status, data) == (206, whole[100:300])
    assert headers["content-range"] == f"bytes 100-299/{len(whole)}"
    assert client.get("/audio")[2] == whole
    assert client.get("/audio", Range=f"bytes={len(whole)}-")[0] == 416


def test_its_address_is_a_browsers_own(door: Door) -> None:
    wire = http.client.HTTPConnection(door.address, door.port, timeout=10)
    wire.request("GET", f"/open/{TOKEN}", headers={"Host": "evil.example"})
    assert wire.getresponse().status == 421
    wire.close()


def test_the_command_opens_it_and_says_where(
    quay: Sitting, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    import tastevocab.web.desk.sitting as sitting
    import tastevocab.web.serve as serving
    from tastevocab.cli.desk import desk

    seen = []

    def serve(app, door, *, ready) -> None:
        ready()
        door.socket.close()
        seen.append(door)

    monkeypatch.setattr(serving, "serve", serve)
    monkeypatch.setattr(sitting, "Sitting", lambda *given, **how: quay)
    desk(Path(quay.session.file), port=0, browser=False)
    assert capsys.readouterr().out.startswith(f"The desk is open at {seen[0].url}/open/")
    other = Path(quay.session.file).with_name("x.yaml")
    other.write_text("plum: 1\n", encoding="utf-8")
    with pytest.raises(InputError, match="is no session"):
        desk(other, port=0, browser=False)


# --- the main ways ---


@needs_browser
def test_questions_come_first_and_answers_count(quay: Sitting, browser, door: Door) -> None:
    with opened(browser, door) as page:
        left = len(quay.view().asks)
        assert page.locator("#left").text_content() == left_over(left)
        assert page.locator("#hand h2").text_content() == f"Question 1 of {left}"
        page.locator("#hand").get_by_role("button", name="Keep").click()
        told(page, "kept")
        assert page.locator("#left").text_content() == left_over(left - 1)
        assert page.locator("#hand h2").text_content() == f"Question 2 of {left}"
        page.locator("#hand").get_by_role("button", name="Wrong").click()
        told(page, "set aside")
        assert sorted(d.decide for d in kept(quay)) == ["accept", "reject"]
        while page.locator("#hand").get_by_role("button", name="Wrong").count():
            before = page.locator("#left").text_content()
            page.locator("#hand").get_by_role("button", name="Wrong").click()
            until(page, "b => document.getElementById('left').textContent !== b", before)
        assert page.locator("#hand h2").text_content() == "Done"
        assert page.locator("#left").text_content() == "Nothing left to decide"


@pytest.mark.slow
@needs_browser
def test_change_add_set_and_undo(quay: Sitting, browser, door: Door) -> None:
    with opened(browser, door) as page:
        marked(page, "A whiff of walnut").click()
        page.locator("#hand").get_by_role("button", name="Change").click()
        page.locator("#change-to").fill("bergam")
        page.locator("#change-to-list li").first.click()
        told(page, "is bergamot")
        assert "bergamot" in marked(page, "A whiff of walnut").get_attribute("aria-label")
        page.locator("#hand summary", has_text="Whose").click()
        page.get_by_label("Taster").select_option("pilar")
        told(page, "taster pilar")
        assert quay.view().gathered.findings[-1]
        page.locator("#transcript .w", has_text="kettle").click()
        page.locator("#add-as").fill("no sloe")
        page.wait_for_selector("#add-as-list li")
        page.keyboard.press("Enter")
        told(page, "added")
        assert marked(page, "kettle").get_attribute("class").startswith("m denial")
        assert [(d.decide, d.present) for d in kept(quay)] == [("change", True), ("add", False)]
        for _ in range(3):
            page.locator("#undo").click()
        until(page, "() => document.getElementById('undo').disabled")
        assert kept(quay) == []
        assert marked(page, "kettle").count() == 0
        page.locator("#redo").click()
        told(page, "done again")
        assert [d.decide for d in kept(quay)] == ["change"]


@pytest.mark.slow
@needs_browser
def test_a_border_is_dragged_and_a_stretch_typed(quay: Sitting, browser, door: Door) -> None:
    with opened(browser, door) as page:
        assert page.locator("#border-how").inner_text().startswith("Drag a border, or move it by Tab and arrow keys")
        border = page.get_by_role("slider", name="Brew: border between filter and espresso").first
        assert border.get_attribute("aria-describedby") == "border-how"
        track = page.locator(".lane", has_text="Brew").locator(".track")
        box, at = track.bounding_box(), border.bounding_box()
        page.mouse.move(at["x"] + at["width"] / 2, at["y"] + 10)
        page.mouse.down()
        page.mouse.move(box["x"] + box["width"] * 8.05 / 12, at["y"] + 12, steps=5)
        assert border.get_attribute("aria-valuetext") == border.get_attribute("data-at") == "0:32"
        page.mouse.up()
        told(page, "brew from 0:24 to 0:32: filter")
        assert kept(quay)[0].details.brew == "filter"
        assert brews_of(quay, "dark chocolate") == {"otto": "filter", "pilar": "espresso"}
        page.locator("#undo").click()
        told(page, "undone")
        assert brews_of(quay, "dark chocolate") == {"otto": "espresso", "pilar": "espresso"}
        page.locator("#redo").click()
        told(page, "done again")
        assert "for nobody" in page.locator("#map .told.ask").inner_text()
        page.locator(".run", has_text="not said").first.click()
        page.locator("#s-taster").select_option("otto")
        assert page.locator("#s-from").input_value() == "0:16"
        page.locator("#s-to").fill("0:20")
        page.get_by_role("button", name="Set", exact=True).click()
        told(page, "taster otto")
        assert page.locator(".line", has_text="Then it turns").locator(".who").text_content().startswith("otto")


@pytest.mark.slow
@needs_browser
def test_everything_by_keyboard_alone(quay: Sitting, browser, door: Door) -> None:
    with opened(browser, door) as page:
        left = len(quay.view().asks)
        page.keyboard.press("a")
        told(page, "kept")
        page.keyboard.press("s")
        page.keyboard.press("r")
        told(page, "set aside")
        page.keyboard.press("c")
        page.keyboard.type("sloe")
        page.keyboard.press("Enter")
        told(page, "is sloe")
        assert page.locator("#left").text_content() == left_over(left - 3)
        for _ in range(3):
            page.keyboard.press("u")
        until(page, "() => document.getElementById('undo').disabled")
        page.keyboard.press("y")
        told(page, "done again")
        page.keyboard.press("t")
        assert page.evaluate("document.activeElement.id") == "transcript"
        page.keyboard.press("ArrowUp")
        page.keyboard.press("ArrowRight")
        page.keyboard.press("Shift+ArrowRight")
        assert page.locator(".w.chosen").count() == 2
        chosen = " ".join(page.locator(".w.chosen").all_text_contents())
        page.keyboard.press("Enter")
        page.keyboard.type("sloe")
        page.keyboard.press("Enter")
        told(page, "added")
        assert kept(quay)[-1].decide == "add"
        assert kept(quay)[-1].words in chosen
        page.keyboard.press("g")
        page.locator("#s-taster").focus()
        page.keyboard.press("Tab")
        page.evaluate("document.getElementById('s-brew').focus()")
        page.keyboard.press("ArrowDown")
        page.keyboard.press("ArrowDown")
        page.locator("#s-to").focus()
        page.keyboard.press("Enter")
        told(page, "brew")
        assert kept(quay)[-1].decide == "stretch"
        page.keyboard.press("m")
        assert page.evaluate("document.activeElement.classList.contains('run')")
        page.get_by_role("slider", name="Brew: border between").first.focus()
        page.keyboard.press("ArrowRight")
        page.keyboard.press("Enter")
        told(page, "brew from")


@needs_browser
def test_single_letters_can_be_switched_off(quay: Sitting, browser, door: Door) -> None:
    with opened(browser, door) as page:
        page.locator("#keys").click()
        page.locator("#single").uncheck()
        page.get_by_role("button", name="Close").click()
        page.keyboard.press("r")
        page.wait_for_timeout(300)
        assert kept(quay) == []


@needs_browser
def test_the_map_follows_and_leads_to_the_words(quay: Sitting, browser, door: Door) -> None:
    with opened(browser, door) as page:
        row = page.locator(".found-word", has_text="dark chocolate").first
        assert "2 of 3" in row.locator("summary").text_content()
        row.locator("summary").click()
        row.get_by_role("button", name="otto, 0:28").click()
        assert marked(page, "Dark chocolate").get_attribute("class").endswith("hand")
        page.keyboard.press("r")
        told(page, "set aside")
        assert (
            "1 of 3" in page.locator(".found-word", has_text="dark chocolate").first.locator("summary").text_content()
        )
        page.locator("#map-coffee").select_option("rook")
        page.wait_for_selector(".found-word:has-text('strawberry jam')")


@pytest.mark.slow
@needs_browser
def test_sound_plays_from_any_word_and_follows(quay: Sitting, browser, door: Door) -> None:
    with opened(browser, door) as page:
        until(page, "() => document.getElementById('audio').readyState >= 1")
        page.get_by_label("Speed").select_option("2")
        page.locator(".line", has_text="Now the espresso").locator(".when").click()
        until(page, "s => document.getElementById('audio').currentTime >= s", 6 * SECONDS)
        assert page.evaluate("document.getElementById('audio').playbackRate") == 2
        page.wait_for_selector(".line:has-text('Now the espresso') .w.now")
        page.keyboard.press("l")
        until(page, "() => document.getElementById('audio').paused")
        page.locator("#transcript .w", has_text="molasses").dblclick()
        until(page, "s => document.getElementById('audio').currentTime > s", 8 * SECONDS + 0.5)


@pytest.mark.slow
@needs_browser
def test_what_another_desk_writes_is_seen(quay: Sitting, browser, door: Door) -> None:
    with opened(browser, door) as page:
        other = Kept(quay.kept.notes)
        path = quay.texts[0].path
        other.change("", lambda files: {path: (*files[path], Decision("ignore", "toffee"))})
        told(page, "changed elsewhere")
        assert "aside" in marked(page, "toffee").get_attribute("class")


@needs_browser
def test_words_that_look_like_markup_are_words(tmp_path: Path, browser) -> None:
    evil = "<img src=x onerror=alert(1)> plum {{7*7}}"
    (tmp_path / "s.yaml").write_text(
        f"session: '<b>x'\ntasters: [mira]\ncoffees: {{one: {{name: '{evil}'}}}}\n"
        f"notes: [{{taster: mira, text: '{evil}'}}]\n",
        encoding="utf-8",
    )
    with served(desk_app(Sitting(tmp_path / "s.yaml"), TOKEN)) as door, opened(browser, door) as page:
        assert page.locator("img").count() == 0
        assert page.locator("h1").text_content() == "<b>x"
        assert evil in page.locator("#map-title").text_content()
        assert "onerror=alert(1)>" in page.locator("#transcript").evaluate(
            "e => [...e.querySelectorAll('.w')].map(w => w.textContent).join('')"
        )


@pytest.mark.slow
@needs_browser
def test_what_is_typed_stays_when_another_desk_writes(quay: Sitting, browser, door: Door) -> None:
    with opened(browser, door) as page:
        page.keyboard.press("c")
        page.keyboard.type("slo")
        path = quay.texts[0].path
        Kept(quay.kept.notes).change("", lambda files: {path: (*files[path], Decision("ignore", "orange"))})
        told(page, "changed elsewhere")
        assert page.locator("#change-to").input_value() == "slo"
        page.keyboard.type("e")
        page.keyboard.press("Enter")
        told(page, "is sloe")


# --- the drawn wheel ---


@needs_browser
def test_a_press_takes_each_word_behind_an_arc_in_hand(quay: Sitting, browser, door: Door) -> None:
    most = most_heard(quay)
    with opened(browser, door) as page:
        arc = page.locator(f"#wheel [data-ring=petal][data-about='{most['descriptor']}']")
        taken = []
        for _ in range(2):
            arc.click(force=True)  # a true press: on its label where that lies over it
            taken.append(page.locator("#transcript .m.hand").first.get_attribute("data-mark"))
        assert len(set(taken)) == 2
        assert arc.get_attribute("aria-pressed") == "true"
        lit = page.locator("#transcript .m.lit").evaluate_all("all => all.map(m => m.dataset.mark)")
        assert set(taken) <= set(lit) == {heard["mark"] for heard in most["heard"]}
        assert page.locator("#hand").get_by_role("button", name="Keep").count() == 1
        assert "press again" in page.locator("#wheel [role=status]").inner_text()


@pytest.mark.slow
@needs_browser
def test_the_wheel_goes_by_keys_and_follows_what_is_decided(quay: Sitting, browser, door: Door) -> None:
    with opened(browser, door) as page:
        page.wait_for_selector("#wheel [data-ring]")
        page.locator("#transcript").focus()
        page.keyboard.press("v")
        assert page.evaluate("document.activeElement.dataset.ring") == "category"
        page.keyboard.press("ArrowUp")
        assert page.evaluate("document.activeElement.dataset.ring") == "family"
        page.keyboard.press("ArrowRight")
        page.keyboard.press("Enter")
        about = page.evaluate("document.activeElement.dataset.about")
        assert page.locator("#wheel .chosen").first.get_attribute("data-about") == about
        before = page.locator("#wheel [data-ring]").count()
        page.locator("#hand").get_by_role("button", name="Wrong").click()
        until(page, "n => document.querySelectorAll('#wheel [data-ring]').length !== n", before)
