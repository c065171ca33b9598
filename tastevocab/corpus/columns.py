"""The fixed columns of findings in Parquet: what a reading gives as a table, and who was there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import islice
from typing import TYPE_CHECKING, Any

from tastevocab.reading.records import Reading, Spot
from tastevocab.reading.report.contract import Item, Labels, in_file_order, row

if TYPE_CHECKING:
    import pandas as pd
    import pyarrow as pa

COLUMNS: Mapping[str, str] = {
    "kind": "string", "id": "string", "source": "string", "line": "int64", "note": "string", "speaker": "string",
    "coffee": "string", "brew": "string", "moment": "string", "bowl": "string", "place": "string", "at": "double",
    "start": "int64", "end": "int64", "words": "string", "descriptor": "string", "attribute": "string",
    "level": "string", "step": "double", "present": "bool", "standing": "string", "degree": "string",
    "strength": "double", "certainty": "double", "hedged": "bool", "via": "string", "match": "double",
    "state": "string", "parts": "string", "fault": "bool", "two_faced": "bool", "nose": "bool", "echo": "bool",
    "reason": "string", "suggestions": "string", "sure": "double", "asked": "bool", "signs": "string",
    "closing": "bool",
}  # fmt: skip
"""Name to Arrow type. A kind of row that has no such thing has null there; lists are joined by "; "."""

SERVED = "served"
"""The kind of a row that says that somebody had a serving: one a note, words found in it or none."""

Row = Mapping[str, Any]

BATCH = 5_000
"""Rows that are held as Python's own values at a time."""


def schema() -> pa.Schema:
    """The columns as Arrow knows them."""
    import pyarrow as pa

    types = {"string": pa.string(), "int64": pa.int64(), "double": pa.float64(), "bool": pa.bool_()}
    return pa.schema([(name, types[kind]) for name, kind in COLUMNS.items()])


def table_of(rows: Iterable[Row]) -> pa.Table:
    """Rows by column name as an Arrow table of the fixed columns."""
    import pyarrow as pa

    rows, types, batches = iter(rows), schema(), []
    while some := list(islice(rows, BATCH)):
        batches.append(pa.RecordBatch.from_pylist(some, types))
    return pa.Table.from_batches(batches, types)


def frame_of(table: pa.Table) -> pd.DataFrame:
    """An Arrow table as a frame whose types are the same whatever is in it."""
    import pandas as pd

    return table.to_pandas(types_mapper=pd.ArrowDtype)


def rows_of(reading: Reading, labels: Labels) -> Iterator[Row]:
    """A reading's rows: first who was there for what, then all that was found, in file order."""
    yield from _served(reading.said)
    for item in in_file_order(reading):
        yield _found(item, labels)


def _served(said: Iterable[Spot]) -> Iterator[Row]:
    seen = set()
    for spot in said:
        seat = (spot.source, spot.note, spot.speaker, spot.coffee, spot.brew, spot.moment, spot.bowl)
        if spot.revealed or seat in seen:
            continue
        seen.add(seat)
        yield {"kind": SERVED, "line": spot.line, **_whence(spot)}


def _whence(spot: Spot) -> dict[str, Any]:
    names = ("source", "note", "speaker", "coffee", "brew", "moment", "bowl")
    return {name: getattr(spot, name) for name in names}


def _found(item: Item, labels: Labels) -> Row:
    made = {**row(item, labels), **_whence(item.spot), "place": item.spot.place, "line": item.spot.line}
    made["start"], made["end"] = made["span"]
    for name in ("parts", "signs"):
        made[name] = "; ".join(made.get(name, ())) or None
    made["suggestions"] = "; ".join(s["descriptor"] for s in made.get("suggestions", ())) or None
    return made
