"""Tables of a Markdown sheet to turns: tasters down the side or along the head."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from tastevocab.reading.intake.layout import Layout, words_of
from tastevocab.reading.intake.markdown import Table
from tastevocab.reading.intake.names import Names
from tastevocab.reading.intake.people import Label, speakers, taster_column
from tastevocab.reading.intake.plain import by_name
from tastevocab.reading.intake.strand import Strand
from tastevocab.reading.records import Turn

_FIELDS = {
    "moment": {"moment", "phase", "stage", "when", "temperature", "temp", "pass"},
    "brew": {"brew", "method", "brewer"},
    "coffee": {"coffee", "sample", "lot"},
    "bowl": {"bowl", "cup"},
}
_NOTHING = frozenset({"", "-", "–", "—", "--", "...", "…", "."})


@dataclass(frozen=True, slots=True)
class _Row:
    """What a row says of all its cells."""

    people: tuple[str | None, ...] = (None,)
    moment: str | None = None
    brew: str | None = None
    coffee: str | None = None
    bowl: str | None = None
    topic: str | None = None


def table_turns(table: Table, names: Names, layout: Layout, source: str) -> Iterator[Turn]:
    """A turn for every filled cell, row by row; `topic` is the column's (or the row's) heading, lower case. A taster's
    row without a word, and a dash in a taster's column, give a turn without words: there, and nothing found."""
    if not table.rows:
        return
    column = taster_column(table, names)
    head = [cell.text for cell in table.rows[0]] if table.headed or column is not None else []
    along = [speakers(Label(h, True, 0), names)[0] for h in head]
    if column is None and sum(1 for a in along if a) > 0:
        yield from _tasters_along(table, head, along, names, layout, source)
        return
    fields = {n: f for n, h in enumerate(head) if n != column and (f := _field(h))}
    first = head[column] if column is not None and column < len(head) else ""
    skip = 1 if table.headed or (column is not None and not names.inside(first)) else 0
    for cells, line in zip(table.rows[skip:], table.lines[skip:], strict=True):
        row = _row(cells, fields, column, names, layout)
        plain = column is None and not fields and len(cells) > 1
        if plain:
            row = _sided(row, cells[0].text, layout)
        empty = True
        for number, cell in enumerate(cells):
            if number == column or number in fields or (plain and number == 0):
                continue
            heading = head[number] if number < len(head) and not (plain and len(cells) == 2) else ""
            for turn in _cell(cell, _headed(row, heading, layout), names, source, line):
                empty = False
                yield turn
        if empty and column is not None:
            yield from _no_words(row, source, line)


def _tasters_along(
    table: Table, head: list[str], along: list[list[str]], names: Names, layout: Layout, source: str
) -> Iterator[Turn]:
    fields = {n: f for n, h in enumerate(head) if not along[n] and (f := _field(h)) and f != "moment"}
    for cells, line in zip(table.rows[1:], table.lines[1:], strict=True):
        row = _row(cells, fields, None, names, layout)
        side = next((c.text for n, c in enumerate(cells) if n not in fields and n < len(along) and not along[n]), "")
        row = _sided(row, side, layout)
        for number, cell in enumerate(cells):
            if number < len(along) and along[number]:
                theirs = replace(row, people=tuple(along[number]))
                dashed = cell.text and cell.text in _NOTHING
                yield from _no_words(theirs, source, line) if dashed else _cell(cell, theirs, names, source, line)


def _field(heading: str) -> str | None:
    """The column a heading stands for: moment, brew, coffee or bowl."""
    words = words_of(heading)
    return next((field for field, known in _FIELDS.items() if len(words) == 1 and words[0] in known), None)


def _row(cells: tuple[Strand, ...], fields: dict[int, str], column: int | None, names: Names, layout: Layout) -> _Row:
    said = {field: cells[number].text for number, field in fields.items() if number < len(cells)}
    moment, brew = said.get("moment", ""), said.get("brew", "")
    row = _Row(
        moment=layout.scene(moment)[0] or moment or None,
        brew=layout.scene(brew)[1] or brew or None,
        coffee=said.get("coffee") or None,
        bowl=said.get("bowl") or None,
    )
    if column is not None and column < len(cells) and cells[column].text:
        people, _ = speakers(Label(cells[column].text, True, 0), names)
        row = replace(row, people=tuple(people) or (None,))
    return row


def _sided(row: _Row, side: str, layout: Layout) -> _Row:
    """The row with what its first cell says: a moment, a brew, or else the topic."""
    moment, brew = layout.scene(side)
    return replace(row, moment=moment or row.moment, brew=brew or row.brew, topic=_topic(side, layout) or row.topic)


def _headed(row: _Row, heading: str, layout: Layout) -> _Row:
    """The row with what the column's heading says; a heading that is a moment does not undo the row's own."""
    moment, brew = layout.scene(heading)
    return replace(row, moment=row.moment or moment, brew=row.brew or brew, topic=_topic(heading, layout) or row.topic)


def _topic(heading: str, layout: Layout) -> str | None:
    """What a heading is about, unless it only tells the moment or the brew."""
    return heading.lower() if heading and (layout.is_topic(heading) or not any(layout.scene(heading))) else None


def _cell(cell: Strand, row: _Row, names: Names, source: str, line: int) -> Iterator[Turn]:
    if cell.text in _NOTHING:
        return
    for name, words in by_name(cell, names):
        for speaker in (name,) if name else row.people:
            empty = _empty(row, speaker, source, line)
            yield replace(empty, text=words.text, offsets=words.offsets, topic=row.topic)


def _no_words(row: _Row, source: str, line: int) -> Iterator[Turn]:
    """Somebody's row or cell in which nothing stands."""
    for speaker in row.people:
        if speaker:
            yield _empty(row, speaker, source, line)


def _empty(row: _Row, speaker: str | None, source: str, line: int) -> Turn:
    """A turn of somebody's row, with nothing in it."""
    return Turn(
        "",
        source,
        speaker=speaker,
        coffee=row.coffee,
        brew=row.brew,
        moment=row.moment,
        bowl=row.bowl,
        kind="cell",
        line=line,
    )
