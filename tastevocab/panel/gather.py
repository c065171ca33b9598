"""From a session to its findings: every source read, people and brews known by the session's ids."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import TypeVar

from tastevocab.panel.attendance import Attendance, attendance
from tastevocab.panel.crossing import doubted
from tastevocab.panel.session import Session, Source
from tastevocab.panel.session_check import require_sound
from tastevocab.panel.settling import Settler
from tastevocab.panel.table import table_of
from tastevocab.panel.windows import Uncovered, cut
from tastevocab.reading.read import read_file, read_text
from tastevocab.reading.records import AttributeFinding, Finding, Reading, SetAside, Spot, Unresolved
from tastevocab.reading.review.apply import apply, settled
from tastevocab.reading.review.decisions import Decisions, load_beside
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.vocabulary.load import Problem

Found = TypeVar("Found", Finding, AttributeFinding, Finding | AttributeFinding)
Beside = TypeVar("Beside", SetAside, Unresolved)


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry under notes and what was read in it. `decided` are ids of findings a person has decided about."""

    source: Source
    reading: Reading
    decided: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Told:
    """A session's entries in its own ids, each with all that was read in it; what fits nobody has None there.

    `notices` are sentences about it, `unsettled` those about what fits no coffee or brew, which the check tells too.
    """

    session: Session
    entries: tuple[Entry, ...]
    notices: tuple[str, ...] = ()
    unsettled: tuple[str, ...] = ()


@dataclass(frozen=True)
class Gathered:
    """All that a session's sources gave. In `findings` and `attributes` the speaker is a taster's id, coffee and brew
    the session's ids; `unattributed` and `unattributed_attributes` are of nobody on the panel or of no coffee (never
    counted), `asked` those too unsure to count until a person has decided. `present` says who was there for what.
    `notices` are sentences.
    """

    session: Session
    findings: tuple[Finding, ...]
    attributes: tuple[AttributeFinding, ...] = ()
    set_aside: tuple[SetAside, ...] = ()
    unresolved: tuple[Unresolved, ...] = ()
    unattributed: tuple[Finding, ...] = ()
    notices: tuple[str, ...] = ()
    unattributed_attributes: tuple[AttributeFinding, ...] = ()
    asked: tuple[Finding | AttributeFinding, ...] = ()
    present: Attendance = field(default_factory=dict)

    @cached_property
    def by_coffee(self) -> Mapping[str, Sequence[Finding]]:
        """The findings of each coffee that has any, in their order: a session of many coffees is counted one by one."""
        return _by_coffee(self.findings)

    @cached_property
    def attributes_by_coffee(self) -> Mapping[str, Sequence[AttributeFinding]]:
        """The same of the attributes."""
        return _by_coffee(self.attributes)


def _by_coffee(found: Iterable[Found]) -> dict[str, list[Found]]:
    sorted_out: dict[str, list[Found]] = {}
    for f in found:
        sorted_out.setdefault(f.spot.coffee or "", []).append(f)
    return sorted_out


def gather(session: Session, lexicon: Lexicon, *, step: Callable[[int], object] = lambda steps: None) -> Gathered:
    """Read every source of a sound session and settle who, which coffee and which brew; `step` hears of each source.

    Raises `InputError` for an unsound session, an unreadable source, or a table that names an unknown taster, coffee
    or brew.
    """
    return pooled(read_entries(session, lexicon, step=step))


def read_entries(session: Session, lexicon: Lexicon, *, step: Callable[[int], object] = lambda steps: None) -> Told:
    """As `gather`, entry by entry and with nothing left out: what `tastevocab read` prints of a session."""
    require_sound(session)
    entries = []
    uncovered = Uncovered()
    for source in session.sources:
        whole, decisions = _decided(session, source, lexicon)
        kept = cut(session, source, whole)
        uncovered.note(source, whole, kept)
        entries.append(Entry(source, kept, settled(kept, decisions)))
        step(1)
    told = settled_entries(session, entries)
    return _at_home(replace(told, notices=(*told.notices, *uncovered.notices())))


def read_source(session: Session, source: Source, lexicon: Lexicon) -> Reading:
    """One entry's whole source as it reads with the session's knowledge, before any decision of a person.

    Raises `InputError` where it cannot be read.
    """
    lexicon = lexicon.told(session.languages)
    given = {key: getattr(source, key) for key in ("taster", "coffee", "brew", "moment", "bowl")}
    defaults = {key: value for key, value in given.items() if value}
    if source.text:
        return read_text(source.text, lexicon, source=name_of(session, source), defaults=defaults)
    table = table_of(session, source)
    return doubted(read_file(session.folder / source.source, lexicon, defaults=defaults, table=table))


def name_of(session: Session, source: Source) -> str:
    """What an entry's source is called in findings: the file as the session names it, or where the text stands."""
    return source.source or f"{Path(session.file).name}:{source.place.line}"


def _decided(session: Session, source: Source, lexicon: Lexicon) -> tuple[Reading, Decisions]:
    reading = read_source(session, source, lexicon)
    if source.text:
        decisions = load_beside(Path(session.file), known=lexicon.prints, text=source.text)
        return apply(reading, decisions, whole=False, strengths=lexicon.strength), decisions
    decisions = load_beside(session.folder / source.source, known=lexicon.prints)
    return apply(reading, decisions, strengths=lexicon.strength), decisions


def _at_home(told: Told) -> Told:
    """The same with sources as the session names them: nothing made of them holds where on this machine they lie."""
    folders = {f"{folder}{mark}" for folder in (told.session.folder, Path(told.session.file).parent) for mark in "/\\"}
    prefixes = sorted((f for f in folders if f not in ("./", ".\\")), key=len, reverse=True)

    def bare(text: str) -> str:
        return next((text[len(p) :] for p in prefixes if text.startswith(p)), text)

    def at(spot: Spot) -> Spot:
        return spot if (name := bare(spot.source)) == spot.source else replace(spot, source=name)

    entries = tuple(
        Entry(e.source, _renamed(e.reading, bare, at), frozenset(map(bare, e.decided))) for e in told.entries
    )
    return replace(told, entries=entries)


def _renamed(reading: Reading, id: Callable[[str], str], at: Callable[[Spot], Spot] = lambda spot: spot) -> Reading:
    """The reading with other ids, and all of it at other spots; what stays the same is not made anew."""

    def judged(found: Iterable[Found]) -> Iterator[Found]:
        for f in found:
            name, spot = id(f.id), at(f.spot)
            yield f if name == f.id and spot is f.spot else replace(f, id=name, spot=spot)

    def beside(found: Iterable[Beside]) -> Iterator[Beside]:
        for f in found:
            spot = at(f.spot)
            yield f if spot is f.spot else replace(f, spot=spot)

    return replace(
        reading,
        findings=tuple(judged(reading.findings)),
        attributes=tuple(judged(reading.attributes)),
        asked=tuple(judged(reading.asked)),
        set_aside=tuple(beside(reading.set_aside)),
        unresolved=tuple(beside(reading.unresolved)),
        said=tuple(map(at, reading.said)),
    )


def settle(session: Session, readings: Sequence[tuple[Source, Reading]]) -> Gathered:
    """Readings of a session's sources as one: names to ids, brews heard to brew cards, what fits nobody beside."""
    return pooled(settled_entries(session, [Entry(source, reading) for source, reading in readings]))


def settled_entries(session: Session, entries: Sequence[Entry]) -> Told:
    """A session's entries as they were read, each in the session's ids; raises as `gather` does."""
    settler = Settler(session)
    made = [replace(e, reading=settler.settle(e.source, e.reading)) for e in entries]
    settler.refuse()
    notices = dict.fromkeys(sentence for e in made for sentence in e.reading.notices)
    return Told(session, _distinct(made), (*notices, *settler.strange()), tuple(settler.unsettled()))


def _distinct(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Ids made distinct across entries, so that evidence points at one thing."""
    seen: Counter[str] = Counter()

    def fresh(id: str) -> str:
        seen[id] += 1
        return f"{id}~{seen[id]}" if seen[id] > 1 else id

    made = []
    for e in entries:
        renamed = _renamed(e.reading, fresh)
        pairs = zip(e.reading.findings, renamed.findings, strict=True)
        decided = frozenset(new.id for old, new in pairs if old.id in e.decided)
        made.append(Entry(e.source, renamed, decided))
    return tuple(made)


def pooled(told: Told) -> Gathered:
    """What a session's entries gave as one, with what fits nobody or no coffee beside."""
    whole = sum((e.reading for e in told.entries), Reading())
    known = [f for f in whole.findings if _fits(f.spot)]
    return Gathered(
        session=told.session,
        findings=tuple(known),
        attributes=tuple(a for a in whole.attributes if _fits(a.spot)),
        set_aside=whole.set_aside,
        unresolved=whole.unresolved,
        unattributed=tuple(f for f in whole.findings if not _fits(f.spot)),
        unattributed_attributes=tuple(a for a in whole.attributes if not _fits(a.spot)),
        asked=whole.asked,
        present=attendance((e.source, e.reading) for e in told.entries),
        notices=(*told.notices, *told.unsettled, *_silence(told.session, known)),
    )


def _fits(spot: Spot) -> bool:
    return bool(spot.speaker and spot.coffee)


def _silence(session: Session, findings: Sequence[Finding]) -> Iterator[str]:
    for id in silent_coffees(session, findings):
        yield f"{session.coffees[id].place}: coffee {id!r}: nobody described it"


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
