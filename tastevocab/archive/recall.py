"""Sessions out of the archive again: as they were counted then, and as today's vocabulary would read them."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from tastevocab.archive import snapshot
from tastevocab.archive.people import People, row_dicts
from tastevocab.archive.tastings import today
from tastevocab.errors import InputError, near
from tastevocab.panel.attendance import Attendance, Seat
from tastevocab.panel.crossing import doubted
from tastevocab.panel.gather import Entry, Gathered, pooled, settled_entries
from tastevocab.panel.session import Session, Source
from tastevocab.panel.table import table_of
from tastevocab.panel.windows import cut
from tastevocab.reading.read import read_turns, with_defaults
from tastevocab.reading.records import Turn
from tastevocab.reading.review.apply import apply, settled
from tastevocab.reading.review.context import Passage, Texts
from tastevocab.reading.review.decisions import Decision, Decisions, decisions_in
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.vocabulary.model import Vocabulary


@dataclass(frozen=True, slots=True)
class Edition:
    """One version of a session in the archive: `number` counts from 1, `current` says that it is the one that counts.

    `vocabulary` is the id of the vocabulary it was read with, `withdrawn` how many people withdrew from it.
    """

    id: int
    session: str
    number: int
    current: bool
    date: str
    vocabulary: int
    program: str
    withdrawn: int


def editions(db: sqlite3.Connection, session: str = "", *, history: bool = False) -> tuple[Edition, ...]:
    """The sessions' versions by date and name: the current ones, with `history` all of them; only `session` if named.

    Raises `InputError` for a session that the archive does not hold.
    """
    rows = row_dicts(
        db,
        "SELECT e.id, s.name AS session, e.number, e.current, e.date, e.vocabulary, e.program, e.withdrawn "
        "FROM edition AS e JOIN session AS s ON s.id = e.session WHERE (e.current = 1 OR ?) AND (? = '' OR s.name = ?) "
        "ORDER BY e.date, s.name, e.number",
        (history, session, session),
    )
    if session and not rows:
        known = [name for (name,) in db.execute("SELECT name FROM session ORDER BY name")]
        raise InputError(f"the archive holds no session {session!r}", mend=near(session, known))
    return tuple(Edition(**{**row, "current": bool(row["current"])}) for row in rows)


def session_of(db: sqlite3.Connection, edition: Edition, people: People | None = None) -> Session:
    """The session of an edition, its people by name where the archive still knows it."""
    (body,) = db.execute("SELECT body FROM edition WHERE id = ?", (edition.id,)).fetchone()
    return snapshot.session_of(json.loads(body), edition.session, edition.date, (people or People(db)).of_code)


def gathered_of(db: sqlite3.Connection, edition: Edition, people: People | None = None) -> Gathered:
    """What an edition counted when it was added."""
    people = people or People(db)
    select = (
        "SELECT f.*, c.key AS coffee_key, s.name AS source_name FROM {} AS f JOIN coffee AS c ON c.id = f.coffee "
        "JOIN source AS s ON s.id = f.source WHERE c.edition = ? ORDER BY f.id"
    )

    def rows(table: str) -> Iterator[tuple[Mapping[str, Any], str, str, str]]:
        for row in row_dicts(db, select.format(table), (edition.id,)):
            yield row, people.name(row["person"]), row["coffee_key"], row["source_name"]

    return Gathered(
        session=session_of(db, edition, people),
        findings=tuple(snapshot.finding_of(*row) for row in rows("finding")),
        attributes=tuple(snapshot.mark_of(*row) for row in rows("mark")),
        present=_present(db, edition, people),
    )


def _present(db: sqlite3.Connection, edition: Edition, people: People) -> Attendance:
    """Who was there for each coffee; brews and moments are not told apart."""
    seats: dict[Seat, set[str]] = {}
    query = "SELECT c.key, s.person FROM seat AS s JOIN coffee AS c ON c.id = s.coffee WHERE c.edition = ?"
    for coffee, person in db.execute(query, (edition.id,)):
        seats.setdefault(Seat(coffee, None, None), set()).add(people.name(person))
    return {seat: frozenset(who) for seat, who in seats.items()}


def as_of_today(gathered: Gathered, vocabulary: Vocabulary) -> Gathered:
    """The same with every finding under the id that it has in `vocabulary`; what is nothing there is left out."""
    moved = [(f, today(f.descriptor, vocabulary)) for f in gathered.findings]
    findings = tuple(f if now == f.descriptor else replace(f, descriptor=now) for f, now in moved if now)
    return replace(gathered, findings=findings)


def vocabulary_of(db: sqlite3.Connection, id: int) -> Vocabulary:
    """A vocabulary as the archive keeps it: its descriptors and their names."""
    name, version, hash, body = db.execute(
        "SELECT name, version, hash, body FROM vocabulary WHERE id = ?", (id,)
    ).fetchone()
    return snapshot.vocabulary_of(name, version, hash, body)


# --- read again ---


def read_again(db: sqlite3.Connection, edition: Edition, lexicon: Lexicon) -> Gathered:
    """The edition's own talk read with today's vocabulary and reader, with what people had decided about it.

    What somebody who withdrew had said is not there any more.
    """
    people = People(db)
    session = session_of(db, edition, people)
    lexicon = lexicon.told(session.languages)
    made = []
    for source in session.sources:
        turns, isolated, decisions = _kept(db, edition, source, people)
        given = {key: getattr(source, key) for key in ("taster", "coffee", "brew", "moment", "bowl")}
        defaults = {key: value for key, value in given.items() if value}
        filled = [with_defaults(turn, defaults) for turn in turns]
        table = None if source.source in _typed(db, edition) else table_of(session, source)
        reading = doubted(read_turns(filled, lexicon, isolated=isolated, table=table))
        decisions = tuple(d for d in decisions if not d.descriptor or d.descriptor in lexicon.prints)
        chosen = Decisions(Path(source.source), decisions, _texts(turns, isolated) if decisions else Texts())
        decided = apply(reading, chosen, whole=False, strengths=lexicon.strength)
        if decided.findings or decided.attributes:  # what is empty has no part of it to cut out
            decided = cut(session, source, decided)
        made.append(Entry(source, decided, settled(decided, chosen)))
    return pooled(settled_entries(session, made))


def _typed(db: sqlite3.Connection, edition: Edition) -> frozenset[str]:
    (body,) = db.execute("SELECT body FROM edition WHERE id = ?", (edition.id,)).fetchone()
    return frozenset(entry["source"] for entry in json.loads(body)["notes"] if entry["typed"])


def _kept(
    db: sqlite3.Connection, edition: Edition, source: Source, people: People
) -> tuple[list[Turn], bool, tuple[Decision, ...]]:
    row = db.execute(
        "SELECT id, isolated FROM source WHERE edition = ? AND name = ?", (edition.id, source.source)
    ).fetchone()
    turns = [
        snapshot.turn_of(turn, people.name(turn["person"]) if turn["person"] else None, source.source)
        for turn in row_dicts(db, "SELECT * FROM turn WHERE source = ? ORDER BY id", (row[0],))
    ]
    rows = []
    for person, body in db.execute("SELECT person, body FROM decision WHERE source = ? ORDER BY rowid", (row[0],)):
        decision = json.loads(body)
        if decision.get("taster"):
            decision["taster"] = people.of_code(decision["taster"])
        rows.append(decision | ({"speaker": people.name(person)} if person else {}))
    return turns, bool(row[1]), tuple(decisions_in(rows, source.source))


def _texts(turns: list[Turn], isolated: bool) -> Texts:
    """The text of a file as far as its turns tell it, each piece at its place: what decisions find their words by."""
    if isolated:
        return Texts((Passage(turn.text, turn.note, turn.line) for turn in turns), table=True)
    letters: list[str] = []
    for turn in turns:
        ends = [*(start for start, _ in turn.offsets[1:]), len(turn.text)]
        for (start, at), end in zip(turn.offsets, ends, strict=True):
            letters.extend(" " * (at + end - start - len(letters)))
            letters[at : at + end - start] = turn.text[start:end]
    return Texts([Passage("".join(letters))], turns=turns)
