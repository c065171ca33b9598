"""What a live table keeps: one SQLite file, one writer, nothing answered before it is on disk.

Every act of a phone is an event with the phone's own id and number: sent twice it is kept once (`ON CONFLICT DO
NOTHING`), so a phone sends again until it is told, and nothing is lost or counted double. WAL with synchronous FULL:
what was committed survives a power cut. Events that arrive together are committed together.
"""

from __future__ import annotations

import json
import queue
import sqlite3
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from tastevocab.errors import InputError, Place

T = TypeVar("T")
Work = Callable[[sqlite3.Connection], T]
FORM = "1"
TOGETHER = 256
"""So many jobs at most share one commit."""

_TABLES = """
CREATE TABLE IF NOT EXISTS about (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
CREATE TABLE IF NOT EXISTS events (
  id INTEGER PRIMARY KEY, seat TEXT NOT NULL, client TEXT NOT NULL, number INTEGER NOT NULL, kind TEXT NOT NULL,
  body TEXT NOT NULL, written REAL NOT NULL, received REAL NOT NULL, UNIQUE (seat, client, number)) STRICT;
CREATE TABLE IF NOT EXISTS tokens (digest TEXT PRIMARY KEY, seat TEXT NOT NULL) STRICT;
"""


@dataclass(frozen=True, slots=True)
class Event:
    """One act at the table. `client` and `number` are the sender's own; `written` is when it was done, `received` when
    it came in (seconds since 1970, this machine's clock); `body` holds plain values."""

    seat: str
    client: str
    number: int
    kind: str
    body: dict[str, Any]
    written: float
    received: float

    @property
    def line(self) -> str:
        """The body as it is kept: the same values give the same text."""
        return json.dumps(self.body, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


@dataclass(frozen=True, slots=True)
class Kept:
    """What became of an event: `new` (kept just now), else it was there before; `same` is false where the number had
    been used for something else."""

    event: Event
    new: bool
    same: bool = True


class Store:
    """The file of one table, open for one process alone; every write goes through one thread, in order.

    Raises `InputError` where the file is no table's, or another process has it open.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._jobs: queue.Queue[tuple[Work[Any], Future[Any]] | None] = queue.Queue()
        self._base = self._open()
        self._thread = threading.Thread(target=self._run, name="table-writer", daemon=True)
        self._thread.start()

    def _open(self) -> sqlite3.Connection:
        try:
            base = sqlite3.connect(self.path, timeout=1.0, isolation_level=None, check_same_thread=False)
            base.execute("PRAGMA locking_mode=EXCLUSIVE")
            base.execute("PRAGMA journal_mode=WAL")
            base.execute("PRAGMA synchronous=FULL")
            base.execute("PRAGMA secure_delete=ON")  # what is withdrawn is written over
            base.executescript(_TABLES)
            base.execute("INSERT INTO about VALUES ('form', ?) ON CONFLICT DO NOTHING", (FORM,))
            form = base.execute("SELECT value FROM about WHERE name = 'form'").fetchone()[0]
        except sqlite3.OperationalError as problem:
            mend = "close the other `tastevocab table`" if "locked" in str(problem) else "check the path and its rights"
            raise InputError(f"cannot be opened: {problem}", place=Place(str(self.path)), mend=mend) from None
        except sqlite3.DatabaseError:
            raise InputError(
                "is no file of a live table", place=Place(str(self.path)), mend="move it away, or give another --out"
            ) from None
        if form != FORM:
            raise InputError("was kept by another version", place=Place(str(self.path)), mend="move it away")
        return base

    def close(self) -> None:
        """Write what waits, then close the file. Safe to call twice."""
        if self._thread.is_alive():
            self._jobs.put(None)
            self._thread.join()
        self._base.close()

    def submit(self, work: Work[T]) -> Future[T]:
        """Do `work` in the writer's next commit; the future holds what it gave once that is on disk."""
        done: Future[T] = Future()
        done.set_running_or_notify_cancel()  # a phone that hangs up does not take back what it sent
        self._jobs.put((work, done))
        return done

    # --- the writer ---

    def _run(self) -> None:
        while (first := self._jobs.get()) is not None:
            batch, last = [first], False
            with suppress(queue.Empty):
                while len(batch) < TOGETHER:
                    job = self._jobs.get_nowait()
                    if job is None:
                        last = True
                        break
                    batch.append(job)
            self._commit(batch)
            if last:
                return

    def _commit(self, batch: Sequence[tuple[Work[Any], Future[Any]]]) -> None:
        try:
            self._base.execute("BEGIN IMMEDIATE")
            results = [work(self._base) for work, _ in batch]
            self._base.execute("COMMIT")
        except Exception as problem:
            if self._base.in_transaction:
                self._base.execute("ROLLBACK")
            if len(batch) > 1:  # one that fails must not take the others with it
                for job in batch:
                    self._commit([job])
            else:
                batch[0][1].set_exception(problem)
            return
        for (_, done), result in zip(batch, results, strict=True):
            done.set_result(result)

    # --- what can be done ---

    def keep(self, events: Sequence[Event]) -> Future[tuple[Kept, ...]]:
        """Keep events, all of them or none; each comes back with whether it is new."""

        def work(base: sqlite3.Connection) -> tuple[Kept, ...]:
            return tuple(_keep(base, event) for event in events)

        return self.submit(work)

    def events(self) -> list[Event]:
        """All events, in the order in which they were kept."""

        def work(base: sqlite3.Connection) -> list[Event]:
            rows = base.execute(
                "SELECT seat, client, number, kind, body, written, received FROM events ORDER BY id"
            ).fetchall()
            return [Event(s, c, n, kind, json.loads(body), w, r) for s, c, n, kind, body, w, r in rows]

        return self.submit(work).result()

    def about(self, name: str) -> str | None:
        """What is kept under a name about the table itself."""
        query = "SELECT value FROM about WHERE name = ?"
        row = self.submit(lambda base: base.execute(query, (name,)).fetchone()).result()
        return row[0] if row else None

    def set_about(self, name: str, value: str) -> None:
        """Keep `value` under `name`."""
        query = "INSERT INTO about VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value"
        self.submit(lambda base: base.execute(query, (name, value))).result()

    def tokens(self) -> dict[str, str]:
        """Seat by the digest of its tokens."""
        return dict(self.submit(lambda base: base.execute("SELECT digest, seat FROM tokens").fetchall()).result())

    def let_in(self, digest: str, seat: str, taken: Event | None = None) -> Future[None]:
        """Keep a seat's token, and that it was taken."""

        def work(base: sqlite3.Connection) -> None:
            base.execute("INSERT INTO tokens VALUES (?, ?)", (digest, seat))
            if taken is not None:
                _keep(base, taken)

        return self.submit(work)

    def shut_out(self, seat: str) -> Future[None]:
        """Forget all tokens of a seat."""

        def work(base: sqlite3.Connection) -> None:
            base.execute("DELETE FROM tokens WHERE seat = ?", (seat,))

        return self.submit(work)

    def forget(self, seat: str, gone: Event) -> Future[None]:
        """Write over all that a seat ever sent, and keep that it was withdrawn."""

        def work(base: sqlite3.Connection) -> None:
            base.execute("UPDATE events SET body = '{}', kind = 'gone' WHERE seat = ?", (seat,))
            _keep(base, gone)

        return self.submit(work)

    def shrink(self) -> None:
        """Empty the log of writes, so that what was written over is nowhere on disk any more."""
        with suppress(sqlite3.Error):
            self.submit(_checkpoint).result()


def _checkpoint(base: sqlite3.Connection) -> None:
    base.execute("COMMIT")
    base.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    base.execute("BEGIN IMMEDIATE")


def _keep(base: sqlite3.Connection, event: Event) -> Kept:
    e = event
    row = (e.seat, e.client, e.number, e.kind, e.line, e.written, e.received)
    insert = (
        "INSERT INTO events (seat, client, number, kind, body, written, received) VALUES (?, ?, ?, ?, ?, ?, ?) "
        "ON CONFLICT DO NOTHING"
    )
    if base.execute(insert, row).rowcount:
        return Kept(event, new=True)
    there = base.execute(
        "SELECT kind, body FROM events WHERE seat = ? AND client = ? AND number = ?", (e.seat, e.client, e.number)
    ).fetchone()
    return Kept(event, new=False, same=there == (e.kind, e.line))
