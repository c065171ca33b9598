"""The review queue: what is asked, unsure, unknown or two-faced, each with its surroundings, candidates and effect.

What would change most comes first (see `_rank`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from tastevocab.reading.records import AttributeFinding, Finding, Reading, Spot, Unresolved
from tastevocab.reading.report.contract import Item, in_file_order
from tastevocab.reading.review.apply import apply, matched
from tastevocab.reading.review.company import NOBODY, Company, People
from tastevocab.reading.review.context import Key, keyed, target_of
from tastevocab.reading.review.decisions import Decision, Decisions
from tastevocab.reading.review.question import Ask, Candidate, Desk, asking, reason
from tastevocab.reading.review.stretches import Stretches


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
            item = stretches.over(item)
            why = reason(item, desk, set_asides=set_asides, firm=firm)
            if why and not names.covers(item):
                asks.append(asking(number, key, item, why, sheet.decisions.texts, desk, people))
    return tuple(_once(sorted(asks, key=lambda ask: _rank(ask, people, claims))))


def _once(asks: Iterable[Ask]) -> Iterator[Ask]:
    """Of questions that one answer settles the first: which coffee a stretch of talk is of."""
    seen = set()
    for ask in asks:
        crossing = getattr(ask.item, "crossing", None)
        stretch = (ask.sheet, crossing.start, crossing.end) if crossing else None
        if stretch is None or stretch not in seen:
            yield ask
        seen.add(stretch)


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
    near = [gap for c in likely if (gap := people.gap(c.descriptor, c.effect, _spot(c, item))) is not None]
    if ask.rejected and ask.rejected.crosses():
        near.append(0)
    effects = [*(c.effect for c in likely), *([ask.rejected] if ask.rejected else ())]
    idle = bool(effects) and all(e.now == e.then for e in effects)
    claimed = any(c.descriptor == claim or c.descriptor.startswith(f"{claim}/") for c in likely for claim in claims)
    group = 4 if shown else 0 if near else 1 if any(c.fault for c in likely) else 2 if claimed else 3
    sure = max((s.match for s in item.suggestions), default=0.0) if isinstance(item, Unresolved) else item.sure
    return group, min(near, default=0) if group == 0 else 0, idle, -sure


def _spot(candidate: Candidate, item: Item) -> Spot:
    return replace(item.spot, coffee=candidate.coffee) if candidate.coffee else item.spot


def _claimed(claims: Iterable[str], desk: Desk) -> Iterator[str]:
    from tastevocab.vocabulary.compose import whole

    for claim in claims:
        known = whole(desk.lexicon.names, claim)
        if known and known.descriptor:
            yield known.descriptor


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
                **({"coffee": c.coffee} if c.coffee else {}),
            }
            for c in ask.candidates
        ],
        "sure": getattr(ask.item, "sure", None),
        "signs": getattr(ask.item, "signs", ()),
    }


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
