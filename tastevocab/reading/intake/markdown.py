"""A Markdown sheet to blocks: headings, entries (bullets and paragraphs) and tables, marks taken off."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from tastevocab.reading.intake.captions import read_entities
from tastevocab.reading.intake.plain import WRAPPED
from tastevocab.reading.intake.strand import Strand

_HEADING = re.compile(r" {0,3}(?P<marks>#{1,6})[ \t]+(?P<text>.*?)[ \t]*#*[ \t]*$")
_RULE = re.compile(r"[ \t]*(?:(?:\*[ \t]*){3,}|(?:-[ \t]*){3,}|(?:_[ \t]*){3,}|={3,})$")
_UNDERLINE = re.compile(r" {0,3}(?P<mark>=+|-{3,})[ \t]*$")
_LEAD = re.compile(
    r"\ufeff?(?P<quote>(?:[ \t]*>)*)(?P<indent>[ \t]*)(?P<bullet>(?:[-*+•–]|\d{1,3}[.)])[ \t]+(?:\[[ xX]\][ \t]+)?)?"
)
_BOLD_LINE = re.compile(r"(?:\*\*|__)(?P<text>[A-ZÀ-Þ0-9][^*_]*?):?(?:\*\*|__):?[ \t]*$")
_SEPARATOR = re.compile(r"[ \t]*\|?[ \t]*:?-+:?[ \t]*(?:\|[ \t]*:?-+:?[ \t]*)*\|?[ \t]*$")
_FENCE = re.compile(r"[ \t]*(?:```|~~~)[\w-]*[ \t]*$")
_TAG = re.compile(
    r"</?(?:b|i|u|s|em|strong|span|font|p|div|sub|sup|small|mark|td|tr|th|table|a|li|ul|ol|code)(?:\s[^<>]*)?/?>", re.I
)
_BREAK = re.compile(r"<br\s*/?>", re.I)
_EMPHASIS = (
    re.compile(r"(?<![\\*])\*\*(?=\S)(?P<kept>[^*\n]*?[^*\s])\*\*(?!\*)"),
    re.compile(r"(?<![\\*\w])\*(?=\S)(?P<kept>[^*\n]*?[^*\s])\*(?![*\w])"),
    re.compile(r"(?<![\\\w])__(?=\S)(?P<kept>[^\n]*?\S)__(?!\w)"),
    re.compile(r"(?<![\\\w])_(?=\S)(?P<kept>[^_\n]*?[^_\s])_(?!\w)"),
    re.compile(r"`(?P<kept>[^`\n]+)`"),
    re.compile(r"!?\[(?P<kept>[^\[\]\n]+)\]\([^()\n]*\)"),
    re.compile(r"\\(?P<kept>[\\`*_{}\[\]()#+.!|<>~-])"),
)
_STRUCK = re.compile(r"~~(?=\S)([^~\n]+?)~~")


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; `level` 1 to 6, and 7 for a line that is only bold words or a label with nothing after it."""

    strand: Strand
    level: int
    line: int


@dataclass(frozen=True, slots=True)
class Entry:
    """A bullet or a paragraph; `indent` in columns, -1 for a paragraph; `italic` where all of it is."""

    strand: Strand
    indent: int
    line: int
    italic: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells with their lines; `headed` where a rule under the first row says that it names the columns."""

    rows: tuple[tuple[Strand, ...], ...]
    lines: tuple[int, ...]
    headed: bool


Block = Heading | Entry | Table


def clean(strand: Strand) -> Strand:
    """The words of a stretch of Markdown: emphasis, links, tags and struck-out words taken away, entities read."""
    strand = strand.replace(_BREAK, lambda _: " ").replace(_TAG, lambda _: "").replace(_STRUCK, lambda _: "")
    for pattern in _EMPHASIS:
        strand = strand.keep(pattern, "kept")
    return read_entities(strand).trim()


def struck(text: str) -> Iterator[tuple[int, str]]:
    """The line and the words of everything struck out in a sheet."""
    for match in _STRUCK.finditer(text):
        yield text.count("\n", 0, match.start()) + 1, match[1]


@dataclass(slots=True)
class _Run:
    """The entry being read: its first and last place in the file."""

    start: int
    end: int
    indent: int
    line: int
    last: str


def blocks(text: str) -> Iterator[Block]:
    """The blocks of a sheet, in order."""
    text = _without_comments(text)
    lines = text.split("\n")
    starts = _starts(lines)
    run: _Run | None = None
    number = 0
    while number < len(lines):
        line = lines[number]
        block = _whole(text, lines, starts, number)
        if (block or not _goes_on(run, line)) and run:
            yield _entry(text, run)
            run = None
        if block:
            found, used = block
            if found:
                yield found
            number += used
            continue
        if line.strip(" \t>\ufeff"):
            run = _extend(run, line, starts[number], number + 1)
        number += 1
    if run:
        yield _entry(text, run)


def _without_comments(text: str) -> str:
    """The sheet with each comment blanked, character for character."""
    parts, done = [], 0
    while (start := text.find("<!--", done)) >= 0 and (end := text.find("-->", start)) >= 0:
        parts += [text[done:start], re.sub(r"[^\n]", " ", text[start : end + 3])]
        done = end + 3
    return "".join([*parts, text[done:]])


def _starts(lines: list[str]) -> list[int]:
    found, at = [], 0
    for line in lines:
        found.append(at)
        at += len(line) + 1
    return found


def _entry(text: str, run: _Run) -> Entry:
    strand = Strand.of(text, run.start, run.end).replace(_QUOTE_INSIDE, lambda m: "\n")
    return Entry(clean(strand), run.indent, run.line, bool(_ITALIC.fullmatch(strand.text)))


_ITALIC = re.compile(r"\s*([*_])(?![*_\s])[^*_]+\1\s*")
_LABELLED = re.compile(r"[ \t>]*(?:\*\*|__|[A-ZÀ-Þ][^.:\n]{0,60}:\s)")
_QUOTE_INSIDE = re.compile(r"\n(?:[ \t]*>)+")


def _extend(run: _Run | None, line: str, at: int, number: int) -> _Run:
    lead = _LEAD.match(line)
    assert lead is not None  # every part of the pattern may be empty
    end = at + len(line.rstrip())
    if run:
        run.end, run.last = end, line
        return run
    indent = len(lead["indent"].expandtabs(4)) if lead["bullet"] else -1
    return _Run(at + lead.end(), end, indent, number, line)


def _goes_on(run: _Run | None, line: str) -> bool:
    """Whether a line belongs to the entry above it."""
    lead = _LEAD.match(line)
    if run is None or lead is None or lead["bullet"] or not line.strip(" \t>\ufeff"):
        return False
    if run.indent >= 0 and lead["indent"]:
        return True
    return len(run.last) >= WRAPPED and not _LABELLED.match(line)


def _whole(text: str, lines: list[str], starts: list[int], number: int) -> tuple[Block | None, int] | None:
    """A block that takes whole lines, and how many: a heading, a table, or a line that says nothing (None)."""
    line, at = lines[number], starts[number]
    if match := _HEADING.match(line):
        return _heading(text, at, match, len(match["marks"]), number), 1
    if line.count("|") and (table := _table(text, lines, starts, number)):
        return table, len(table.lines) + table.headed
    if _RULE.match(line) or _FENCE.match(line):
        return None, 1
    if match := _BOLD_LINE.match(line):
        return _heading(text, at, match, 7, number), 1
    below = _UNDERLINE.match(lines[number + 1]) if number + 1 < len(lines) else None
    if below and line[:1].isupper() and (number == 0 or not lines[number - 1].strip()):
        whole = re.compile(r"\ufeff?[ \t]*(?P<text>.*?)[ \t]*$").match(line)
        assert whole is not None
        return _heading(text, at, whole, 1 if below["mark"][0] == "=" else 2, number), 2
    return None


def _heading(text: str, at: int, match: re.Match[str], level: int, number: int) -> Heading:
    return Heading(clean(Strand.of(text, at + match.start("text"), at + match.end("text"))), level, number + 1)


def _table(text: str, lines: list[str], starts: list[int], number: int) -> Table | None:
    """The table that begins at a line: rows that start with a bar, or rows over a rule of dashes."""
    headed = number + 1 < len(lines) and "|" in lines[number + 1] and bool(_SEPARATOR.match(lines[number + 1]))
    if not headed and not lines[number].lstrip().startswith("|"):
        return None
    rows, numbers = [], []
    at = number
    while at < len(lines) and "|" in lines[at] and lines[at].strip():
        if not (headed and at == number + 1):
            rows.append(tuple(_cells(text, starts[at], lines[at])))
            numbers.append(at + 1)
        at += 1
    return Table(tuple(rows), tuple(numbers), headed)


def _cells(text: str, at: int, line: str) -> Iterator[Strand]:
    """The cells of a row; a bar after a backslash is part of the words."""
    bars = [m.start() for m in re.finditer(r"(?<!\\)\|", line)]
    if not line[: bars[0]].strip() if bars else False:
        start, bars = bars[0] + 1, bars[1:]
    else:
        start = 0
    for bar in bars:
        yield clean(Strand.of(text, at + start, at + bar))
        start = bar + 1
    if line[start:].strip():
        yield clean(Strand.of(text, at + start, at + len(line)))
