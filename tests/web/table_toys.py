"""An invented table on a free port, its people as plain HTTP clients, and a record of every byte sent to each."""

from __future__ import annotations

import json
import re
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from starlette.types import ASGIApp, Message, Receive, Scope, Send
from web_client import Client, served, until

from tastevocab.web.guard import Limits
from tastevocab.web.serve import Door, open_door
from tastevocab.web.table.app import make_app
from tastevocab.web.table.opening import Means, Opened, open_table
from tastevocab.web.table.setting import Wanted
from tastevocab.web.table.worker import Asks

SESSION = """\
session: {id}
date: 2026-03-02
blind: true
tasters: [{tasters}]
bowls: 5
coffees:
  velmora: {{name: Finca Velmora, process: washed, claims: [peach]}}
  tarrasca: {{name: Hacienda Tarrasca, process: natural}}
brews:
  filter:   {{method: filter, dose_g: 15, water_g: 250}}
  espresso: {{method: espresso, dose_g: 18.5, yield_g: 40}}
"""
NAMES = ("Finca Velmora", "Hacienda Tarrasca", "velmora", "tarrasca", "peach")
"""What nobody may read before the reveal."""


class Silent:
    """Reading and counting left out: for what is about keeping alone."""

    async def ask(self, what: str, *given: Any) -> Any:
        return [] if what != "results" else {"counts": {}, "wheels": {}}

    async def stop(self) -> None: ...


class Recorder:
    """An application whose every byte out is recorded, by whose address it was sent from ("/seat/s1/" → "s1").

    With a `folder` it is written there as well, before it is sent: a server that is killed takes nothing of it along.
    """

    def __init__(self, app: ASGIApp, folder: Path | None = None) -> None:
        self.app, self.folder = app, folder
        self.sent: dict[str, bytearray] = {}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        parts = scope.get("path", "").split("/")
        who = parts[2] if parts[1:2] == ["seat"] else parts[1] if len(parts) > 1 else ""

        async def recorded(message: Message) -> None:
            headers = b"".join(bytes(name) + b": " + bytes(value) + b"\n" for name, value in message.get("headers", []))
            self.record(who, headers + message.get("body", b""))
            await send(message)

        await self.app(scope, receive, recorded)

    def record(self, who: str, data: bytes) -> None:
        self.sent.setdefault(who, bytearray()).extend(data)
        if self.folder is not None:
            with (self.folder / (re.sub(r"\W", "", who) or "door")).open("ab", buffering=0) as out:
                out.write(data)

    def bytes_to(self, who: str) -> bytes:
        return bytes(self.sent.get(who, b""))


def write_session(folder: Path, tasters: str = "mira, otto, pilar", id: str = "toy-table") -> Path:
    path = folder / "toy.yaml"
    path.write_text(SESSION.format(tasters=tasters, id=id), "utf-8")
    return path


@dataclass
class Table:
    """A running table."""

    door: Door
    opened: Opened
    recorder: Recorder

    @property
    def live(self):
        return self.opened.live

    def leader(self) -> Client:
        client = Client(self.door)
        path = f"/leader/enter/{self.live.entrance.ticket('leader')}"
        assert client.get(path)[0] == 200
        return client

    def sit(self, seat: str, name: str = "") -> Taster:
        client = Client(self.door)
        given = {"code": self.live.entrance.code, "seat": seat, "name": name, "consent": True}
        status, told = client.post("/sit", given)
        assert status == 200, told
        return Taster(client, told["go"])


@dataclass(eq=False)
class Taster:
    """Somebody at a seat."""

    client: Client
    home: str
    name: str = "phone"
    number: int = 0
    rev: int = 0
    acknowledged: list[dict[str, Any]] = field(default_factory=list)

    def view(self) -> dict[str, Any]:
        status, _, data = self.client.get(f"{self.home}view")
        assert status == 200, data
        return json.loads(data)["view"]

    def act(self, kind: str, **body: Any) -> dict[str, Any]:
        """One act as it goes over the wire."""
        self.number += 1
        self.rev += 1
        return {"n": self.number, "kind": kind, "rev": self.rev, "age": 0, **body}

    def send(self, *acts: dict[str, Any], **headers: str) -> tuple[int, dict[str, Any]]:
        status, told = self.client.post(f"{self.home}events", {"client": self.name, "events": list(acts)}, **headers)
        if status == 200:
            self.acknowledged += [a for a in acts if a["n"] in told["kept"]]
        return status, told

    def note(self, text: str, place: int = 0, brew: str = "filter", moment: str = "warm", **more: Any):
        code = self.view()["codes"][place]
        act = self.act("note", note=f"n{self.number}", code=code, brew=brew, moment=moment, text=text, **more)
        return self.send(act)

    def close_all(self, brew: str = "filter") -> None:
        acts = [self.act("close", code=code, brew=brew, closed=True) for code in self.view()["codes"]]
        assert self.send(*acts)[0] == 200

    @contextmanager
    def listening(self) -> Iterator[bytearray]:
        """The line held open, as a page holds it; gives what came in so far."""
        heard = bytearray()
        door = self.client.door
        wire = socket.create_connection((door.address, door.port), timeout=30)
        crumbs = "; ".join(f"{k}={v}" for k, (v, at) in self.client.cookies.items() if self.home.startswith(at))
        head = f"GET {self.home}live HTTP/1.1\r\nHost: {door.url[7:]}\r\nCookie: {crumbs}\r\n\r\n"
        wire.sendall(head.encode())

        def listen() -> None:
            with suppress(OSError):
                while data := wire.recv(65536):
                    heard.extend(data)

        thread = threading.Thread(target=listen, daemon=True)
        thread.start()
        until(lambda: b"event: view" in heard)
        try:
            yield heard
        finally:
            wire.shutdown(socket.SHUT_RDWR)
            wire.close()
            thread.join(5)


@contextmanager
def running(
    folder: Path,
    work: Asks | None = None,
    *,
    tasters: str = "mira, otto, pilar",
    wanted: Wanted | None = None,
    limits: Limits | None = None,
    counter: Asks | None = None,
    door: Door | None = None,
) -> Iterator[Table]:
    """A table of an invented session in `folder`; taken up again if one is there."""
    session = write_session(folder, tasters)
    door = door or open_door(0)
    work = work or Silent()
    opened = open_table(session, folder / "out", wanted or Wanted(), door, Means(reader=work, counter=counter or work))
    recorder = Recorder(make_app(opened.live))
    try:
        with served(recorder, limits or Limits(rate=5000, burst=5000), door, opened.live.lines.close):
            yield Table(door, opened, recorder)
    finally:
        opened.store.close()
