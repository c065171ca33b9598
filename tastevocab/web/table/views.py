"""What each seat may see: the one place where blindness is decided.

Every byte about a tasting that leaves the server is built from what these functions give, and from nothing else. They
are pure: all they know comes in as `Known`, all they give is plain values.

- A **taster** sees their own notes and how those were read; of the others nothing at all, not even how many wrote,
  until the leader has shown the round, which closes it for everybody. Then counts, without names. A coffee's name from
  the reveal on.
- The **leader** sees who sits where and who has closed what, never what was written; the names from the reveal on.
- The **wall** sees how many have closed, and a round's counts once it is shown.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from zlib import crc32

from tastevocab.web.table import state as st
from tastevocab.web.table.marks import settled
from tastevocab.web.table.setting import Pour, Seat, Setting
from tastevocab.web.table.state import Note, State

View = dict[str, Any]
Rows = Sequence[dict[str, Any]]


@dataclass(frozen=True, slots=True)
class Known:
    """All that a server knows of a table at one moment.

    `readings` maps (text, moment, bowl) to how it was read, `prints` a descriptor to its label, `results`
    and `wheels` as `ending.results_of` gives them; `here` are the seats with a page open, `address` and `code` how one
    joins, `wrong` how many wrong codes came lately, `folder`, `files` and `busy` what became of the end.
    """

    setting: Setting
    state: State
    readings: Mapping[tuple[str, str, str], Rows] = field(default_factory=dict)
    prints: Mapping[str, str] = field(default_factory=dict)
    results: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    wheels: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    here: frozenset[str] = frozenset()
    address: str = ""
    code: str = ""
    wrong: int = 0
    folder: str = ""
    files: tuple[str, ...] = ()
    busy: str = ""


def _common(known: Known) -> View:
    """What anybody at the table may know: what session it is, the clock, which rounds are shown."""
    setting, state = known.setting, known.state
    return {
        "session": setting.session,
        "date": setting.date,
        "brews": list(setting.brews),
        "moments": list(setting.moments),
        "bowls": setting.bowls,
        "clock": {"moment": state.moment, "since": round(state.moment_since * 1000), "minutes": state.minutes},
        "shown": [brew for brew in setting.brews if state.told_at(brew) is not None],
        "revealed": state.revealed is not None,
        "ended": state.ended is not None,
    }


# --- a taster ---


def taster_view(known: Known, seat: Seat) -> View:
    """What the taster at a seat may see."""
    setting, state = known.setting, known.state
    own = state.seat(seat.id)
    shown = [brew for brew in setting.brews if state.told_at(brew) is not None]
    closed = st.closed_by(state, seat.id)
    return {
        **_common(known),
        "seat": seat.id,
        "name": own.name or seat.name,
        "as": seat.name if seat.kind == "guest" else "",
        "gone": own.gone,
        "codes": list(seat.codes),
        "scales": [{"id": s.id, "print": s.print, "words": list(s.words)} for s in setting.scales],
        "keep_days": setting.keep_days,
        "rev": st.revisions(state, seat.id),
        "notes": [_note(known, seat, note) for note in st.notes_of(state, seat.id)],
        "marked": [
            {"code": m.code, "brew": m.brew, "moment": m.moment, "scale": m.scale, "step": m.step}
            for m in st.scales_of(state, seat.id)
        ],
        "closed": [[code, brew] for brew in setting.brews for code in seat.codes if (code, brew) in closed],
        "results": [
            {"code": code, "brew": brew, **known.results[brew][setting.poured(seat.id, code)]}
            for brew in shown
            for code in seat.codes
            if setting.poured(seat.id, code) in known.results.get(brew, {})
        ],
        "names": _names(known, seat),
    }


def _names(known: Known, seat: Seat) -> dict[str, str]:
    """Code to coffee, from the reveal on."""
    if known.state.revealed is None:
        return {}
    pours = {pour.id: pour for pour in known.setting.pours}
    return {code: full_name(pours[known.setting.poured(seat.id, code)]) for code in seat.codes}


def full_name(pour: Pour) -> str:
    """What was poured, in words."""
    return f"{pour.name}, poured again" if pour.kind == "duplicate" else pour.name


def _note(known: Known, seat: Seat, note: Note) -> View:
    read = known.readings.get(reading_key(note))
    said = {(m.start, m.end, m.was): m for m in st.marks_of(known.state, seat.id) if m.note == note.id}
    return {
        "note": note.id,
        "code": note.code,
        "brew": note.brew,
        "moment": note.moment,
        "bowl": note.bowl,
        "text": note.text,
        "rev": note.rev,
        "late": note.late,
        "read": read is not None,
        "marks": settled(read or [], said, lambda id: known.prints.get(id, id)),
    }


def reading_key(note: Note) -> tuple[str, str, str]:
    """By what the reading of a note is remembered."""
    return note.text, note.moment, str(note.bowl or "")


# --- the leader ---


def leader_view(known: Known) -> View:
    """What the leader may see: who has closed, never what."""
    setting, state = known.setting, known.state
    taken = [seat for seat in setting.seats if state.seat(seat.id).taken or seat.kind == "taster"]
    named = [seat for seat in setting.seats if seat.kind == "late" and state.seat(seat.id).name and seat not in taken]
    return {
        **_common(known),
        "address": known.address,
        "code": known.code,
        "wrong": known.wrong,
        "seats": [_seat(known, seat) for seat in (*taken, *named)],
        "guests": {
            "of": sum(seat.kind == "guest" for seat in setting.seats),
            "taken": sum(seat.kind == "guest" and state.seat(seat.id).taken for seat in setting.seats),
        },
        "spare": sum(seat.kind == "late" and not state.seat(seat.id).name for seat in setting.seats),
        "open": {brew: open_seats(setting, state, brew) for brew in setting.brews},
        "balance": setting.note,
        "coffees": [full_name(pour) for pour in setting.pours] if state.revealed is not None else [],
        "folder": known.folder,
        "keep_days": setting.keep_days,
        "files": list(known.files),
        "busy": known.busy,
    }


def _seat(known: Known, seat: Seat) -> View:
    own = known.state.seat(seat.id)
    closed = st.closed_by(known.state, seat.id)
    return {
        "seat": seat.id,
        "kind": seat.kind,
        "name": own.name or seat.name,
        "as": seat.name if seat.kind == "guest" else "",
        "taken": own.taken,
        "here": seat.id in known.here,
        "left": own.left,
        "gone": own.gone,
        "of": len(seat.codes),
        "closed": {brew: sum((code, brew) in closed for code in seat.codes) for brew in known.setting.brews},
    }


def open_seats(setting: Setting, state: State, brew: str) -> int:
    """How many who sit at the table have not closed all of a round."""
    return sum(
        any((code, brew) not in st.closed_by(state, seat.id) for code in seat.codes) for seat in sitting(setting, state)
    )


def sitting(setting: Setting, state: State) -> list[Seat]:
    """The seats that somebody has taken and not left."""
    found = ((seat, state.seat(seat.id)) for seat in setting.seats)
    return [seat for seat, own in found if own.taken and not own.left and not own.gone]


# --- the wall ---


def wall_view(known: Known) -> View:
    """What the big screen in the room may show."""
    setting, state = known.setting, known.state
    labels = _labels(setting)
    pours = {pour.id: pour for pour in setting.pours}
    ranked = sorted(labels, key=lambda id: labels[id])
    told = [brew for brew in setting.brews if state.told_at(brew) is not None]
    return {
        **_common(known),
        "address": known.address,
        "code": "" if state.ended is not None else known.code,
        "sitting": len(sitting(setting, state)),
        "open": {brew: open_seats(setting, state, brew) for brew in setting.brews},
        "results": [
            {
                "brew": brew,
                "label": labels[id],
                "name": full_name(pours[id]) if state.revealed is not None else "",
                **_wheel(known, f"{brew}-{id}"),
                **known.results[brew][id],
            }
            for brew in told
            for id in ranked
            if id in known.results.get(brew, {})
        ],
    }


def _wheel(known: Known, name: str) -> View:
    """The name of a wheel that may be shown, and a mark that changes with it."""
    svg = wheel_seen(known, name)
    return {"wheel": name, "drawn": crc32(svg.encode())} if svg else {"wheel": "", "drawn": 0}


def wheel_seen(known: Known, name: str) -> str | None:
    """The wheel called BREW-POUR as the wall may show it: from the reveal on, for it bears the coffee's name."""
    if known.state.revealed is None:
        return None
    found = {f"{brew}-{pour}": svg for brew, wheels in known.wheels.items() for pour, svg in wheels.items()}
    return found.get(name)


def _labels(setting: Setting) -> dict[str, str]:
    """What things poured are called on the wall before the reveal: their code where all share it, else a letter.

    Letters go by the lowest code of each, so that they tell nothing of the session file's order.
    """
    codes: dict[str, set[str]] = {}
    for sealed in setting.sealed.values():
        for code, pour in sealed.items():
            codes.setdefault(pour, set()).add(code)
    if all(len(found) == 1 for found in codes.values()):
        return {pour: next(iter(found)) for pour, found in codes.items()}
    ranked = sorted(codes, key=lambda pour: min(codes[pour]))
    return {pour: _letter(n) for n, pour in enumerate(ranked)}


def _letter(n: int) -> str:
    return chr(65 + n) if n < 26 else f"{chr(64 + n // 26)}{chr(65 + n % 26)}"


# --- at the door ---


def door_view(known: Known) -> View:
    """What somebody with the right code is told before they sit down: which seats are free."""
    setting, state = known.setting, known.state
    guests = [s for s in setting.seats if s.kind == "guest"]
    return {
        "session": setting.session,
        "date": setting.date,
        "keep_days": setting.keep_days,
        "seats": [
            {"seat": seat.id, "name": state.seat(seat.id).name or seat.name, "taken": state.seat(seat.id).taken}
            for seat in setting.seats
            if seat.kind == "taster" or (seat.kind == "late" and state.seat(seat.id).name)
        ],
        "guests": any(not state.seat(seat.id).taken for seat in guests),
        "ended": state.ended is not None,
    }
