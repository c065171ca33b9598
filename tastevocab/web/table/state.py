"""What has happened at a table, added up from its events in whatever order they came in.

A phone sends late, twice, and out of order. So nothing here depends on the order of what tasters send: of a note every
revision is remembered, and which one counts is said by its number; whether it was written before the coffees were told
is said by when it was written, not by when it came in.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from tastevocab.web.table.store import Event

LEADER = "leader"
Serving = tuple[str, str]
"""A code and a brew."""


@dataclass(frozen=True, slots=True)
class Note:
    """One note of a seat as it counts. `late` says that it was written after the results of its round were shown."""

    id: str
    code: str
    brew: str
    moment: str
    bowl: int
    text: str
    rev: int
    written: float
    late: bool


@dataclass(frozen=True, slots=True)
class ScaleMark:
    """One attribute marked: `step` 1 to 5."""

    code: str
    brew: str
    moment: str
    scale: str
    step: int
    rev: int
    late: bool


@dataclass(frozen=True, slots=True)
class Mark:
    """What a taster said of how words of a note were read."""

    note: str
    words: str
    start: int
    end: int
    was: str
    verdict: str
    descriptor: str
    rev: int


@dataclass(slots=True)
class SeatState:
    """One seat: who sits there and everything it sent, by what it is about."""

    name: str = ""
    taken: bool = False
    left: bool = False
    gone: bool = False
    notes: dict[str, list[Event]] = field(default_factory=dict)
    scales: dict[tuple[str, str, str, str], list[Event]] = field(default_factory=dict)
    marks: dict[tuple[str, int, int, str], list[Event]] = field(default_factory=dict)
    closes: dict[Serving, list[Event]] = field(default_factory=dict)


@dataclass(slots=True)
class State:
    """The whole table. Times are seconds since 1970 by this machine; `shown` maps a brew to when its results were."""

    seats: dict[str, SeatState] = field(default_factory=dict)
    moment: str = ""
    minutes: int = 0
    moment_since: float = 0.0
    shown: dict[str, float] = field(default_factory=dict)
    revealed: float | None = None
    ended: float | None = None

    def seat(self, id: str) -> SeatState:
        """The seat's state, an empty one if nothing happened there."""
        return self.seats.setdefault(id, SeatState())

    def told_at(self, brew: str) -> float | None:
        """When the table learnt what others found in a round: its results, or the reveal, whichever was first."""
        times = [t for t in (self.shown.get(brew), self.revealed) if t is not None]
        return min(times, default=None)

    def is_late(self, event: Event) -> bool:
        """Whether an event about a serving was written after the results of its round were shown."""
        told = self.told_at(event.body["brew"])
        return told is not None and event.written >= told


def total(events: Iterable[Event]) -> State:
    """The state after these events."""
    state = State()
    for event in events:
        add(state, event)
    return state


def add(state: State, event: Event) -> None:
    """Add one event to the state; an event is added once."""
    body = event.body
    if event.seat == LEADER:
        _lead(state, event)
        return
    seat = state.seat(event.seat)
    if event.kind == "taken":
        seat.taken, seat.name, seat.left = True, body.get("name") or seat.name, False
    elif event.kind == "withdraw":
        state.seats[event.seat] = SeatState(taken=True, gone=True)
    elif seat.gone:
        return
    elif event.kind == "note":
        seat.notes.setdefault(body["note"], []).append(event)
    elif event.kind == "scale":
        seat.scales.setdefault((body["code"], body["brew"], body["moment"], body["scale"]), []).append(event)
    elif event.kind == "mark":
        seat.marks.setdefault((body["note"], body["start"], body["end"], body["was"]), []).append(event)
    elif event.kind == "close":
        seat.closes.setdefault((body["code"], body["brew"]), []).append(event)


def _lead(state: State, event: Event) -> None:
    body = event.body
    if event.kind == "moment":
        state.moment, state.minutes, state.moment_since = body["moment"], body["minutes"], event.written
    elif event.kind == "show":
        state.shown.setdefault(body["brew"], event.written)
    elif event.kind == "reveal":
        state.revealed = state.revealed or event.written
    elif event.kind == "end":
        state.ended = state.ended or event.written
    elif event.kind in ("left", "back"):
        state.seat(body["seat"]).left = event.kind == "left"
    elif event.kind == "late":
        state.seat(body["seat"]).name = body["name"]


# --- what counts ---


def _last(events: Iterable[Event]) -> Event:
    """Of several revisions the one that counts: the highest, and between two tabs at once always the same one."""
    return max(events, key=lambda e: (e.body["rev"], e.written, e.client, e.number))


def _both(state: State, events: list[Event]) -> Iterator[Event]:
    """The last revision written in time, and the last of all if that was late and says something else."""
    early = [e for e in events if not state.is_late(e)]
    late = [e for e in events if state.is_late(e)]
    if early:
        yield _last(early)
    if late and (not early or _last(late).body.get("text", "") != _last(early).body.get("text", "")):
        yield _last(late)


def notes_of(state: State, seat: str) -> list[Note]:
    """The notes of a seat that say something, as first written; one written over after the results comes twice."""
    found = []
    for id, events in state.seat(seat).notes.items():
        for e in _both(state, events):
            b = e.body
            if b["text"]:
                late = state.is_late(e)
                first = min(x.written for x in events)
                found.append(Note(id, b["code"], b["brew"], b["moment"], b["bowl"], b["text"], b["rev"], first, late))
    return sorted(found, key=lambda n: (n.written, n.id, n.late))


def scales_of(state: State, seat: str) -> list[ScaleMark]:
    """The attributes a seat has marked, in a fixed order."""
    found = []
    for (code, brew, moment, scale), events in sorted(state.seat(seat).scales.items()):
        early = [e for e in events if not state.is_late(e)]
        e = _last(early or events)
        if e.body["step"]:
            found.append(ScaleMark(code, brew, moment, scale, e.body["step"], e.body["rev"], not early))
    return found


def marks_of(state: State, seat: str) -> list[Mark]:
    """What a seat said of how its notes were read, the last word on each."""
    found = []
    for events in state.seat(seat).marks.values():
        b = _last(events).body
        found.append(
            Mark(b["note"], b["words"], b["start"], b["end"], b["was"], b["verdict"], b["descriptor"], b["rev"])
        )
    return sorted(found, key=lambda m: (m.note, m.start, m.end, m.was))


def closed_by(state: State, seat: str) -> dict[Serving, int]:
    """The servings a seat has closed itself, each with the revision that says so."""
    last = {serving: _last(events).body for serving, events in state.seat(seat).closes.items()}
    return {serving: body["rev"] for serving, body in last.items() if body["closed"]}


def revisions(state: State, seat: str) -> int:
    """The highest revision number a seat has used: the next one is one more."""
    s = state.seat(seat)
    groups: list[dict[object, list[Event]]] = [s.notes, s.scales, s.marks, s.closes]  # type: ignore[list-item]
    return max((e.body["rev"] for group in groups for events in group.values() for e in events), default=0)


def present_at(state: State, seat: str) -> set[Serving]:
    """The servings a seat was there for: it wrote or marked something in time, or closed it."""
    found = {(n.code, n.brew) for n in notes_of(state, seat) if not n.late}
    found |= {(m.code, m.brew) for m in scales_of(state, seat) if not m.late}
    return found | set(closed_by(state, seat))
