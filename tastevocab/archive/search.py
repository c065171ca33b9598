"""When was it said: findings by flavour and talk by its words, over all sessions, each with its place."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from tastevocab.archive.people import People, row_dicts
from tastevocab.archive.store import Archive
from tastevocab.errors import InputError, near
from tastevocab.panel.why import ROLES

MOST = 200

_DATE = re.compile(r"\d{4}(-\d\d(-\d\d)?)?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Wanted:
    """What to look for: `words` in the talk, `descriptors` among the findings, each within what the rest says.

    `facts` are pairs (key, part of the value) a coffee must have, such as ("process", "washed"); `since` and `until`
    dates as in sessions (2026-03-02) or their beginnings (2026-03), both included. `coffee` is an id, a name or
    a part of the name.
    """

    words: str = ""
    descriptors: Sequence[str] = ()
    coffee: str = ""
    taster: str = ""
    session: str = ""
    facts: Sequence[tuple[str, str]] = ()
    since: str = ""
    until: str = ""


@dataclass(frozen=True, slots=True)
class Hit:
    """One place. `kind` is "finding" (of `descriptor`) or "talk" (the words alone); `counts` how a finding stands:
    counted, denied, echo, led, informed ("" for talk, whose `words` are an excerpt). `at` is seconds into a recording,
    `line` that of the file (0: not known), `start` a place in the file (in a table: in the row's text).
    """

    kind: str
    session: str
    date: str
    coffee: str
    name: str
    taster: str
    words: str
    descriptor: str
    counts: str
    source: str
    line: int
    start: int
    at: float | None
    edition: int


def find(archive: Archive, wanted: Wanted, *, most: int = MOST) -> tuple[list[Hit], int]:
    """The places that fit, newest first, at most `most` of them, and how many there are. Findings come before talk.

    Talk is given where all of the words stand in one turn that holds none of those findings. Raises `InputError` for
    somebody, a coffee, a session or a fact of coffees that the archive does not know, and for what is no date.
    """
    for day in filter(None, (wanted.since, wanted.until)):
        if not _DATE.fullmatch(day):
            raise InputError(f"{day!r} is no date", mend="write it as 2026-03-02, or the beginning of one: 2026-03")
    with archive.reading() as db:
        people = People(db)
        person = people.must(wanted.taster) if wanted.taster else None
        _known_names(archive, wanted)
        _known_facts(archive, wanted.facts)
        rows = _findings(archive, wanted, person) + _talk(archive, wanted, person)
    hits = [_hit(row, people) for row in rows[:most]]
    return hits, len(rows)


_PLACED = (
    "JOIN edition AS e ON e.id = {edition} AND e.current = 1 JOIN session AS s ON s.id = e.session "
    "WHERE (:session = '' OR s.name = :session) AND (:since = '' OR e.date >= :since) "
    "AND (:until = '' OR substr(e.date, 1, length(:until)) <= :until) AND (:person IS NULL OR {person} = :person) "
)


def _findings(archive: Archive, wanted: Wanted, person: int | None) -> list[dict[str, Any]]:
    if not wanted.descriptors:
        return []
    which, values = _within(wanted, person)
    values |= {f"d{i}": id for i, id in enumerate(wanted.descriptors)}
    marks = ", ".join(f":d{i}" for i in range(len(wanted.descriptors)))
    query = (
        "SELECT 'finding' AS kind, s.name AS session, e.date, e.number AS edition, c.key AS coffee, c.name, f.person, "
        "f.words, f.descriptor, f.present, f.standing, o.name AS source, f.line, f.start, f.at "
        "FROM finding AS f JOIN coffee AS c ON c.id = f.coffee JOIN source AS o ON o.id = f.source "
        f"{_PLACED.format(edition='c.edition', person='f.person')} AND f.descriptor IN ({marks}) {which} "
        "ORDER BY e.date DESC, s.name, f.id"
    )
    return row_dicts(archive.db, query, values)


def _talk(archive: Archive, wanted: Wanted, person: int | None) -> list[dict[str, Any]]:
    terms = re.findall(r"\w+", wanted.words)
    if not terms:
        return []
    which, values = _within(wanted, person)
    if wanted.descriptors:  # a turn that holds a finding given above is not given twice
        marks = ", ".join(f":d{i}" for i in range(len(wanted.descriptors)))
        values |= {f"d{i}": id for i, id in enumerate(wanted.descriptors)}
        which += (
            "AND NOT EXISTS (SELECT 1 FROM finding AS f WHERE f.source = t.source AND f.line = t.line "
            f"AND f.person = t.person AND f.descriptor IN ({marks})) "
        )
    # A turn is of a coffee where its row says so, where its entry names one, or where the session has but one.
    query = (
        "SELECT 'talk' AS kind, s.name AS session, e.date, e.number AS edition, COALESCE(c.key, '') AS coffee, "
        "COALESCE(c.name, '') AS name, t.person, "
        "snippet(talk, 0, '', '', '…', 16) AS words, '' AS descriptor, 1 AS present, '' AS standing, "
        "o.name AS source, t.line, json_extract(t.offsets, '$[0][1]') AS start, json_extract(t.times, '$[0][1]') AS at "
        "FROM talk JOIN turn AS t ON t.id = talk.rowid JOIN source AS o ON o.id = t.source "
        "LEFT JOIN coffee AS c ON c.edition = o.edition AND (c.key = t.coffee OR c.name = t.coffee OR "
        "(t.coffee IS NULL AND (SELECT COUNT(*) FROM coffee AS d WHERE d.edition = o.edition) = 1)) "
        f"{_PLACED.format(edition='o.edition', person='t.person')} AND talk MATCH :match {which} "
        "ORDER BY e.date DESC, s.name, t.id"
    )
    return row_dicts(archive.db, query, values | {"match": " ".join(f'"{term}"' for term in terms)})


def _within(wanted: Wanted, person: int | None) -> tuple[str, dict[str, Any]]:
    values: dict[str, Any] = {
        "session": wanted.session,
        "since": wanted.since,
        "until": wanted.until,
        "person": person,
    }
    which = ""
    if wanted.coffee:
        which += f"AND {_CALLED} "
        values["coffee"] = wanted.coffee
    for i, (key, value) in enumerate(wanted.facts):
        which += (
            f"AND EXISTS (SELECT 1 FROM fact AS x WHERE x.coffee = c.id AND x.key = :k{i} "
            f"AND instr(casefold(x.value), casefold(:v{i}))) "
        )
        values |= {f"k{i}": key, f"v{i}": value}
    return which, values


_CALLED = "(casefold(c.key) = casefold(:coffee) OR instr(casefold(c.name), casefold(:coffee)))"


def _known_names(archive: Archive, wanted: Wanted) -> None:
    """Raises `InputError` for a coffee or a session that no current session has."""
    for what, name, column, fits in (
        ("coffee", wanted.coffee, "c.name", _CALLED),
        ("session", wanted.session, "s.name", "s.name = :session"),
    ):
        query = (
            f"SELECT DISTINCT {column} AS name FROM coffee AS c "
            "JOIN edition AS e ON e.id = c.edition AND e.current = 1 JOIN session AS s ON s.id = e.session "
        )
        if name and not row_dicts(archive.db, f"{query} WHERE {fits} LIMIT 1", {what: name}):
            known = [row["name"] for row in row_dicts(archive.db, f"{query} ORDER BY 1")]
            raise InputError(f"the archive holds no {what} {name!r}", mend=near(name, known))


def _known_facts(archive: Archive, facts: Sequence[tuple[str, str]]) -> None:
    if not facts:
        return
    known = [row["key"] for row in row_dicts(archive.db, "SELECT DISTINCT key FROM fact ORDER BY key")]
    for key, _ in facts:
        if key not in known:
            raise InputError(f"no coffee of the archive has a fact {key!r}", mend=near(key, known))


def _hit(row: dict[str, Any], people: People) -> Hit:
    standing, present, person = (row.pop(key) for key in ("standing", "present", "person"))
    counts = ROLES.get(standing, "") if present else "denied"
    return Hit(**row, taster=people.name(person) if person else "", counts=counts)
