"""A live table as the files of a session: notes as typed, the key, the orders, and what tasters put right.

The same files give the counts on the wall and everything that `feature`, `panel` and `review` make of the table: there
is one way of counting.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from typing import Any

from tastevocab.cells import csv_text
from tastevocab.panel.session import Session
from tastevocab.web.table import state as st
from tastevocab.web.table.setting import Setting
from tastevocab.web.table.state import State

NOTES, LATE, KEY, ORDERS, SESSION = "notes.csv", "notes-after.csv", "key.csv", "orders.csv", "session.yaml"
BASE = ("id", "taster", "coffee", "brew", "moment", "bowl", "text")
_FORMULA = ("=", "+", "-", "@")


def taster_of(setting: Setting, state: State, seat: str) -> str:
    """By which name a seat stands in the files: a taster's own; a guest's code, whatever they call themselves."""
    set_up = setting.seat(seat)
    assert set_up is not None
    if set_up.kind == "late":
        return state.seat(seat).name or f"late {seat}"
    return set_up.name


def sitting(setting: Setting, state: State) -> list[str]:
    """The seats that count: somebody sat there, did not take the notes back, and was there for at least one serving."""
    return [
        seat.id
        for seat in setting.seats
        if state.seat(seat.id).taken and not state.seat(seat.id).gone and st.present_at(state, seat.id)
    ]


def rows(setting: Setting, state: State, *, late: bool) -> list[dict[str, str]]:
    """The rows of a table of notes, seat by seat in the order of writing: those written in time, or those after.

    Attributes are rows of their own, under a column each. Who closed a cup and named nothing found nothing: an empty
    row for each moment says that they were there.
    """
    found = []
    for seat in setting.seats:
        if state.seat(seat.id).gone:
            continue
        who = taster_of(setting, state, seat.id)
        for n in st.notes_of(state, seat.id):
            if n.late == late:
                base = _row(setting, seat.id, who, n.code, n.brew, n.moment)
                bowl = str(n.bowl) if n.bowl else ""
                found.append({**base, "id": note_id(seat.id, n.id), "bowl": bowl, "text": n.text})
        found.extend(_scales(setting, state, seat.id, who, late))
        if not late:
            found.extend(_blanks(setting, state, seat.id, who, found))
    return found


def note_id(seat: str, note: str) -> str:
    """The row id of a seat's note."""
    return f"{seat}-{note}"


def _row(setting: Setting, seat: str, who: str, code: str, brew: str, moment: str) -> dict[str, str]:
    return {"taster": who, "coffee": setting.poured(seat, code), "brew": brew, "moment": moment, "bowl": "", "text": ""}


def _blanks(setting: Setting, state: State, seat: str, who: str, found: list[dict[str, str]]) -> list[dict[str, str]]:
    there = {(row["coffee"], row["brew"], row["moment"]) for row in found if row["taster"] == who}
    closed = sorted(st.closed_by(state, seat))
    rows = [
        {**_row(setting, seat, who, code, brew, moment), "id": _id(seat, "closed", code, brew, moment)}
        for code, brew in closed
        for moment in setting.moments
    ]
    return [row for row in rows if (row["coffee"], row["brew"], row["moment"]) not in there]


def _id(*parts: str) -> str:
    return "-".join(part for part in parts if part)


def _scales(setting: Setting, state: State, seat: str, who: str, late: bool) -> Iterator[dict[str, str]]:
    grouped: dict[tuple[str, str, str], dict[str, str]] = {}
    scales = {s.id: s for s in setting.scales}
    for mark in st.scales_of(state, seat):
        if mark.late == late:
            scale = scales[mark.scale]
            none = scale.has_none and mark.step == 1
            cell = scale.words[0] if none else f"{mark.step}/5"
            grouped.setdefault((mark.code, mark.brew, mark.moment), {})[mark.scale] = cell
    for (code, brew, moment), cells in grouped.items():
        id = _id(seat, "scales", code, brew, moment)
        yield {**_row(setting, seat, who, code, brew, moment), "id": id, **cells}


def unrun(cell: str) -> str:
    """A cell that no spreadsheet runs: a blank before what would begin a formula. A note keeps its words that way
    ("- peach"), where a quote would become one of them."""
    return f" {cell}" if cell.startswith(_FORMULA) else cell


def table_csv(found: list[dict[str, str]], scales: tuple[str, ...]) -> bytes:
    """Rows as a CSV whose cells come back as they are, but for `unrun`."""
    columns = (*BASE, *scales)
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, restval="", lineterminator="\r\n")
    writer.writeheader()
    writer.writerows({column: unrun(cell) for column, cell in row.items()} for row in found)
    return out.getvalue().encode("utf-8")


def orders_csv(setting: Setting, state: State) -> bytes:
    """Who was served what in which order, and which of it they closed: codes alone, no coffee's name."""
    lines = []
    for seat in setting.seats:
        if state.seat(seat.id).gone or not state.seat(seat.id).taken:
            continue
        there = st.present_at(state, seat.id)
        for brew in setting.brews:
            for place, code in enumerate(seat.codes, 1):
                tasted = "yes" if (code, brew) in there else "no"
                lines.append((taster_of(setting, state, seat.id), brew, place, code, tasted))
    return csv_text(("taster", "brew", "place", "code", "tasted"), lines).encode("utf-8")


def session_files(session: Session, setting: Setting, state: State) -> dict[str, bytes]:
    """The files of the table as a session that every command reads; empty where nobody tasted anything."""
    seats = sitting(setting, state)
    if not seats:
        return {}
    scales = tuple(s.id for s in setting.scales)
    early, late = rows(setting, state, late=False), rows(setting, state, late=True)
    here = {taster_of(setting, state, seat) for seat in seats}
    late = [row for row in late if row["taster"] in here]
    files = {NOTES: table_csv(early, scales), ORDERS: orders_csv(setting, state), KEY: _named_key(setting, state)}
    if late:
        files[LATE] = table_csv(late, scales)
    files[SESSION] = _session_yaml(session, setting, state, seats, bool(late))
    return files


def _named_key(setting: Setting, state: State) -> bytes:
    """The key with tasters' names for seats, spare seats left out."""
    found = list(csv.DictReader(io.StringIO(setting.key)))
    kept = [r for r in found if state.seat(r["taster"]).taken and not state.seat(r["taster"]).gone]
    lines = [[*r.values()] for r in ({**r, "taster": taster_of(setting, state, r["taster"])} for r in kept)]
    return csv_text(list(found[0]), lines).encode("utf-8")


def _session_yaml(session: Session, setting: Setting, state: State, seats: list[str], late: bool) -> bytes:
    import yaml

    everybody = [taster_of(setting, state, seat) for seat in seats]
    there = {
        taster_of(setting, state, seat): {(setting.poured(seat, c), b) for c, b in st.present_at(state, seat)}
        for seat in seats
    }
    notes: list[dict[str, Any]] = [{"source": NOTES}]
    if late:
        notes.append({"source": LATE, "informed": True})
    top: dict[str, Any] = {
        "session": session.id,
        "date": session.date,
        "blind": True,
        "tasters": everybody,
        "language": list(session.languages),
        "bowls": session.bowls,
        "key": KEY,
        "coffees": dict(_coffees(session, setting, there)),
        "brews": dict(_brews(session, there)),
        "notes": notes,
    }
    told = {k: v for k, v in top.items() if v not in ("", 0, {}, [])}
    text = yaml.safe_dump(told, sort_keys=False, allow_unicode=True)
    return text.encode("utf-8")


def _coffees(
    session: Session, setting: Setting, there: Mapping[str, set[tuple[str, str]]]
) -> Iterator[tuple[str, dict[str, Any]]]:
    for pour in setting.pours:
        tasted = [who for who, servings in there.items() if any(p == pour.id for p, _ in servings)]
        if not tasted:
            continue
        card = session.coffees.get(pour.of)
        made: dict[str, Any] = {"name": pour.name}
        if card is not None:
            facts = {"process": card.process, "roasted": card.roasted, "additions": card.additions, **card.more}
            made |= {key: value for key, value in facts.items() if value}
            made |= {"claims": list(card.claims)} if card.claims else {}
        if pour.kind == "coffee" and card is not None and card.names:
            made["names"] = list(card.names)
        if pour.kind == "duplicate":
            made |= {"name": f"{pour.name} (second pour)", "duplicate_of": pour.of}
        if len(tasted) < len(there):
            made["tasters"] = tasted
        yield pour.id, made


def _brews(session: Session, there: Mapping[str, set[tuple[str, str]]]) -> Iterator[tuple[str, dict[str, Any]]]:
    for id, card in session.brews.items():
        tasted = [who for who, servings in there.items() if any(b == id for _, b in servings)]
        if not tasted:
            continue
        made: dict[str, Any] = {"method": card.method} if card.method else {}
        made |= dict(card.facts)
        if len(tasted) < len(there):
            made["tasters"] = tasted
        yield id, made
