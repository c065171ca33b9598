"""What every reader of files must keep: turns whose characters stand where their offsets say."""

from __future__ import annotations

from tastevocab.reading.intake.files import TurnFile, turns_of
from tastevocab.reading.intake.layout import Layout

LAYOUT = Layout(
    moments={"dry": "dry", "crust": "aroma", "hot": "hot", "first sip": "hot", "cold": "cool", "as it cools": "warm"},
    topics=frozenset({"acidity", "body", "finish", "sweetness"}),
    brews={"filter": "filter", "shot": "espresso", "cold brew": "cold brew"},
)


def read(text: str, kind: str | None = None) -> TurnFile:
    return turns_of(text, source="table.txt", kind=kind, layout=LAYOUT)


def said(text: str, kind: str | None = None) -> list[tuple[str | None, str]]:
    """(speaker, words) of every turn that is no heading and no part of a sheet's head."""
    return [(t.speaker, t.text) for t in read(text, kind).turns if t.kind != "heading" and t.topic != "header"]


def sliced(file: TurnFile, number: int, words: str) -> str:
    """The characters of the file under `words` in a turn, by the turn's offsets."""
    turn = file.turns[number]
    start = turn.text.index(words)
    last = start + len(words) - 1
    return file.text[turn.file_position(start) : turn.file_position(last) + 1]
