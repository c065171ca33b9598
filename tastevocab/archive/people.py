"""The people of an archive: one name, one code, and the one table that knows both."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from typing import Any

from tastevocab.errors import InputError, near


class People:
    """Looks people up in an open archive and gives newcomers a code. Names are compared without case.

    Whoever's name was forgotten goes by the code alone.
    """

    def __init__(self, db: sqlite3.Connection) -> None:
        self.db = db
        self.codes: dict[int, str] = {}
        self.names: dict[int, str] = {}
        self.ids: dict[str, int] = {}
        for id, code, name in db.execute("SELECT id, code, name FROM person ORDER BY id"):
            self._know(id, code, name)

    def _know(self, id: int, code: str, name: str | None) -> None:
        self.codes[id] = code
        self.names[id] = name or code
        self.ids[(name or code).casefold()] = id

    def id_of(self, name: str) -> int | None:
        """Who goes by a name (or, forgotten, by a code), if anybody does."""
        return self.ids.get(name.casefold())

    def id(self, name: str) -> int:
        """Who goes by a name; a newcomer is written down."""
        known = self.id_of(name)
        if known is not None:
            return known
        (last,) = self.db.execute("SELECT COALESCE(MAX(id), 0) FROM person").fetchone()
        self.db.execute("INSERT INTO person (id, code, name) VALUES (?, ?, ?)", (last + 1, f"P{last + 1}", name))
        self._know(last + 1, f"P{last + 1}", name)
        return int(last) + 1

    def code(self, name: str) -> str:
        """The code of whoever goes by a name; a newcomer is given one."""
        return self.codes[self.id(name)]

    def name(self, id: int) -> str:
        """What somebody is called: the name, or the code where the name is forgotten."""
        return self.names[id]

    def of_code(self, code: str) -> str:
        """What the one with a code is called."""
        return self.names[int(code[1:])]

    def must(self, name: str) -> int:
        """Who goes by a name. Raises `InputError`, with the nearest names, where nobody does."""
        known = self.id_of(name)
        if known is None:
            raise InputError(f"the archive knows nobody called {name!r}", mend=near(name, sorted(self.names.values())))
        return known


def each_row(
    db: sqlite3.Connection, query: str, values: tuple[Any, ...] | dict[str, Any] = ()
) -> Iterator[dict[str, Any]]:
    """The rows of a query one by one, by the names of their columns; of two of one name the later counts."""
    cursor = db.execute(query, values)
    names = [column[0] for column in cursor.description]
    for row in cursor:
        yield dict(zip(names, row, strict=True))


def row_dicts(
    db: sqlite3.Connection, query: str, values: tuple[Any, ...] | dict[str, Any] = ()
) -> list[dict[str, Any]]:
    """As `each_row`, all at once."""
    return list(each_row(db, query, values))
