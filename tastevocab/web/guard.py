"""What a request must pass before any page sees it: whom it is addressed to, where it comes from, how big, how often.

A local server is reached by every web page that the same browser has open. Without a name of its own it would answer a
foreign page whose name was pointed at it (DNS rebinding), and take that page's writes (cross-site request forgery).
So: the Host must be one of this server's own addresses with its port, and a write must say (Origin) that it comes from
one of this server's own pages. No header of cross-origin sharing is ever sent.
"""

from __future__ import annotations

import asyncio
import ipaddress
import re
import time
from collections import OrderedDict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

CSP = "; ".join(
    (
        "default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self' data:", "font-src 'self'",
        "connect-src 'self'", "media-src 'self'", "form-action 'self'", "base-uri 'none'", "frame-ancestors 'none'",
    )
)  # fmt: skip
"""Pages load from this server alone, run no script and wear no style that stands in the page itself."""

HEADERS = {
    "content-security-policy": CSP,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
READS, WRITES = frozenset({"GET", "HEAD"}), frozenset({"POST"})
_PATH = re.compile(rb"(?:/[A-Za-z0-9_~-][A-Za-z0-9._~-]*)*/?")
_JSON = re.compile(r"application/json(?:\s*;\s*charset=utf-8)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Limits:
    """How much is taken: `body` bytes of one request, `rate` requests a second and `burst` at once from one address.
    `patience` seconds are waited for the head of a request, and for its body."""

    body: int = 256 * 1024
    rate: float = 200.0
    burst: int = 800
    patience: float = 20.0


class Refused(Exception):
    """A request that is not answered as asked: the `status`, and `why` in a sentence."""

    def __init__(self, status: int, why: str) -> None:
        self.status, self.why = status, why
        super().__init__(why)


def hosts_of(addresses: Iterable[str], port: int) -> frozenset[str]:
    """The Host headers under which a server at these addresses (IPv4, IPv6 or names) and this port may be called.

    A port of 80 may be left out, as browsers do.
    """
    found = set()
    for address in addresses:
        name = host_name(address)
        found.add(f"{name}:{port}")
        if port == 80:
            found.add(name)
    return frozenset(found)


def host_name(address: str) -> str:
    """An address as it stands in a URL: IPv6 in brackets and in its shortest form, names in small letters."""
    bare = address.strip("[]").split("%")[0]
    try:
        known = ipaddress.ip_address(bare)
    except ValueError:
        return address.lower()
    return f"[{known.compressed}]" if known.version == 6 else str(known)


def same_host(given: str) -> str:
    """A Host header in the form of `hosts_of`: small letters, IPv6 shortened; anything odd stays what it is."""
    match = re.fullmatch(r"\[([0-9A-Fa-f:.]+)\](:\d{1,5})?", given)
    if not match:
        return given.lower()
    return f"{host_name(match[1])}{match[2] or ''}"


@dataclass(slots=True)
class Bucket:
    """What one address may still send: `left` requests, filled up as time goes by; `at` is when that was reckoned."""

    left: float
    at: float


@dataclass(slots=True)
class Rates:
    """A token bucket for each key (an address, a seat); the least used are forgotten first.

    `rate` is refilled a second, `burst` the most there is, `keys` how many are remembered. `clock` gives seconds.
    """

    rate: float
    burst: float
    keys: int = 4096
    clock: Callable[[], float] = time.monotonic
    buckets: OrderedDict[str, Bucket] = field(default_factory=OrderedDict)

    def take(self, key: str, cost: float = 1.0) -> bool:
        """Whether `key` may do what costs `cost`; if so it is paid."""
        now = self.clock()
        bucket = self.buckets.setdefault(key, Bucket(self.burst, now))
        self.buckets.move_to_end(key)
        if len(self.buckets) > self.keys:
            self.buckets.popitem(last=False)
        bucket.left = min(self.burst, bucket.left + (now - bucket.at) * self.rate)
        bucket.at = now
        if bucket.left < cost:
            return False
        bucket.left -= cost
        return True


class Guard:
    """An application behind the checks of this file.

    `hosts` are the Host headers it answers to (`hosts_of`). What is refused gets a small JSON object with `why`; what
    is answered wears `HEADERS`, unless the answer sets one itself.
    """

    def __init__(self, app: ASGIApp, hosts: Iterable[str], limits: Limits | None = None) -> None:
        self.app = app
        self.hosts = frozenset(hosts)
        self.limits = limits or Limits()
        self.rates = Rates(self.limits.rate, self.limits.burst)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            await send({"type": "websocket.close", "code": 1008})
            return
        started = False

        async def dressed(message: Message) -> None:
            nonlocal started
            if message["type"] == "http.response.start":
                started = True
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        try:
            self._check(scope)
            await self.app(scope, bounded(receive, self.limits), dressed)
        except Refused as refused:
            if started:
                raise
            await refusal(refused)(scope, receive, dressed)

    def _check(self, scope: Scope) -> None:
        headers = Headers(scope=scope)
        hosts = headers.getlist("host")
        if len(hosts) != 1 or same_host(hosts[0]) not in self.hosts:
            raise Refused(421, "this server does not answer to that name")
        client = scope.get("client")
        if not self.rates.take(client[0] if client else ""):
            raise Refused(429, "too many requests: wait a moment")
        if not _PATH.fullmatch(scope.get("raw_path") or scope["path"].encode()):
            raise Refused(400, "there is no such address")
        method = scope["method"]
        if method not in READS | WRITES:
            raise Refused(405, "only GET, HEAD and POST are answered")
        self._check_origin(headers, hosts[0], writes=method in WRITES)
        if method in WRITES:
            self._check_body(headers)

    def _check_origin(self, headers: Headers, host: str, *, writes: bool) -> None:
        origin = headers.get("origin")
        if origin is None and not writes:
            return
        if origin is None or origin.lower() != f"http://{host.lower()}":
            raise Refused(403, "this did not come from a page of this server")

    def _check_body(self, headers: Headers) -> None:
        if not _JSON.fullmatch(headers.get("content-type", "").strip()):
            raise Refused(415, "only JSON is taken (content-type: application/json)")
        length = headers.get("content-length")
        if length is not None and (not length.isdigit() or int(length) > self.limits.body):
            raise Refused(413, f"more than {self.limits.body} bytes at once")


def bounded(receive: Receive, limits: Limits) -> Receive:
    """`receive`, which refuses a body that is too big however it is sent, or that does not come in time."""
    taken, ended = 0, False
    until = time.monotonic() + limits.patience

    async def counted() -> Message:
        nonlocal taken, ended
        if ended:  # what comes now is that the other side has gone
            return await receive()
        try:
            message = await asyncio.wait_for(receive(), until - time.monotonic())
        except TimeoutError:
            raise Refused(408, "this took too long to be sent: try again") from None
        ended = not message.get("more_body", False)
        taken += len(message.get("body", b""))
        if taken > limits.body:
            raise Refused(413, f"more than {limits.body} bytes at once")
        return message

    return counted


def refusal(refused: Refused) -> JSONResponse:
    """The answer to what is refused."""
    headers = {408: {"connection": "close"}, 429: {"retry-after": "2"}}.get(refused.status)
    return JSONResponse({"why": refused.why}, refused.status, headers)


async def _answer_refused(request: Request, problem: Exception) -> JSONResponse:
    assert isinstance(problem, Refused)
    return refusal(problem)


HANDLERS: Mapping[Any, Any] = {Refused: _answer_refused}
"""What an application behind the guard handles exceptions with: an endpoint that refuses raises `Refused`."""
