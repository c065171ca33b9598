"""A session into the archive: read as the panel reads it, kept with its talk, its people by code, its vocabulary."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Literal

from tastevocab import __version__
from tastevocab.archive import schema, snapshot
from tastevocab.archive.people import People
from tastevocab.archive.store import Archive
from tastevocab.errors import InputError
from tastevocab.panel.attendance import served
from tastevocab.panel.gather import Gathered, gather, name_of
from tastevocab.panel.session import Session
from tastevocab.panel.settling import Settler, is_table
from tastevocab.reading.records import Spot, Turn
from tastevocab.reading.review.decisions import Decision, beside, load_beside, rows_of
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.vocabulary.model import Vocabulary

State = Literal["added", "unchanged", "replaced"]


@dataclass(frozen=True, slots=True)
class Added:
    """What became of a session: `edition` counts its versions from 1; `notices` are sentences about its notes."""

    session: str
    state: State
    edition: int
    coffees: int
    findings: int
    notices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Heard:
    """One source of a session: its turns as the file has them, and what a person decided about it."""

    name: str
    isolated: bool
    turns: tuple[Turn, ...]
    decisions: tuple[Decision, ...]


@dataclass(frozen=True, slots=True)
class Intake:
    """All that is kept of a session, read and ready to be written."""

    session: Session
    gathered: Gathered
    sources: tuple[Heard, ...]
    digest: str


def add(
    archive: Archive,
    session: Session,
    lexicon: Lexicon,
    vocabulary: Vocabulary,
    *,
    moved: bool = False,
    anew: bool = False,
) -> Added:
    """Add a session that was read from its file. The same again is no change; a changed one replaces its old version,
    which is kept as history.

    `moved` lets a session take the place of one of the same name and another date; `anew` lets people in who may have
    had themselves forgotten. Raises `InputError` where the session is unsound, cannot be read, or either is not said.
    """
    digest = digest_of(session)
    with archive.reading() as db:
        known = _current(db, session.id)
    if known and known["digest"] == digest:
        return Added(session.id, "unchanged", known["number"], *_counts(archive.db, known["id"]))
    _fits(session, known, People(archive.db), moved, anew)
    return write(archive, intake(session, lexicon, digest), vocabulary)


def write(archive: Archive, taken: Intake, vocabulary: Vocabulary) -> Added:
    """Write what was taken in as the current version of its session, in one transaction."""
    session = taken.session
    with archive.writing() as db:
        known = _current(db, session.id)
        if known and known["digest"] == taken.digest:  # another program was faster
            return Added(session.id, "unchanged", known["number"], *_counts(db, known["id"]))
        if known:
            db.execute("UPDATE edition SET current = 0 WHERE id = ?", (known["id"],))
        edition = _write(db, taken, vocabulary, number=known["number"] + 1 if known else 1)
        coffees, findings = _counts(db, edition)
    state: State = "replaced" if known else "added"
    number = known["number"] + 1 if known else 1
    return Added(session.id, state, number, coffees, findings, taken.gathered.notices)


def digest_of(session: Session) -> str:
    """A mark of all that a session's reading rests on: itself, its files, and what was decided about them."""
    hash = hashlib.sha256()
    given = {key: value for key, value in asdict(session).items() if key not in ("file", "folder", "odd", "misspelt")}
    hash.update(json.dumps(_placeless(given), sort_keys=True, default=str).encode())
    files = [session.folder / s.source for s in session.sources if s.source]
    for path in (*files, *(beside(p) for p in dict.fromkeys((*files, Path(session.file))))):
        hash.update(b"\0")
        if path.is_file():
            hash.update(path.read_bytes())
    return hash.hexdigest()


def intake(session: Session, lexicon: Lexicon, digest: str) -> Intake:
    """Read a session and its talk. Raises as `gather` does, and where no coffee was described at all."""
    gathered = gather(session, lexicon)
    if not gathered.findings and not gathered.attributes:
        raise InputError(
            "nobody described any coffee: no finding in any note",
            place=session.place,
            mend="look at what was read with `tastevocab read`",
        )
    return Intake(session, gathered, tuple(_heard(session)), digest)


def _placeless(value: Any) -> Any:
    """Without the lines on which things stand: a comment more is no change."""
    if isinstance(value, Mapping):
        return {str(k): _placeless(v) for k, v in value.items() if k != "place"}
    if isinstance(value, (list, tuple)):
        return [_placeless(v) for v in value]
    return value


def _fits(session: Session, known: Mapping[str, Any] | None, people: People, moved: bool, anew: bool) -> None:
    """Raises `InputError` where a session must not take the place of the one of its name without being told to."""
    if known is None:
        return
    if known["date"] and session.date and known["date"] != session.date and not moved:
        raise InputError(
            f"the archive holds a session {session.id!r} of {known['date']}, this one is of {session.date}",
            place=session.place,
            mend="give each session a name of its own (`session:`), or add --replace if the date was wrong",
        )
    strangers = [t for t in session.tasters if people.id_of(t) is None]
    if known["withdrawn"] and strangers and not anew:
        raise InputError(
            f"somebody of session {session.id!r} had their name and words forgotten, and {', '.join(strangers)} "
            "would come in now",
            place=session.place,
            mend="take whoever withdrew out of the session and its notes, or add --anew if all agreed to be kept",
        )


def _heard(session: Session) -> Iterable[Heard]:
    from tastevocab.reading.intake.files import read_turns

    seen: set[str] = set()
    for source in session.sources:
        name = name_of(session, source)
        if name in seen:
            continue
        seen.add(name)
        if source.text:
            decided = load_beside(Path(session.file), text=source.text)
            turn = Turn(source.text, name, speaker=source.taster, kind="note")
            yield Heard(name, True, (turn,), decided.entries)
        else:
            path = session.folder / source.source
            turns = tuple(t for t in read_turns(path).turns if t.text)
            yield Heard(name, is_table(source), turns, load_beside(path).entries)


# --- rows ---


def _current(db: sqlite3.Connection, session: str) -> dict[str, Any] | None:
    row = db.execute(
        "SELECT e.id, e.number, e.date, e.digest, e.withdrawn FROM edition AS e JOIN session AS s ON s.id = e.session "
        "WHERE s.name = ? AND e.current = 1",
        (session,),
    ).fetchone()
    return dict(zip(("id", "number", "date", "digest", "withdrawn"), row, strict=True)) if row else None


def _counts(db: sqlite3.Connection, edition: int) -> tuple[int, int]:
    (coffees,) = db.execute("SELECT COUNT(*) FROM coffee WHERE edition = ?", (edition,)).fetchone()
    (findings,) = db.execute(
        "SELECT COUNT(*) FROM finding WHERE coffee IN (SELECT id FROM coffee WHERE edition = ?)", (edition,)
    ).fetchone()
    return int(coffees), int(findings)


def _write(db: sqlite3.Connection, taken: Intake, vocabulary: Vocabulary, number: int) -> int:
    people, session = People(db), taken.session
    for taster in session.tasters:
        people.code(taster)
    body = snapshot.session_body(session, people.code)
    edition = _insert(
        db,
        "edition",
        session=_session(db, session.id),
        number=number,
        current=1,
        date=session.date,
        digest=taken.digest,
        vocabulary=_vocabulary(db, vocabulary),
        program=__version__,
        body=json.dumps(body, ensure_ascii=False, separators=(",", ":")),
    )
    coffees = {}
    for entry in body["coffees"]:
        id = entry["id"]
        coffees[id] = _insert(
            db, "coffee", edition=edition, key=id, name=entry["name"], duplicate_of=entry["duplicate_of"]
        )
        facts = [(coffees[id], key, value) for key, value in schema.coffee_facts(entry)]
        db.executemany("INSERT INTO fact (coffee, key, value) VALUES (?, ?, ?)", facts)
        seats = [(coffees[id], people.id(taster)) for taster in served(session, taken.gathered.present, id)]
        db.executemany("INSERT INTO seat (coffee, person) VALUES (?, ?)", seats)
    sources = {heard.name: _source(db, edition, heard, taken, people) for heard in taken.sources}
    _findings(db, taken.gathered, coffees, sources, people)
    db.execute(schema.ARCS, (min(coffees.values()), max(coffees.values())))
    return edition


def _insert(db: sqlite3.Connection, table: str, **values: Any) -> int:
    names = ", ".join(values)
    marks = ", ".join("?" * len(values))
    id = db.execute(f"INSERT INTO {table} ({names}) VALUES ({marks})", tuple(values.values())).lastrowid
    assert id is not None
    return id


def _session(db: sqlite3.Connection, name: str) -> int:
    db.execute("INSERT OR IGNORE INTO session (name) VALUES (?)", (name,))
    return int(db.execute("SELECT id FROM session WHERE name = ?", (name,)).fetchone()[0])


def _vocabulary(db: sqlite3.Connection, vocabulary: Vocabulary) -> int:
    row = db.execute("SELECT id FROM vocabulary WHERE hash = ?", (vocabulary.hash,)).fetchone()
    if row:
        return int(row[0])
    return _insert(
        db,
        "vocabulary",
        name=vocabulary.name,
        version=vocabulary.version,
        hash=vocabulary.hash,
        body=snapshot.vocabulary_body(vocabulary),
    )


def _source(db: sqlite3.Connection, edition: int, heard: Heard, taken: Intake, people: People) -> int:
    id = _insert(db, "source", edition=edition, name=heard.name, isolated=heard.isolated)
    names = _spoken(taken.session, heard)
    rows = []
    for turn in heard.turns:
        speaker = names.get(turn.speaker or "", turn.speaker)
        rows.append((id, people.id(speaker) if speaker else None, *snapshot.turn_row(turn)))
    _insert_many(db, "turn", ("source", "person", *snapshot.TURN), rows)
    for row in rows_of(heard.decisions):
        speaker = row.pop("speaker", "")
        if row.get("taster"):
            row["taster"] = people.code(names.get(row["taster"], row["taster"]))
        person = people.id(names.get(speaker, speaker)) if speaker else None
        kept = (id, person, json.dumps(row, ensure_ascii=False))
        db.execute("INSERT INTO decision (source, person, body) VALUES (?, ?, ?)", kept)
    return id


def _spoken(session: Session, heard: Heard) -> dict[str, str]:
    """Whoever speaks in a source, by the name that stands there, as the session's taster where they are one."""
    settler = Settler(session)
    entries = [s for s in session.sources if name_of(session, s) == heard.name]
    spoken = {t.speaker for t in heard.turns} | {d.speaker for d in heard.decisions}
    spoken |= {d.details.taster for d in heard.decisions}
    return {name: known for name in spoken if name and (known := settler.who(entries[0], name))}


def _findings(
    db: sqlite3.Connection, gathered: Gathered, coffees: Mapping[str, int], sources: Mapping[str, int], people: People
) -> None:
    def where(spot: Spot) -> tuple[int, int, int]:
        return coffees[spot.coffee or ""], people.id(spot.speaker or ""), sources[spot.source]

    shared = ("coffee", "person", "source")
    found = [(*where(f.spot), *snapshot.finding_row(f)) for f in gathered.findings]
    _insert_many(db, "finding", (*shared, *snapshot.FINDING), found)
    marks = [(*where(a.spot), *snapshot.mark_row(a)) for a in gathered.attributes]
    _insert_many(db, "mark", (*shared, *snapshot.MARK), marks)
    for u in gathered.unresolved:
        _insert(
            db,
            "unknown",
            source=sources[u.spot.source],
            person=people.id(u.spot.speaker) if u.spot.speaker else None,
            coffee=coffees.get(u.spot.coffee or ""),
            words=u.spot.words,
            start=u.spot.span[0],
            stop=u.spot.span[1],
            at=u.spot.at,
        )


def _insert_many(db: sqlite3.Connection, table: str, columns: tuple[str, ...], rows: list[tuple[Any, ...]]) -> None:
    marks = ", ".join("?" * len(columns))
    db.executemany(f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({marks})", rows)
