"""JSON as pages send it: one object, of plain values, or a refusal that says why."""

from __future__ import annotations

import json
from typing import Any, NoReturn

from starlette.requests import Request

from tastevocab.web.guard import Refused


async def json_object(request: Request) -> dict[str, Any]:
    """The object in a request's body. Raises `Refused` (400) for anything else; its size is the guard's matter."""
    data = await request.body()
    try:
        value = json.loads(data, parse_constant=_no_number)
    except (ValueError, RecursionError):
        raise Refused(400, "this is not JSON") from None
    if not isinstance(value, dict):
        raise Refused(400, "one JSON object was expected")
    return value


def _no_number(name: str) -> NoReturn:
    raise ValueError(f"{name} is no JSON")


def text_of(given: dict[str, Any], key: str, most: int, *, least: int = 0) -> str:
    """The words under `key`, trimmed, of `least` to `most` characters ("" where left out and `least` is 0).

    Raises `Refused` (400) for another kind of value, for too long a text and for characters that no encoding carries.
    """
    value = given.get(key, "")
    if not isinstance(value, str):
        raise Refused(400, f"{key}: words were expected")
    value = "".join(c for c in value if (c >= " " and not "\x7f" <= c <= "\x9f") or c in "\n\t").strip()
    if not least <= len(value) <= most:
        raise Refused(400, f"{key}: {least} to {most} characters were expected")
    if any("\ud800" <= c <= "\udfff" for c in value):
        raise Refused(400, f"{key}: holds a broken character")
    return value


def number_of(given: dict[str, Any], key: str, least: int, most: int) -> int:
    """The whole number under `key`, from `least` to `most`. Raises `Refused` (400) for anything else."""
    value = given.get(key)
    if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= most:
        raise Refused(400, f"{key}: a whole number from {least} to {most} was expected")
    return value


def flag_of(given: dict[str, Any], key: str) -> bool:
    """True or false under `key`, false where left out. Raises `Refused` (400) for anything else."""
    value = given.get(key, False)
    if not isinstance(value, bool):
        raise Refused(400, f"{key}: true or false was expected")
    return value
