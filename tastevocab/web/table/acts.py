"""What a phone or the leader may do: acts as they are sent, checked one by one."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from tastevocab.reading.records import MOMENTS
from tastevocab.web.body import flag_of, number_of, text_of
from tastevocab.web.guard import Refused
from tastevocab.web.table.setting import Setting

MOST_TEXT = 2000
MOST_EVENTS = 100
MOST_REVISION = 1_000_000
OLDEST = 14 * 24 * 3600.0
"""Seconds: what was written longer ago than this is taken as written just so long ago."""
VERDICTS = ("keep", "wrong", "change")
_NAME = re.compile(r"[A-Za-z0-9_-]{1,40}")

Given = dict[str, Any]


def name_of(given: Given, key: str) -> str:
    """An id that a page made up. Raises `Refused` for anything but 1 to 40 letters, digits, bars."""
    value = given.get(key)
    if not isinstance(value, str) or not _NAME.fullmatch(value):
        raise Refused(400, f"{key}: 1 to 40 letters and digits were expected")
    return value


def age_of(given: Given) -> float:
    """How many seconds ago an act was done, by the phone's own count (0 where it does not say)."""
    value = given.get("age", 0)
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not value >= 0:
        raise Refused(400, "age: seconds were expected")
    return float(min(value, OLDEST))


def checked(kind: str, given: Given, setting: Setting, seat: str) -> Given:
    """The body of a taster's act, with nothing in it but what belongs there.

    Raises `Refused` (400) saying what was expected.
    """
    check = _TASTERS.get(kind) if isinstance(kind, str) else None
    if check is None:
        raise Refused(400, f"no such act: {str(kind)[:40]}")
    return check(given, setting, seat)


def _serving(given: Given, setting: Setting, seat: str) -> Given:
    code, brew = given.get("code"), given.get("brew")
    if not isinstance(code, str) or code not in setting.sealed.get(seat, {}):
        raise Refused(400, "code: none of this seat's codes")
    if brew not in setting.brews:
        raise Refused(400, "brew: none of this table's brews")
    return {"code": code, "brew": brew}


def _moment(given: Given) -> str:
    moment = given.get("moment", "")
    if moment and moment not in MOMENTS:
        raise Refused(400, f"moment: one of {', '.join(MOMENTS)} was expected")
    return str(moment)


def _revision(given: Given) -> int:
    return number_of(given, "rev", 1, MOST_REVISION)


def _note(given: Given, setting: Setting, seat: str) -> Given:
    bowl = number_of(given, "bowl", 0, setting.bowls) if given.get("bowl") else 0
    return {
        "note": name_of(given, "note"),
        **_serving(given, setting, seat),
        "moment": _moment(given),
        "bowl": bowl,
        "text": text_of(given, "text", MOST_TEXT),
        "rev": _revision(given),
    }


def _scale(given: Given, setting: Setting, seat: str) -> Given:
    scale = given.get("scale")
    if scale not in [s.id for s in setting.scales]:
        raise Refused(400, "scale: none of this table's attributes")
    made = {**_serving(given, setting, seat), "moment": _moment(given), "scale": scale}
    return {**made, "step": number_of(given, "step", 0, 5), "rev": _revision(given)}


def _mark(given: Given, setting: Setting, seat: str) -> Given:
    verdict = given.get("verdict")
    if verdict not in VERDICTS:
        raise Refused(400, f"verdict: one of {', '.join(VERDICTS)} was expected")
    descriptor = text_of(given, "descriptor", 200, least=1) if verdict == "change" else ""
    start = number_of(given, "start", 0, MOST_TEXT)
    return {
        "note": name_of(given, "note"),
        "words": text_of(given, "words", MOST_TEXT, least=1),
        "start": start,
        "end": number_of(given, "end", start, MOST_TEXT),
        "was": text_of(given, "was", 200),
        "verdict": verdict,
        "descriptor": descriptor,
        "rev": _revision(given),
    }


def _close(given: Given, setting: Setting, seat: str) -> Given:
    return {**_serving(given, setting, seat), "closed": flag_of(given, "closed"), "rev": _revision(given)}


_TASTERS: Mapping[str, Callable[[Given, Setting, str], Given]] = {
    "note": _note,
    "scale": _scale,
    "mark": _mark,
    "close": _close,
}


# --- the leader ---


def leaders(kind: str, given: Given, setting: Setting) -> Given:
    """The body of a leader's act. Raises `Refused` (400) saying what was expected."""
    check = _LEADERS.get(kind)
    if check is None:
        raise Refused(400, f"no such act: {str(kind)[:40]}")
    return check(given, setting)


def _clock(given: Given, setting: Setting) -> Given:
    return {"moment": _moment(given), "minutes": number_of(given, "minutes", 0, 240)}


def _show(given: Given, setting: Setting) -> Given:
    if given.get("brew") not in setting.brews:
        raise Refused(400, "brew: none of this table's brews")
    return {"brew": given["brew"]}


def _seat(given: Given, setting: Setting) -> Given:
    seat = given.get("seat")
    if not isinstance(seat, str) or setting.seat(seat) is None:
        raise Refused(400, "seat: no such seat")
    return {"seat": seat}


def _late(given: Given, setting: Setting) -> Given:
    return {"name": text_of(given, "name", 40, least=1)}


def _nothing(given: Given, setting: Setting) -> Given:
    return {}


_LEADERS: Mapping[str, Callable[[Given, Setting], Given]] = {
    "moment": _clock,
    "show": _show,
    "reveal": _nothing,
    "end": _nothing,
    "late": _late,
    "left": _seat,
    "back": _seat,
}
