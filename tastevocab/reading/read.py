"""Whole texts, files and tables to a reading."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from tastevocab.reading.intake.long_turns import shorter
from tastevocab.reading.language.items import Item
from tastevocab.reading.language.reader import items_in, note_items, spoken
from tastevocab.reading.records import AttributeFinding, Finding, Reading, SetAside, Spot, Table, Turn, Unresolved
from tastevocab.reading.words.lexicon import Lexicon


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
    speakers = Counter(t.speaker for t in turns if t.speaker)
    items = items_in([part for t in turns for part in shorter(t)], lexicon, isolated=isolated, table=table)
    return _gathered(items, (*notices, *_by_turns(turns, lexicon)), speakers)


def _by_turns(turns: Sequence[Turn], lexicon: Lexicon) -> Iterator[str]:
    """What is to be said of talk that the network does not know."""
    known = lexicon.looks.languages[0]
    talk = [t for t in turns if t.kind == "talk"]
    other = [(t, language) for t, language in spoken(talk, lexicon) if language != known] if talk else ()
    if other:
        tags = " and ".join(sorted({language for _, language in other}))
        yield (
            f"{other[0][0].source}: {len(other)} of {len(talk)} turns are in {tags} and were read one by one, as typed "
            "notes are: who agrees with whom, and which brew or moment is in hand, is not heard there."
        )


def _gathered(items: Iterable[Item | Spot], notices: tuple[str, ...], speakers: Mapping[str, int]) -> Reading:
    kinds: dict[type, list[Any]] = {Finding: [], AttributeFinding: [], SetAside: [], Unresolved: [], Spot: []}
    asked: list[Finding | AttributeFinding] = []
    for item in items:
        if isinstance(item, (Finding, AttributeFinding)) and item.asked:
            asked.append(item)
        else:
            kinds[type(item)].append(item)
    findings, attributes, set_aside, unresolved, said = map(tuple, kinds.values())
    return Reading(findings, attributes, set_aside, unresolved, notices, dict(speakers), tuple(asked), said)


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

    for turn in stream_turns(path):
        parts = shorter(with_defaults(turn, defaults or {}))
        yield _gathered((item for part in parts for item in note_items(part, lexicon, {})), (), {})
