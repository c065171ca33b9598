"""The desk's server: one page, the texts, the state after every action, the recording. Writes only what is decided."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from dataclasses import asdict
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
from tastevocab.web.desk.state import opening, state, wheel
from tastevocab.web.guard import HANDLERS, Refused
from tastevocab.web.pages import asset_route, page, read_assets
from tastevocab.web.tokens import digest, is_one_of, set_cookie

ROOM = "desk"
SHUT = "Open the desk by the address that it printed when it started."
Endpoint = Callable[[Request], Awaitable[Response]]


def desk_app(sitting: Sitting, token: str) -> Starlette:
    """The application of one sitting. `token` opens it (`/open/TOKEN`, once a browser); nothing answers without."""
    desk = _Desk(sitting, token)
    routes = [
        Route("/open/{token}", desk.enter),
        Route("/", desk.home),
        Route("/texts", desk.known(desk.texts)),
        Route("/state", desk.known(desk.now)),
        Route("/wheel", desk.known(desk.drawn)),
        Route("/revision", desk.known(desk.revision)),
        Route("/find", desk.known(desk.find)),
        Route("/act", desk.known(desk.act), methods=["POST"]),
        Route("/audio", desk.known(desk.recording)),
        asset_route(read_assets(ROOM)),
    ]
    return Starlette(routes=routes, exception_handlers=HANDLERS)


class _Desk:
    """What each address answers."""

    def __init__(self, sitting: Sitting, token: str) -> None:
        self.sitting, self.token, self.kept = sitting, token, (digest(token),)
        self.one_at_a_time = asyncio.Lock()

    def known(self, endpoint: Endpoint) -> Endpoint:
        """The endpoint for a browser that was let in, and for nobody else."""

        async def checked(request: Request) -> Response:
            if not self._knows(request):
                raise Refused(403, SHUT)
            return await endpoint(request)

        return checked

    async def enter(self, request: Request) -> Response:
        if not is_one_of(request.path_params["token"], self.kept):
            return page("refused.html.j2", ROOM, status=403, why=SHUT)
        answer = RedirectResponse("/", 303)
        set_cookie(answer, _cookie(request), self.token, "/")
        return answer

    def _knows(self, request: Request) -> bool:
        return is_one_of(request.cookies.get(_cookie(request)), self.kept)

    async def home(self, request: Request) -> Response:
        if not self._knows(request):
            return page("refused.html.j2", ROOM, status=403, why=SHUT)
        audio = self.sitting.recording() is not None
        return page("desk.html.j2", ROOM, session=self.sitting.session.id, audio=audio)

    async def texts(self, request: Request) -> Response:
        return JSONResponse(await run_in_threadpool(opening, self.sitting))

    async def now(self, request: Request) -> Response:
        asked = request.query_params
        return await _told(lambda: state(self.sitting, asked.get("coffee", ""), asked.get("brew", "")))

    async def drawn(self, request: Request) -> Response:
        asked = request.query_params
        return await _told(lambda: wheel(self.sitting, asked.get("coffee", ""), asked.get("brew", "")))

    async def revision(self, request: Request) -> Response:
        kept = await run_in_threadpool(self.sitting.kept.revision)
        return JSONResponse({"revision": kept, "generation": self.sitting.generation})

    async def find(self, request: Request) -> Response:
        hits = await run_in_threadpool(self.sitting.search.find, request.query_params.get("q", "")[:80])
        return JSONResponse([asdict(hit) for hit in hits])

    async def act(self, request: Request) -> Response:
        given = await json_object(request)
        coffee, brew = text_of(given, "shown", 200), text_of(given, "shown_brew", 200)

        def done() -> dict[str, Any]:
            told = do(self.sitting, given)
            return {"told": told, **state(self.sitting, coffee, brew)}

        async with self.one_at_a_time:
            return await _told(done)

    async def recording(self, request: Request) -> Response:
        path = self.sitting.recording()
        if path is None:
            raise HTTPException(404)
        return FileResponse(path)


def _cookie(request: Request) -> str:
    """A browser keeps cookies by host alone: another port is another desk."""
    return f"desk_{request.url.port or 80}"


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
