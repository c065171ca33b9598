"""The session file: who tasted, which coffees, which brews, and where the notes are."""

from __future__ import annotations

import csv
import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tastevocab.cells import visible
from tastevocab.errors import InputError, Place
from tastevocab.opened import plain
from tastevocab.panel import session_keys as keys
from tastevocab.vocabulary.draft import OddKey
from tastevocab.vocabulary.sources import Lines, as_mapping, read_yaml

_TIME = re.compile(r"(?:\d+:){0,2}\d+(?:\.\d+)?")


@dataclass(frozen=True, slots=True)
class Coffee:
    """One coffee on the table.

    `names` are short names as people say them; `claims` the roaster's words as given, `additions` what went in beside
    coffee ("none", a text, or "" where the record does not say); `tasters` who tasted this one ((): all of the
    session); `duplicate_of` the coffee it is a hidden second pour of. `more` holds its other facts (farm, variety).
    """

    id: str
    name: str = ""
    names: tuple[str, ...] = ()
    claims: tuple[str, ...] = ()
    additions: str = ""
    process: str = ""
    roasted: str = ""
    tasters: tuple[str, ...] = ()
    duplicate_of: str = ""
    more: Mapping[str, str] = field(default_factory=dict)
    place: Place = field(default_factory=lambda: Place(""))


@dataclass(frozen=True, slots=True)
class BrewCard:
    """How one brew was made. `method` is the way of brewing; `facts` the card's other lines as written."""

    id: str
    method: str = ""
    facts: Mapping[str, str | float] = field(default_factory=dict)
    tasters: tuple[str, ...] = ()
    place: Place = field(default_factory=lambda: Place(""))


@dataclass(frozen=True, slots=True)
class Source:
    """One entry under `notes`: a file (`source`) or the words themselves (`text`), and what it does not say itself.

    `speakers` maps a name in the file to a taster; `tasters` are who was there, found something or not; `reveal` is
    the second at which the coffee was named (later findings are informed), `informed` says that all of it came after;
    `closing` is the second at which the closing round began (None: as it is heard). Only what is said from second
    `since` on and before `until` belongs to the entry (None: from the first, to the last).
    """

    source: str = ""
    text: str = ""
    taster: str | None = None
    coffee: str | None = None
    brew: str | None = None
    moment: str | None = None
    bowl: str | None = None
    speakers: Mapping[str, str] = field(default_factory=dict)
    tasters: tuple[str, ...] = ()
    reveal: float | None = None
    closing: float | None = None
    since: float | None = None
    until: float | None = None
    informed: bool = False
    place: Place = field(default_factory=lambda: Place(""))


@dataclass(frozen=True, slots=True)
class Session:
    """A whole session. `folder` is where its paths start; `bowls` how many were poured of each coffee (0: unsaid).

    `codes` maps a blind code to its coffee where the session names the opened key of its sheets, `code_brews` to its
    brew. `audio` is the file of
    the recording, whose seconds the captions count. `languages` are the language tags of the table ("es-MX"), the usual
    one first. `odd` are keys that
    nothing reads, `misspelt` those of brew cards that are nearly one that is read.
    """

    id: str
    file: str
    folder: Path
    date: str = ""
    blind: bool | None = None
    tasters: tuple[str, ...] = ()
    coffees: Mapping[str, Coffee] = field(default_factory=dict)
    brews: Mapping[str, BrewCard] = field(default_factory=dict)
    sources: tuple[Source, ...] = ()
    speakers: Mapping[str, str] = field(default_factory=dict)
    bowls: int = 0
    codes: Mapping[str, str] = field(default_factory=dict)
    code_brews: Mapping[str, str] = field(default_factory=dict)
    audio: str = ""
    languages: tuple[str, ...] = ()
    odd: tuple[OddKey, ...] = ()
    misspelt: tuple[OddKey, ...] = ()
    place: Place = field(default_factory=lambda: Place(""))

    def panel(self, coffee: str, brew: str | None = None) -> tuple[str, ...]:
        """Who tasted `coffee` (in `brew`), in the session's order: the session's tasters unless a card names fewer."""
        named = [
            set(card.tasters)
            for card in (self.coffees.get(coffee), self.brews.get(brew or ""))
            if card and card.tasters
        ]
        return tuple(t for t in self.tasters if all(t in some for some in named))


def read_session(path: Path) -> Session:
    """The session in a YAML file, as written: `session_check.check_session` says whether it holds together.

    Raises `InputError` (file and line) where the file cannot be read, holds notes, or a value is of the wrong kind.
    """
    if path.suffix.lower() in keys.NOTES and path.is_file():
        mend = f"make a session of it with `tastevocab start {path}`, and give that"
        raise InputError("holds notes and is no session", place=Place(os.fspath(path)), mend=mend)
    return _session(read_yaml(path, error=InputError), path)


def open_session(path: Path) -> Session:
    """As `read_session`, of a YAML file that may be anything. Raises `InputError` where it is no session."""
    top = read_yaml(path, error=InputError)
    if not isinstance(top, Lines) or not any(key in top for key in keys.SIGNS):
        raise InputError(
            f"is no session: none of {', '.join(keys.SIGNS)} stands in it",
            place=Place(os.fspath(path), 1),
            mend="give a session file (tasters, coffees, and the files under notes), or the notes themselves",
        )
    return _session(top, path)


def _session(given: Any, path: Path) -> Session:
    top = as_mapping(given, os.fspath(path))
    assert isinstance(top, Lines)
    coffees, brews, notes = _cards(top, "coffees"), _cards(top, "brews"), _entries(top)
    tasters = _names(top, "tasters")
    people = {t.casefold(): t for t in tasters}
    codes, code_brews = _codes(top, path.resolve().parent)
    return Session(
        id=_text(top, "session") or path.stem,
        file=os.fspath(path),
        folder=path.resolve().parent,
        date=_text(top, "date"),
        blind=_flag(top, "blind"),
        tasters=tasters,
        coffees={id: _coffee(id, entry, people) for id, entry in coffees},
        brews={id: _brew(id, entry, people) for id, entry in brews},
        sources=tuple(_source(entry, people) for entry in notes),
        speakers=_pairs(top, "speakers"),
        bowls=_whole(top, "bowls"),
        codes=codes,
        code_brews=code_brews,
        audio=_text(top, "audio"),
        languages=_names(top, "language"),
        odd=(
            *keys.odd_keys(top, keys.TOP),
            *(odd for _, entry in coffees for odd in keys.odd_keys(entry, (*keys.COFFEE, *keys.FACTS))),
            *(odd for entry in notes for odd in keys.odd_keys(entry, keys.SOURCE)),
        ),
        misspelt=tuple(odd for _, entry in brews for odd in keys.misspelt(entry)),
        place=top.place("session") if "session" in top else Place(os.fspath(path), 1),
    )


def _coffee(id: str, entry: Lines, people: Mapping[str, str]) -> Coffee:
    return Coffee(
        id=id,
        name=_text(entry, "name") or id.replace("_", " "),
        names=_names(entry, "names"),
        claims=_names(entry, "claims"),
        additions=_text(entry, "additions"),
        process=_text(entry, "process"),
        roasted=_text(entry, "roasted"),
        tasters=_people(entry, people),
        duplicate_of=_text(entry, "duplicate_of"),
        more={str(k): visible(str(v)) for k, v in entry.items() if k not in keys.COFFEE and v is not None},
        place=entry.place(),
    )


def _people(entry: Lines, people: Mapping[str, str]) -> tuple[str, ...]:
    """The `tasters` of a card or an entry, spelt as the session spells them (`people` by name in small letters)."""
    return tuple(people.get(name.casefold(), name) for name in _names(entry, "tasters"))


def _brew(id: str, entry: Lines, people: Mapping[str, str]) -> BrewCard:
    facts = {
        str(k): visible(v) if isinstance(v, str) else v
        for k, v in entry.items()
        if k not in keys.BREW and isinstance(v, (str, int, float))
    }
    return BrewCard(id, _text(entry, "method"), facts, _people(entry, people), entry.place())


def _entries(top: Lines) -> list[Lines]:
    given = top.get("notes")
    if given is None:
        return []
    if not isinstance(given, list):
        raise InputError("notes should be a list", place=top.place("notes"), mend="write `- {source: table.vtt}` lines")
    found = []
    for entry in given:
        if isinstance(entry, str):
            _refuse_empty(entry, top, "notes")
            entry = _bare_source(entry, top)
        if not isinstance(entry, Lines):
            raise InputError(
                "an entry under notes is no mapping",
                place=top.place("notes"),
                mend="write {source: FILE} or {taster: WHO, text: WORDS}",
            )
        found.append(entry)
    return found


def _bare_source(name: str, top: Lines) -> Lines:
    entry = Lines(top.file, top.lines.get("notes", top.line))
    entry["source"] = name
    return entry


def _source(entry: Lines, people: Mapping[str, str]) -> Source:
    return Source(
        source=_text(entry, "source"),
        text=_text(entry, "text"),
        taster=_text(entry, "taster") or None,
        coffee=_text(entry, "coffee") or None,
        brew=_text(entry, "brew") or None,
        moment=_text(entry, "moment") or None,
        bowl=_text(entry, "bowl") or None,
        speakers=_pairs(entry, "speakers"),
        tasters=_people(entry, people),
        reveal=_seconds(entry, "reveal"),
        closing=_seconds(entry, "closing"),
        since=_seconds(entry, "from"),
        until=_seconds(entry, "to"),
        informed=_flag(entry, "informed") is True,
        place=entry.place(),
    )


def _codes(top: Lines, folder: Path) -> tuple[dict[str, str], dict[str, str]]:
    """The opened key of printed sheets: code to coffee, and code to brew (columns code, sample and, if any, brew)."""
    name = _text(top, "key")
    if not name:
        return {}, {}
    try:
        rows = list(csv.DictReader(plain(folder / name).read_text("utf-8-sig").splitlines()))
    except (OSError, UnicodeDecodeError):
        raise InputError(f"the key {name} cannot be read", place=top.place("key"), mend="check the path") from None
    if not rows or not {"code", "sample"} <= set(rows[0]):
        raise InputError(f"{name} is no key", place=top.place("key"), mend="it has columns code and sample")
    coffees = {row["code"].strip(): row["sample"].strip() for row in rows}
    return coffees, {row["code"].strip(): brew for row in rows if (brew := (row.get("brew") or "").strip())}


def _seconds(entry: Lines, key: str) -> float | None:
    value = entry.get(key)
    if value is None:
        return None
    given = str(value).strip()
    if isinstance(value, bool) or not _TIME.fullmatch(given):
        mend = 'write seconds, "minutes:seconds" or "hours:minutes:seconds"'
        raise InputError(f"{key}: {value!r} is no time", place=entry.place(key), mend=mend)
    total = 0.0
    for part in given.split(":"):
        total = total * 60 + float(part)
    return total


# --- values of the right kind ---


def _cards(top: Lines, key: str) -> list[tuple[str, Lines]]:
    given = top.get(key)
    if given is None:
        return []
    if isinstance(given, list) and all(isinstance(name, str) for name in given):
        twice = next((name for name in given if given.count(name) > 1), None)
        if twice:
            raise InputError(f"{key} gives {twice!r} twice", place=top.place(key), mend="give each its own id")
        for name in given:
            _refuse_empty(name, top, key)
        return [(name, Lines(top.file, top.lines[key])) for name in given]
    if not isinstance(given, Lines):
        raise InputError(
            f"{key} should hold a mapping", place=top.place(key), mend="write `its_id: {...}` lines below it"
        )
    found = []
    for id, entry in given.items():
        line = given.lines[id]
        _refuse_empty(id, given, id, key)
        if entry is None:
            entry = Lines(given.file, line)
        if not isinstance(entry, Lines):
            raise InputError(f"{id!r} should hold a mapping", place=given.place(id), mend=f"write `{id}: {{...}}`")
        entry.line = line
        found.append((str(id), entry))
    return found


def _refuse_empty(name: object, entry: Lines, key: Any, under: str = "") -> None:
    """A name of nothing but blanks points at nobody; `under` is the key it stands under where that is another."""
    if name is None or not str(name).strip():
        what = f"{under or key} holds an empty name"
        raise InputError(what, place=entry.place(key), mend="write the name, or leave it out")


def _text(entry: Lines, key: str) -> str:
    value = entry.get(key)
    if value is None:
        return ""
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        raise InputError(f"{key} should be plain text", place=entry.place(key), mend="write a word or a sentence")
    return visible(str(value).strip())


def _names(entry: Lines, key: str) -> tuple[str, ...]:
    value = entry.get(key)
    if value is None:
        return ()
    if isinstance(value, str):
        return tuple(part.strip() for part in value.split(",") if part.strip())
    if isinstance(value, list) and all(isinstance(v, (str, int, float)) and not isinstance(v, bool) for v in value):
        for name in value:
            _refuse_empty(name, entry, key)
        return tuple(visible(str(v).strip()) for v in value)
    raise InputError(f"{key} should be a list of words", place=entry.place(key), mend=f"write `{key}: [one, two]`")


def _pairs(entry: Lines, key: str) -> dict[str, str]:
    value = entry.get(key)
    if value is None:
        return {}
    if isinstance(value, Lines) and all(isinstance(v, str) for v in value.values()):
        for given, taster in value.items():
            _refuse_empty(given, value, given, key)
            _refuse_empty(taster, value, given, key)
        return {str(k): str(v) for k, v in value.items()}
    raise InputError(
        f"{key} should map names to tasters", place=entry.place(key), mend=f"write `{key}: {{Miri: mira}}`"
    )


def _flag(entry: Lines, key: str) -> bool | None:
    value = entry.get(key)
    if value is None or isinstance(value, bool):
        return value
    if str(value).lower() in ("yes", "no"):
        return str(value).lower() == "yes"
    raise InputError(f"{key} should be true or false", place=entry.place(key), mend=f"write `{key}: true`")


def _whole(entry: Lines, key: str) -> int:
    value = entry.get(key)
    if value is None:
        return 0
    if isinstance(value, int) and not isinstance(value, bool) and value >= 0:
        return value
    raise InputError(f"{key} should be a whole number", place=entry.place(key), mend=f"write `{key}: 5`")
