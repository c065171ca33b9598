"""The transcript of one text: its lines as they are said, and every finding marked in its place.

Plain values from a reading with a person's decisions applied; what they look like is the page's matter.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from tastevocab.cells import visible
from tastevocab.reading.records import AttributeFinding, Finding, Reading, SetAside, Unresolved
from tastevocab.reading.report.contract import Item
from tastevocab.reading.report.marked_page import kind_of
from tastevocab.reading.report.signs import told_signs
from tastevocab.reading.review.apply import Applied
from tastevocab.reading.review.context import target_of
from tastevocab.reading.review.decisions import Decision
from tastevocab.reading.review.said import Said


@dataclass(frozen=True, slots=True)
class Mark:
    """One item in its place: `start` to `end` count characters of the text. `kind` is how it is shown (finding,
    hedged, denial, echo, fault, asked, unknown, attribute, aside).

    `decision` is what was decided of it, `added` says that a person found it where nothing was read. `row` is its
    place among the reading's items, -1 for what was added.
    """

    id: str
    start: int
    end: int
    kind: str
    item: Item
    was: Item | None
    decision: Decision | None
    added: bool
    row: int


@dataclass(frozen=True, slots=True)
class Line:
    """What one person says without a break: [start, end) of the text, and the second at which it begins."""

    start: int
    end: int
    speaker: str | None
    at: float | None
    note: str | None


def marks_of(number: int, made: Applied, settled: Mapping[int, Item]) -> tuple[Mark, ...]:
    """The marks of text `number`, in the order of the text. `settled` gives the items in the session's ids, by the
    identity of the unsettled ones."""
    found = []
    for n, row in enumerate(made.rows):
        item = settled.get(id(row.now), row.now)
        if (place := made.stretches.text.place(row.was.spot)) is not None:
            end = place + len(row.was.spot.words)
            found.append(Mark(f"{number}.{n}", place, end, kind_of(item), item, row.was, row.decision, False, n))
    for decision, now in made.added:
        if (place := made.stretches.text.place(now.spot)) is not None:
            item = settled.get(id(now), now)
            name = f"{number}+{place}-{target_of(now)}"
            end = place + len(now.spot.words)
            found.append(Mark(name, place, end, kind_of(item), item, None, decision, True, -1))
    return tuple(sorted(found, key=lambda m: (m.start, m.end, m.id)))


def settled_items(applied: Reading, settled: Reading) -> dict[int, Item]:
    """Each item of a settled reading by the identity of the one that it was made of.

    They stand in the same order; only unknown words that are somebody's name have gone to the end of what is set aside.
    """
    made: dict[int, Item] = {}
    for kind in ("findings", "attributes", "asked"):
        made.update((id(one), other) for one, other in zip(getattr(applied, kind), getattr(settled, kind), strict=True))
    made.update((id(one), other) for one, other in zip(applied.set_aside, settled.set_aside, strict=False))
    names, unknown = deque(settled.set_aside[len(applied.set_aside) :]), deque(settled.unresolved)
    for one in applied.unresolved:
        named = names and (names[0].spot.note, names[0].spot.span) == (one.spot.note, one.spot.span)
        made[id(one)] = names.popleft() if named else unknown.popleft()
    return made


def lines_of(said: Said) -> tuple[Line, ...]:
    """The text line by line, as its pieces run on in one voice."""
    made: list[Line] = []
    for start, piece in zip(said.starts, said.pieces, strict=True):
        end = start + len(piece.words)
        last = made[-1] if made else None
        lead = said.text[last.end : start] if last else ""
        if last and (last.speaker, last.note) == (piece.speaker, piece.note) and "\n" not in lead:
            made[-1] = Line(last.start, end, last.speaker, last.at, last.note)
        else:
            made.append(Line(start, end, piece.speaker, piece.at, piece.note))
    return tuple(made)


# --- as the page takes them ---


def mark_row(mark: Mark, prints: Mapping[str, str], attributes: Mapping[str, str]) -> dict[str, object]:
    """A mark as plain values for the page."""
    item, spot = mark.item, mark.item.spot
    return {
        "id": mark.id,
        "start": mark.start,
        "end": mark.end,
        "kind": mark.kind,
        "words": " ".join(visible(spot.words).split()),
        "means": means(item, prints, attributes),
        "descriptor": getattr(item, "descriptor", None),
        "attribute": getattr(item, "attribute", None),
        "level": getattr(item, "level", None),
        "present": getattr(item, "present", None),
        "taster": spot.speaker,
        "coffee": spot.coffee,
        "brew": spot.brew,
        "moment": spot.moment,
        "place": spot.place,
        "standing": getattr(item, "standing", None),
        "degree": getattr(item, "degree", None),
        "doubt": getattr(item, "hedged", None),
        "at": spot.at,
        "sure": getattr(mark.was, "sure", None),
        "why": "" if isinstance(mark.was, Unresolved | None) else told_signs(mark.was.signs),
        "reason": item.reason if isinstance(item, SetAside) else None,
        "counted": isinstance(item, (Finding, AttributeFinding)) and not item.asked,
        "decided": mark.decision.decide if mark.decision else None,
        "added": mark.added,
    }


def means(item: Item, prints: Mapping[str, str], attributes: Mapping[str, str]) -> str:
    """What an item is read as, in words."""
    if isinstance(item, AttributeFinding):
        return f"{attributes.get(item.attribute, item.attribute)}: {item.level}"
    if isinstance(item, Unresolved):
        return ""
    name = prints.get(item.descriptor or "", item.descriptor or "")
    if isinstance(item, Finding):
        state = f", {item.state}" if item.state else ""
        return f"{'' if item.present else 'no '}{name}{state}"
    return name


def times_of(said: Said) -> Iterator[tuple[int, float]]:
    """The places of a text at which a second is known."""
    last = None
    for start, piece in zip(said.starts, said.pieces, strict=True):
        if piece.at is not None and piece.at != last:
            last = piece.at
            yield start, round(piece.at, 3)
