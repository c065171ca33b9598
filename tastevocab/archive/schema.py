"""The tables of the archive file, version by version; a file of an earlier version is brought up to date when opened.

A new file goes through every step too, so that each step is run whenever an archive begins.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterator

APPLICATION = 0x54565641
"""SQLite's application id of an archive ("TVVA"), by which a file is known to be one."""

VERSION_1 = """
CREATE TABLE person (id INTEGER PRIMARY KEY, code TEXT NOT NULL UNIQUE, name TEXT UNIQUE);
CREATE TABLE vocabulary (
  id INTEGER PRIMARY KEY, name TEXT NOT NULL, version TEXT NOT NULL, hash TEXT NOT NULL UNIQUE, body BLOB NOT NULL);
CREATE TABLE session (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE);
CREATE TABLE edition (
  id INTEGER PRIMARY KEY, session INTEGER NOT NULL REFERENCES session, number INTEGER NOT NULL,
  current INTEGER NOT NULL, date TEXT NOT NULL, digest TEXT NOT NULL,
  vocabulary INTEGER NOT NULL REFERENCES vocabulary, program TEXT NOT NULL, withdrawn INTEGER NOT NULL DEFAULT 0,
  body TEXT NOT NULL, UNIQUE (session, number));
CREATE UNIQUE INDEX one_current ON edition (session) WHERE current = 1;
CREATE TABLE coffee (
  id INTEGER PRIMARY KEY, edition INTEGER NOT NULL REFERENCES edition, key TEXT NOT NULL, name TEXT NOT NULL,
  duplicate_of TEXT NOT NULL, UNIQUE (edition, key));
CREATE TABLE seat (
  coffee INTEGER NOT NULL REFERENCES coffee, person INTEGER NOT NULL REFERENCES person,
  PRIMARY KEY (coffee, person)) WITHOUT ROWID;
CREATE TABLE source (
  id INTEGER PRIMARY KEY, edition INTEGER NOT NULL REFERENCES edition, name TEXT NOT NULL, isolated INTEGER NOT NULL,
  UNIQUE (edition, name));
CREATE TABLE turn (
  id INTEGER PRIMARY KEY, source INTEGER NOT NULL REFERENCES source, person INTEGER REFERENCES person,
  text TEXT NOT NULL, offsets TEXT NOT NULL, times TEXT NOT NULL, note TEXT, coffee TEXT, brew TEXT, moment TEXT,
  bowl TEXT, topic TEXT, kind TEXT NOT NULL, line INTEGER NOT NULL);
CREATE INDEX turn_of_source ON turn (source);
CREATE TABLE decision (source INTEGER NOT NULL REFERENCES source, person INTEGER REFERENCES person, body TEXT NOT NULL);
CREATE TABLE finding (
  id INTEGER PRIMARY KEY, coffee INTEGER NOT NULL REFERENCES coffee, person INTEGER NOT NULL REFERENCES person,
  source INTEGER NOT NULL REFERENCES source, descriptor TEXT NOT NULL, words TEXT NOT NULL,
  start INTEGER NOT NULL, stop INTEGER NOT NULL, note TEXT, at REAL, brew TEXT, moment TEXT, place TEXT, bowl TEXT,
  line INTEGER NOT NULL, present INTEGER NOT NULL, standing TEXT NOT NULL, degree TEXT, strength REAL,
  certainty REAL NOT NULL, hedged INTEGER NOT NULL, via TEXT NOT NULL, match REAL NOT NULL, state TEXT,
  parts TEXT NOT NULL, fault INTEGER NOT NULL, two_faced INTEGER NOT NULL, nose INTEGER NOT NULL, echo INTEGER NOT NULL,
  sure REAL NOT NULL);
CREATE INDEX finding_of_coffee ON finding (coffee);
CREATE INDEX finding_of_descriptor ON finding (descriptor);
CREATE INDEX finding_of_person ON finding (person);
CREATE TABLE mark (
  id INTEGER PRIMARY KEY, coffee INTEGER NOT NULL REFERENCES coffee, person INTEGER NOT NULL REFERENCES person,
  source INTEGER NOT NULL REFERENCES source, attribute TEXT NOT NULL, level TEXT NOT NULL, step REAL NOT NULL,
  words TEXT NOT NULL, start INTEGER NOT NULL, stop INTEGER NOT NULL, note TEXT, at REAL, brew TEXT, moment TEXT,
  place TEXT, bowl TEXT, line INTEGER NOT NULL, present INTEGER NOT NULL, standing TEXT NOT NULL,
  hedged INTEGER NOT NULL, sure REAL NOT NULL);
CREATE INDEX mark_of_coffee ON mark (coffee);
CREATE INDEX mark_of_person ON mark (person);
CREATE TABLE unknown (
  id INTEGER PRIMARY KEY, source INTEGER NOT NULL REFERENCES source, person INTEGER REFERENCES person,
  coffee INTEGER REFERENCES coffee, words TEXT NOT NULL, start INTEGER NOT NULL, stop INTEGER NOT NULL, at REAL);
CREATE VIRTUAL TABLE talk USING fts5(
  text, content='turn', content_rowid='id', tokenize='unicode61 remove_diacritics 2');
CREATE TRIGGER turn_heard AFTER INSERT ON turn BEGIN
  INSERT INTO talk (rowid, text) VALUES (new.id, new.text); END;
CREATE TRIGGER turn_gone AFTER DELETE ON turn BEGIN
  INSERT INTO talk (talk, rowid, text) VALUES ('delete', old.id, old.text); END;
CREATE TRIGGER turn_changed AFTER UPDATE OF text ON turn BEGIN
  INSERT INTO talk (talk, rowid, text) VALUES ('delete', old.id, old.text);
  INSERT INTO talk (rowid, text) VALUES (new.id, new.text); END;
"""

# Facts of a coffee can be asked for, and each coffee's arcs are kept, so that thousands of maps are compared at once.
VERSION_2 = """
CREATE TABLE fact (
  coffee INTEGER NOT NULL REFERENCES coffee, key TEXT NOT NULL, value TEXT NOT NULL,
  PRIMARY KEY (coffee, key)) WITHOUT ROWID;
CREATE INDEX fact_of_key ON fact (key, value COLLATE NOCASE);
CREATE TABLE arc (
  coffee INTEGER NOT NULL REFERENCES coffee, descriptor TEXT NOT NULL, people INTEGER NOT NULL,
  frequency REAL NOT NULL, intensity REAL NOT NULL, PRIMARY KEY (coffee, descriptor)) WITHOUT ROWID;
"""

# What a recogniser heard only with the house's words stays with the turn, so that it is asked again.
VERSION_3 = "ALTER TABLE turn ADD COLUMN offers TEXT NOT NULL DEFAULT '[]';"

MODERATE = 17.2
"""Where "moderate" stands on the Labelled Magnitude Scale: taken where none was said, as the flavour map does."""

# The folding of `panel/folding.py` over a whole coffee, brews and moments together: one taster, one descriptor, once.
ARCS = f"""
INSERT INTO arc (coffee, descriptor, people, frequency, intensity)
SELECT coffee, descriptor, COUNT(*), 100.0 * SUM(certainty) / tasters, SUM(certainty * strength) / tasters
FROM (SELECT f.coffee AS coffee, f.descriptor AS descriptor, MAX(f.certainty) AS certainty,
             COALESCE(MAX(f.strength), {MODERATE}) AS strength,
             (SELECT COUNT(*) FROM seat WHERE seat.coffee = f.coffee) AS tasters
      FROM finding AS f JOIN seat AS s ON s.coffee = f.coffee AND s.person = f.person
      WHERE f.present AND NOT f.fault AND f.standing = 'own' AND f.coffee BETWEEN ? AND ?
      GROUP BY f.coffee, f.descriptor, f.person)
GROUP BY coffee, descriptor
"""
EVERYTHING = (0, 2**62)


def coffee_facts(entry: dict[str, object]) -> Iterator[tuple[str, str]]:
    """The facts of one coffee as it stands in an edition's body: process, roast date, and whatever else was told."""
    more = entry.get("more")
    for key, value in {
        "process": entry.get("process"),
        "roasted": entry.get("roasted"),
        **(more if isinstance(more, dict) else {}),
    }.items():
        if value:
            yield str(key), str(value)


def _to_1(db: sqlite3.Connection) -> None:
    _run(db, VERSION_1)


def _to_2(db: sqlite3.Connection) -> None:
    _run(db, VERSION_2)
    ids = {(edition, key): id for id, edition, key in db.execute("SELECT id, edition, key FROM coffee")}
    for edition, body in db.execute("SELECT id, body FROM edition").fetchall():
        for entry in json.loads(body)["coffees"]:
            rows = [(ids[edition, entry["id"]], key, value) for key, value in coffee_facts(entry)]
            db.executemany("INSERT INTO fact (coffee, key, value) VALUES (?, ?, ?)", rows)
    db.execute(ARCS, EVERYTHING)


def _to_3(db: sqlite3.Connection) -> None:
    _run(db, VERSION_3)


STEPS: tuple[Callable[[sqlite3.Connection], None], ...] = (_to_1, _to_2, _to_3)
VERSION = len(STEPS)
"""The version that this program writes."""


def bring_up(db: sqlite3.Connection, version: int) -> None:
    """Take a file from `version` (0: a new one) to `VERSION`; the caller holds the transaction."""
    for number, step in enumerate(STEPS[version:], version + 1):
        step(db)
        db.execute(f"PRAGMA user_version = {number:d}")
    db.execute(f"PRAGMA application_id = {APPLICATION:d}")


def _run(db: sqlite3.Connection, script: str) -> None:
    """The statements of a script one by one: `executescript` would end the transaction first."""
    statement = ""
    for line in script.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            db.execute(statement)
            statement = ""
