"""An hour of a table in a real browser, played in minutes: phones type while networks go, tabs are closed on what they
send, answers get lost, sends come twice and out of order, and the server is killed (SIGKILL), all in one run.

The server writes every byte that it sends to a seat before it sends it, so that all of it can be searched afterwards.
"""

from __future__ import annotations

import json
import random
import threading
from collections import Counter
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from crashing import Server
from table_toys import NAMES

from tastevocab.web.table import state as st
from tastevocab.web.table.store import Store

CHROMIUM = "/usr/bin/chromium"
NOTES = (
    "juicy blackberry, a bit of bergamot", "not lemon, more like mandarin", "cocoa and a dry finish", "honey, warm",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Hour:
    """What is played: so many people with so many notes each, and kills of the server."""

    people: int
    notes: int
    kills: int
    seed: int
    pause: int = 350
    """Milliseconds between two notes at the table, on average."""


@dataclass
class Outcome:
    """How often what befell the table, and what went `wrong`: nothing, if all is well."""

    counts: Counter[str]
    wrong: dict[str, list[str]]

    @property
    def told(self) -> str:
        return f"{dict(self.counts)}; wrong: {self.wrong}"


@dataclass
class Phone:
    """One taster's browser: what was typed into it, and what it sent before."""

    seat: str
    context: Any
    page: Any
    home: str
    typed: list[str] = field(default_factory=list)
    offline: bool = False
    sent: list[str] = field(default_factory=list)

    @property
    def sign(self) -> str:
        """Stands in every note of this phone, and in nobody else's."""
        return f"zq{self.seat}w"


def play(folder: Path, hour: Hour) -> Outcome:
    """Play the hour with a server that keeps its files in `folder`."""
    from playwright.sync_api import sync_playwright

    counts: Counter[str] = Counter()
    server = Server(folder, hour.people, "records")
    try:
        with sync_playwright() as engine:
            browser = engine.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
            phones = _hour(browser, server, hour, counts)
            until_shown = {who: len(_sent(folder, who)) for who in _everybody(phones)}
            wrong = {"not as typed on the phone": [w for phone in phones for w in _shown_wrong(phone)]}
            wrong["results not there"] = _show(browser, server, phones)
            browser.close()
    finally:
        server.stop()
    store = Store(folder / "out" / "table.sqlite3")
    state = st.total(store.events())
    store.close()
    kept = {phone.seat: Counter(n.text for n in st.notes_of(state, phone.seat)) for phone in phones}
    wrong["lost"] = [text for phone in phones for text in phone.typed if not kept[phone.seat][text]]
    wrong["twice"] = [text for phone in phones for text in phone.typed if kept[phone.seat][text] > 1]
    wrong["invented"] = [t for phone in phones for t in kept[phone.seat] if t not in phone.typed]
    wrong["breaches of blindness"] = [w for who in until_shown for w in _breaches(folder, who, phones, until_shown)]
    wrong["not recorded"] = [phone.seat for phone in phones if phone.sign.encode() not in _sent(folder, phone.seat)]
    counts["bytes sent to seats"] = sum(len(_sent(folder, phone.seat)) for phone in phones)
    return Outcome(counts, {name: found for name, found in wrong.items() if found})


def _hour(browser: Any, server: Server, hour: Hour, counts: Counter[str]) -> list[Phone]:
    """All is typed, befallen and, in the end, said to be kept on every phone."""
    chance = random.Random(hour.seed)
    phones = [_sit_down(browser, server, random.Random(f"{hour.seed}.{n}"), counts) for n in range(hour.people)]
    turns = [phone for phone in phones for _ in range(hour.notes)]
    chance.shuffle(turns)
    typed, over = threading.Semaphore(0), threading.Event()
    killer = threading.Thread(target=_kill, args=(server, hour, len(turns), typed, over, counts))
    killer.start()
    try:
        for phone in turns:
            _write(phone, chance)
            counts["notes typed"] += 1
            typed.release()
            _befall(phone, chance, counts)
            phone.page.wait_for_timeout(chance.uniform(0, 2 * hour.pause))
    finally:
        over.set()
        typed.release(len(turns))
        killer.join()
    for phone in phones:
        phone.context.unroute_all(behavior="ignoreErrors")
        phone.context.set_offline(False)
    for phone in phones:
        phone.page.wait_for_selector("text=Everything is kept.", timeout=60_000)
    return phones


def _kill(
    server: Server, hour: Hour, turns: int, typed: threading.Semaphore, over: threading.Event, counts: Counter[str]
) -> None:
    """Kill the server at random moments of the typing: after a random note, and up to a third of a second later."""
    chance = random.Random(hour.seed + 1)
    waits = Counter(chance.randrange(turns) for _ in range(hour.kills))
    for n in range(turns):
        typed.acquire()
        for _ in range(waits[n]):
            over.wait(chance.uniform(0, 0.35))
            server.kill()
            server.start()
            counts["kills of the server"] += 1
            counts["of them while notes were typed"] += not over.is_set()


def _sit_down(browser: Any, server: Server, chance: random.Random, counts: Counter[str]) -> Phone:
    context = browser.new_context(viewport={"width": 390, "height": 800})
    page = context.new_page()
    page.goto(f"{server.door().url}/#{server.code}")
    page.check("#seats input[value=guest]")
    page.check("#consent")
    page.click("text=Sit down")
    page.wait_for_selector("#codes button")
    phone = Phone(page.url.split("/")[-2], context, page, page.url)
    context.route("**/events", lambda route: _on_the_way(route, phone, chance, counts))
    return phone


def _on_the_way(route: Any, phone: Phone, chance: random.Random, counts: Counter[str]) -> None:
    """What a network does to a send: its answer gets lost, it comes twice and in another order, or late."""
    data = route.request.post_data
    fate = chance.random()
    try:
        if fate < 0.1:
            route.fetch()
            route.abort()
            counts["answers lost"] += 1
        elif fate < 0.2:
            batch = json.loads(data)
            chance.shuffle(batch["events"])
            route.fetch(post_data=json.dumps(batch))
            route.fulfill(response=route.fetch())
            counts["sends doubled, in another order"] += 1
        elif fate < 0.3 and phone.sent:
            route.fetch(post_data=chance.choice(phone.sent))
            route.continue_()
            counts["old sends that came late"] += 1
        else:
            route.continue_()
    except Exception:  # the server is being killed, or the tab is closed
        with suppress(Exception):
            route.abort()
    phone.sent.append(data)


def _write(phone: Phone, chance: random.Random) -> None:
    text = f"{chance.choice(NOTES)}, {phone.sign}{len(phone.typed)}z"
    if chance.random() < 0.2:
        phone.page.locator("#codes button").nth(chance.randrange(2)).click()
    phone.page.fill("#text", text)
    phone.page.click("text=Keep this note")
    phone.typed.append(text)


def _befall(phone: Phone, chance: random.Random, counts: Counter[str]) -> None:
    """Now and then the network goes or comes, and a tab is closed on what it was sending."""
    if chance.random() < 0.12:
        phone.offline = not phone.offline
        phone.context.set_offline(phone.offline)
        counts["networks gone"] += phone.offline
    if chance.random() < 0.05:
        counts["tabs killed"] += 1
        phone.page.close()
        phone.offline = False
        phone.context.set_offline(False)
        phone.page = phone.context.new_page()
        _load(phone.page, phone.home)


def _load(page: Any, url: str) -> None:
    """Open a page, as often as it takes until the server is there."""
    for _ in range(100):
        with suppress(Exception):
            page.goto(url)
            page.wait_for_selector("#codes button", timeout=2000)
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"{url} did not open")


def _shown_wrong(phone: Phone) -> list[str]:
    """Notes that the phone does not show exactly once."""
    shown: Counter[str] = Counter()
    for cup in phone.page.locator("#codes button").all():
        cup.click()
        shown.update(phone.page.locator("#notes .typed").all_text_contents())
    return [text for text in {*phone.typed, *shown} if shown[text] != phone.typed.count(text)]


def _show(browser: Any, server: Server, phones: list[Phone]) -> list[str]:
    """The leader shows the round; whose phone, and whether the wall, do not fill."""
    leader = browser.new_page()
    leader.goto(f"{server.door().url}/leader/enter/{server.ticket}")
    with leader.expect_popup() as opened:
        leader.click("text=Open the wall")
    wall = opened.value
    wall.wait_for_selector("text=have closed")
    leader.click("#rounds button >> nth=0")
    leader.click("#sure-yes")
    missing = []
    for name, page, found in [("wall", wall, "#results section"), *((p.seat, p.page, "#results li") for p in phones)]:
        with suppress(Exception):
            page.wait_for_selector(found, timeout=60_000, state="attached")
            continue
        missing.append(name)
    return missing


def _everybody(phones: list[Phone]) -> list[str]:
    return [*(phone.seat for phone in phones), "leader", "wall", "door", "join"]


def _sent(folder: Path, who: str) -> bytes:
    path = folder / "sent" / who
    return path.read_bytes() if path.exists() else b""


def _breaches(folder: Path, who: str, phones: list[Phone], until_shown: dict[str, int]) -> list[str]:
    """What was sent to somebody of others' notes, ever, or of the coffees' names before the round was shown."""
    data = _sent(folder, who)
    signs = [phone.sign for phone in phones if phone.seat != who]
    early = data[: until_shown[who]]
    return [f"{who}: {mark}" for mark in signs if mark.encode() in data] + [
        f"{who}: {name}" for name in NAMES if name.encode() in early
    ]
