"""Tables of notes (CSV, TSV, JSON lines, JSON) to turns, a row at a time, so that a big table needs little memory."""

from __future__ import annotations

import csv
import json
import os
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import IO, Any

from tastevocab.errors import InputError, Place
from tastevocab.reading.intake.decode import encoding_of
from tastevocab.reading.intake.layout import Layout, words_of
from tastevocab.reading.records import Turn

Row = Mapping[str, Any]
_COLUMNS: Mapping[str, tuple[str, ...]] = {
    "text": (
        "text", "note", "notes", "tasting notes", "tasting note", "comment", "comments", "descriptors", "descriptor",
        "words", "remarks", "remark", "flavour", "flavours", "flavor", "flavors", "flavour notes", "flavor notes",
    ),
    "taster": ("taster", "name", "panelist", "panellist", "cupper", "judge", "speaker", "person", "who"),
    "coffee": ("coffee", "sample", "coffee id", "lot"),
    "brew": ("brew", "method", "brew method"),
    "moment": ("moment", "phase", "temperature", "stage", "temp"),
    "bowl": ("bowl", "cup"),
    "id": ("id", "note id", "row id", "key"),
}  # fmt: skip
_SURROGATE = re.compile("[\ud800-\udfff]")
_DELIMITERS = ",;\t|"
_INNER = "\v"
_ROWS = ("notes", "rows", "data", "items")


@dataclass(frozen=True, slots=True)
class Columns:
    """Which key of a row holds what: `fields` by our names, `more` further columns of words, moment or topic."""

    fields: Mapping[str, str]
    more: tuple[tuple[str, str], ...]


def columns_of(keys: Sequence[str], layout: Layout) -> Columns:
    """Sort the column names of a table; the first synonym of each kind wins.

    Columns named after a moment or an attribute, and further columns of words, are read beside the text column.
    """
    plain = {" ".join(words_of(key.replace("_", " "))): key for key in reversed(keys)}
    fields = {field: plain[name] for field, names in _COLUMNS.items() for name in reversed(names) if name in plain}
    more = []
    for name, key in reversed(plain.items()):
        if key in fields.values():
            continue
        if name in layout.moments:
            more.append((key, "moment"))
        elif name in layout.topics or name in _COLUMNS["text"]:
            more.append((key, "topic"))
    return Columns(fields, tuple(more))


def table_turns(rows: Iterable[tuple[int, Row]], *, source: str, layout: Layout) -> Iterator[Turn]:
    """The turns of a table's rows, each with its line in the file; places count in the row's own text.

    Raises `InputError` (file:line) where a row has no column of words, or something else than words in it.
    """
    known: dict[tuple[str, ...], Columns] = {}
    for line, row in rows:
        keys = tuple(row)
        columns = known.get(keys)
        if columns is None:
            columns = known[keys] = columns_of(keys, layout)
            _need_words(columns, keys, source, line)
        yield from _turns_of_row(row, columns, layout, source, line)


def _need_words(columns: Columns, keys: Sequence[str], source: str, line: int) -> None:
    if "text" not in columns.fields and not columns.more:
        have = ", ".join(k or '""' for k in keys[:12]) or "none"
        raise InputError(
            f"has no column of words; the columns are: {have}",
            place=Place(source, line),
            mend='name the column that holds the notes "text"',
        )


def _turns_of_row(row: Row, columns: Columns, layout: Layout, source: str, line: int) -> Iterator[Turn]:
    def value(field: str) -> str | None:
        key = columns.fields.get(field)
        return (_words(row[key], key, source, line).strip() or None) if key is not None else None

    note, speaker, coffee = value("id"), value("taster"), value("coffee")
    brew, moment, bowl = value("brew"), value("moment"), value("bowl")
    if moment is not None:
        moment = layout.scene(moment)[0] or moment
    bare = Turn(
        "",
        source,
        speaker=speaker,
        note=note,
        coffee=coffee,
        brew=brew,
        moment=moment,
        bowl=bowl,
        kind="note",
        line=line,
    )
    main = columns.fields.get("text")
    cells = [(main, "")] if main is not None else []
    written = [(key, what, _words(row[key], key, source, line)) for key, what in (*cells, *columns.more)]
    written = [(key, what, text) for key, what, text in written if text.strip()]
    for key, what, text in written:
        yield replace(
            bare,
            text=text,
            moment=layout.scene(key)[0] if what == "moment" else moment,
            topic=key.strip().lower() if what == "topic" else None,
        )
    if speaker and not written:  # they were there and wrote no word
        yield bare


def _words(value: Any, key: str, source: str, line: int) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return value if value.isascii() else _SURROGATE.sub("\ufffd", value)
    if isinstance(value, int | float):
        return str(value)
    raise InputError(
        f'"{key}" holds a {"list" if isinstance(value, list) else "mapping"}; words were expected',
        place=Place(source, line),
        mend="write the notes as one string",
    )


# --- files to rows ---


def csv_rows(file: Iterable[str], source: str, layout: Layout) -> Iterator[tuple[int, dict[str, str]]]:
    """The rows of a table with commas, semicolons, tabs or bars between its cells, with their lines; heads first.

    Commas too many in a last column of words belong to the words. Raises `InputError` where a row cannot be read.
    """
    lines = whole_lines(file)
    skipped, head_line = csv_head(lines)
    delimiter = delimiter_of(head_line, layout)
    reader = csv.reader(_chain(head_line, lines), delimiter=delimiter, strict=True)
    head: list[str] | None = None
    before = skipped - 1
    try:
        for cells in reader:
            line, before = before + 1, skipped - 1 + reader.line_num
            cells = [cell.replace(_INNER, "\n") for cell in cells]
            if head is None:
                head = _head(cells, source, line)
            elif any(cell.strip() for cell in cells):
                yield line, _row(head, cells, delimiter, source, line)
    except csv.Error as problem:
        raise InputError(
            f"cannot be read as a table: {problem}",
            place=Place(source, before + 1),
            mend='look for a quotation mark " that is never closed, or that more words follow',
        ) from None


def csv_head(lines: Iterator[str]) -> tuple[int, str]:
    """Lines are taken up to the first that can be a heading: its number, and its text."""
    number, head = 1, next(lines, "")
    while head and (not head.strip("\ufeff \t\r\n,;") or head.lower().startswith("sep=")):
        number, head = number + 1, next(lines, "")
    return number, head.removeprefix("\ufeff")


def whole_lines(file: Iterable[str]) -> Iterator[str]:
    """The lines of a table opened without translation of line ends.

    Unless the first line ends in a bare "\\r", such a mark ends none: it stands inside a cell, and comes out as a
    vertical tab (a line broken within a paragraph), which `csv` lets through and which is one character too.
    """
    lines = iter(file)
    first = next(lines, "")
    inner = "" if first.endswith("\r") else "\r"
    cut = ""
    for line in _chain(first, lines):
        if inner and line.endswith(inner):
            cut += line[:-1] + _INNER
            continue
        yield cut + line
        cut = ""
    if cut:
        yield cut


def _chain(first: str, rest: Iterator[str]) -> Iterator[str]:
    yield first
    yield from rest


def delimiter_of(head: str, layout: Layout) -> str:
    """What parts the cells: the mark that gives most columns of a known name, then most columns."""

    def worth(mark: str) -> tuple[int, int]:
        try:
            cells = next(csv.reader([head], delimiter=mark), [])
        except csv.Error:  # a cell longer than any heading: `csv_rows` tells of it, if this mark is the one
            return 0, 0
        columns = columns_of(cells, layout)
        return len(columns.fields) + len(columns.more), len(cells)

    return max(_DELIMITERS, key=worth)


def _head(cells: list[str], source: str, line: int) -> list[str]:
    head = [cell.strip() for cell in cells]
    twice = next((h for n, h in enumerate(head) if h and h in head[:n]), None)
    if twice:
        raise InputError(f'has two columns named "{twice}"', place=Place(source, line), mend="rename one of them")
    return [h or f"column {n}" for n, h in enumerate(head, 1)]


def _row(head: list[str], cells: list[str], delimiter: str, source: str, line: int) -> dict[str, str]:
    if len(cells) > len(head):
        extra = cells[len(head) :]
        words = " ".join(words_of(head[-1])) in _COLUMNS["text"]
        if any(cell.strip() for cell in extra) and not words:
            raise InputError(
                f"has {len(cells)} cells where the first line names {len(head)} columns",
                place=Place(source, line),
                mend=f'put words that hold a "{delimiter}" between quotation marks',
            )
        cells = [*cells[: len(head) - 1], delimiter.join(cells[len(head) - 1 :])] if words else cells[: len(head)]
    return dict(zip(head, [*cells, *[""] * (len(head) - len(cells))], strict=True))


def json_rows(file: Iterable[str], source: str) -> Iterator[tuple[int, Row]]:
    """The rows of JSON lines, or of one JSON array of objects, with their lines (an array's: its first)."""
    lines = enumerate(file, 1)
    for number, line in lines:
        body = line.strip("\ufeff \t\r\n")
        if not body:
            continue
        value = _whole_or_line(body, lines, source, number)
        rows = value if isinstance(value, list) else listed_rows(value) or [value]
        for row in rows:
            if not isinstance(row, dict):
                raise InputError(
                    f"holds {json.dumps(row)[:40]} where an object with a text was expected",
                    place=Place(source, number),
                    mend='write one {"text": "..."} a line',
                )
            yield number, row


def _whole_or_line(body: str, lines: Iterator[tuple[int, str]], source: str, number: int) -> Any:
    """One line's value; where the first bracket is not closed on its line, the value of all the rest."""
    try:
        return json.loads(body)
    except (json.JSONDecodeError, RecursionError, ValueError) as problem:
        if body not in ("[", "{") and not (body[0] == "[" and number == 1):
            raise _broken(problem, source, number) from None
    text = "\n".join([body, *(line.rstrip("\r\n") for _, line in lines)])
    try:
        value = json.loads(text.strip())
    except (json.JSONDecodeError, RecursionError, ValueError) as problem:
        at = problem.lineno - 1 if isinstance(problem, json.JSONDecodeError) else 0
        raise _broken(problem, source, number + at) from None
    return value


def listed_rows(value: Any) -> list[Any] | None:
    """The rows of an object that holds them under a name ({"notes": [{...}]})."""
    lists = (value.get(key) for key in _ROWS) if isinstance(value, dict) else ()
    return next((rows for rows in lists if isinstance(rows, list) and rows and isinstance(rows[0], dict)), None)


def _broken(problem: Exception, source: str, line: int) -> InputError:
    why = (
        problem.msg if isinstance(problem, json.JSONDecodeError) else "it is nested too deep or holds too long a number"
    )
    return InputError(f"is not JSON: {why}", place=Place(source, line), mend="write one JSON object a line")


def file_turns(path: Path, kind: str, layout: Layout, notice: Callable[[str], None]) -> Iterator[Turn]:
    """The turns of a table file ("csv" or "jsonl"), streamed; `notice` is told of an encoding that is not UTF-8."""
    source = os.fspath(path)
    encoding = encoding_of(path)
    if encoding.notice:
        notice(encoding.notice)
    with path.open(encoding=encoding.codec, newline="" if kind == "csv" else None) as file:
        try:
            yield from text_turns(file, kind, source=source, layout=layout)
        except UnicodeDecodeError:
            raise InputError(
                "is neither UTF-8, UTF-16 nor Windows-1252 text", place=Place(source), mend="save it as UTF-8"
            ) from None


def text_turns(file: IO[str] | Iterable[str], kind: str, *, source: str, layout: Layout) -> Iterator[Turn]:
    """The turns of an open table."""
    rows: Iterator[tuple[int, Row]] = csv_rows(file, source, layout) if kind == "csv" else json_rows(file, source)
    return table_turns(rows, source=source, layout=layout)
