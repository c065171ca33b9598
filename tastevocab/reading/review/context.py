"""Where the words of a reading stand: the text around them, and a mark by which they are known again after an edit."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from tastevocab.reading.records import Spot, Turn
from tastevocab.reading.report.contract import Item
from tastevocab.vocabulary.words import WORD, fold

TABLES = (".jsonl", ".ndjson", ".json", ".csv", ".tsv")
WORDS_AROUND = 4
TURNS_AROUND = 3
# What being the how-manieth it was adds to the likeness by which words are known again. House value.
SAME_PLACE = 0.25


@dataclass(frozen=True, slots=True)
class Passage:
    """A text that spans count in: a whole file, or one cell of a table with its row's id and line."""

    text: str
    note: str | None = None
    line: int = 0


class Texts:
    """The decoded texts of one file, in order: one passage, or a table's cells; `turns` are what was said in it."""

    def __init__(self, passages: Iterable[Passage] = (), *, table: bool = False, turns: Iterable[Turn] = ()) -> None:
        self.passages = tuple(passages)
        self.table = table
        self.turns = tuple(sorted((t for t in turns if t.text), key=_begin))
        self._begins = [_begin(t) for t in self.turns]
        self.rows: dict[tuple[int, str | None], list[int]] = {}
        for number, passage in enumerate(self.passages):
            self.rows.setdefault((passage.line, passage.note), []).append(number)

    @classmethod
    def of(cls, text: str) -> Texts:
        """A single text."""
        return cls([Passage(text)])

    def turn(self, spot: Spot) -> int | None:
        """Which of `turns` a spot stands in, None where that is not known."""
        number = bisect_right(self._begins, spot.span[0]) - 1
        return number if number >= 0 and _place(self.turns[number], spot) is not None else None

    def number(self, spot: Spot) -> int:
        """Which passage a spot stands in: of a row with several cells, the one that holds its words there."""
        if not self.table:
            return 0
        cells = self.rows.get((spot.line, spot.note), [])
        start, end = spot.span
        held = (n for n in cells if self.passages[n].text[start:end] == spot.words)
        return next(held, cells[0] if cells else len(self.passages))

    def at(self, spot: Spot) -> str:
        """The text that a spot's span counts in ("" if it is not there)."""
        number = self.number(spot)
        return self.passages[number].text if number < len(self.passages) else ""


def _begin(turn: Turn) -> int:
    return turn.file_position(0)


def _place(turn: Turn, spot: Spot) -> int | None:
    """Where in a turn's text the words of a spot begin, None if they do not stand there."""
    found = None
    for base, at in turn.offsets:
        if at <= spot.span[0]:
            found = base + spot.span[0] - at
    stands = found is not None and turn.text[found : found + len(spot.words)] == spot.words
    return found if stands else None


def texts_of(path: Path) -> Texts:
    """The texts that spans of a reading of `path` count in. Raises `InputError` where it cannot be read."""
    from tastevocab.reading.intake.files import read_turns, stream_turns

    if path.suffix.lower() in TABLES:
        return Texts((Passage(turn.text, turn.note, turn.line) for turn in stream_turns(path)), table=True)
    from tastevocab.reading.intake.decode import read_text

    return Texts([Passage(read_text(path)[0])], turns=read_turns(path).turns)


def heard_around(spot: Spot, texts: Texts, width: int = 60) -> tuple[str, str]:
    """As `around`, but as it was said: the words of the turns themselves, with the speaker where another one speaks."""
    number = texts.turn(spot)
    if number is None:
        return around(spot, texts, width)
    turn = texts.turns[number]
    at = _place(turn, spot) or 0
    earlier = texts.turns[max(0, number - TURNS_AROUND) : number]
    later = texts.turns[number + 1 : number + 1 + TURNS_AROUND]
    before = [*_said(earlier), *_said([turn], cut=at)] if earlier else [turn.text[:at]]
    after = [turn.text[at + len(spot.words) :], *_said(later)]
    return _cut(" ".join(" ".join(before).split()), " ".join(" ".join(after).split()), width)


def _said(turns: Sequence[Turn], cut: int | None = None) -> Iterator[str]:
    for turn in turns:
        yield f"{turn.speaker}: {turn.text[:cut]}" if turn.speaker else turn.text[:cut]


def around(spot: Spot, texts: Texts, width: int = 60) -> tuple[str, str]:
    """Up to `width` characters before and after the words, on one line, cut between words; "…" where more stands."""
    text, (start, end) = texts.at(spot), spot.span
    return _cut(_plain(text[max(0, start - 2 * width) : start]), _plain(text[end : end + 2 * width]), width)


def _cut(before: str, after: str, width: int) -> tuple[str, str]:
    if len(before) > width:
        before = "…" + before[-width:].partition(" ")[2]
    if len(after) > width:
        after = after[:width].rpartition(" ")[0] + "…"
    return before, after


_MARKUP = re.compile(r"</?[a-z][^<>\n]{0,80}>|\d[\d:.,]*\s*-->\s*\d[\d:.,]*|\n\s*\d+\s*(?=\n)", re.IGNORECASE)


def _plain(text: str) -> str:
    """Without caption marks and times, on one line."""
    return " ".join(_MARKUP.sub(" ", text).split())


def folded(words: str) -> str:
    """Words as compared: no case, no accents, one blank between."""
    return " ".join(fold(words).split())


def fingerprint(spot: Spot, texts: Texts) -> str:
    """The nearest words before and after, as compared, with a bar where the words themselves stand."""
    before, after = around(spot, texts, 200)
    left, right = WORD.findall(fold(before))[-WORDS_AROUND:], WORD.findall(fold(after))[:WORDS_AROUND]
    return f"{' '.join(left)} | {' '.join(right)}".strip()


def likeness(a: str, b: str) -> float:
    """How far two fingerprints share their words, 0..1 (Dice's measure over words with their counts).

    Two without a word around tell little: 0.5.
    """
    one, two = (Counter(w for w in text.split() if w != "|") for text in (a, b))
    total = one.total() + two.total()
    return 2 * (one & two).total() / total if total else 0.5


@dataclass(frozen=True, slots=True)
class Key:
    """By what an item is known again: its row, speaker, words, the how-manieth place of these words, what stands
    around them, and what it was read as (`was`: a descriptor, an attribute, or None if unknown)."""

    words: str
    note: str | None
    speaker: str | None
    occurrence: int
    context: str
    was: str | None


def target_of(item: Item) -> str | None:
    """The descriptor or attribute an item was read as, if any."""
    return getattr(item, "descriptor", None) or getattr(item, "attribute", None)


def keyed(items: Iterable[Item], texts: Texts) -> list[tuple[Key, Item]]:
    """Every item with its key, in the order given."""
    items = list(items)
    where = [(texts.number(item.spot), item.spot.span) for item in items]
    places: dict[tuple[str | None, str], set[tuple[int, tuple[int, int]]]] = {}
    for item, place in zip(items, where, strict=True):
        places.setdefault((item.spot.note, folded(item.spot.words)), set()).add(place)
    order = {of: {place: n for n, place in enumerate(sorted(found), 1)} for of, found in places.items()}
    made = []
    for item, place in zip(items, where, strict=True):
        spot = item.spot
        nth = order[spot.note, folded(spot.words)][place]
        key = Key(spot.words, spot.note, spot.speaker, nth, fingerprint(spot, texts), target_of(item))
        made.append((key, item))
    return made
