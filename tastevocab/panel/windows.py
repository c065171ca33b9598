"""The part of a recording that an entry under notes is about: `from:` and `to:`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TypeVar

from tastevocab.errors import InputError
from tastevocab.panel.session import Session, Source
from tastevocab.reading.records import AttributeFinding, Finding, Reading, SetAside, Turn, Unresolved
from tastevocab.reading.report.told import clock

Placed = TypeVar("Placed", Finding, AttributeFinding, SetAside, Unresolved, Finding | AttributeFinding)


def windowed(source: Source) -> bool:
    """Whether an entry is about a part of its file only."""
    return source.since is not None or source.until is not None


def inside(source: Source, at: float | None) -> bool:
    """Whether second `at` of a file lies in the entry's part; what has no time lies in no part."""
    if not windowed(source):
        return True
    return at is not None and (source.since or 0.0) <= at and (source.until is None or at < source.until)


def cut(session: Session, source: Source, reading: Reading) -> Reading:
    """What a reading of the entry's whole file holds in the entry's part of it.

    Raises `InputError` where the file has no times to cut by.
    """
    if not windowed(source):
        return reading
    if not _timed(session, source, reading):
        raise InputError(
            f"{source.source} has no times, and from or to are given",
            place=source.place,
            mend="leave out `from:` and `to:`, or name the recording's captions",
        )

    def of(items: Iterable[Placed]) -> tuple[Placed, ...]:
        return tuple(item for item in items if inside(source, item.spot.at))

    return replace(
        reading,
        findings=of(reading.findings),
        attributes=of(reading.attributes),
        set_aside=of(reading.set_aside),
        unresolved=of(reading.unresolved),
        asked=of(reading.asked),
        said=tuple(piece for piece in reading.said if inside(source, piece.at)),
    )


def _timed(session: Session, source: Source, reading: Reading) -> bool:
    found = (*reading.findings, *reading.attributes, *reading.set_aside, *reading.unresolved, *reading.asked)
    if any(item.spot.at is not None for item in found):
        return True
    from tastevocab.reading.intake.files import stream_turns

    return any(turn.times for turn in stream_turns(session.folder / source.source))


def _times(reading: Reading) -> dict[str, float | None]:
    """When the findings of a reading were said, by id."""
    found: list[Finding | AttributeFinding] = [*reading.findings, *reading.attributes]
    return {f.id: f.spot.at for f in found}


def turn_inside(source: Source, turn: Turn) -> Turn | None:
    """What a turn says in the entry's part of its file, None for nothing: one speaker may talk across many parts."""
    if not windowed(source):
        return turn
    said = [position for position, at in turn.times if inside(source, at)]
    if not said:
        return None
    first = said[0]
    last = next((p for p, at in turn.times if p > first and not inside(source, at)), len(turn.text))
    return replace(turn.part(first, first + len(turn.text[first:last].rstrip())), offers=())


class Uncovered:
    """Remembers what the files of a session hold and which of it no entry took: words cut away by every entry."""

    def __init__(self) -> None:
        self.left: dict[str, dict[str, float | None]] = {}
        self.taken: dict[str, set[str]] = {}

    def note(self, source: Source, whole: Reading, kept: Reading) -> None:
        """Take in one entry: its file's whole reading, and the part of it that was kept."""
        if source.source:
            self.left.setdefault(source.source, {}).update(_times(whole))
            self.taken.setdefault(source.source, set()).update(_times(kept))

    def notices(self) -> Iterator[str]:
        """A sentence a file that has findings outside every entry's part."""
        for file, found in self.left.items():
            times = [at for id, at in found.items() if id not in self.taken[file]]
            if times:
                when = sorted(at for at in times if at is not None)
                first = f" (the first at {clock(when[0])})" if when else ""
                count = f"{len(times)} finding{'s' if len(times) != 1 else ''}"
                yield f"{file}: {count} outside every from and to{first}: left out"
