"""The reading contract: what a reading gives as rows for other programs, in file order.

Keys stand in a fixed order and are only ever added to, at the end; one row is one JSON object.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from tastevocab.reading.records import AttributeFinding, Finding, Reading, SetAside, Spot, Unresolved

Item = Finding | AttributeFinding | SetAside | Unresolved
Row = dict[str, Any]

# One table for every kind of row: what a kind has not stays empty.
COLUMNS = (
    "kind", "source", "note", "speaker", "coffee", "brew", "moment", "bowl", "place", "at", "start", "end", "words",
    "descriptor", "print", "attribute", "level", "present", "standing", "degree", "strength", "certainty", "hedged",
    "via", "match", "state", "parts", "fault", "two_faced", "reason", "suggestions", "sure", "asked", "signs",
    "closing",
)  # fmt: skip


class Labels(NamedTuple):
    """What a row says of a descriptor besides its id: `prints` and `levels` by id (a `Lexicon` has both)."""

    prints: Mapping[str, str]
    levels: Mapping[str, str]


def in_file_order(reading: Reading) -> Iterator[Item]:
    """Everything a reading holds, as it stands in the files: by file, line and row, then by place in the text."""
    items: list[Item] = [
        *reading.findings, *reading.attributes, *reading.asked, *reading.set_aside, *reading.unresolved
    ]  # fmt: skip
    if len(items) > 1:
        files: dict[str, int] = {}
        notes: dict[str | None, int] = {}
        for item in items:
            files.setdefault(item.spot.source, len(files))
            notes.setdefault(item.spot.note, len(notes))
        items.sort(key=lambda i: (files[i.spot.source], i.spot.line, notes[i.spot.note], i.spot.span))
    yield from items


def rows(reading: Reading, labels: Labels) -> Iterator[Row]:
    """The contract's rows, in file order. `labels` names the descriptors."""
    for item in in_file_order(reading):
        yield row(item, labels)


def row(item: Item, labels: Labels) -> Row:
    """The contract's row of one item."""
    if isinstance(item, Finding):
        return _flavour(item, labels)
    if isinstance(item, AttributeFinding):
        return _attribute(item)
    if isinstance(item, SetAside):
        return _set_aside(item)
    return _unresolved(item)


def _flavour(f: Finding, labels: Labels) -> Row:
    spot, id = f.spot, f.descriptor
    return {
        "kind": "flavour",
        "note": spot.note,
        "descriptor": id,
        "print": labels.prints.get(id, id),
        "level": labels.levels.get(id),
        "words": spot.words,
        "span": spot.span,
        "speaker": spot.speaker,
        "at": _seconds(spot.at),
        "present": f.present,
        "standing": f.standing,
        "echo": f.echo,
        "degree": f.degree,
        "strength": f.strength,
        "certainty": f.certainty,
        "hedged": f.hedged,
        "moment": spot.moment,
        "place": spot.place,
        "brew": spot.brew,
        "via": f.via,
        "match": f.match if f.match in (0, 1) else round(f.match, 4),
        "state": f.state,
        "parts": f.parts,
        "fault": f.fault,
        "two_faced": f.two_faced,
        "nose": f.nose,
        "coffee": spot.coffee,
        "bowl": spot.bowl,
        "source": spot.source,
        "id": f.id,
        "sure": f.sure,
        "asked": f.asked,
        "signs": f.signs,
        "closing": spot.closing,
    }


def _attribute(a: AttributeFinding) -> Row:
    spot = a.spot
    return {
        "kind": "attribute",
        "attribute": a.attribute,
        "level": a.level,
        "present": a.present,
        "words": spot.words,
        "span": spot.span,
        "speaker": spot.speaker,
        "moment": spot.moment,
        "place": spot.place,
        "brew": spot.brew,
        "note": spot.note,
        "at": _seconds(spot.at),
        "step": a.step,
        "standing": a.standing,
        "echo": a.standing == "echo",
        "hedged": a.hedged,
        "coffee": spot.coffee,
        "bowl": spot.bowl,
        "source": spot.source,
        "id": a.id,
        "sure": a.sure,
        "asked": a.asked,
        "signs": a.signs,
        "closing": spot.closing,
    }


def _set_aside(s: SetAside) -> Row:
    return {
        "kind": "set_aside",
        "words": s.spot.words,
        "span": s.spot.span,
        "reason": s.reason,
        "descriptor": s.descriptor,
        **_beside(s.spot),
        "sure": s.sure,
        "signs": s.signs,
    }


def _unresolved(u: Unresolved) -> Row:
    return {
        "kind": "unresolved",
        "words": u.spot.words,
        "span": u.spot.span,
        "suggestions": [{"descriptor": s.descriptor, "match": round(s.match, 4)} for s in u.suggestions],
        **_beside(u.spot),
    }


def _beside(spot: Spot) -> Row:
    return {
        "note": spot.note,
        "speaker": spot.speaker,
        "at": _seconds(spot.at),
        "coffee": spot.coffee,
        "source": spot.source,
    }


def _seconds(at: float | None) -> float | None:
    return None if at is None else round(at, 3)


_encode = json.JSONEncoder(ensure_ascii=False).encode
# Some programs end a line at these too; inside a JSON string they may be written as escapes.
_LINE_ENDS = {0x85: "\\u0085", 0x2028: "\\u2028", 0x2029: "\\u2029"}


def json_line(value: Mapping[str, Any]) -> str:
    """`value` as JSON on one line (no line end after it)."""
    text = _encode(value)
    return text if text.isascii() else text.translate(_LINE_ENDS)


def json_lines(reading: Reading, labels: Labels) -> Iterator[str]:
    """The rows of a reading, each as one line of JSON with its line end."""
    for item in in_file_order(reading):
        yield json_line(row(item, labels)) + "\n"


def cells(items: Iterable[Item], labels: Labels) -> Iterator[tuple[Any, ...]]:
    """One tuple an item, in the order of `COLUMNS`: for spreadsheets and Markdown tables."""
    for item in items:
        values = row(item, labels)
        values["start"], values["end"] = values["span"]
        values["parts"] = "; ".join(values.get("parts", ()))
        values["signs"] = "; ".join(values.get("signs", ()))
        values["suggestions"] = "; ".join(s["descriptor"] for s in values.get("suggestions", ()))
        for name in ("moment", "place", "brew", "bowl"):
            values[name] = getattr(item.spot, name)
        yield tuple(_cell(values.get(column)) for column in COLUMNS)


def _cell(value: Any) -> Any:
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else value
