"""Who was served what: a taster who was there and named nothing found nothing, one who was not there is a gap.

Somebody was there who has a row (words in it or none), who spoke while it was in hand, or whom an entry's `tasters`
names. What counts for nobody (echoes, answers, what was said after the reveal) makes nobody present by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from tastevocab.panel.session import Session, Source
from tastevocab.reading.records import AttributeFinding, Finding, Reading, Spot


class Seat(NamedTuple):
    """What somebody had in hand: a coffee, and the brew and moment as far as they are known."""

    coffee: str
    brew: str | None
    moment: str | None


Attendance = Mapping[Seat, frozenset[str]]
"""Who was present at each seat. Empty: nothing was recorded, and all who were to taste a coffee are taken for there."""


def attendance(entries: Iterable[tuple[Source, Reading]]) -> Attendance:
    """Who was there, by the settled readings of a session's entries; nothing where none of them keeps it."""
    entries = tuple(entries)
    if not any(source.tasters or reading.said for source, reading in entries):
        return {}
    there: dict[Seat, set[str]] = {}
    for source, reading in entries:
        seats = {(seat_of(spot), spot.speaker) for spot in _spots(reading) if spot.coffee}
        for seat, speaker in seats:
            if speaker:
                there.setdefault(seat, set()).add(speaker)
        if source.tasters:
            own = {Seat(source.coffee, source.brew, source.moment)} if source.coffee else set()
            for seat in {seat for seat, _ in seats} | own:
                there.setdefault(seat, set()).update(source.tasters)
    return {seat: frozenset(who) for seat, who in there.items()}


def seat_of(spot: Spot) -> Seat:
    """Where a spot of a coffee sits."""
    return Seat(spot.coffee or "", spot.brew, spot.moment)


def _spots(reading: Reading) -> Iterable[Spot]:
    yield from (piece for piece in reading.said if not piece.revealed)
    found: tuple[Finding | AttributeFinding, ...] = (*reading.findings, *reading.attributes)
    yield from (f.spot for f in found if f.standing == "own")


def served(
    session: Session, present: Attendance, coffee: str, brew: str | None = None, moment: str | None = None
) -> tuple[str, ...]:
    """Who was there for a coffee (in one brew, at one moment), in the session's order."""
    named = session.panel(coffee, brew)
    if not present:
        return named
    there: set[str] = set()
    for seat, who in present.items():
        if seat.coffee == coffee and brew in (None, seat.brew) and moment in (None, seat.moment):
            there |= who
    return tuple(t for t in named if t in there)
