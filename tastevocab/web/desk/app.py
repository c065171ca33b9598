"""The desk's server: one page, the texts, the state after every action, the recording. Writes only what is decided."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from tastevocab.errors import TastevocabError
from tastevocab.web.body import json_object, text_of
from tastevocab.web.desk.doing import Elsewhere, do
from tastevocab.web.desk.sitting import Sitting
from tastevocab.web.desk.state import opening, state
from tastevocab.web.guard import HANDLERS, Refused
from tastevocab.web.pages import asset_route, page, read_assets
from tastevocab.web.tokens import digest, is_one_of, set_cookie

ROOM = "desk"
Endpoint = Callable[[Request], Awaitable[Response]]


def desk_app(sitting: Sitting, token: str) -> Starlette:
    """The application of one sitting. `token` opens it (`/open/TOKEN`, once a browser); nothing answers without."""
    kept = (digest(token),)
    one_at_a_time = asyncio.Lock()

    def name(request: Request) -> str:
        return f"desk_{request.url.port or 80}"  # a browser keeps cookies by host alone: another port is another desk

    def known(endpoint: Endpoint) -> Endpoint:
        async def checked(request: Request) -> Response:
            if not is_one_of(request.cookies.get(name(request)), kept):
                raise Refused(403, "open the desk by the address that it printed when it started")
            return await endpoint(request)

        return checked

    async def enter(request: Request) -> Response:
        if not is_one_of(request.path_params["token"], kept):
            raise Refused(403, "this address opens nothing: use the one that the desk printed when it started")
        answer = RedirectResponse("/", 303)
        set_cookie(answer, name(request), token, "/")
        return answer

    async def home(request: Request) -> Response:
        return page("desk.html.j2", ROOM, session=sitting.session.id, audio=sitting.recording() is not None)

    async def texts(request: Request) -> Response:
        return JSONResponse(await run_in_threadpool(opening, sitting))

    async def now(request: Request) -> Response:
        asked = request.query_params
        return await _told(lambda: state(sitting, asked.get("coffee", ""), asked.get("brew", "")))

    async def revision(request: Request) -> Response:
        return JSONResponse({"revision": sitting.kept.revision(), "generation": sitting.generation})

    async def find(request: Request) -> Response:
        hits = sitting.search.find(request.query_params.get("q", "")[:80])
        return JSONResponse([{f: getattr(h, f) for f in h.__dataclass_fields__} for h in hits])

    async def act(request: Request) -> Response:
        given = await json_object(request)

        def done() -> dict[str, Any]:
            told = do(sitting, given)
            return {"told": told, **state(sitting, text_of(given, "shown", 200), text_of(given, "shown_brew", 200))}

        async with one_at_a_time:
            return await _told(done)

    async def recording(request: Request) -> Response:
        path = sitting.recording()
        if path is None:
            raise HTTPException(404)
        return FileResponse(path)

    routes = [
        Route("/open/{token}", enter),
        Route("/", known(home)),
        Route("/texts", known(texts)),
        Route("/state", known(now)),
        Route("/revision", known(revision)),
        Route("/find", known(find)),
        Route("/act", known(act), methods=["POST"]),
        Route("/audio", known(recording)),
        asset_route(read_assets(ROOM)),
    ]
    return Starlette(routes=routes, exception_handlers=HANDLERS)


async def _told(make: Callable[[], dict[str, Any]]) -> JSONResponse:
    """What `make` gives, or in a sentence why it could not be done."""
    try:
        return JSONResponse(await run_in_threadpool(make))
    except Elsewhere:
        return JSONResponse({"why": "somebody else decided about this meanwhile: look at it again"}, 409)
    except TastevocabError as problem:
        place = f"{problem.place}: " if problem.place and problem.place.line else ""
        mend = f": {problem.mend}" if problem.mend else ""
        return JSONResponse({"why": f"{place}{problem.what}{mend}"}, 422)
