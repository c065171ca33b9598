"""A note as it was read, in plain values: what its taster is shown, to keep, put right or take back."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from tastevocab.reading.language.lexicon import Lexicon
from tastevocab.reading.read import read_text
from tastevocab.reading.records import AttributeFinding, Finding, SetAside
from tastevocab.reading.report.contract import Item, in_file_order
from tastevocab.reading.review.context import target_of
from tastevocab.vocabulary.model import Vocabulary
from tastevocab.vocabulary.words import fold

Row = dict[str, Any]
MOST_FOUND = 12


class Reader:
    """Reads notes and finds descriptors by their names, with one vocabulary."""

    def __init__(self, vocabulary: Vocabulary, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.attributes = vocabulary.attributes
        self.tops = {d.id: d.print for d in vocabulary.descriptors.values()}
        self.index = [
            (fold(word), d.id)
            for d in vocabulary.descriptors.values()
            if not d.use_instead
            for word in dict.fromkeys((d.print, *(word for words in d.words.values() for word in words)))
        ]

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

    def find(self, words: str) -> list[Row]:
        """Descriptors by the beginnings of their names, the nearest first; at most `MOST_FOUND`."""
        asked = " ".join(fold(words).split())
        if len(asked) < 2:
            return []
        best: dict[str, tuple[int, int, str]] = {}
        for name, id in self.index:
            rank = 0 if name == asked else 1 if name.startswith(asked) else 3 if f" {asked}" in f" {name}" else None
            if rank is not None:
                other = name != fold(self.tops[id])  # a name that is not the label: after those that are
                best[id] = min(best.get(id, (9, 0, "")), (rank + other, len(name), name))
        ranked = sorted(best, key=lambda id: (*best[id], id))[:MOST_FOUND]
        return [self._found(id, best[id][2]) for id in ranked]

    def _found(self, id: str, name: str) -> Row:
        label = self.tops[id]
        return {"descriptor": id, "print": label, "as": name if name != fold(label) else "", "home": self._home(id)}

    def _home(self, id: str) -> str:
        parts = id.split("/")
        above = ["/".join(parts[:n]) for n in range(1, len(parts))] if not id.startswith("reach/") else []
        return " > ".join(self.tops[a] for a in above if a in self.tops) or "broad word"


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
