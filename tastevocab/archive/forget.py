"""A taster withdraws: their code and what was counted stay, their name and every word they said go, everywhere."""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from tastevocab.archive.people import People
from tastevocab.archive.recall import vocabulary_of
from tastevocab.archive.store import Archive, told

Mask = Callable[[str], str]


@dataclass(frozen=True, slots=True)
class Forgotten:
    """What was forgotten: `code` is what the one is called from now on, `findings`, `turns` and `sessions` how many
    lost their words; `masked` counts mentions in what others said, `left` names coffees or facts of coffees in which
    the same name stands and was left."""

    code: str
    sessions: int
    turns: int
    findings: int
    masked: int
    left: tuple[str, ...]


def forget(archive: Archive, name: str, also: Sequence[str] = ()) -> Forgotten:
    """Forget somebody by name; `also` are further names they go by, hidden in what others said.

    All of it happens in one transaction, old versions of sessions included; deleted bytes are overwritten, the
    full-text index is made anew and the file is written afresh. Raises `InputError` where nobody goes by that name.
    """
    with archive.writing() as db:
        people = People(db)
        person = people.must(name)
        code = people.codes[person]
        names = tuple(dict.fromkeys((name, *also)))
        hide, rename = _masks(db, names, code)
        touched = _sessions_of(db, person)
        _unsay(db, person)
        turns = db.execute("DELETE FROM turn WHERE person = ?", (person,)).rowcount
        findings = db.execute("UPDATE finding SET words = '', note = NULL WHERE person = ?", (person,)).rowcount
        findings += db.execute("UPDATE mark SET words = '', note = NULL WHERE person = ?", (person,)).rowcount
        db.execute("DELETE FROM unknown WHERE person = ?", (person,))
        db.execute("DELETE FROM decision WHERE person = ? OR json_extract(body, '$.taster') = ?", (person, code))
        db.execute("UPDATE person SET name = NULL WHERE id = ?", (person,))
        for edition in touched:
            db.execute("UPDATE edition SET withdrawn = withdrawn + 1 WHERE id = ?", (edition,))
            _blank_contexts(db, edition)
        masked = _hide_mentions(db, hide, rename)
        db.execute("INSERT INTO talk (talk) VALUES ('rebuild')")
        left = tuple(_left(db, hide))
    scrub(archive)
    return Forgotten(code, len(set(touched.values())), turns, findings, masked, left)


def scrub(archive: Archive) -> None:
    """Write the file afresh, so that nothing of what was deleted lies in it. Raises `InputError` where that fails."""
    with told(archive.path):
        archive.db.execute("VACUUM")


def _sessions_of(db: sqlite3.Connection, person: int) -> dict[int, int]:
    """The versions of sessions in which somebody sat or spoke, each with its session."""
    rows = db.execute(
        "SELECT id, session FROM edition WHERE id IN ("
        "SELECT c.edition FROM seat AS s JOIN coffee AS c ON c.id = s.coffee WHERE s.person = ? UNION "
        "SELECT s.edition FROM turn AS t JOIN source AS s ON s.id = t.source WHERE t.person = ?) ORDER BY 1",
        (person, person),
    )
    return dict(rows)


def _blank_contexts(db: sqlite3.Connection, edition: int) -> None:
    """The words around what somebody decided about may be anybody's."""
    rows = db.execute(
        "SELECT d.rowid, d.body FROM decision AS d JOIN source AS s ON s.id = d.source WHERE s.edition = ?", (edition,)
    ).fetchall()
    for row, body in rows:
        decision = json.loads(body)
        for part in (decision, decision.get("from"), decision.get("to")):
            if isinstance(part, dict):
                part.pop("context", None)
        db.execute("UPDATE decision SET body = ? WHERE rowid = ?", (json.dumps(decision, ensure_ascii=False), row))


def _unsay(db: sqlite3.Connection, person: int) -> None:
    """Blank their findings' words where they stand in a turn that the file gives to another voice."""
    for table in ("finding", "mark"):
        places = db.execute(
            f"SELECT t.id, t.text, t.offsets, f.start, f.stop FROM {table} AS f JOIN turn AS t ON t.source = f.source "
            "AND t.person IS NOT f.person AND t.note IS f.note AND t.line <= f.line WHERE f.person = ? AND "
            "instr(t.text, f.words)",
            (person,),
        ).fetchall()
        for turn, _, offsets, start, stop in places:
            (text,) = db.execute("SELECT text FROM turn WHERE id = ?", (turn,)).fetchone()
            kept = _blanked(text, json.loads(offsets), start, stop)
            db.execute("UPDATE turn SET text = ?, offers = '[]' WHERE id = ?", (kept, turn))


def _blanked(text: str, offsets: Sequence[tuple[int, int]], start: int, stop: int) -> str:
    """The text with what stands at these places of the file made unreadable, letter by letter."""
    ends = [*(begin for begin, _ in offsets[1:]), len(text)]
    letters = list(text)
    for (begin, at), end in zip(offsets, ends, strict=True):
        first, last = max(begin, begin + start - at), min(end, begin + stop - at)
        letters[first:last] = "·" * max(0, last - first)
    return "".join(letters)


# --- the name in what others said ---


def _masks(db: sqlite3.Connection, names: Iterable[str], code: str) -> tuple[Mask, Mask]:
    """Two ways of taking a name out of a text: letter by letter, so that all places in it stay, and by the code.

    A name that is also a flavour ("rose", "basil") is taken for a person only where it is written with a capital.
    """
    flavours: set[str] = set()
    for (id,) in db.execute("SELECT id FROM vocabulary").fetchall():
        for d in vocabulary_of(db, id).descriptors.values():
            flavours.update(word.casefold() for words in d.words.values() for word in words)
            flavours.add(d.print.casefold())
    patterns = []
    for name in names:
        if name.casefold() in flavours:
            patterns.append("|".join(re.escape(form) for form in {name.capitalize(), name.upper()}))
        else:
            patterns.append(f"(?i:{re.escape(name)})")
    found = re.compile(rf"(?<![^\W_])(?:{'|'.join(patterns)})(?![^\W_])")
    return lambda text: found.sub(lambda m: "·" * len(m[0]), text), lambda text: found.sub(code, text)


HIDDEN = (("turn", "text"), ("turn", "offers"), ("finding", "words"), ("mark", "words"), ("unknown", "words"))
RENAMED = (
    ("turn", "note"), ("finding", "note"), ("mark", "note"), ("decision", "body"), ("source", "name"),
    ("session", "name"),
)  # fmt: skip


def _hide_mentions(db: sqlite3.Connection, hide: Mask, rename: Mask) -> int:
    changed = 0
    for columns, mask in ((HIDDEN, hide), (RENAMED, rename)):
        for table, column in columns:
            for row, text in db.execute(f"SELECT rowid, {column} FROM {table} WHERE {column} IS NOT NULL").fetchall():
                if (kept := mask(text)) != text:
                    db.execute(f"UPDATE {table} SET {column} = ? WHERE rowid = ?", (kept, row))
                    changed += 1
    for id, text in db.execute("SELECT id, body FROM edition").fetchall():
        body = json.loads(text)
        body["file"] = rename(body["file"])
        for entry in body["notes"]:
            entry["source"] = rename(entry["source"])
        kept = json.dumps(body, ensure_ascii=False, separators=(",", ":"))
        if kept != text:
            db.execute("UPDATE edition SET body = ? WHERE id = ?", (kept, id))
    return changed


def _left(db: sqlite3.Connection, hide: Mask) -> list[str]:
    """Coffees and their facts that bear the name: a farm may be called like a person."""
    rows = db.execute("SELECT name FROM coffee UNION SELECT value FROM fact ORDER BY 1")
    return [text for (text,) in rows if hide(text) != text]
