"""Phones that type while their server is killed again and again: what was acknowledged, what is there in the end.

A phone here does what the page does: an act stays in its outbox until the server has named it. It also does what
networks do: sends again what was acknowledged, in another order, hangs up in the middle.
"""

from __future__ import annotations

import http.client
import json
import os
import random
import signal
import subprocess
import sys
import threading
import time
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from web_client import Client

from tastevocab.web.serve import Door
from tastevocab.web.table.store import Event, Store

HERE = Path(__file__).parent
MOST_WAITING = 40
LOST = (OSError, http.client.HTTPException, ValueError)


class Server:
    """The server process, started anew on its port after each kill."""

    def __init__(self, folder: Path, guests: int, mode: str = "silent") -> None:
        self.folder, self.guests, self.mode = folder, guests, mode
        self.port, self.code, self.ticket = 0, "", ""
        self.start()

    def start(self) -> None:
        command = [sys.executable, str(HERE / "table_server.py"), str(self.folder), str(self.port), str(self.guests)]
        self.process = subprocess.Popen(
            [*command, self.mode],
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": os.pathsep.join([str(HERE), os.environ.get("PYTHONPATH", "")])},
        )
        assert self.process.stdout is not None
        _, port, self.code, self.ticket = self.process.stdout.readline().split()
        self.port = int(port)

    def kill(self) -> None:
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()
        self.process.stdout.close()

    def stop(self) -> None:
        self.process.send_signal(signal.SIGINT)
        with suppress(subprocess.TimeoutExpired):
            self.process.wait(20)
        if self.process.poll() is None:
            self.kill()
        else:
            self.process.stdout.close()

    def door(self) -> Door:
        return Door(None, "127.0.0.1", self.port, frozenset())  # type: ignore[arg-type]


@dataclass
class Phone:
    """One taster's phone: its outbox, what the server has named as kept, every byte that came back."""

    seat: str
    client: Client
    mark: str
    codes: list[str]
    chance: random.Random
    number: int = 0
    outbox: dict[int, dict[str, Any]] = field(default_factory=dict)
    acknowledged: dict[int, str] = field(default_factory=dict)
    everything: bytearray = field(default_factory=bytearray)

    def write(self) -> None:
        """A new note into the outbox; each holds the phone's own mark."""
        self.number += 1
        self.outbox[self.number] = self.act(self.number)

    def flush(self) -> None:
        """Send what waits, and now and then what was acknowledged already, in any order."""
        again = self.chance.sample(
            sorted(self.acknowledged), min(len(self.acknowledged), self.chance.choice([0, 0, 2]))
        )
        batch = list(self.outbox.values())[:20] + [self.act(n) for n in again]
        self.chance.shuffle(batch)
        if not batch:
            return
        data = json.dumps({"client": self.mark, "events": batch}).encode()
        status, headers, body = self.client.send("POST", f"/seat/{self.seat}/events", data)
        self._heard(headers, body)
        if status == 429:  # too much at once, after a long time away: it is sent again
            time.sleep(0.3)
            return
        assert status == 200, body
        for number in json.loads(body)["kept"]:
            act = self.outbox.pop(number, None)
            if act is not None:
                self.acknowledged[number] = act["text"]

    def act(self, number: int) -> dict[str, Any]:
        """The note of that number: the same each time."""
        code = self.codes[number % len(self.codes)]
        act = {"n": number, "kind": "note", "note": f"n{number}", "code": code, "brew": "filter", "moment": "hot"}
        return {**act, "rev": 1, "text": f"{self.mark} {number}"}

    def look(self) -> dict[str, Any]:
        _, headers, body = self.client.get(f"/seat/{self.seat}/view")
        self._heard(headers, body)
        view: dict[str, Any] = json.loads(body)["view"]
        return view

    def _heard(self, headers: Any, body: bytes) -> None:
        self.everything += str(headers).encode() + body


@dataclass
class Outcome:
    """What became of it all."""

    kills: int
    written: int
    acknowledged: int
    lost: list[str]
    twice: list[str]
    breaches: list[str]
    waiting: int


def crash(folder: Path, *, guests: int = 6, kills: int = 3, most: float = 1.0, seed: int = 1) -> Outcome:
    """Kill the server `kills` times at random moments, at most `most` seconds after it came up, while phones type."""
    chance = random.Random(seed)
    server = Server(folder, guests)
    phones = [join(server, n, random.Random(seed * 1000 + n)) for n in range(guests)]
    over = threading.Event()
    threads = [threading.Thread(target=type_on, args=(phone, over), daemon=True) for phone in phones]
    for thread in threads:
        thread.start()
    for _ in range(kills):
        time.sleep(chance.uniform(0.05, most))
        server.kill()
        server.start()
    time.sleep(0.5)
    over.set()
    for thread in threads:
        thread.join(60)
    views = {phone.seat: phone.look() for phone in phones}
    server.stop()
    store = Store(folder / "out" / "table.sqlite3")
    events = [e for e in store.events() if e.kind == "note"]
    store.close()
    return judged(kills, phones, events, views)


def join(server: Server, n: int, chance: random.Random) -> Phone:
    client = Client(server.door())
    status, told = client.post("/sit", {"code": server.code, "seat": "guest", "consent": True})
    assert status == 200, told
    seat = told["go"].split("/")[2]
    phone = Phone(seat, client, f"zq{n:03}x", [], chance)
    phone.codes = phone.look()["codes"]
    return phone


def type_on(phone: Phone, over: threading.Event) -> None:
    """Write and send until it is over, then send what is left."""
    while not over.is_set():
        if len(phone.outbox) < MOST_WAITING:
            phone.write()
        with suppress(*LOST):
            phone.flush()
        time.sleep(phone.chance.uniform(0.0, 0.15))
    for _ in range(200):
        if not phone.outbox:
            return
        with suppress(*LOST):
            phone.flush()


def judged(kills: int, phones: list[Phone], events: list[Event], views: dict[str, dict[str, Any]]) -> Outcome:
    there: dict[tuple[str, str, int], list[str]] = {}
    for e in events:
        there.setdefault((e.seat, e.client, e.number), []).append(e.body["text"])
    lost, twice, breaches = [], [], []
    for phone in phones:
        shown = [note["text"] for note in views[phone.seat]["notes"]]
        for number, text in phone.acknowledged.items():
            if there.get((phone.seat, phone.mark, number)) != [text] or text not in shown:
                lost.append(f"{phone.seat}: {text}")
        twice += [f"{phone.seat}: {text}" for text in set(shown) if shown.count(text) > 1]
        others = [p.mark.encode() for p in phones if p is not phone] + [b"Velmora", b"Tarrasca", b"peach"]
        breaches += [f"{phone.seat}: {mark!r}" for mark in others if mark in phone.everything]
    return Outcome(
        kills,
        sum(p.number for p in phones),
        sum(len(p.acknowledged) for p in phones),
        lost,
        twice,
        breaches,
        sum(len(p.outbox) for p in phones),
    )
