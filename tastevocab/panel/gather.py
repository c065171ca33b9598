"""From a session to its findings: every source read, people and brews known by the session's ids."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

from tastevocab.errors import InputError, Place
from tastevocab.panel.session import Session, Source
from tastevocab.panel.session_check import near, require_sound
from tastevocab.reading.language.lexicon import Lexicon
from tastevocab.reading.read import read_file, read_text
from tastevocab.reading.records import AttributeFinding, Finding, Reading, SetAside, Spot, Unresolved
from tastevocab.reading.review.apply import apply
from tastevocab.reading.review.decisions import load_beside
from tastevocab.vocabulary.load import Problem

TABLES = (".csv", ".tsv", ".jsonl")

Found = TypeVar("Found", Finding, AttributeFinding)


@dataclass(frozen=True, slots=True)
class Gathered:
    """All that a session's sources gave. In `findings` and `attributes` the speaker is a taster's id, coffee and brew
    the session's ids; `unattributed` are findings of nobody on the panel (never counted). `notices` are sentences.
    """

    session: Session
    findings: tuple[Finding, ...]
    attributes: tuple[AttributeFinding, ...] = ()
    set_aside: tuple[SetAside, ...] = ()
    unresolved: tuple[Unresolved, ...] = ()
    unattributed: tuple[Finding, ...] = ()
    notices: tuple[str, ...] = ()


def gather(session: Session, lexicon: Lexicon, *, step: Callable[[int], object] = lambda steps: None) -> Gathered:
    """Read every source of a sound session and settle who, which coffee and which brew; `step` hears of each source.

    Raises `InputError` for an unsound session, an unreadable source, or a table that names an unknown taster, coffee
    or brew.
    """
    require_sound(session)
    readings = []
    for source in session.sources:
        readings.append((source, _read(session, source, lexicon)))
        step(1)
    return _at_home(settle(session, readings))


def _read(session: Session, source: Source, lexicon: Lexicon) -> Reading:
    given = {"taster": source.taster, "coffee": source.coffee, "brew": source.brew, "moment": source.moment}
    defaults = {key: value for key, value in given.items() if value}
    if source.text:
        name = f"{Path(session.file).name}:{source.place.line}"
        reading = read_text(source.text, lexicon, source=name, defaults=defaults)
        beside = load_beside(Path(session.file), known=lexicon.prints, text=source.text)
        return apply(reading, beside, whole=False)
    path = session.folder / source.source
    return apply(read_file(path, lexicon, defaults=defaults), load_beside(path, known=lexicon.prints))


def _at_home(gathered: Gathered) -> Gathered:
    """The same with sources as the session names them: nothing made of them holds where on this machine they lie."""
    folders = {
        f"{folder}{mark}" for folder in (gathered.session.folder, Path(gathered.session.file).parent) for mark in "/\\"
    }
    prefixes = sorted((f for f in folders if f not in ("./", ".\\")), key=len, reverse=True)

    def bare(text: str) -> str:
        return next((text[len(p) :] for p in prefixes if text.startswith(p)), text)

    def of(found: Iterable[Found]) -> tuple[Found, ...]:
        return tuple(replace(f, id=bare(f.id), spot=replace(f.spot, source=bare(f.spot.source))) for f in found)

    return replace(
        gathered,
        findings=of(gathered.findings),
        attributes=of(gathered.attributes),
        unattributed=of(gathered.unattributed),
        set_aside=tuple(replace(s, spot=replace(s.spot, source=bare(s.spot.source))) for s in gathered.set_aside),
        unresolved=tuple(replace(u, spot=replace(u.spot, source=bare(u.spot.source))) for u in gathered.unresolved),
    )


def settle(session: Session, readings: Sequence[tuple[Source, Reading]]) -> Gathered:
    """Readings of a session's sources as one: names to ids, brews heard to brew cards, what fits nobody beside."""
    settler = _Settler(session)
    findings: list[Finding] = []
    attributes: list[AttributeFinding] = []
    whole = Reading()
    for source, reading in readings:
        findings.extend(settler.settle(source, reading.findings))
        attributes.extend(settler.settle(source, reading.attributes))
        whole = whole + replace(reading, findings=(), attributes=())
    settler.refuse()
    known = [f for f in findings if f.spot.speaker and f.spot.coffee]
    return Gathered(
        session=session,
        findings=_distinct(known),
        attributes=_distinct(a for a in attributes if a.spot.speaker and a.spot.coffee),
        set_aside=whole.set_aside,
        unresolved=whole.unresolved,
        unattributed=tuple(f for f in findings if not (f.spot.speaker and f.spot.coffee)),
        notices=(*whole.notices, *settler.notices(), *_silence(session, known)),
    )


def _silence(session: Session, findings: Sequence[Finding]) -> Iterator[str]:
    for id in silent_coffees(session, findings):
        yield f"{session.coffees[id].place}: coffee {id!r}: nobody described it"


def _distinct(found: Iterable[Found]) -> tuple[Found, ...]:
    """Ids made distinct across sources, so that evidence points at one thing."""
    seen: Counter[str] = Counter()
    made = []
    for f in found:
        seen[f.id] += 1
        made.append(replace(f, id=f"{f.id}~{seen[f.id]}") if seen[f.id] > 1 else f)
    return tuple(made)


def silent_coffees(session: Session, findings: Sequence[Finding]) -> tuple[str, ...]:
    """The coffees that no finding is of."""
    described = {f.spot.coffee for f in findings}
    return tuple(id for id in session.coffees if id not in described)


def check_gathered(gathered: Gathered) -> tuple[Problem, ...]:
    """What is wrong once the notes have been read: a coffee that nobody described."""
    session = gathered.session
    mend = "name the file that describes it under notes, or leave the coffee out"
    return tuple(
        Problem("silent", "error", session.coffees[id].place, f"coffee {id!r}: nobody described it", mend)
        for id in silent_coffees(session, gathered.findings)
    )


class _Settler:
    """Turns names as written into the session's ids, and remembers what it could not."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.tasters = _by_name(session.tasters)
        self.coffees = {name.casefold(): c.id for c in session.coffees.values() for name in (c.name, c.id)}
        self.coffees.update({code: id for code, id in session.codes.items() if id in session.coffees})
        self.only = next(iter(session.coffees)) if len(session.coffees) == 1 else None
        self.methods: dict[str, list[str]] = {}
        for card in session.brews.values():
            self.methods.setdefault(card.method.casefold(), []).append(card.id)
        self.brews = {id.casefold(): id for id in session.brews}
        self.strangers: Counter[tuple[str, str]] = Counter()
        self.homeless: Counter[str] = Counter()
        self.unclear: Counter[str] = Counter()
        self.wrong: dict[tuple[str, str, str], Source] = {}

    def settle(self, source: Source, found: Iterable[Found]) -> Iterator[Found]:
        names = dict(self.tasters)
        for spoken in (self.session.speakers, source.speakers):
            for name, taster in spoken.items():
                if known := _named(taster, self.tasters):
                    names[name] = names[name.casefold()] = known
        spots: dict[Spot, Spot] = {}
        for f in found:
            spot = spots.get(f.spot)
            if spot is None:
                spot = spots[f.spot] = self._spot(source, f.spot, names)
            late = source.reveal is not None and spot.at is not None and spot.at >= source.reveal
            yield replace(f, spot=spot, standing="informed") if late else replace(f, spot=spot)

    def _spot(self, source: Source, spot: Spot, names: Mapping[str, str]) -> Spot:
        return replace(
            spot,
            speaker=self._taster(source, spot.speaker or source.taster or self._row(source, spot), names),
            coffee=self._coffee(source, spot.coffee or source.coffee),
            brew=self._brew(source, spot.brew or source.brew),
            moment=spot.moment or source.moment,
            bowl=spot.bowl or source.bowl,
        )

    def _row(self, source: Source, spot: Spot) -> str | None:
        """A table row that names no taster speaks for its own, where the panel was made from such rows."""
        return spot.note if self._is_table(source) and spot.note in self.tasters.values() else None

    def _taster(self, source: Source, name: str | None, names: Mapping[str, str]) -> str | None:
        taster = _named(name or "", names)
        if taster is None:
            if name and self._is_table(source):
                self.wrong.setdefault(("taster", name, source.source), source)
            self.strangers[(name or "", source.source or source.text[:30])] += 1
        return taster

    def _coffee(self, source: Source, name: str | None) -> str | None:
        if not name:
            if self.only is None:
                self.homeless[source.source or source.text[:30]] += 1
            return self.only
        coffee = self.coffees.get(name.strip().casefold())
        if coffee is None:
            self.wrong.setdefault(("coffee", name, source.source), source)
        return coffee

    def _brew(self, source: Source, name: str | None) -> str | None:
        if not name:
            return next(iter(self.session.brews)) if len(self.session.brews) == 1 else None
        heard = name.strip().casefold()
        if heard in self.brews:
            return self.brews[heard]
        cards = self.methods.get(heard, [])
        if len(cards) == 1:
            return cards[0]
        if not cards and self._is_table(source) and self.session.brews:
            self.wrong.setdefault(("brew", name, source.source), source)
        if self.session.brews:
            self.unclear[name] += 1
        return name

    def _is_table(self, source: Source) -> bool:
        return source.source.lower().endswith(TABLES)

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
            faults.append(
                (f"unknown {what} {name!r}", place, f"{near(name, known[what])}, or add it to {self.session.file}")
            )
        if faults:
            what, place, mend = faults[0]
            rest = "".join(f"\n{p}: {w}\n  mend: {m}" for w, p, m in faults[1:])
            raise InputError(what, place=place, mend=mend + rest)

    def notices(self) -> Iterator[str]:
        for (name, source), count in self.strangers.items():
            who = f"speaker {name!r} is no taster of this session" if name else "words without a speaker"
            yield f"{source}: {who}: {_some(count)} not counted (say who with `speakers: {{name: taster}}`)"
        for source, count in self.homeless.items():
            yield f"{source}: {_some(count)} not counted: it is not said of which coffee"
        for brew, count in self.unclear.items():
            cards = self.methods.get(brew.casefold(), [])
            which = f"fits {' and '.join(cards)}" if cards else "fits no brew card"
            yield f"brew {brew!r} was heard ({_some(count)}) and {which}: kept as heard"


def _by_name(tasters: Iterable[str]) -> dict[str, str]:
    """Tasters by name as written, and by name in any case where only one fits."""
    names = {t: t for t in tasters}
    folded = Counter(t.casefold() for t in names)
    return {**{t.casefold(): t for t in names if folded[t.casefold()] == 1}, **names}


def _named(name: str, names: Mapping[str, str]) -> str | None:
    name = name.strip()
    return names.get(name) or names.get(name.casefold())


def _some(count: int) -> str:
    return f"{count} finding{'s' if count != 1 else ''}"


def _where(session: Session, source: Source, name: str) -> Place:
    """The first line of the source that holds `name`; the session's own line if it stands there."""
    if not source.source:
        return source.place
    path = session.folder / source.source
    lines = path.read_text("utf-8", errors="replace").splitlines() if path.is_file() else []
    return Place(source.source, next((i for i, line in enumerate(lines, 1) if name in line), 0))
