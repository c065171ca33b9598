"""A table opened on a session file: set anew, or taken up where it was left."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from tastevocab.cells import csv_text
from tastevocab.errors import InputError, Place
from tastevocab.panel.session import Session, read_session
from tastevocab.panel.session_check import require_sound
from tastevocab.panel.sheets import KEY_COLUMNS
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.web.serve import Door
from tastevocab.web.table.keeping import promise, refuse_overdue
from tastevocab.web.table.live import LEADER, Live
from tastevocab.web.table.setting import Setting, Wanted, from_json, set_table, to_json
from tastevocab.web.table.store import Store
from tastevocab.web.table.tally import Home
from tastevocab.web.table.worker import Asks, WorkBeside
from tastevocab.written import make_folder, write_whole

STORE, SEALED = "table.sqlite3", "key-keep-closed.csv"


@dataclass(frozen=True, slots=True)
class Means:
    """What a table is read, counted and printed with: a folder of vocabulary, a house file, a house style for the pack
    (None: what ships), and who reads and who counts (None: a process of its own beside the server)."""

    vocab: Path | None = None
    house: Path | None = None
    style: Path | None = None
    reader: Asks | None = None
    counter: Asks | None = None


@dataclass(frozen=True, slots=True)
class Opened:
    """A table ready to be served: `again` says that it was there before, `enter` is the leader's way in."""

    live: Live
    store: Store
    folder: Path
    enter: str
    again: bool


def folder_of(session: Path) -> Path:
    """Where a session's table keeps its files unless told otherwise."""
    return session.with_name(f"{session.stem}-table")


def open_table(session: Path, folder: Path, wanted: Wanted, door: Door, means: Means | None = None) -> Opened:
    """The table of a session file, its store in `folder`. A table that is there is taken up as it was set.

    Raises `InputError` where the session is not sound, where people were told that this table is gone by now, and as
    `Store` and `set_table` do.
    """
    means = means or Means()
    refuse_overdue(folder, session, date.today())
    read = read_session(session)
    require_sound(read, later=("empty", "missing", *(("tasters",) if wanted.guests else ())))
    make_folder(folder)
    store = Store(folder / STORE)
    try:
        kept = store.about("setting")
        setting = _anew(store, read, session, wanted, means) if kept is None else _again(kept, read.id, folder)
        write_whole(folder / SEALED, pouring_csv(setting))
        promise(folder, setting.keep_days, date.today())
    except BaseException:
        store.close()
        raise
    reader, counter = (
        one or WorkBeside(means.vocab, means.house, *read.languages) for one in (means.reader, means.counter)
    )
    live = Live(setting, store, reader, counter, Home(door.url, session, folder, str(means.style or "")))
    enter = f"{door.url}/{LEADER}/enter/{live.entrance.ticket(LEADER, 24 * 3600.0)}"
    return Opened(live, store, folder, enter, kept is not None)


def _anew(store: Store, read: Session, session: Path, wanted: Wanted, means: Means) -> Setting:
    text = session.read_text("utf-8-sig", errors="replace")
    setting = set_table(read, text, open_vocabulary(means.vocab, means.house).attributes, wanted)
    store.set_about("setting", json.dumps(to_json(setting)))
    return setting


def _again(kept: str, session: str, folder: Path) -> Setting:
    setting = from_json(json.loads(kept))
    if setting.session != session:
        raise InputError(
            f"holds the table of {setting.session!r}, not of {session!r}",
            place=Place(str(folder)),
            mend="give another folder with --out",
        )
    return setting


def pouring_csv(setting: Setting) -> bytes:
    """The sealed key, with names of seats for whoever pours: which code at which seat is which coffee."""
    names = {seat.id: seat.name or f"late comer ({seat.id})" for seat in setting.seats}
    rows = list(csv.DictReader(io.StringIO(setting.key)))
    return csv_text(KEY_COLUMNS, [[*{**row, "taster": names[row["taster"]]}.values()] for row in rows]).encode("utf-8")
