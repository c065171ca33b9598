"""Names as they were said or written to the ids of a session: who, which coffee, which brew."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import TypeVar

from tastevocab.errors import InputError, Place, near
from tastevocab.panel.session import Session, Source
from tastevocab.panel.table import called
from tastevocab.reading.records import AttributeFinding, Finding, Reading, SetAside, Spot, Unresolved

TABLES = (".csv", ".tsv", ".jsonl")
_MARK = re.compile(r"(?:\w+\s+)?([^\W\d_]|\d{1,3})")
"""A cup's mark, bare or after one word: sheets say "A" where talk says "cup A"."""

Judged = TypeVar("Judged", Finding, AttributeFinding, Finding | AttributeFinding)
Beside = TypeVar("Beside", SetAside, Unresolved)


class Settler:
    """Turns names as written into the session's ids, and remembers what it could not."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.tasters = _by_name(session.tasters)
        self.coffees = {id.casefold(): id for id in session.coffees}
        for coffee in session.coffees.values():
            for name in called(session, coffee):
                self.coffees.setdefault(name.casefold(), coffee.id)
        self.marks = _marked(self.coffees)
        self.only = next(iter(session.coffees)) if len(session.coffees) == 1 else None
        self.methods: dict[str, list[str]] = {}
        for card in session.brews.values():
            self.methods.setdefault(card.method.casefold(), []).append(card.id)
        self.brews = {id.casefold(): id for id in session.brews}
        self.strangers: Counter[tuple[str, str]] = Counter()
        self.homeless: Counter[str] = Counter()
        self.unclear: Counter[str] = Counter()
        self.wrong: dict[tuple[str, str, str], Source] = {}

    def settle(self, source: Source, reading: Reading) -> Reading:
        """The reading of one entry with everything in the session's ids; what fits nobody has None there."""
        names = self._names(source)
        spots: dict[Spot, Spot] = {}

        def at(spot: Spot) -> Spot:
            if spot not in spots:
                spots[spot] = self._spot(source, spot, names)
            return spots[spot]

        for spot in (*(f.spot for f in reading.findings), *(a.spot for a in reading.attributes)):
            self._remember(source, spot, at(spot))
        speakers: Counter[str] = Counter()
        for name, turns in reading.speakers.items():
            speakers[_named(name, names) or name] += turns
        known, unknown = self._without_names(reading.unresolved, names)
        return replace(
            reading,
            speakers=dict(speakers),
            findings=_judged(source, reading.findings, at),
            attributes=_judged(source, reading.attributes, at),
            asked=_judged(source, reading.asked, at),
            set_aside=_beside((*reading.set_aside, *known), at),
            unresolved=_beside(unknown, at),
            said=tuple(map(at, reading.said)),
        )

    def who(self, source: Source, name: str) -> str | None:
        """The taster who goes by a name in a source, None for a stranger."""
        return _named(name, self._names(source))

    def _without_names(
        self, found: Iterable[Unresolved], names: Mapping[str, str]
    ) -> tuple[list[SetAside], list[Unresolved]]:
        """Unknown words that are a person's or a coffee's name, set aside as such, and the others."""
        called = {part for name in (*names, *self.coffees) for part in (name.casefold(), *name.casefold().split())}
        aside: list[SetAside] = []
        left: list[Unresolved] = []
        for u in found:
            words = u.spot.words.casefold().split()
            if words and (" ".join(words) in called or all(word.strip(".,!?'") in called for word in words)):
                aside.append(SetAside(u.spot, "name"))
            else:
                left.append(u)
        return aside, left

    def _names(self, source: Source) -> Mapping[str, str]:
        """Tasters by every name they go by in a source."""
        names = dict(self.tasters)
        for spoken in (self.session.speakers, source.speakers):
            for name, taster in spoken.items():
                if known := _named(taster, self.tasters):
                    names[name] = names[name.casefold()] = known
        return names

    def _spot(self, source: Source, spot: Spot, names: Mapping[str, str]) -> Spot:
        """Where something was said, in the session's own terms. A closing round sums up: it is of no moment."""
        closing = _closing(source, spot)
        return replace(
            spot,
            speaker=_named(self._speaker(source, spot), names),
            coffee=self._coffee(spot.coffee or source.coffee),
            brew=self.brew_of(spot.brew or source.brew or self.session.code_brews.get((spot.coffee or "").strip())),
            moment=None if closing else spot.moment or source.moment,
            bowl=spot.bowl or source.bowl,
            closing=closing,
            revealed=spot.revealed or _late(source, spot),
        )

    def _speaker(self, source: Source, spot: Spot) -> str:
        """Who speaks, as written. A table row that names no taster speaks for its own, where the panel was made from
        such rows."""
        own = spot.note if is_table(source) and spot.note in self.tasters.values() else None
        return spot.speaker or source.taster or own or ""

    def _coffee(self, name: str | None) -> str | None:
        if not name:
            return self.only
        return self.coffees.get(name.strip().casefold()) or self.marks.get(mark_of(name))

    def brew_of(self, name: str | None) -> str | None:
        """The brew card of a brew heard or written; as heard where none fits or several do. What names none is of the
        only card there is."""
        if not name:
            return next(iter(self.session.brews)) if len(self.session.brews) == 1 else None
        heard = name.strip().casefold()
        if heard in self.brews:
            return self.brews[heard]
        cards = self.methods.get(heard, [])
        return cards[0] if len(cards) == 1 else name

    def _remember(self, source: Source, given: Spot, spot: Spot) -> None:
        """Note what of a finding could not be settled."""
        file = source.source or source.text[:30]
        if spot.speaker is None:
            name = self._speaker(source, given)
            if name and is_table(source):
                self.wrong.setdefault(("taster", name, source.source), source)
            self.strangers[name, file] += 1
        named = given.coffee or source.coffee
        if spot.coffee is None and named:
            self.wrong.setdefault(("coffee", named, source.source), source)
        elif spot.coffee is None:
            self.homeless[file] += 1
        if spot.brew and self.session.brews and spot.brew not in self.session.brews:
            if is_table(source) and spot.brew.strip().casefold() not in self.methods:
                self.wrong.setdefault(("brew", spot.brew, source.source), source)
            self.unclear[spot.brew] += 1

    def refuse(self) -> None:
        """Raises `InputError` for every name in a table that the session does not know, all at once."""
        known = {
            "taster": self.session.tasters,
            "coffee": tuple(self.session.coffees),
            "brew": tuple(self.session.brews),
        }
        faults = []
        for (what, name, _), source in self.wrong.items():
            place = _where(self.session, source, name)
            how = f"write `names: [{name}]` at the coffee it is" if what == "coffee" else "add it"
            mend = f"{near(name, known[what])}, or {how} in {self.session.file}"
            faults.append((f"unknown {what} {name!r}", place, mend))
        if faults:
            what, place, mend = faults[0]
            rest = "".join(f"\n{p}: {w}\n  mend: {m}" for w, p, m in faults[1:])
            raise InputError(what, place=place, mend=mend + rest)

    def strange(self) -> Iterator[str]:
        """Sentences about those who speak and are nobody of the session."""
        for (name, source), count in self.strangers.items():
            who = f"speaker {name!r} is no taster of this session" if name else "words without a speaker"
            how = f"speakers: {{{name}: TASTER}}" if name else "taster: TASTER"
            yield f"{source}: {who}: {some(count)} not counted (say who with `{how}` at its entry under notes)"

    def unsettled(self) -> Iterator[str]:
        """Sentences about what is of no coffee, or of no brew card."""
        for source, count in self.homeless.items():
            yield f"{source}: {some(count)} not counted: it is not said of which coffee"
        for brew, count in self.unclear.items():
            cards = self.methods.get(brew.casefold(), [])
            which = f"fits {' and '.join(cards)}" if cards else "fits no brew card"
            yield f"brew {brew!r} was heard ({some(count)}) and {which}: kept as heard"


def mark_of(name: str) -> str:
    """The mark a cup is known by ("a" of "cup A", of "A" as well); empty where a name is no such mark."""
    found = _MARK.fullmatch(name.strip().casefold())
    return found[1] if found else ""


def _marked(coffees: Mapping[str, str]) -> dict[str, str]:
    """Coffees by the marks of their names, where no two have one mark."""
    by_mark: dict[str, set[str]] = {}
    for name, id in coffees.items():
        by_mark.setdefault(mark_of(name), set()).add(id)
    return {mark: ids.pop() for mark, ids in by_mark.items() if mark and len(ids) == 1}


def is_table(source: Source) -> bool:
    """Whether an entry is a table of notes: its rows say themselves who and what."""
    return source.source.lower().endswith(TABLES)


def some(count: int, what: str = "finding") -> str:
    """A count with its word: "1 finding", "2 sessions"."""
    return f"{count:,} {what}{'' if count == 1 else 's'}"


def _judged(source: Source, found: Iterable[Judged], at: Callable[[Spot], Spot]) -> tuple[Judged, ...]:
    """The findings at their settled spots; informed from the entry's reveal on, or all of them."""
    made = []
    for f in found:
        late = _late(source, f.spot)
        made.append(replace(f, spot=at(f.spot), standing="informed") if late else replace(f, spot=at(f.spot)))
    return tuple(made)


def _late(source: Source, spot: Spot) -> bool:
    """Whether the entry says that the coffee had been named by then."""
    return source.informed or (source.reveal is not None and spot.at is not None and spot.at >= source.reveal)


def _closing(source: Source, spot: Spot) -> bool:
    """Whether it was said in the closing round: as the entry says, or as it was heard."""
    if source.closing is None or spot.at is None:
        return spot.closing
    return spot.at >= source.closing


def _beside(found: Iterable[Beside], at: Callable[[Spot], Spot]) -> tuple[Beside, ...]:
    return tuple(replace(f, spot=at(f.spot)) for f in found)


def _by_name(tasters: Iterable[str]) -> dict[str, str]:
    """Tasters by name as written, and by name in any case where only one fits."""
    names = {t: t for t in tasters}
    folded = Counter(t.casefold() for t in names)
    return {**{t.casefold(): t for t in names if folded[t.casefold()] == 1}, **names}


def _named(name: str, names: Mapping[str, str]) -> str | None:
    name = name.strip()
    return names.get(name) or names.get(name.casefold())


def _where(session: Session, source: Source, name: str) -> Place:
    """The first line of the source that holds `name`; the session's own line if it stands there."""
    if not source.source:
        return source.place
    path = session.folder / source.source
    lines = path.read_text("utf-8", errors="replace").splitlines() if path.is_file() else []
    return Place(source.source, next((i for i, line in enumerate(lines, 1) if name in line), 0))
