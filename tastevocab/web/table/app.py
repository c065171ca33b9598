"""The addresses of a live table: who may call what, and what is answered."""

from __future__ import annotations

import asyncio
import base64
from collections.abc import AsyncIterator
from contextlib import aclosing, asynccontextmanager
from typing import Any

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response, StreamingResponse
from starlette.routing import Route

from tastevocab.panel.sheets import CAUTIONS
from tastevocab.web.body import flag_of, json_object, text_of
from tastevocab.web.guard import HANDLERS, Refused
from tastevocab.web.pages import asset_route, page, read_assets
from tastevocab.web.qr import qr_svg
from tastevocab.web.table import acts
from tastevocab.web.table.live import LEADER, WALL, Live
from tastevocab.web.table.views import door_view, wheel_seen
from tastevocab.web.table.worker import Failed
from tastevocab.web.tokens import digest, set_cookie

ROOM = "table"
CAFFEINE = "Caffeine adds up over a flight: spit, take small sips, stop when you like. Nobody has to taste anything."


def make_app(live: Live) -> Starlette:
    """The application of a running table; put it behind the guard."""

    @asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:
        await live.start()
        yield
        await live.stop()

    app = Starlette(routes=_routes(), lifespan=lifespan, exception_handlers={**HANDLERS, 404: _lost, 500: _broken})
    app.state.live = live
    return app


def _routes() -> list[Route]:
    post = ["POST"]
    return [
        asset_route(read_assets(ROOM)),
        Route("/", join_page),
        Route("/join", join, methods=post),
        Route("/sit", sit, methods=post),
        Route("/seat/{seat}/enter/{ticket}", enter),
        Route("/seat/{seat}/", taster_page),
        Route("/seat/{seat}/view", view),
        Route("/seat/{seat}/live", lines),
        Route("/seat/{seat}/events", events, methods=post),
        Route("/seat/{seat}/find", find, methods=post),
        Route("/seat/{seat}/withdraw", withdraw, methods=post),
        Route("/leader/enter/{ticket}", enter),
        Route("/leader/", leader_page),
        Route("/leader/view", view),
        Route("/leader/live", lines),
        Route("/leader/qr.svg", qr),
        Route("/leader/act", lead, methods=post),
        Route("/leader/link", link, methods=post),
        Route("/wall/enter/{ticket}", enter),
        Route("/wall", wall_door),
        Route("/wall/", wall_page),
        Route("/wall/view", view),
        Route("/wall/live", lines),
        Route("/wall/qr.svg", qr),
        Route("/wall/wheel", wheel),
    ]


def _live(request: Request) -> Live:
    live: Live = request.app.state.live
    return live


async def _lost(request: Request, problem: Exception) -> Response:
    return JSONResponse({"why": "there is no such address"}, 404)


async def _broken(request: Request, problem: Exception) -> Response:
    return JSONResponse({"why": "something broke here: nothing that was kept is lost"}, 500)


# --- who is asking ---


def _whose(request: Request) -> str:
    """Whose pages an address belongs to: a seat's id, the leader or the wall."""
    seat = request.path_params.get("seat")
    return str(seat) if seat is not None else request.url.path.split("/")[1]


def _home(who: str) -> str:
    return f"/{who}/" if who in (LEADER, WALL) else f"/seat/{who}/"


def _cookie(who: str) -> str:
    return f"table-{who}"


def _has_seat(request: Request, who: str) -> bool:
    token = request.cookies.get(_cookie(who))
    return bool(token) and len(token or "") <= 64 and _live(request).tokens.get(digest(token or "")) == who


def _belongs(request: Request) -> str:
    """Whose address this is, if the one who asks holds a token for it. Raises `Refused` (401) if not."""
    who = _whose(request)
    if not _has_seat(request, who):
        raise Refused(401, "this page is not yours: join with the code, or ask the leader for a link")
    return who


def _address(request: Request) -> str:
    return request.client.host if request.client else ""


# --- the door ---


async def join_page(request: Request) -> Response:
    return page("join.html.j2", ROOM)


async def join(request: Request) -> Response:
    live, given = _live(request), await json_object(request)
    live.entrance.check(text_of(given, "code", 40), _address(request))
    return JSONResponse(door_view(live.known()))


async def sit(request: Request) -> Response:
    live, given = _live(request), await json_object(request)
    live.entrance.check(text_of(given, "code", 40), _address(request))
    if not flag_of(given, "consent"):
        raise Refused(400, "without your consent nothing is kept, so that there is no seat either")
    if live.state.ended is not None:
        raise Refused(409, "this table has ended")
    wanted, name = text_of(given, "seat", 20), text_of(given, "name", 40)
    seat = live.free_guest() if wanted == "guest" else _free_seat(live, wanted)
    if seat is None:
        raise Refused(409, "all guest seats are taken: ask the leader")
    return await _seated(live, seat, name if wanted == "guest" else "")


def _free_seat(live: Live, wanted: str) -> str:
    seats = {s["seat"]: s for s in door_view(live.known())["seats"]}
    if wanted not in seats:
        raise Refused(400, "there is no such seat")
    if seats[wanted]["taken"]:
        raise Refused(409, "somebody sits there: if it is you on a new phone, ask the leader for a link")
    return wanted


async def _seated(live: Live, seat: str, name: str) -> Response:
    token = await live.let_in(seat, name)
    answer = JSONResponse({"go": _home(seat)})
    set_cookie(answer, _cookie(seat), token, _home(seat))
    return answer


async def enter(request: Request) -> Response:
    """A ticket opened: it gives this browser a token and is used up. The page goes on by itself, so that the cookie,
    which is sent to nobody who comes from elsewhere, is there for the next request."""
    live, who, ticket = _live(request), _whose(request), request.path_params["ticket"]
    if request.method == "HEAD":  # a preview must not use it up
        return Response()
    if not live.entrance.redeem(ticket, who):
        if _has_seat(request, who):
            return page("enter.html.j2", ROOM, home=_home(who))
        return _refused("This link was used already, or is too old.")
    token = await live.let_in(who, taken=who not in (LEADER, WALL))
    answer = page("enter.html.j2", ROOM, home=_home(who))
    set_cookie(answer, _cookie(who), token, _home(who))
    return answer


# --- pages ---


def _refused(why: str) -> Response:
    return page("refused.html.j2", ROOM, status=403, why=why, join=True)


async def taster_page(request: Request) -> Response:
    who = _whose(request)
    if not _has_seat(request, who):
        return RedirectResponse("/?out", 303)
    return page("taster.html.j2", ROOM, seat=who, table=_live(request).table, cautions=(*CAUTIONS, CAFFEINE))


async def leader_page(request: Request) -> Response:
    if not _has_seat(request, LEADER):
        return _refused("The leader's page opens by the link in the terminal.")
    return page("leader.html.j2", ROOM)


async def wall_door(request: Request) -> Response:
    return RedirectResponse("/wall/", 303)


async def wall_page(request: Request) -> Response:
    if not _has_seat(request, WALL):
        return _refused("The wall is opened from the leader's page.")
    return page("wall.html.j2", ROOM)


async def qr(request: Request) -> Response:
    _belongs(request)
    live = _live(request)
    return Response(qr_svg(f"{live.address}/#{live.entrance.code}"), media_type="image/svg+xml")


async def wheel(request: Request) -> Response:
    _belongs(request)
    svg = wheel_seen(_live(request).known(), request.query_params.get("of", ""))
    if svg is None:
        raise Refused(404, "there is no such wheel")
    return Response(svg, media_type="image/svg+xml")


# --- what pages are told ---


async def view(request: Request) -> Response:
    who = _belongs(request)
    return Response(_live(request).lines.snapshot(who), media_type="application/json")


async def lines(request: Request) -> Response:
    who = _belongs(request)
    source = _live(request).lines.open(who, request.headers.get("last-event-id", ""))
    first = await anext(source)

    async def all_lines() -> AsyncIterator[str]:
        async with aclosing(source):
            yield first
            async for line in source:
                if not _has_seat(request, who):  # shut out meanwhile
                    return
                yield line

    return StreamingResponse(all_lines(), media_type="text/event-stream", headers={"x-accel-buffering": "no"})


# --- what pages send ---


async def events(request: Request) -> Response:
    who, live = _belongs(request), _live(request)
    given = await json_object(request)
    client = acts.name_of(given, "client")
    sent = given.get("events")
    if not isinstance(sent, list) or not 0 < len(sent) <= acts.MOST_EVENTS:
        raise Refused(400, f"events: a list of 1 to {acts.MOST_EVENTS} acts was expected")
    return JSONResponse(await live.take(who, client, sent))


async def find(request: Request) -> Response:
    who, live = _belongs(request), _live(request)
    if not live.rates.take(f"find {who}", 1):
        raise Refused(429, "too many searches: wait a moment")
    words = text_of(await json_object(request), "words", 60)
    try:
        return JSONResponse({"found": await asyncio.wait_for(live.reader.ask("find", words), 20)})
    except (Failed, TimeoutError):
        raise Refused(503, "the vocabulary is being opened: try again in a moment") from None


async def withdraw(request: Request) -> Response:
    who = _belongs(request)
    if not flag_of(await json_object(request), "really"):
        raise Refused(400, "really: true was expected")
    await _live(request).withdraw(who)
    return JSONResponse({})


async def lead(request: Request) -> Response:
    _belongs(request)
    given = await json_object(request)
    kind = text_of(given, "kind", 20, least=1)
    return JSONResponse(await _live(request).lead(kind, given))


async def link(request: Request) -> Response:
    """A ticket for one seat or the wall, as an address to open here and as a QR code for another phone."""
    _belongs(request)
    live, given = _live(request), await json_object(request)
    seat = text_of(given, "seat", 20, least=1)
    if seat != WALL and live.setting.seat(seat) is None:
        raise Refused(400, "seat: no such seat")
    path = f"{_home(seat)}enter/{live.entrance.ticket(seat)}"
    code = base64.b64encode(qr_svg(f"{live.address}{path}")).decode("ascii")
    told: dict[str, Any] = {"path": path, "url": live.address + path, "qr": f"data:image/svg+xml;base64,{code}"}
    return JSONResponse(told)
