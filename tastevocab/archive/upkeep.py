"""An archive looked after: is it whole, a copy of it, and all that is in it as rows."""

from __future__ import annotations

import json
import os
import sqlite3
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tastevocab.archive import schema
from tastevocab.archive.people import People, each_row, row_dicts
from tastevocab.archive.store import Archive, told
from tastevocab.errors import InputError, Place
from tastevocab.written import part_of

EXPORT = (
    "session", "date", "edition", "vocabulary", "coffee", "name", "taster", "kind", "what", "level", "words", "source",
    "start", "stop", "at", "brew", "moment", "place", "bowl", "present", "standing", "degree", "strength", "certainty",
    "fault",
)  # fmt: skip


def check(archive: Archive) -> list[str]:
    """Everything that is wrong with an archive, a sentence each; nothing where it is whole."""
    with archive.writing() as db:
        found = [f"the file: {text}" for (text,) in db.execute("PRAGMA integrity_check") if text != "ok"]
        found += [f"{table}: row {row} points at nothing" for table, row, *_ in db.execute("PRAGMA foreign_key_check")]
        try:
            db.execute("INSERT INTO talk (talk, rank) VALUES ('integrity-check', 1)")
        except sqlite3.DatabaseError:
            found.append("the full-text index does not fit what was said")
        found += _half(db)
    return found


def _half(db: sqlite3.Connection) -> Iterator[str]:
    """Sessions of which a part is missing."""
    query = (
        "SELECT s.name, (SELECT COUNT(*) FROM edition AS e WHERE e.session = s.id AND e.current = 1) AS current, "
        "(SELECT COUNT(*) FROM edition AS e WHERE e.session = s.id) AS kept, "
        "(SELECT MAX(number) FROM edition AS e WHERE e.session = s.id) AS last FROM session AS s ORDER BY s.name"
    )
    for name, current, kept, last in db.execute(query).fetchall():
        if current != 1:
            yield f"session {name!r}: {current} versions of it count"
        if kept != last:
            yield f"session {name!r}: {kept} of {last} versions are there"
    for id, name, number, body in db.execute(
        "SELECT e.id, s.name, e.number, e.body FROM edition AS e JOIN session AS s ON s.id = e.session"
    ).fetchall():
        told_of = json.loads(body)
        for table, of in (("coffee", {c["id"] for c in told_of["coffees"]}), ("source", _sources(told_of))):
            (rows,) = db.execute(f"SELECT COUNT(*) FROM {table} WHERE edition = ?", (id,)).fetchone()
            if rows != len(of):
                yield f"session {name!r}, version {number}: {rows} of {len(of)} rows of {table}"
    kept = db.execute("SELECT coffee, descriptor, people, frequency FROM arc ORDER BY 1, 2").fetchall()
    db.execute("SAVEPOINT arcs")
    db.execute("DELETE FROM arc")
    db.execute(schema.ARCS, schema.EVERYTHING)
    again = db.execute("SELECT coffee, descriptor, people, frequency FROM arc ORDER BY 1, 2").fetchall()
    db.execute("ROLLBACK TO arcs")
    db.execute("RELEASE arcs")
    if kept != again:
        yield "the kept maps do not fit the findings"


def _sources(body: dict[str, Any]) -> set[str]:
    return {entry["source"] for entry in body["notes"]}


def backup(archive: Archive, to: Path) -> int:
    """A copy of the archive as it is now, whatever others write meanwhile; gives its size in bytes.

    The copy appears whole or not at all. Raises `InputError` where it cannot be written or would lie over the archive.
    """
    if to.exists() and to.samefile(archive.path):
        raise InputError("is the archive itself", place=Place(os.fspath(to)), mend="name another file")
    try:
        with part_of(to) as (part, out), told(to):
            copy = sqlite3.connect(part)
            try:
                archive.db.backup(copy)
            finally:
                copy.close()
            if sys.platform == "win32":
                out.close()
            os.replace(part, to)
    except OSError as problem:
        raise InputError(
            f"cannot be written: {problem.strerror}", place=Place(os.fspath(to)), mend="check the path and its rights"
        ) from None
    return to.stat().st_size


def exported(archive: Archive, *, codes: bool = False, history: bool = False) -> Iterator[dict[str, Any]]:
    """Every finding and mark as a row under `EXPORT`, by date, session and place; `codes` instead of names, `history`
    for old versions of sessions too."""
    with archive.reading() as db:
        people = People(db)
        for kind, table, what in (("flavour", "finding", "descriptor"), ("attribute", "mark", "attribute")):
            query = (
                f"SELECT f.*, s.name AS session, e.date, e.number AS edition, v.version AS vocabulary, "
                f"c.key AS coffee, c.name AS name, f.{what} AS what, o.name AS source FROM {table} AS f "
                "JOIN coffee AS c ON c.id = f.coffee "
                "JOIN edition AS e ON e.id = c.edition JOIN session AS s ON s.id = e.session "
                "JOIN vocabulary AS v ON v.id = e.vocabulary JOIN source AS o ON o.id = f.source "
                "WHERE e.current = 1 OR ? ORDER BY e.date, s.name, e.number, f.id"
            )
            for row in each_row(db, query, (history,)):
                taster = people.codes[row["person"]] if codes else people.name(row["person"])
                row |= {"kind": kind, "taster": taster}
                row |= {key: bool(row[key]) for key in ("present", "fault") if key in row}
                yield {key: row.get(key) for key in EXPORT}


def counts(archive: Archive) -> dict[str, int]:
    """How much is in an archive."""
    with archive.reading() as db:
        queries = {
            "sessions": "SELECT COUNT(*) AS n FROM session",
            "old_versions": "SELECT COUNT(*) AS n FROM edition WHERE current = 0",
            "coffees": "SELECT COUNT(*) AS n FROM coffee JOIN edition AS e ON e.id = edition WHERE e.current = 1",
            "people": "SELECT COUNT(*) AS n FROM person WHERE name IS NOT NULL",
            "forgotten": "SELECT COUNT(*) AS n FROM person WHERE name IS NULL",
            "findings": "SELECT COUNT(*) AS n FROM finding JOIN coffee AS c ON c.id = coffee "
            "JOIN edition AS e ON e.id = c.edition WHERE e.current = 1",
            "bytes": "SELECT page_count * page_size AS n FROM pragma_page_count, pragma_page_size",
        }
        return {name: int(row_dicts(db, query)[0]["n"]) for name, query in queries.items()}
