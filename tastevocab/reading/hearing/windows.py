"""Talk as the encoder sees it: turns to pieces of words, a line of state before them, windows over a long recording.

Shared by reading and by fitting, so that both see the same; knows nothing but the standard library.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

START, STOP = 101, 102  # the pieces BERT vocabularies begin and end a text with
ANONYMOUS, VOICES = 9, 8  # unused pieces 1..8 are voices, 9 is one nobody names
LENGTH, LEFT, RIGHT = 384, 96, 32  # pieces in a window, and of them those that only lend their context
TURN, MARK = -2, -1  # in `Pieces.words`: the piece that opens a turn, a piece that is no word

BREWS = (
    "", "filter", "press", "milk", "espresso", "lungo", "siphon", "phin", "cupping", "cold", "moka", "iced",
)  # fmt: skip
MOMENTS = ("", "dry", "aroma", "hot", "warm", "cool")
COFFEES = 6  # as many coffees of one table are told apart; further ones are known by name only

# What is asked of a word, with the answers in the order of the fitted heads.
MAIN = ("", "found", "doubted", "denied", "assent", "aside", "quality")
REASONS = (
    "claim", "colour", "eaten or seen here", "equipment", "idiom", "memory", "name", "other", "other coffee",
    "other person", "process", "quality", "question", "recipe", "talk about the word", "teaching", "wish", "withdrawn",
)  # fmt: skip
ATTRIBUTES = (
    "acidity", "astringency", "balance", "bitterness", "body", "carbonation", "clean", "complexity", "finish",
    "intensity", "saltiness", "savoury", "sweetness", "texture", "warmth",
)  # fmt: skip
LEVELS = ("none", "low", "medium", "high")
DEGREES = ("", "barely", "weak", "moderate", "strong", "very strong")
PLACES = ("", "front", "middle", "back", "finish", "nose")
HEADS = {
    "main": len(MAIN), "begin": 2, "reason": len(REASONS), "attribute": len(ATTRIBUTES), "level": len(LEVELS),
    "degree": len(DEGREES), "place": len(PLACES), "coffee": COFFEES, "brew": len(BREWS), "moment": len(MOMENTS),
}  # fmt: skip
# Flags of a word: named by the vocabulary as flavour or quality, a taster's name, or the name of coffee 0, 1, ...
PLAIN, FLAVOUR, QUALITY, PERSON, COFFEE = 0, 1, 2, 3, 4
FLAGS = COFFEE + COFFEES


@dataclass(frozen=True, slots=True)
class Spoken:
    """A turn: its text, the places of its words, a flag for each, and whose voice it is (1..8; 9 nobody named)."""

    text: str
    words: tuple[tuple[int, int], ...]
    flags: tuple[int, ...]
    voice: int = ANONYMOUS


@dataclass(frozen=True, slots=True)
class State:
    """What is in hand as a window begins: number of the coffee (0 unknown, else 1 + its place), brew, moment; and what
    the table holds: how many coffees, which brews (places in `BREWS`)."""

    coffee: int = 0
    brew: int = 0
    moment: int = 0
    count: int = 0
    brews: tuple[int, ...] = ()

    def pieces(self) -> list[int]:
        """The unused pieces that say it, as a line before the talk."""
        known = [60 + min(self.count, COFFEES), *(70 + b for b in self.brews)]
        return [*known, 20 + min(self.coffee, COFFEES), 30 + self.brew, 50 + self.moment]


@dataclass(frozen=True, slots=True)
class Pieces:
    """A whole recording in pieces: ids, flags, the word of its turn each piece belongs to, and the turn's number."""

    ids: list[int]
    flags: list[int]
    words: list[int]
    turns: list[int]


def pieces_of(turns: Sequence[Spoken], tokenizer: Any) -> Pieces:
    """The pieces of all turns in a row; each turn is opened by its voice."""
    made = Pieces([], [], [], [])
    encoded = tokenizer.encode_batch([t.text for t in turns], add_special_tokens=False)
    for number, (turn, cut) in enumerate(zip(turns, encoded, strict=True)):
        words = list(_words(turn, cut.offsets))
        made.ids.extend([turn.voice, *cut.ids])
        made.flags.extend([PLAIN, *(turn.flags[w] if w >= 0 else PLAIN for w in words)])
        made.words.extend([TURN, *words])
        made.turns.extend([number] * (len(words) + 1))
    return made


def _words(turn: Spoken, offsets: Sequence[tuple[int, int]]) -> Iterator[int]:
    at = 0
    for start, end in offsets:
        while at < len(turn.words) and turn.words[at][1] <= start:
            at += 1
        inside = at < len(turn.words) and turn.words[at][0] < end
        yield at if inside and any(c.isalnum() for c in turn.text[start:end]) else MARK


@dataclass(frozen=True, slots=True)
class Window:
    """Pieces [low, high) of a recording, of which [start, end) are answered; the others lend their context."""

    low: int
    high: int
    start: int
    end: int


def windows(count: int, prefix: int) -> Iterator[Window]:
    """Windows over `count` pieces that answer each piece once; `prefix` pieces of each go to the line of state."""
    room = LENGTH - 2 - prefix
    start = 0
    while start < count:
        low = max(0, start - LEFT)
        high = min(count, low + room)
        end = high if high == count else high - RIGHT
        yield Window(low, high, start, end)
        start = end
