"""How long what people said at a table is kept: the day they were told stands in its folder, and is held to."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

from tastevocab.errors import InputError, Place
from tastevocab.written import write_whole

UNTIL = "keep-until.txt"
"""Its first line is the last day."""


def promise(folder: Path, days: int, today: date) -> date:
    """The last day that a table is kept: the one in its folder, or `days` from `today`, which is then written."""
    known = kept_until(folder)
    if known:
        return known
    until = today + timedelta(days)
    told = (
        f"{until.isoformat()}\n"
        f"People were told that what they said at this table is deleted after {days} days. After the day above,\n"
        "`tastevocab table` does not open it any more, and says how to delete it.\n"
    )
    write_whole(folder / UNTIL, told.encode("utf-8"))
    return until


def kept_until(folder: Path) -> date | None:
    """The last day that stands in a table's folder; None where none does. Raises `InputError` for what is no day."""
    file = folder / UNTIL
    if not file.is_file():
        return None
    first = file.read_text("utf-8", errors="replace").partition("\n")[0].strip()
    try:
        return date.fromisoformat(first)
    except ValueError:
        raise InputError(
            f"{first!r} is no day", place=Place(str(file), 1), mend="write the last day as 2026-12-31"
        ) from None


def overdue(beside: Path, today: date) -> Iterator[tuple[Path, date]]:
    """The tables in the folders of `beside` whose last day is over."""
    for file in sorted(beside.glob(f"*/{UNTIL}")):
        until = kept_until(file.parent)
        if until and until < today:
            yield file.parent, until


def refuse_overdue(folder: Path, session: Path, today: date) -> None:
    """Raise `InputError` where a table's last day is over."""
    until = kept_until(folder)
    if until and until < today:
        raise InputError(
            f"people were told that it is deleted after {until.isoformat()}",
            place=Place(str(folder)),
            mend=f"tastevocab table {session} --delete",
        )


def delete_table(folder: Path, session: Path) -> None:
    """Delete a table's folder with all in it. Raises `InputError` where it is none, or holds more than a table."""
    if not (folder / UNTIL).is_file():
        raise InputError("holds no table", place=Place(str(folder)), mend="name its folder with --out")
    if session.resolve().is_relative_to(folder.resolve()):
        raise InputError(
            "holds the session file itself", place=Place(str(folder)), mend="delete by hand what has to go"
        )
    shutil.rmtree(folder)
