"""What the tests of the local pages share: a server on a free port, and a plain client that sends what it is told."""

from __future__ import annotations

import http.client
import json
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from starlette.types import ASGIApp

from tastevocab.web.guard import Limits
from tastevocab.web.serve import Door, make_server, open_door


class Client:
    """Plain HTTP to a door. Cookies are those it was given, by name, as a browser would send them back (by path)."""

    def __init__(self, door: Door) -> None:
        self.door = door
        self.cookies: dict[str, tuple[str, str]] = {}

    def send(self, method: str, path: str, body: bytes | None = None, headers: dict[str, str] | None = None):
        """One request on a connection of its own: status, headers, body. A header of "" is left out."""
        wire = http.client.HTTPConnection(self.door.address, self.door.port, timeout=30)
        try:
            return self._exchange(wire, method, path, body, headers or {})
        finally:
            wire.close()

    def _exchange(self, wire, method: str, path: str, body: bytes | None, headers: dict[str, str]):
        crumbs = [f"{name}={value}" for name, (value, at) in self.cookies.items() if path.startswith(at)]
        given = {"Host": self.door.url.removeprefix("http://"), "Cookie": "; ".join(crumbs)}
        if method == "POST":
            given |= {"Origin": self.door.url, "Content-Type": "application/json"}
        wire.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        for name, value in {**given, **headers}.items():
            if value:
                wire.putheader(name, value)
        if body is not None and "Transfer-Encoding" not in headers and "Content-Length" not in headers:
            wire.putheader("Content-Length", str(len(body)))
        wire.endheaders(body)
        answer = wire.getresponse()
        data = answer.read()
        self._keep(answer.headers.get_all("set-cookie") or [])
        return answer.status, answer.headers, data

    def _keep(self, lines: list[str]) -> None:
        for line in lines:
            first, *rest = (part.strip() for part in line.split(";"))
            name, value = first.split("=", 1)
            path = next((part[5:] for part in rest if part.lower().startswith("path=")), "/")
            self.cookies[name] = (value, path)

    def get(self, path: str, **headers: str):
        return self.send("GET", path, headers={k.replace("_", "-"): v for k, v in headers.items()})

    def post(self, path: str, value: Any, **headers: str):
        """Status and the JSON of the answer."""
        named = {k.replace("_", "-"): v for k, v in headers.items()}
        status, _, data = self.send("POST", path, json.dumps(value).encode(), named)
        return status, json.loads(data or b"null")


@contextmanager
def served(
    app: ASGIApp,
    limits: Limits | None = None,
    door: Door | None = None,
    closing: Callable[[], object] | None = None,
) -> Iterator[Door]:
    """`app` behind the guard on a free port of this machine, in a thread of its own."""
    door = door or open_door(0)
    server = make_server(app, door, limits=limits, closing=closing)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [door.socket]}, daemon=True)
    thread.start()
    until(lambda: server.started)
    try:
        yield door
    finally:
        server.should_exit = True
        thread.join(20)
        door.socket.close()


def until(holds: Callable[[], object], seconds: float = 20) -> None:
    """Wait until something holds; fails if it does not within `seconds`."""
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end, "it did not come about"
        time.sleep(0.01)
