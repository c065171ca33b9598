"""The archive file: found, opened, brought up to date, and written in whole transactions or not at all.

SQLite's rollback journal keeps the file whole through a crash, a kill or a full disk; `synchronous = EXTRA` keeps what
was said to be written. Writers wait for each other. `secure_delete` overwrites what is deleted.
"""

from __future__ import annotations

import os
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tastevocab.archive import schema
from tastevocab.errors import InputError, Place
from tastevocab.written import make_folder

WAIT = 60.0
"""Seconds a writer waits for another."""

FILE = "archive.sqlite"


def default_path() -> Path:
    """Where the archive lies unless a file is named: `TASTEVOCAB_ARCHIVE`, else in the user's data folder."""
    if named := os.environ.get("TASTEVOCAB_ARCHIVE"):
        return Path(named)
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    return base / "tastevocab" / FILE


class Archive:
    """An open archive: `db` is the connection, `path` the file. Use `opened`."""

    def __init__(self, path: Path, db: sqlite3.Connection) -> None:
        self.path = path
        self.db = db

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """One transaction: all of it is kept, or nothing. Raises `InputError` where the file cannot be written."""
        with told(self.path):
            self.db.execute("BEGIN IMMEDIATE")
            try:
                yield self.db
                self.db.execute("COMMIT")
            except BaseException:
                if self.db.in_transaction:
                    self.db.execute("ROLLBACK")
                raise

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """One unchanging view of the file, whatever others write meanwhile."""
        with told(self.path):
            self.db.execute("BEGIN")
            try:
                yield self.db
            finally:
                if self.db.in_transaction:
                    self.db.execute("ROLLBACK")


@contextmanager
def opened(path: Path, *, make: bool = False) -> Iterator[Archive]:
    """The archive in a file, brought up to date; `make` begins a new one where there is none.

    Raises `InputError` where there is none, it is no archive, it was written by a later program, or cannot be read.
    """
    if not make and not path.is_file():
        raise InputError(
            "there is no archive",
            place=Place(os.fspath(path)),
            mend="begin one with `tastevocab archive add SESSION`, or name another with --archive FILE",
        )
    if make:
        make_folder(path.parent)
        _private(path)
    with told(path):
        db = sqlite3.connect(path, timeout=WAIT, isolation_level=None)
    try:
        archive = Archive(path, db)
        with told(path):
            _set_up(db)
            _bring_up(archive, make)
        yield archive
    finally:
        db.close()


def _private(path: Path) -> None:
    """Made readable by its owner alone: what people said lies in it."""
    try:
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
    except OSError as problem:
        raise InputError(
            f"cannot be written: {problem.strerror}", place=Place(os.fspath(path)), mend="check the path and its rights"
        ) from None


def _set_up(db: sqlite3.Connection) -> None:
    # Words of people must not lie in temporary files: what SQLite sorts or rebuilds beside the file stays in memory.
    for pragma in ("temp_store = MEMORY", "secure_delete = ON", "synchronous = EXTRA", "foreign_keys = ON"):
        db.execute(f"PRAGMA {pragma}")
    # SQLite's own `lower` knows the letters of ASCII alone.
    db.create_function("casefold", 1, lambda text: text and text.casefold(), deterministic=True)


def _bring_up(archive: Archive, make: bool) -> None:
    # In one view of the file: another program may be making it just now.
    with archive.reading():
        version = _version(archive, make)
    if version == schema.VERSION:
        return
    with archive.writing() as db:
        # Another program may have brought it up while this one waited.
        version = _version(archive, make)
        if version < schema.VERSION:
            schema.bring_up(db, version)


def _version(archive: Archive, make: bool) -> int:
    db, place = archive.db, Place(os.fspath(archive.path))
    (version,) = db.execute("PRAGMA user_version").fetchone()
    (application,) = db.execute("PRAGMA application_id").fetchone()
    (tables,) = db.execute("SELECT COUNT(*) FROM sqlite_master").fetchone()
    if application != schema.APPLICATION and (tables or version or not make):
        raise InputError("is no archive of tastevocab", place=place, mend="name another file with --archive FILE")
    if version > schema.VERSION:
        raise InputError(
            f"was written by a later tastevocab (version {version} of the file, this one knows {schema.VERSION})",
            place=place,
            mend="use that one, or a newer",
        )
    return int(version)


@contextmanager
def told(path: Path) -> Iterator[None]:
    """SQLite's errors as ours; anything that is a slip of the program itself stays what it is."""
    try:
        yield
    except sqlite3.OperationalError as problem:
        what = str(problem)
        if not any(word in what for word in ("locked", "full", "disk", "readonly", "unable to open")):
            raise
        mend = {
            "locked": f"another program has been writing for {WAIT:g} seconds: try again when it is done",
            "full": "make room on the disk and try again: nothing was changed",
        }
        advice = next((text for word, text in mend.items() if word in what), "check the disk, the path and its rights")
        raise InputError(f"cannot be used: {what}", place=Place(os.fspath(path)), mend=advice) from None
    except sqlite3.DatabaseError as problem:
        if isinstance(problem, (sqlite3.IntegrityError, sqlite3.ProgrammingError, sqlite3.InterfaceError)):
            raise
        raise InputError(
            f"is no archive, or is damaged: {problem}",
            place=Place(os.fspath(path)),
            mend="put back a copy made with `tastevocab archive backup`",
        ) from None
