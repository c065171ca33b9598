"""Templates and files of the pages: rendered here, sent from memory, so that no request ever names a file on disk."""

from __future__ import annotations

import hashlib
import mimetypes
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

if TYPE_CHECKING:
    from jinja2 import Environment

WEB = Path(__file__).parent
TYPES = {".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml", ".woff2": "font/woff2"}


@dataclass(frozen=True, slots=True)
class Asset:
    """One file of the pages: its bytes, its media type, a tag that changes with it."""

    data: bytes
    type: str
    tag: str


def read_assets(*rooms: str) -> Mapping[str, Asset]:
    """The files in `static/` of the web room and of the named rooms in it ("desk", "table"), by name."""
    found: dict[str, Asset] = {}
    for folder in (WEB / "static", *(WEB / room / "static" for room in rooms)):
        for path in sorted(folder.iterdir()):
            if path.name in found:
                raise ValueError(f"two files of the pages are called {path.name}")
            data = path.read_bytes()
            kind = TYPES.get(path.suffix) or mimetypes.guess_type(path.name)[0] or "application/octet-stream"
            found[path.name] = Asset(data, kind, f'"{hashlib.sha256(data).hexdigest()[:16]}"')
    return found


def asset_route(assets: Mapping[str, Asset]) -> Route:
    """The route `/static/NAME`: a name is looked up among `assets`, nothing else is there."""

    async def send(request: Request) -> Response:
        asset = assets.get(request.path_params["name"])
        if asset is None:
            raise HTTPException(404)
        headers = {"etag": asset.tag, "cache-control": "no-cache"}
        if request.headers.get("if-none-match") == asset.tag:
            return Response(status_code=304, headers=headers)
        return Response(asset.data, media_type=asset.type, headers=headers)

    return Route("/static/{name}", send)


@cache
def environment(*rooms: str) -> Environment:
    """The templates of the web room and of the named rooms in it; whatever is put into them is escaped."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    folders: Iterable[Path] = (WEB / "templates", *(WEB / room / "templates" for room in rooms))
    return Environment(
        loader=FileSystemLoader([str(f) for f in folders]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def page(template: str, *rooms: str, status: int = 200, **values: Any) -> HTMLResponse:
    """A page from a template of these rooms, filled with `values`."""
    return HTMLResponse(environment(*rooms).get_template(template).render(**values), status)
