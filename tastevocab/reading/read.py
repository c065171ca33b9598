"""Whole texts, files and tables to a reading."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from tastevocab.reading.language.items import Item
from tastevocab.reading.language.lexicon import Lexicon
from tastevocab.reading.language.reader import Reader
from tastevocab.reading.records import AttributeFinding, Finding, Reading, SetAside, Table, Turn, Unresolved


def read_turns(
    turns: Iterable[Turn],
    lexicon: Lexicon,
    notices: tuple[str, ...] = (),
    *,
    isolated: bool = False,
    table: Table | None = None,
) -> Reading:
    """The reading of turns in order. `isolated`: each stands alone (rows of a table), nothing is inherited; `table`
    is what is known of who tasted what."""
    turns = list(turns)
    people = sorted({t.speaker for t in turns if t.speaker})
    reader = Reader(lexicon, () if isolated else people, isolated=isolated)
    items: list[Item] = []
    speakers: dict[str, int] = {}
    for turn in turns:
        made = reader.read(turn)
        _take_back(items, reader.withdrawn)
        items.extend(made)
        if turn.speaker:
            speakers[turn.speaker] = speakers.get(turn.speaker, 0) + 1
    return _gathered(items, notices, speakers)


def _take_back(items: list[Item], targets: list[str]) -> None:
    """Set aside the latest finding of each withdrawn target among the last dozen items."""
    while targets:
        target = targets.pop()
        for at in range(len(items) - 1, max(-1, len(items) - 13), -1):
            item = items[at]
            if isinstance(item, Finding) and item.descriptor == target:
                items[at] = SetAside(item.spot, "withdrawn", target)
                break


def _gathered(items: Iterable[Item], notices: tuple[str, ...], speakers: Mapping[str, int]) -> Reading:
    kinds: dict[type, list[Any]] = {Finding: [], AttributeFinding: [], SetAside: [], Unresolved: []}
    for item in items:
        kinds[type(item)].append(item)
    findings, attributes, set_aside, unresolved = map(tuple, kinds.values())
    return Reading(findings, attributes, set_aside, unresolved, notices, speakers)


def with_defaults(turn: Turn, defaults: Mapping[str, str]) -> Turn:
    """`turn` with what it does not say itself filled in (taster, coffee, brew, moment, bowl)."""
    if not defaults:
        return turn
    return replace(
        turn,
        speaker=turn.speaker or defaults.get("taster"),
        coffee=turn.coffee or defaults.get("coffee"),
        brew=turn.brew or defaults.get("brew"),
        moment=turn.moment or defaults.get("moment"),
        bowl=turn.bowl or defaults.get("bowl"),
    )


def read_file(
    path: Path, lexicon: Lexicon, *, defaults: Mapping[str, str] | None = None, table: Table | None = None
) -> Reading:
    """The reading of one file; `table` is what is known of who tasted what. Raises `InputError` where it cannot be
    read."""
    from tastevocab.reading.intake.files import read_turns as turns_of_file

    file = turns_of_file(path)
    rows = file.kind in ("csv", "jsonl")
    turns = (with_defaults(t, defaults or {}) for t in file.turns)
    return read_turns(turns, lexicon, tuple(file.notices), isolated=rows, table=table)


def read_text(
    text: str, lexicon: Lexicon, *, source: str = "<text>", defaults: Mapping[str, str] | None = None
) -> Reading:
    """The reading of one typed note."""
    turn = Turn(text, source, kind="note")
    return read_turns([with_defaults(turn, defaults or {})], lexicon, isolated=True)


def stream_file(path: Path, lexicon: Lexicon, *, defaults: Mapping[str, str] | None = None) -> Iterator[Reading]:
    """A reading a row of a table of notes, with memory that does not grow with the table."""
    from tastevocab.reading.intake.files import stream_turns

    reader = Reader(lexicon, isolated=True)
    for turn in stream_turns(path):
        yield _gathered(reader.read(with_defaults(turn, defaults or {})), (), {})
