"""A note as it was read, in plain values: what its taster is shown, to keep, put right or take back."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from tastevocab.reading.read import read_text
from tastevocab.reading.records import AttributeFinding, Finding, SetAside
from tastevocab.reading.report.contract import Item, in_file_order
from tastevocab.reading.review.context import target_of
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.vocabulary.model import Vocabulary

Row = dict[str, Any]


class Reader:
    """Reads notes with one vocabulary."""

    def __init__(self, vocabulary: Vocabulary, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.attributes = vocabulary.attributes
        self.tops = {d.id: d.print for d in vocabulary.descriptors.values()}

    def read(self, text: str, moment: str = "", bowl: str = "") -> list[Row]:
        """What a note says, in the order of its words."""
        defaults = {"moment": moment, "bowl": bowl}
        reading = read_text(text, self.lexicon, defaults={k: v for k, v in defaults.items() if v})
        return [self._row(item) for item in in_file_order(reading)]

    def _row(self, item: Item) -> Row:
        spot, was = item.spot, target_of(item) or ""
        row = {"words": spot.words, "start": spot.span[0], "end": spot.span[1], "was": was, "state": _state(item)}
        if isinstance(item, AttributeFinding):
            name = self.attributes[was].print if was in self.attributes else was
            return {**row, "print": f"{name}: {item.level}"}
        if isinstance(item, Finding):
            return {**row, "print": self.tops.get(was, was), "how": _how(item), "fault": item.fault}
        if isinstance(item, SetAside):
            return {**row, "print": self.tops.get(was, was), "how": item.reason}
        return {**row, "print": ""}


def _state(item: Item) -> str:
    if isinstance(item, SetAside):
        return "aside"
    if not isinstance(item, (Finding, AttributeFinding)):
        return "unknown"
    if item.asked:
        return "asked"
    if isinstance(item, Finding) and not item.present:
        return "denied"
    return "fault" if isinstance(item, Finding) and item.fault else "counted"


def _how(f: Finding) -> str:
    """Degree and doubt, in words."""
    return ", ".join(part for part in (f.degree or "", "maybe" if f.hedged else "") if part)


def settled(rows: Sequence[Row], said: Mapping[tuple[int, int, str], Any], prints: Callable[[str], str]) -> list[Row]:
    """Rows with what the taster said of each: `said` maps (start, end, was) to the last `Mark` on it."""
    return [_settled(row, said.get((row["start"], row["end"], row["was"])), prints) for row in rows]


def _settled(row: Row, mark: Any, prints: Callable[[str], str]) -> Row:
    if mark is None or mark.words != row["words"]:
        return row
    if mark.verdict == "wrong":
        return {**row, "verdict": "wrong", "state": "aside", "how": "taken back"}
    if mark.verdict == "change":
        return {**row, "verdict": "change", "state": "counted", "print": prints(mark.descriptor), "how": "put right"}
    state = "counted" if row["state"] in ("asked", "aside") else row["state"]
    return {**row, "verdict": "keep", "state": state}
