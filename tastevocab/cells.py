"""What people wrote where it could do something: tables in which no cell runs, text that steers no terminal."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from typing import Any


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    """RFC 4180 text (CRLF line ends, quotes where needed) with a header row; cells made safe."""
    return csv_lines([columns]) + csv_lines(rows)


def csv_lines(rows: Iterable[Sequence[Any]]) -> str:
    """As `csv_text`, without a header."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerows([safe_cell(cell) for cell in row] for row in rows)
    return out.getvalue()


def safe_cell(value: Any) -> str:
    """A cell as text (None is empty); what a spreadsheet would run gets a quote before it, a number stays a number.

    >>> safe_cell("=1+1"), safe_cell(" -peach"), safe_cell(-5), safe_cell("-5")
    ("'=1+1", "' -peach", '-5', '-5')
    """
    text = "" if value is None else str(value)
    return "'" + text if _RUNS.match(text) and not _NUMBER.fullmatch(text) else text


_RUNS = re.compile("[\t\r\n]|\\s*[=+\\-@\uff1d\uff0b\uff0d\uff20]")
"""How a cell begins that a spreadsheet may run: the list of OWASP's page on CSV injection, blanks before it too."""
_NUMBER = re.compile(r"[+-]?\d+(\.\d*)?([eE][+-]?\d+)?", re.ASCII)


def visible(text: str) -> str:
    """`text` with characters that steer a terminal or turn the writing direction made visible as boxes."""
    return "".join(c if c.isprintable() or c in "\n\t\u00a0\u200c\u200d\u3000" else "\ufffd" for c in text)
