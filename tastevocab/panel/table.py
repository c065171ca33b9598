"""What a session knows of its table before the talk is read: people, coffees as they may be called, brews, claims."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from tastevocab.panel.session import Coffee, Session, Source
from tastevocab.reading.records import Poured, Table

# Facts by which people tell coffees apart ("the natural", "the Geisha"), where no two coffees share them.
TELLING = ("process", "origin", "variety")


def table_of(session: Session, source: Source | None = None) -> Table:
    """The table's knowledge as reading takes it; coffees stand in the session's order.

    For an entry under notes (`source`) that names its coffee or brew, that coffee (with its claims) or brew is all
    there is: nothing in it can be of another.
    """
    coffees = [c for c in session.coffees.values() if _meant(c.id, source.coffee if source else None)]
    brews = [b for b in session.brews.values() if _meant(b.id, source.brew if source else None)]
    spoken = (*session.speakers, *(source.speakers if source else ()))
    shared = _shared(session)
    return Table(
        tasters=tuple(dict.fromkeys((*session.tasters, *spoken))),
        coffees=tuple(Poured(c.id, _names(session, c, shared)) for c in coffees),
        brews=tuple((b.id, b.method) for b in brews),
        claims=tuple(dict.fromkeys(claim for c in coffees for claim in c.claims)),
    )


def told_names(session: Session) -> dict[str, str]:
    """What people read for each coffee's id: its name, and the id beside it where two have the same."""
    often = Counter(coffee.name for coffee in session.coffees.values())
    return {id: c.name if often[c.name] == 1 else f"{c.name} ({id})" for id, c in session.coffees.items()}


def called(session: Session, coffee: Coffee) -> tuple[str, ...]:
    """What a coffee is called on paper: full name, id, id in words, short names, blind codes."""
    codes = (code for code, id in session.codes.items() if id == coffee.id)
    return tuple(dict.fromkeys((coffee.name, coffee.id, coffee.id.replace("_", " "), *coffee.names, *codes)))


def _names(session: Session, coffee: Coffee, shared: Mapping[str, int]) -> tuple[str, ...]:
    facts = (fact for fact in _facts(coffee) if shared[fact.casefold()] == 1)
    return tuple(dict.fromkeys(name for name in (*called(session, coffee), *facts) if name and name != coffee.id))


def _facts(coffee: Coffee) -> Iterator[str]:
    for key in TELLING:
        if value := (coffee.process if key == "process" else coffee.more.get(key, "")).strip():
            yield value


def _shared(session: Session) -> Mapping[str, int]:
    """How many coffees a fact would name, or another name of theirs."""
    return Counter(
        name
        for coffee in session.coffees.values()
        for name in {n.casefold() for n in (*called(session, coffee), *_facts(coffee))}
    )


def _meant(id: str, given: str | None) -> bool:
    return not given or id.casefold() == given.casefold()
