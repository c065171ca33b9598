"""A corpus cut into parts: what one task reads, and what its part of the output is called."""

from __future__ import annotations

import csv
import hashlib
import json
import os
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from tastevocab.errors import InputError, Place
from tastevocab.reading.intake.files import default_layout
from tastevocab.reading.intake.tables import csv_head, delimiter_of, listed_rows

PART_ROWS = 20_000
"""Rows of a table that one task reads: some seconds of work."""

Kind = Literal["parquet", "csv", "jsonl", "talk"]
KINDS: dict[str, Kind] = {
    ".parquet": "parquet",
    ".csv": "csv",
    ".tsv": "csv",
    ".jsonl": "jsonl",
    ".ndjson": "jsonl",
    ".json": "jsonl",
}
END = -1


@dataclass(frozen=True, slots=True)
class Part:
    """What one task reads of the file `path`, number `index` of it; `source` is what findings call the file.

    Of a Parquet file the rows [start, stop) of row group `group`; of a text table its bytes [start, stop), which begin
    in line `line`, below the heading `head`; else, and where `stop` is `END`, the whole file. `digest` tells whether it
    is still the same.
    """

    path: str
    kind: Kind
    index: int
    digest: str
    source: str
    start: int = 0
    stop: int = END
    line: int = 1
    head: str = ""
    group: int = 0

    @property
    def name(self) -> str:
        """What its output is called."""
        return f"{Path(self.path).name}.{self.index:05}.parquet"


def cut(files: Sequence[Path], rows: int = PART_ROWS) -> Iterator[Part]:
    """The parts of all files in order, each of at most `rows` rows where its file can be cut.

    Raises `InputError` where a file cannot be opened or is empty, or two go by the same name.
    """
    twice = [name for name, count in Counter(f.name for f in files).items() if count > 1]
    if twice:
        raise InputError(
            f"two files are called {twice[0]}: their findings would have one name",
            mend="rename one, or read them into two folders",
        )
    for file in files:
        yield from cut_file(file, rows)


def cut_file(path: Path, rows: int = PART_ROWS) -> Iterator[Part]:
    """The parts of one file; raises as `cut` does."""
    kind = KINDS.get(path.suffix.lower(), "talk")
    try:
        if not path.stat().st_size:
            raise InputError("is empty", place=Place(os.fspath(path)), mend="give a file with notes in it, or leave it")
        if kind == "parquet":
            yield from _groups(path, rows)
            return
        ends = _csv_ends(path) if kind == "csv" else _json_ends(path) if kind == "jsonl" else None
        yield from _pieces(path, kind, ends, rows) if ends else (_part(path, kind, 0, _digest(path)),)
    except OSError as problem:
        raise InputError(
            f"cannot be read: {problem.strerror or problem}", place=Place(os.fspath(path)), mend="check the path"
        ) from None


def _groups(path: Path, rows: int) -> Iterator[Part]:
    import pyarrow as pa
    import pyarrow.parquet as pq

    digest, index = _digest(path), 0
    try:
        meta = pq.read_metadata(path)
    except pa.ArrowInvalid as problem:
        raise InputError(
            f"is no Parquet file: {problem}", place=Place(os.fspath(path)), mend="write it again, or leave it out"
        ) from None
    line = 1
    for group in range(meta.num_row_groups):
        count = meta.row_group(group).num_rows
        for start in range(0, count, rows):
            stop = min(start + rows, count)
            yield replace(_part(path, "parquet", index, digest), start=start, stop=stop, line=line + start, group=group)
            index += 1
        line += count


@dataclass(frozen=True, slots=True)
class _Ends:
    """Where the rows of a text table end: the heading, its lines, the byte after it, then for each row the byte and the
    line after it."""

    head: str
    lines: int
    first: int
    after: Iterator[tuple[int, int]]


def _pieces(path: Path, kind: Kind, ends: _Ends, rows: int) -> Iterator[Part]:
    """Pieces of `rows` rows; one alone is the whole file."""
    start, line, count, bounds = ends.first, ends.lines + 1, 0, []
    for byte, after in ends.after:
        count += 1
        if count == rows:
            bounds.append((start, byte, line))
            start, line, count = byte, after, 0
    size = path.stat().st_size
    if start < size:
        bounds.append((start, size, line))
    if len(bounds) < 2:
        yield _part(path, kind, 0, _digest(path))
        return
    for index, (low, high, at) in enumerate(bounds):
        digest = _digest(path, low, high, ends.head)
        yield replace(_part(path, kind, index, digest), start=low, stop=high, line=at, head=ends.head)


def _part(path: Path, kind: Kind, index: int, digest: str) -> Part:
    """A part that is the whole file; workers, who may stand elsewhere, get an absolute path."""
    return Part(str(path.resolve()), kind, index, digest, os.fspath(path))


def _csv_ends(path: Path) -> _Ends | None:
    """Where the rows of a CSV file end, found as it is read; None where it has to be read as one."""
    lines = _Counted(path)
    if lines.wide or lines.old:
        return None
    layout = default_layout()
    number, first = csv_head(iter(lines))
    reader = csv.reader(_with(first, lines), delimiter=delimiter_of(first, layout), strict=True)
    try:
        next(reader, None)
    except csv.Error:  # reading it tells of it
        return None
    head = "".join(lines.text[number - 1 :]).encode("latin-1").decode("utf-8", "replace").removeprefix("\ufeff")
    return _Ends(head, lines.line, lines.byte, _rows_after(reader, lines))


def _with(first: str, lines: Iterable[str]) -> Iterator[str]:
    yield first
    yield from lines


def _rows_after(reader: Iterator[list[str]], lines: _Counted) -> Iterator[tuple[int, int]]:
    lines.text.clear()
    lines.keep = False
    try:
        for _ in reader:
            yield lines.byte, lines.line + 1
    except csv.Error:  # the last piece holds it, and tells of it when it is read
        return


def _json_ends(path: Path) -> _Ends | None:
    """Where the lines of JSON lines end; None where it is one JSON value."""
    lines = _Counted(path)
    if lines.wide:
        return None
    try:
        first = json.loads(
            next((line for line in lines if line.strip("\xef\xbb\xbf \t\r\n")), "").lstrip("\xef\xbb\xbf")
        )
    except ValueError:
        return None
    if not isinstance(first, dict) or listed_rows(first):
        return None
    again = _Counted(path)
    again.keep = False
    return _Ends("", 0, 0, ((again.byte, again.line + 1) for _ in again))


class _Counted:
    """The lines of a file, a character a byte, with how far they have been taken."""

    def __init__(self, path: Path) -> None:
        self.path, self.byte, self.line, self.keep = path, 0, 0, True
        self.text: list[str] = []
        with path.open("rb") as file:
            first = file.readline(1 << 20)
        self.wide = first.startswith((b"\xff\xfe", b"\xfe\xff"))
        self.old = b"\r" in first.rstrip(b"\r\n")
        self._lines = self._taken()

    def __iter__(self) -> Iterator[str]:
        return self._lines

    def _taken(self) -> Iterator[str]:
        with self.path.open("rb") as file:
            for raw in file:
                self.byte += len(raw)
                self.line += 1
                text = raw.decode("latin-1")
                if self.keep:
                    self.text.append(text)
                yield text


def _digest(path: Path, start: int = 0, stop: int = END, head: str = "") -> str:
    """16 hex digits of the bytes [start, stop) below the heading."""
    digest = hashlib.blake2b(head.encode(), digest_size=8)
    with path.open("rb") as file:
        file.seek(start)
        left = stop - start if stop != END else None
        while chunk := file.read(1 << 20 if left is None else min(1 << 20, left)):
            digest.update(chunk)
            left = None if left is None else left - len(chunk)
    return digest.hexdigest()
