"""Start a local server: on this machine alone, or on one named address of the local network."""

from __future__ import annotations

import asyncio
import errno
import ipaddress
import os
import socket
import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from starlette.types import ASGIApp

from tastevocab.errors import InputError
from tastevocab.web.guard import Guard, Limits, host_name, hosts_of

HOME = "127.0.0.1"
HOME_NAMES = ("127.0.0.1", "localhost")
# An address of documentation (RFC 5737): nothing is sent to it, but it makes the system choose a way out.
_ELSEWHERE = ("192.0.2.1", 9)


@dataclass(frozen=True, slots=True)
class Door:
    """Where a server is open: its bound `socket`, its `address` and `port`, the Host headers it answers to."""

    socket: socket.socket
    address: str
    port: int
    hosts: frozenset[str]

    @property
    def url(self) -> str:
        """What to type into a browser, without a path."""
        return f"http://{host_name(self.address)}:{self.port}"


def open_door(port: int, *, lan: bool = False, address: str = "") -> Door:
    """A bound door: on this machine alone, or with `lan` on one address of this machine in the local network.

    `address` names it where the machine has several ("" takes the one it would go out by); `port` 0 takes any that is
    free. Raises `InputError` for an address that is not this machine's, or one that would open all of them, and for a
    port that is taken.
    """
    where = _lan_address(address) if lan else HOME
    family = socket.AF_INET6 if ":" in where else socket.AF_INET
    bound = socket.socket(family, socket.SOCK_STREAM)
    if os.name == "posix":  # elsewhere it would let two servers share a port
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        bound.bind((where, port))
    except (OSError, OverflowError) as problem:
        bound.close()
        raise _unbound(problem, where, port) from None
    port = bound.getsockname()[1]
    return Door(bound, where, port, hosts_of([where] if lan else HOME_NAMES, port))


def _unbound(problem: Exception, where: str, port: int) -> InputError:
    if getattr(problem, "errno", None) == errno.EADDRINUSE:
        return InputError(f"port {port} of {where} is taken", mend="another tastevocab may run; or give another --port")
    if getattr(problem, "errno", None) == errno.EADDRNOTAVAIL:
        return InputError(f"{where} is no address of this machine", mend="leave out --address, or give one it has")
    return InputError(f"cannot open {where} port {port}: {problem}", mend="give another --port, from 1024 to 65535")


def _lan_address(given: str) -> str:
    if not given:
        return way_out()
    try:
        known = ipaddress.ip_address(given.strip("[]"))
    except ValueError:
        raise InputError(f"{given!r} is no address", mend="give numbers, like --address 192.168.1.20") from None
    if known.is_unspecified or known.is_multicast:
        raise InputError(f"{given} would open every network", mend="name the one address that phones reach")
    return str(known)


def way_out() -> str:
    """The address by which this machine reaches others. Raises `InputError` where it reaches none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(_ELSEWHERE)
            found = str(probe.getsockname()[0])
        except OSError:
            found = ""
    if not found or ipaddress.ip_address(found).is_loopback:
        raise InputError("this machine is in no network", mend="join the phones' network, or name it with --address")
    return found


def serve(
    app: ASGIApp,
    door: Door,
    *,
    limits: Limits | None = None,
    ready: Callable[[], object] | None = None,
    closing: Callable[[], object] | None = None,
) -> None:
    """Serve `app` behind the guard at `door` until Ctrl-C; `ready` is called once it answers, `closing` before it waits
    for open answers to end (a line of server-sent events ends only if it is told to)."""
    server = make_server(app, door, limits=limits, closing=closing)
    if ready is not None:
        _call_when_started(server, ready)
    try:
        server.run(sockets=[door.socket])
    except KeyboardInterrupt:  # uvicorn closes down in order, then passes the key on: to stop is how a table ends
        pass
    finally:
        door.socket.close()


def open_browser(url: str) -> None:
    """Show a page in the user's browser, where there is a screen; a browser in the terminal would take that over."""
    import threading
    import webbrowser

    screen = sys.platform in ("win32", "darwin") or os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    if screen:
        threading.Thread(target=webbrowser.open, args=(url,), daemon=True).start()


def make_server(  # type: ignore[no-untyped-def]
    app: ASGIApp, door: Door, *, limits: Limits | None = None, closing: Callable[[], object] | None = None
):
    """A `uvicorn.Server` of `app` behind the guard: quiet, plain HTTP, no header that names it; `closing` as in
    `serve`."""
    import uvicorn

    config = uvicorn.Config(
        Guard(app, door.hosts, limits),
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        http=_patient((limits or Limits()).patience),
        ws="none",
        lifespan="on",
        timeout_keep_alive=20,
        timeout_graceful_shutdown=2,
        h11_max_incomplete_event_size=32 * 1024,
    )
    server = uvicorn.Server(config)
    if closing is not None:
        _call_when_closing(server, closing)
    return server


def _patient(seconds: float):  # type: ignore[no-untyped-def]
    """A connection that is closed unless the head of a request is there within `seconds`, from its opening or from the
    first byte of the next one: else whoever sends a byte a minute holds it, and all others, for ever."""
    from uvicorn.protocols.http.h11_impl import H11Protocol

    class Patient(H11Protocol):
        late: asyncio.TimerHandle | None = None

        def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
            super().connection_made(transport)
            self.watch()

        def data_received(self, data: bytes) -> None:
            super().data_received(data)
            self.watch()

        def on_response_complete(self) -> None:
            super().on_response_complete()
            if self.conn.trailing_data[0]:  # the next request has begun already
                self.watch()

        def watch(self) -> None:
            waits = self.cycle is None or self.cycle.response_complete
            if waits and self.late is None:
                self.late = self.loop.call_later(seconds, self.transport.close)
            elif not waits and self.late is not None:
                self.late.cancel()
                self.late = None

    return Patient


def _call_when_started(server, ready: Callable[[], object]) -> None:  # type: ignore[no-untyped-def]
    startup = server.startup

    async def started(sockets: Iterable[socket.socket] | None = None) -> None:
        await startup(sockets=sockets)
        if server.started:
            ready()

    server.startup = started


def _call_when_closing(server, closing: Callable[[], object]) -> None:  # type: ignore[no-untyped-def]
    shutdown = server.shutdown

    async def closed(sockets: list[socket.socket] | None = None) -> None:
        closing()
        await shutdown(sockets=sockets)

    server.shutdown = closed
