"""Who found what of which coffee, over all current sessions: the plain counts that everything else is made of."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

from tastevocab.archive.people import row_dicts
from tastevocab.panel.spans import Spans
from tastevocab.vocabulary.model import Vocabulary


@dataclass(frozen=True, slots=True)
class Tasting:
    """One coffee of one session, its brews and moments together. `seats` are the ids of those who tasted it, `said`
    the descriptors (as they stand today) that each found; `duplicate_of` the coffee it was a hidden second pour of."""

    id: int
    session: str
    date: str
    key: str
    name: str
    duplicate_of: str
    seats: frozenset[int]
    said: Mapping[int, frozenset[str]] = field(default_factory=dict)

    @property
    def talkers(self) -> tuple[int, ...]:
        """Those who named any flavour of it."""
        return tuple(sorted(person for person in self.seats if self.said.get(person)))


def today(descriptor: str, vocabulary: Vocabulary) -> str | None:
    """What an id of an older vocabulary is now: itself, what replaced it, or None where nothing is left of it."""
    seen: set[str] = set()
    while descriptor in vocabulary.descriptors and descriptor not in seen:
        seen.add(descriptor)
        instead = vocabulary.descriptors[descriptor].use_instead
        if not instead:
            return descriptor
        descriptor = instead
    return None


def tastings(db: sqlite3.Connection, vocabulary: Vocabulary, *, person: int | None = None) -> tuple[Tasting, ...]:
    """Every tasting of the current sessions, by date, session and place in it; with `person` those they sat at.

    Only own findings of flavours count, as on the map.
    """
    here = (
        "FROM coffee AS c JOIN edition AS e ON e.id = c.edition AND e.current = 1 "
        "JOIN session AS s ON s.id = e.session "
        "WHERE (?1 IS NULL OR c.id IN (SELECT coffee FROM seat WHERE person = ?1)) "
    )
    seats: dict[int, set[int]] = {}
    for coffee, who in db.execute(
        f"SELECT t.coffee, t.person FROM seat AS t WHERE t.coffee IN (SELECT c.id {here})", (person,)
    ):
        seats.setdefault(coffee, set()).add(who)
    now = cache(lambda id: today(id, vocabulary))
    said: dict[int, dict[int, set[str]]] = {}
    query = (
        "SELECT DISTINCT f.coffee, f.person, f.descriptor FROM finding AS f WHERE f.present AND NOT f.fault "
        f"AND f.standing = 'own' AND f.coffee IN (SELECT c.id {here})"
    )
    for coffee, who, descriptor in db.execute(query, (person,)):
        if (word := now(descriptor)) and who in seats.get(coffee, ()):
            said.setdefault(coffee, {}).setdefault(who, set()).add(word)
    columns = "c.id, s.name AS session, e.date, c.key, c.name, c.duplicate_of"
    rows = row_dicts(db, f"SELECT {columns} {here} ORDER BY e.date, s.name, c.id", (person,))
    return tuple(
        Tasting(
            **row,
            seats=frozenset(seats.get(row["id"], ())),
            said={who: frozenset(words) for who, words in said.get(row["id"], {}).items()},
        )
        for row in rows
    )


def counts_of(all: Iterable[Tasting], descriptors: Sequence[str], spans: Spans) -> dict[str, list[tuple[int, int]]]:
    """For each descriptor its (people, seats) of every tasting, in order; where nobody spoke, it is left out."""
    wanted: dict[str, list[str]] = {}
    for id in descriptors:
        for below in spans.supports[id]:
            wanted.setdefault(below, []).append(id)
    found: dict[str, list[tuple[int, int]]] = {id: [] for id in descriptors}
    for tasting in all:
        if not tasting.said:
            continue
        people: dict[str, set[int]] = {}
        for who, words in tasting.said.items():
            for word in words:
                for id in wanted.get(word, ()):
                    people.setdefault(id, set()).add(who)
        for id, counts in found.items():
            counts.append((len(people.get(id, ())), len(tasting.seats)))
    return found
