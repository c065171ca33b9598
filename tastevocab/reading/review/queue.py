"""The review queue: what is asked, unsure, unknown or two-faced, each with its surroundings, candidates and effect.

What would change most comes first (see `_rank`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any, Literal

from tastevocab.reading.language.lexicon import Lexicon
from tastevocab.reading.records import AttributeFinding, Finding, Reading, SetAside, Spot, Table, Unresolved
from tastevocab.reading.report.contract import Item, in_file_order
from tastevocab.reading.report.signs import told_signs
from tastevocab.reading.review.apply import apply, matched
from tastevocab.reading.review.context import Key, heard_around, keyed, target_of
from tastevocab.reading.review.decisions import Decision, Decisions
from tastevocab.reading.review.stretches import Stretches
from tastevocab.vocabulary.model import TwoFaced

Kind = Literal["asked", "not known", "sound", "spelling", "guess", "two-faced", "set aside", "counted"]
CANDIDATES = 3
SURE_GUESS = 0.25  # certainty at which a taster only guesses
SURE_SPELLING = 0.9  # a repaired spelling nearer than this is taken without asking


@dataclass(frozen=True, slots=True)
class Sheet:
    """One file of notes under review: where it lies, how it reads without any decision, and what was decided.

    Where they were made before: `now`, the reading with the decisions, and `pairs`, the items in file order with keys.
    """

    path: Path
    reading: Reading
    decisions: Decisions
    now: Reading | None = None
    pairs: Sequence[tuple[Key, Item]] | None = None


@dataclass(frozen=True, slots=True)
class Company:
    """Who tasted what, as far as it is known: the panel's `tasters` (none: everyone who speaks), their other names
    (`voices`, by the name as spoken), and the table with its coffees, brews and claims."""

    tasters: tuple[str, ...] = ()
    voices: Mapping[str, str] = field(default_factory=dict)
    table: Table = field(default_factory=Table)

    def who(self, spot: Spot) -> str:
        """Whose mouth, in the panel's names."""
        name = voice(spot)
        return self.voices.get(name) or self.voices.get(name.casefold()) or name

    def coffee(self, spot: Spot) -> str | None:
        """Which coffee, by the table's id where it is named otherwise; a single one on the table is meant unsaid."""
        poured = self.table.coffees
        if not spot.coffee:
            return poured[0].id if len(poured) == 1 else None
        said = spot.coffee.casefold()
        return next((c.id for c in poured if said in (n.casefold() for n in (c.id, *c.names))), spot.coffee)


NOBODY = Company()


@dataclass(frozen=True, slots=True)
class Effect:
    """People who found a descriptor in this coffee: now, then, and of how many."""

    now: int
    then: int
    of: int

    def crosses(self) -> bool:
        """Whether the quorum lies between now and then."""
        return (self.now < quorum(self.of)) != (self.then < quorum(self.of))

    def __str__(self) -> str:
        change = f"stays {self.now}" if self.now == self.then else f"{self.now} -> {self.then}"
        return f"{change} of {self.of}"


@dataclass(frozen=True, slots=True)
class Candidate:
    """What an item may be: a descriptor, its printed name, how near it is (0..1, None where it is no matter of
    likeness), what choosing it does to the count of people, and whether it is found or denied."""

    descriptor: str
    print: str
    match: float | None
    effect: Effect
    fault: bool = False
    present: bool = True


@dataclass(frozen=True, slots=True)
class Ask:
    """One question for a person: the item, why it is asked, the words around it, up to three candidates, what
    rejecting it does to the count (None where it counts nobody), and the signs of its judgement in words."""

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
    signs: str = ""


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


def reason(item: Item, desk: Desk, *, set_asides: bool = False, firm: bool = False) -> tuple[Kind, str] | None:
    """Why an item is a question, as its kind and a sentence; None where it is none."""
    if isinstance(item, Unresolved):
        return "not known", "no word of the vocabulary"
    if isinstance(item, SetAside):
        return ("set aside", f"set aside: {item.reason}") if set_asides else None
    found = _doubt(item, desk) if isinstance(item, Finding) else None
    if item.asked:
        kind = found[0] if found and found[0] == "two-faced" else "asked"
        beside = f" ({found[1]})" if found else ""
        return kind, f"counted for nobody yet ({percent(item.sure)} sure): {_either(item, desk)}{beside}"
    return found or (("counted", "counted as it stands") if firm else None)


def _doubt(f: Finding, desk: Desk) -> tuple[Kind, str] | None:
    """What is unsure about a finding besides whether it counts."""
    if f.present and f.two_faced and desk.asked_as(f):
        return "two-faced", "a flavour or a fault; only the taster knows"
    if f.via in ("sound", "heard"):
        return "sound", "taken by its sound"
    if f.via == "spelling" and f.match < SURE_SPELLING:
        return "spelling", "taken for a misspelling"
    if f.present and f.certainty <= SURE_GUESS:
        return "guess", "the taster guessed"
    return None


def _either(item: Finding | AttributeFinding, desk: Desk) -> str:
    if isinstance(item, AttributeFinding):
        return f"{item.attribute} {item.level}, or not said of it?"
    name = desk.lexicon.prints.get(item.descriptor, item.descriptor)
    return f"{name}, {'found or denied' if item.present else 'denied or found'}?"


def percent(sure: float) -> str:
    """How sure, for people."""
    return f"{100 * sure:.0f} %"


def unsure(reading: Reading, desk: Desk) -> Iterator[tuple[Finding, Kind, str]]:
    """The counted findings of a reading that are questions, with kind and reason, in file order."""
    for item in in_file_order(reading):
        found = reason(item, desk)
        if found and isinstance(item, Finding) and not item.asked:
            yield item, *found


def queue(
    sheets: Sequence[Sheet],
    desk: Desk,
    *,
    company: Company = NOBODY,
    set_asides: bool = False,
    firm: bool = False,
) -> tuple[Ask, ...]:
    """Everything in `sheets` to ask a person, what would change most first; what was decided is not asked again.

    With `set_asides` what was set aside is asked about, too, with `firm` what is counted without doubt.
    """
    people = People([s.now or apply(s.reading, s.decisions, whole=False) for s in sheets], company)
    names = _Names(sheets, desk, company)
    claims = frozenset(_claimed(company.table.claims, desk))
    asks = []
    for number, sheet in enumerate(sheets):
        pairs = sheet.pairs
        if pairs is None:
            pairs = keyed(in_file_order(sheet.reading), sheet.decisions.texts)
        done, _ = matched(pairs, sheet.decisions.entries)
        stretches = Stretches(sheet.reading, sheet.decisions)
        for i, (key, item) in enumerate(pairs):
            if i in done and _settles(done[i], item):
                continue
            why = reason(item, desk, set_asides=set_asides, firm=firm)
            if why and not names.covers(item):
                asks.append(_ask(number, key, stretches.over(item), why, sheet, desk, people))
    return tuple(sorted(asks, key=lambda ask: _rank(ask, people, claims)))


def _settles(d: Decision, item: Item) -> bool:
    """Whether a decision answers all that is asked of an item; a house word only says what the words mean."""
    waits = isinstance(item, (Finding, AttributeFinding)) and item.asked
    return not (waits and d.decide == "house" and target_of(item) == d.descriptor)


# --- the order ---


def _rank(ask: Ask, people: People, claims: frozenset[str]) -> tuple[float, ...]:
    """First what may bring a descriptor over the quorum of its coffee or below it, then faults, then what is claimed,
    then the surest (before those that change no count); at the end what is counted or set aside and only shown."""
    item = ask.item
    shown = ask.kind in ("set aside", "counted")
    likely = ask.candidates[: 1 if isinstance(item, Unresolved) else 2]
    near = [gap for c in likely if (gap := people.gap(c, item)) is not None]
    if ask.rejected and ask.rejected.crosses():
        near.append(0)
    effects = [*(c.effect for c in likely), *([ask.rejected] if ask.rejected else ())]
    idle = bool(effects) and all(e.now == e.then for e in effects)
    claimed = any(c.descriptor == claim or c.descriptor.startswith(f"{claim}/") for c in likely for claim in claims)
    group = 4 if shown else 0 if near else 1 if any(c.fault for c in likely) else 2 if claimed else 3
    sure = max((s.match for s in item.suggestions), default=0.0) if isinstance(item, Unresolved) else item.sure
    return group, min(near, default=0) if group == 0 else 0, idle, -sure


def _claimed(claims: Iterable[str], desk: Desk) -> Iterator[str]:
    from tastevocab.vocabulary.compose import whole

    for claim in claims:
        known = whole(desk.lexicon.names, claim)
        if known and known.descriptor:
            yield known.descriptor


# --- what is never asked ---


class _Names:
    """Names of tasters and coffees, and words of brewing: these are no flavours to ask about."""

    def __init__(self, sheets: Sequence[Sheet], desk: Desk, company: Company) -> None:
        self.lexicon = desk.lexicon
        table = company.table
        spots = [item.spot for sheet in sheets for item in in_file_order(sheet.reading)]
        people = {*table.tasters, *company.tasters, *company.voices, *(s.speaker for s in spots if s.speaker)}
        people |= {name for sheet in sheets for name in sheet.reading.speakers}
        coffees = {name for c in table.coffees for name in (c.id, *c.names)} | {s.coffee for s in spots if s.coffee}
        brews = {name for brew in table.brews for name in brew}
        self.names = {self._keys(name) for name in people | coffees}
        self.parts = {key for keys in self.names for key in keys} | {k for name in brews for k in self._keys(name)}
        for pattern in desk.lexicon.patterns:
            if pattern.kind == "brew":
                self.parts |= {key for words in pattern.words for key in self._keys(words)}

    def _keys(self, words: str) -> tuple[str, ...]:
        plain = words.replace("_", " ").replace("\u2019", "'").replace("'s", "")
        return tuple(self.lexicon.names.keys(plain))

    def covers(self, item: Item) -> bool:
        """Whether the words are nothing but a name: an unknown word any part of one, a flavour's word a whole one
        written as a name is ("Rose" who sits at the table; a rose is asked about)."""
        words = item.spot.words
        keys = self._keys(words)
        if isinstance(item, Unresolved):
            small = self.lexicon.small | self.lexicon.ordinary
            return bool(keys) and all(key in self.parts or key in small for key in keys)
        if isinstance(item, AttributeFinding) or item.spot.note:
            return False
        return keys in self.names and words[:1].isupper()


# --- one question ---


def _ask(number: int, key: Key, item: Item, why: tuple[Kind, str], sheet: Sheet, desk: Desk, people: People) -> Ask:
    pair = desk.asked_as(item) if isinstance(item, Finding) and why[0] == "two-faced" else None
    before, after = heard_around(item.spot, sheet.decisions.texts)
    prints, faults = desk.lexicon.prints, desk.lexicon.names.faults
    made = tuple(
        Candidate(id, prints.get(id, id), match, people.with_item(id, item, present), id in faults, present)
        for id, match, present in islice(_candidates(item, why[0], pair, desk), CANDIDATES)
    )
    question = pair.ask if pair else ""
    return Ask(number, key, item, why[0], why[1], before, after, made, question, people.without_item(item), _why(item))


def _why(item: Item) -> str:
    """What spoke for a judgement and what against, where a person can still turn it."""
    return "" if isinstance(item, Unresolved) else told_signs(item.signs)


def _candidates(item: Item, kind: Kind, pair: TwoFaced | None, desk: Desk) -> Iterator[tuple[str, float | None, bool]]:
    """What an item may be, likeliest first: what it was read as, then what its words are like, then its kin.

    Of what is asked as a whole, the second is the opposite: denied where it was read as found.
    """
    if isinstance(item, Unresolved):
        yield from ((s.descriptor, s.match, True) for s in item.suggestions)
        return
    if not isinstance(item, (Finding, SetAside)) or item.descriptor is None:
        return
    seen = {item.descriptor}
    present = not isinstance(item, Finding) or item.present
    yield item.descriptor, item.match if isinstance(item, Finding) and item.via != "word" else None, present
    if pair:
        seen.add(pair.fault)
        yield pair.fault, None, True
    if kind in ("asked", "counted"):
        yield item.descriptor, None, not present
    if isinstance(item, Finding) and item.via != "word":
        for id, match in desk.lexicon.guesser().nearest(item.spot.words):
            if id not in seen:
                seen.add(id)
                yield id, match, present
    for id in desk.lexicon.kin.get(item.descriptor, ()):
        if id not in seen:
            yield id, None, present


class People:
    """Who found what: distinct tasters with an own finding at a descriptor or below it, by coffee; `maybe` counts those
    of whom it is asked."""

    def __init__(self, readings: Iterable[Reading], company: Company = NOBODY) -> None:
        self.company = company
        self.found: dict[tuple[str | None, str], Counter[str]] = {}
        self.maybe: dict[tuple[str | None, str], set[str]] = {}
        speakers: set[str] = set()
        for reading in readings:
            speakers |= {company.who(Spot("", (0, 0), "", speaker=name)) for name in reading.speakers}
            for f in reading.findings:
                speakers.add(company.who(f.spot))
                if counts(f):
                    for at in _above(company.coffee(f.spot), f.descriptor):
                        self.found.setdefault(at, Counter())[company.who(f.spot)] += 1
            for a in reading.asked:
                if isinstance(a, Finding) and a.standing == "own":
                    for at in _above(company.coffee(a.spot), a.descriptor):
                        self.maybe.setdefault(at, set()).add(company.who(a.spot))
        self.of = len(set(company.tasters) or speakers)

    def with_item(self, id: str, item: Item, present: bool = True) -> Effect:
        """How many found `id` so far, and how many if the item means it (`present`) or denies it."""
        if not present:
            counted = self.without_item(item) if isinstance(item, Finding) and item.descriptor == id else None
            return counted or self._stays(id, item)
        now = self.found.get((self.company.coffee(item.spot), id), Counter())
        joins = not isinstance(item, Finding) or item.standing == "own"
        then = len({*now, self.company.who(item.spot)}) if joins else len(now)
        return Effect(len(now), then, max(self.of, then))

    def _stays(self, id: str, item: Item) -> Effect:
        now = len(self.found.get((self.company.coffee(item.spot), id), ()))
        return Effect(now, now, max(self.of, now))

    def without_item(self, item: Item) -> Effect | None:
        """How many found what a finding was read as, and how many without it; None where it is not counted."""
        if not isinstance(item, Finding) or not counts(item):
            return None
        now = self.found.get((self.company.coffee(item.spot), item.descriptor), Counter())
        return Effect(len(now), len(now) - (now[self.company.who(item.spot)] == 1), max(self.of, len(now)))

    def gap(self, candidate: Candidate, item: Item) -> int | None:
        """How many people a candidate lacks to its quorum, if this item and all others that are asked can make them
        up; None where they cannot, or where it is reached without them."""
        effect = candidate.effect
        if effect.now == effect.then:
            return None
        at = self.company.coffee(item.spot), candidate.descriptor
        most = {*self.found.get(at, ()), *self.maybe.get(at, ()), self.company.who(item.spot)}
        needed = quorum(effect.of)
        if effect.then < effect.now:
            return 0 if effect.crosses() else None
        return needed - effect.now if effect.now < needed <= len(most) else None


def _above(coffee: str | None, descriptor: str) -> Iterator[tuple[str | None, str]]:
    steps = descriptor.split("/")
    for depth in range(1, len(steps) + 1):
        yield coffee, "/".join(steps[:depth])


def quorum(tasters: int) -> int:
    """The least people a printed word needs: more than half of the tasters, and at least two."""
    return max(2, tasters // 2 + 1)


def counts(f: Finding) -> bool:
    """Whether a finding counts a person: said of oneself, not denied, and not only asked about."""
    return f.present and f.standing == "own" and not f.asked


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
            {
                "descriptor": c.descriptor,
                "print": c.print,
                "match": c.match,
                "effect": str(c.effect),
                "fault": c.fault,
                "present": c.present,
            }
            for c in ask.candidates
        ],
        "sure": getattr(ask.item, "sure", None),
        "signs": getattr(ask.item, "signs", ()),
    }
