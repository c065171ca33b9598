"""What every command shares: where results go, in which format, and how a long job shows its progress."""

from __future__ import annotations

import io
import json
import os
import shutil
import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tastevocab.cells import visible
from tastevocab.written import whole_file

# rich is imported where something is shown to people: results for programs start faster without it.
if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table


class Format(StrEnum):
    """Forms a result can be printed in: `table` is for people, the rest for programs and pages."""

    table = "table"
    json = "json"
    jsonl = "jsonl"
    csv = "csv"
    md = "md"


def console() -> Console:
    """Standard output for people; made anew each time, so that width and NO_COLOR are those of the moment."""
    from rich.console import Console

    width = None if sys.stdout.isatty() else int(os.environ.get("COLUMNS", "100"))
    return Console(width=width, highlight=False, soft_wrap=False)


def aside() -> Console:
    """Standard error: notices, progress, where files went."""
    from rich.console import Console

    return Console(stderr=True, highlight=False, soft_wrap=True)


def say(text: str) -> None:
    """One line on standard output, with nothing in it that steers a terminal."""
    sys.stdout.write(visible(text) + "\n")


def notice(text: str) -> None:
    """One sentence on standard error, with nothing in it that steers a terminal."""
    sys.stderr.write(visible(text) + "\n")


@contextmanager
def results_to(out: Path | None) -> Iterator[Callable[[str], object]]:
    """Where results go: gives a function that writes text to the file `out`, or to standard output if None.

    The file appears under its name only when all is written. Raises `InputError` where it cannot be.
    """
    if out is None:
        yield sys.stdout.write
        return
    with whole_file(out) as file:
        text = io.TextIOWrapper(file, "utf-8", errors="replace", newline="")
        yield text.write
        text.flush()
        text.detach()  # the file is closed by who opened it


def print_json(value: Any) -> None:
    """`value` as indented JSON on standard output."""
    say(json.dumps(value, ensure_ascii=False, indent=2, sort_keys=False))


def print_jsonl(rows: Iterable[Mapping[str, Any]]) -> None:
    """One JSON object a line on standard output."""
    for row in rows:
        sys.stdout.write(json.dumps(row, ensure_ascii=False, separators=(", ", ": ")) + "\n")


def md_table(columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    """A Markdown table; bars and line ends in cells are made harmless."""

    def line(cells: Sequence[Any]) -> str:
        shown = (("" if c is None else str(c)).replace("|", "\\|").replace("\n", " ") for c in cells)
        return "| " + " | ".join(shown) + " |"

    return "\n".join([line(columns), line(["---"] * len(columns)), *(line(r) for r in rows)])


WIDEST, NARROWEST = 100, 40
"""Columns that running text takes at most and at least, whatever the screen has."""


def folded(line: str) -> str:
    """A line broken at words to the width of the screen (80 where it does not say), hanging under its own start."""
    width = max(NARROWEST, min(WIDEST, shutil.get_terminal_size((80, 24)).columns))
    if len(line) <= width:
        return line
    indent = " " * (len(line) - len(line.lstrip()))
    return textwrap.fill(line, width, subsequent_indent=indent + "  ", break_on_hyphens=False)


def say_folded(lines: Iterable[str]) -> None:
    """Lines of running text on standard output, each folded to the width of the screen."""
    for line in lines:
        say(folded(line))


def told_columns(
    columns: Sequence[str], rows: Sequence[Sequence[Any]]
) -> tuple[list[str], list[list[Any]], dict[str, Any]]:
    """The columns that tell the rows apart, the rows in them, and what all rows have in common (one row: all of it).

    Columns in which nothing stands are left out.
    """
    values = {name: {row[i] for row in rows} for i, name in enumerate(columns)}
    same = {name: next(iter(found)) for name, found in values.items() if len(found) == 1 and len(rows) > 1}
    kept = [i for i, name in enumerate(columns) if name not in same and values[name] - {None, ""}]
    common = {name: value for name, value in same.items() if value not in (None, "")}
    return [columns[i] for i in kept], [[row[i] for i in kept] for row in rows], common


def people_table(title: str, columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> Table:
    """A rich table for people; everything in it is escaped, so brackets in notes stay as typed."""
    from rich.markup import escape
    from rich.table import Table

    table = Table(title=escape(title) or None, title_justify="left", box=None, pad_edge=False, header_style="bold")
    for column in columns:
        table.add_column(escape(column), overflow="fold", min_width=min(len(column), 6))
    for row in rows:
        table.add_row(*("" if cell is None else escape(str(cell)) for cell in row))
    return table


def print_rows(
    format: Format, columns: Sequence[str], rows: Iterable[Sequence[Any]], objects: Any = None, *, title: str = ""
) -> None:
    """Rows in the format asked for; in JSON as one object each by column, or `objects` instead."""
    from tastevocab.cells import csv_text

    made = [tuple(row) for row in rows]
    if format is Format.table:
        console().print(people_table(title, columns, made))
    elif format is Format.csv:
        sys.stdout.write(csv_text(columns, made))
    elif format is Format.md:
        say(md_table(columns, made))
    else:
        values = [dict(zip(columns, row, strict=True)) for row in made] if objects is None else objects
        print_json(values) if format is Format.json else print_jsonl(values)


@contextmanager
def progress(label: str, total: int | None) -> Iterator[Any]:
    """A progress bar on standard error while a long job runs; silent when that is no terminal.

    Gives a function to call with the number of steps done since the last call.
    """
    if not sys.stderr.isatty():
        yield lambda steps=1: None
        return
    from rich.markup import escape
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=aside(), transient=True) as bar:
        task = bar.add_task(escape(label), total=total)
        yield lambda steps=1: bar.advance(task, steps)
