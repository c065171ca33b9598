"""Files of a pack: names that stay in their folder, tables no spreadsheet runs, writing under a temporary name."""

from __future__ import annotations

import csv
import io
import os
import tempfile
import unicodedata
from collections.abc import Collection, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from tastevocab.errors import InputError, Place

RESERVED = {"con", "prn", "aux", "nul", *(f"{port}{i}" for port in ("com", "lpt") for i in range(1, 10))}


def safe_name(text: str, taken: Collection[str] = ()) -> str:
    """`text` as a folder or file name that leads nowhere else on any system, and differs from those `taken`.

    >>> safe_name("../vale alto"), safe_name("con"), safe_name("a", {"a"})
    ('vale-alto', 'con-', 'a-2')
    """
    kept = "".join(c if c.isalnum() or c in "-_" else "-" for c in unicodedata.normalize("NFC", text))
    name = "-".join(part for part in kept.split("-") if part)[:80] or "coffee"
    name = f"{name}-" if name.casefold() in RESERVED else name
    known = {t.casefold() for t in taken}
    number = 2
    made = name
    while made.casefold() in known:
        made = f"{name}-{number}"
        number += 1
    return made


def write_all(out: Path, folders: Mapping[str, Mapping[str, bytes]]) -> list[Path]:
    """Write files into folders of `out`, every one under a temporary name first; gives the paths, in order.

    Raises `InputError` where a name would lead out of `out` or a file cannot be written.
    """
    written = []
    for folder, files in folders.items():
        for name, data in files.items():
            written.append(_write(out, folder, name, data))
    return written


def _write(out: Path, folder: str, name: str, data: bytes) -> Path:
    target = out / folder / name if folder else out / name
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        if not target.parent.resolve().is_relative_to(out.resolve()) or not name or Path(name).name != name:
            raise InputError("leads out of the chosen folder", place=Place(str(target)), mend="remove the link there")
        handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=".tastevocab-")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            os.chmod(temporary, 0o644)
            os.replace(temporary, target)
        except OSError:
            Path(temporary).unlink(missing_ok=True)
            raise
    except OSError as problem:
        raise InputError(
            f"cannot be written: {problem.strerror}", place=Place(str(target)), mend="choose another folder with --out"
        ) from None
    return target


def csv_bytes(columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> bytes:
    """RFC 4180 (CRLF line ends, UTF-8, a header) in which no cell can run as a formula."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([inert(cell) for cell in row] for row in rows)
    return out.getvalue().encode("utf-8")


def inert(value: Any) -> str:
    """A cell as text; what a spreadsheet would run gets a quote before it. Numbers stay numbers."""
    text = "" if value is None else str(value)
    if isinstance(value, (int, float)) or text[:1] not in ("=", "+", "-", "@", "\t", "\r"):
        return text
    return "'" + text
