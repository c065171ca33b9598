"""A plain table of notes as a session: one row a note, columns coffee, taster, text, and nothing else said."""

from __future__ import annotations

import csv
import io
import json
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tastevocab.errors import InputError, Place
from tastevocab.opened import plain
from tastevocab.panel.session import BrewCard, Coffee, Session, Source
from tastevocab.panel.settling import TABLES
from tastevocab.reading.intake.tables import whole_lines

ONE_COFFEE = "coffee"


def is_table(path: Path) -> bool:
    """Whether a file is a table of notes rather than a session."""
    return path.suffix.lower() in TABLES


def table_session(path: Path) -> Session:
    """The session a table of notes implies: its coffees, and for each the tasters who have a row of it.

    A row without a taster is one taster's own. Raises `InputError` for a file that is no table or holds no rows.
    """
    who: dict[str, dict[str, None]] = {}
    brews: dict[str, None] = {}
    for number, row in enumerate(_rows(path), 1):
        coffee = str(row.get("coffee") or ONE_COFFEE)
        who.setdefault(coffee, {})[str(row.get("taster") or row.get("speaker") or row.get("id") or number)] = None
        if row.get("brew"):
            brews[str(row["brew"])] = None
    if not who:
        raise InputError(
            "holds no rows", place=Place(os.fspath(path), 1), mend="give it a header and at least one note"
        )
    everyone = dict.fromkeys(taster for tasters in who.values() for taster in tasters)
    return Session(
        id=path.stem,
        file=os.fspath(path),
        folder=path.resolve().parent,
        tasters=tuple(everyone),
        coffees={c: Coffee(c, c, tasters=tuple(t), place=Place(os.fspath(path))) for c, t in sorted(who.items())},
        brews={b: BrewCard(b) for b in brews} if len(brews) > 1 else {},
        sources=(Source(source=path.name, place=Place(os.fspath(path))),),
        place=Place(os.fspath(path)),
    )


def _rows(path: Path) -> Iterator[dict[str, Any]]:
    try:
        text = plain(path).read_bytes().decode("utf-8-sig", errors="replace")
    except OSError as problem:
        raise InputError(
            f"cannot be read: {problem.strerror}", place=Place(os.fspath(path)), mend="check the path"
        ) from None
    if path.suffix.lower() == ".jsonl":
        yield from _json_rows(path, text)
        return
    dialect = csv.excel_tab if path.suffix.lower() == ".tsv" else csv.excel
    for row in csv.DictReader(whole_lines(io.StringIO(text, newline="")), dialect=dialect):
        yield {str(k).strip().lower(): v for k, v in row.items() if k}


def _json_rows(path: Path, text: str) -> Iterator[dict[str, Any]]:
    for number, line in enumerate(text.split("\n"), 1):
        if not line.strip():
            continue
        try:
            row = json.loads(line)
        except json.JSONDecodeError as problem:
            raise InputError(
                f"is not JSON: {problem.msg}", place=Place(os.fspath(path), number), mend="one object a line"
            ) from None
        if not isinstance(row, dict):
            raise InputError(
                "is no object", place=Place(os.fspath(path), number), mend='write {"id": .., "text": ..} a line'
            )
        yield row
