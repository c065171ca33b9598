"""The review queue: what is unsure, unknown or two-faced, each with its surroundings, candidates and their effect."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any, Literal

from tastevocab.reading.language.lexicon import Lexicon
from tastevocab.reading.records import Finding, Reading, SetAside, Spot, Unresolved
from tastevocab.reading.report.contract import Item, in_file_order
from tastevocab.reading.review.apply import apply, matched
from tastevocab.reading.review.context import Key, around, keyed
from tastevocab.reading.review.decisions import Decisions
from tastevocab.vocabulary.model import TwoFaced

Kind = Literal["not known", "sound", "spelling", "guess", "two-faced", "set aside"]
CANDIDATES = 3
SURE_GUESS = 0.25  # certainty at which a taster only guesses
SURE_SPELLING = 0.9  # a repaired spelling nearer than this is taken without asking


@dataclass(frozen=True, slots=True)
class Sheet:
    """One file of notes under review: where it lies, how it reads without any decision, and what was decided."""

    path: Path
    reading: Reading
    decisions: Decisions


@dataclass(frozen=True, slots=True)
class Effect:
    """People who found a descriptor in this coffee: now, then, and of how many."""

    now: int
    then: int
    of: int

    def __str__(self) -> str:
        change = f"stays {self.now}" if self.now == self.then else f"{self.now} -> {self.then}"
        return f"{change} of {self.of}"


@dataclass(frozen=True, slots=True)
class Candidate:
    """What an item may be: a descriptor, its printed name, how near it is (0..1, None where it is no matter of
    likeness), and what choosing it does to the count of people."""

    descriptor: str
    print: str
    match: float | None
    effect: Effect
    fault: bool = False


@dataclass(frozen=True, slots=True)
class Ask:
    """One question for a person: the item, why it is asked, the words around it, up to three candidates, and what
    rejecting it does to the count (None where it counts nobody)."""

    sheet: int
    key: Key
    item: Item
    kind: Kind
    why: str
    before: str
    after: str
    candidates: tuple[Candidate, ...]
    question: str = ""
    rejected: Effect | None = None


class Desk:
    """What questions need of a vocabulary: its names, and its two-faced words with their questions."""

    def __init__(self, lexicon: Lexicon, two_faced: Iterable[TwoFaced] = ()) -> None:
        self.lexicon = lexicon
        self.two_faced = [(tuple(lexicon.names.keys(t.word)), t) for t in two_faced]

    def asked_as(self, item: Finding) -> TwoFaced | None:
        """The two-faced word that a finding was made from, if it was."""
        words = self.lexicon.names.keys(item.spot.words)
        for keys, pair in self.two_faced:
            if pair.flavour == item.descriptor and set(keys) <= set(words):
                return pair
        return None


def reason(item: Item, desk: Desk, *, set_asides: bool = False) -> tuple[Kind, str] | None:
    """Why an item is a question, as its kind and a sentence; None where it is none."""
    if isinstance(item, Unresolved):
        return "not known", "no word of the vocabulary"
    if isinstance(item, SetAside):
        return ("set aside", f"set aside: {item.reason}") if set_asides else None
    if not isinstance(item, Finding):
        return None
    if item.present and item.two_faced and desk.asked_as(item):
        return "two-faced", "a flavour or a fault; only the taster knows"
    if item.via in ("sound", "heard"):
        return "sound", "taken by its sound"
    if item.via == "spelling" and item.match < SURE_SPELLING:
        return "spelling", "taken for a misspelling"
    if item.present and item.certainty <= SURE_GUESS:
        return "guess", "the taster guessed"
    return None


def unsure(reading: Reading, desk: Desk) -> Iterator[tuple[Finding, Kind, str]]:
    """The findings of a reading that are questions, with kind and reason, in file order."""
    for item in in_file_order(reading):
        found = reason(item, desk)
        if found and isinstance(item, Finding):
            yield item, *found


def queue(
    sheets: Sequence[Sheet], desk: Desk, *, panel: Iterable[str] = (), set_asides: bool = False
) -> tuple[Ask, ...]:
    """Everything in `sheets` to ask a person, in file order; what was decided is not asked again.

    `panel` are the tasters if they are known (else: everyone who speaks). With `set_asides` what was set aside is
    asked about, too.
    """
    people = People([apply(s.reading, s.decisions, whole=False) for s in sheets], panel)
    asks = []
    for number, sheet in enumerate(sheets):
        pairs = keyed(in_file_order(sheet.reading), sheet.decisions.texts)
        done, _ = matched(pairs, sheet.decisions.entries)
        for i, (key, item) in enumerate(pairs):
            why = None if i in done else reason(item, desk, set_asides=set_asides)
            if why:
                asks.append(_ask(number, key, item, why, sheet, desk, people))
    return tuple(asks)


def _ask(number: int, key: Key, item: Item, why: tuple[Kind, str], sheet: Sheet, desk: Desk, people: People) -> Ask:
    pair = desk.asked_as(item) if isinstance(item, Finding) and why[0] == "two-faced" else None
    before, after = around(item.spot, sheet.decisions.texts)
    prints, faults = desk.lexicon.prints, desk.lexicon.names.faults
    made = tuple(
        Candidate(id, prints.get(id, id), match, people.with_item(id, item), id in faults)
        for id, match in islice(_candidates(item, pair, desk), CANDIDATES)
    )
    question = pair.ask if pair else ""
    return Ask(number, key, item, why[0], why[1], before, after, made, question, people.without_item(item))


def _candidates(item: Item, pair: TwoFaced | None, desk: Desk) -> Iterator[tuple[str, float | None]]:
    """What an item may be, likeliest first: what it was read as, then what its words are like, then its kin."""
    if isinstance(item, Unresolved):
        yield from ((s.descriptor, s.match) for s in item.suggestions)
        return
    if not isinstance(item, (Finding, SetAside)) or item.descriptor is None:
        return
    seen = {item.descriptor}
    yield item.descriptor, item.match if isinstance(item, Finding) and item.via != "word" else None
    if pair:
        seen.add(pair.fault)
        yield pair.fault, None
    if isinstance(item, Finding) and item.via != "word":
        for id, match in desk.lexicon.guesser().nearest(item.spot.words):
            if id not in seen:
                seen.add(id)
                yield id, match
    for id in desk.lexicon.kin.get(item.descriptor, ()):
        if id not in seen:
            yield id, None


class People:
    """Who found what: distinct tasters with an own finding at a descriptor or below it, by coffee."""

    def __init__(self, readings: Iterable[Reading], panel: Iterable[str] = ()) -> None:
        self.found: dict[tuple[str | None, str], Counter[str]] = {}
        speakers: set[str] = set()
        for reading in readings:
            speakers |= reading.speakers.keys()
            for f in reading.findings:
                speakers.add(voice(f.spot))
                if counts(f):
                    self._count(f)
        self.of = len(set(panel) or speakers)

    def _count(self, f: Finding) -> None:
        steps = f.descriptor.split("/")
        for depth in range(1, len(steps) + 1):
            at = f.spot.coffee, "/".join(steps[:depth])
            self.found.setdefault(at, Counter())[voice(f.spot)] += 1

    def with_item(self, id: str, item: Item) -> Effect:
        """How many found `id` so far, and how many if the item means it."""
        now = self.found.get((item.spot.coffee, id), Counter())
        joins = not isinstance(item, Finding) or counts(item)
        then = len({*now, voice(item.spot)}) if joins else len(now)
        return Effect(len(now), then, max(self.of, then))

    def without_item(self, item: Item) -> Effect | None:
        """How many found what a finding was read as, and how many without it; None where it is not counted."""
        if not isinstance(item, Finding) or not counts(item):
            return None
        now = self.found.get((item.spot.coffee, item.descriptor), Counter())
        return Effect(len(now), len(now) - (now[voice(item.spot)] == 1), max(self.of, len(now)))


def counts(f: Finding) -> bool:
    """Whether a finding counts a person: said of oneself, and not denied."""
    return f.present and f.standing == "own"


def voice(spot: Spot) -> str:
    """Whose mouth: the speaker, else the row of the table, else somebody unknown in this file."""
    return spot.speaker or spot.note or f"? in {spot.source}"


def ask_row(ask: Ask, sheets: Sequence[Sheet]) -> Mapping[str, Any]:
    """A question as plain values; with `decide` (and `descriptor`) added it is a decision."""
    key, spot = ask.key, ask.item.spot
    return {
        "source": str(sheets[ask.sheet].path),
        "note": key.note,
        "speaker": key.speaker,
        "at": spot.at,
        "words": key.words,
        "occurrence": key.occurrence,
        "context": key.context,
        "was": key.was,
        "kind": ask.kind,
        "why": ask.why,
        "question": ask.question,
        "before": ask.before,
        "after": ask.after,
        "candidates": [
            {"descriptor": c.descriptor, "print": c.print, "match": c.match, "effect": str(c.effect), "fault": c.fault}
            for c in ask.candidates
        ],
    }
