"""A session, its talk and its findings as plain rows without a name in them, and back.

In what is kept, people stand by their codes alone (P1, P2, ...); names are in one table, so that one can be forgotten.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

from tastevocab.errors import Place
from tastevocab.panel.gather import name_of
from tastevocab.panel.session import BrewCard, Coffee, Session, Source
from tastevocab.reading.records import AttributeFinding, Finding, Spot, Turn
from tastevocab.vocabulary.model import Descriptor, Vocabulary

Named = Callable[[str], str]
"""A name to its code, or a code to its name (to itself where the name is forgotten)."""

SPOT = ("words", "start", "stop", "note", "at", "brew", "moment", "place", "bowl", "line")
_FOUND = (
    "present", "standing", "degree", "strength", "certainty", "hedged", "via", "match", "state", "parts", "fault",
    "two_faced", "nose", "echo", "sure",
)  # fmt: skip
_MARKED = ("present", "standing", "hedged", "sure")
_TRUTHS = {"present", "hedged", "fault", "two_faced", "nose", "echo"}  # SQLite keeps them as 0 and 1
FINDING = ("descriptor", *SPOT, *_FOUND)
MARK = ("attribute", "level", "step", *SPOT, *_MARKED)
_COFFEE = ("id", "name", "additions", "process", "roasted", "duplicate_of")
_ENTRY = ("coffee", "brew", "moment", "bowl", "reveal", "closing", "since", "until", "informed")
_TURN = ("note", "coffee", "brew", "moment", "bowl", "topic", "kind", "line")
_PLACES = ("offsets", "times", "offers")
TURN = ("text", *_TURN, *_PLACES)


# --- sessions ---


def session_body(session: Session, code: Named) -> dict[str, Any]:
    """A session as plain values with codes for people. Texts typed into it are kept as turns, not here."""
    return {
        "file": Path(session.file).name,
        "blind": session.blind,
        "bowls": session.bowls,
        "language": list(session.languages),
        "codes": dict(session.codes),
        "code_brews": dict(session.code_brews),
        "tasters": [code(t) for t in session.tasters],
        "coffees": [
            {
                **{key: getattr(c, key) for key in _COFFEE},
                "names": list(c.names),
                "claims": list(c.claims),
                "tasters": [code(t) for t in c.tasters],
                "more": dict(c.more),
            }
            for c in session.coffees.values()
        ],
        "brews": [
            {"id": b.id, "method": b.method, "facts": dict(b.facts), "tasters": [code(t) for t in b.tasters]}
            for b in session.brews.values()
        ],
        "notes": [_entry(session, source, code) for source in session.sources],
    }


def _entry(session: Session, source: Source, code: Named) -> dict[str, Any]:
    return {
        "source": name_of(session, source),
        "typed": bool(source.text),
        "taster": code(source.taster) if source.taster else None,
        "tasters": [code(t) for t in source.tasters],
        **{key: getattr(source, key) for key in _ENTRY},
    }


def session_of(body: Mapping[str, Any], name: str, date: str, named: Named) -> Session:
    """The session that `session_body` was made of, with `named` codes; its files are no longer named by a path."""

    def people(codes: Iterable[str]) -> tuple[str, ...]:
        return tuple(map(named, codes))

    place = Place(f"archive: {name}")
    coffees = {
        c["id"]: Coffee(
            **{key: c[key] for key in _COFFEE},
            names=tuple(c["names"]),
            claims=tuple(c["claims"]),
            tasters=people(c["tasters"]),
            more=c["more"],
            place=place,
        )
        for c in body["coffees"]
    }
    brews = {b["id"]: BrewCard(b["id"], b["method"], b["facts"], people(b["tasters"]), place) for b in body["brews"]}
    return Session(
        id=name,
        file=body["file"],
        folder=Path(),
        date=date,
        blind=body["blind"],
        tasters=people(body["tasters"]),
        coffees=coffees,
        brews=brews,
        sources=tuple(_source(entry, named, place) for entry in body["notes"]),
        bowls=body["bowls"],
        languages=tuple(body.get("language", ())),  # older files have fewer keys
        codes=body["codes"],
        code_brews=body.get("code_brews", {}),
        place=place,
    )


def _source(entry: Mapping[str, Any], named: Named, place: Place) -> Source:
    given = {key: entry[key] for key in _ENTRY if key in entry}
    taster = named(entry["taster"]) if entry["taster"] else None
    tasters = tuple(map(named, entry.get("tasters", ())))
    return Source(source=entry["source"], taster=taster, tasters=tasters, place=place, **given)


# --- findings ---


def finding_row(f: Finding) -> tuple[Any, ...]:
    """A finding under the columns `FINDING`."""
    own = {key: getattr(f, key) for key in _FOUND}
    return (f.descriptor, *_spot_row(f.spot), *{**own, "parts": json.dumps(f.parts)}.values())


def mark_row(a: AttributeFinding) -> tuple[Any, ...]:
    """An attribute finding under the columns `MARK`."""
    return (a.attribute, a.level, a.step, *_spot_row(a.spot), *(getattr(a, key) for key in _MARKED))


def _spot_row(spot: Spot) -> tuple[Any, ...]:
    return (spot.words, *spot.span, *(getattr(spot, key) for key in SPOT[3:]))


def finding_of(row: Mapping[str, Any], speaker: str, coffee: str, source: str) -> Finding:
    """The finding of a row; its id is that of the row, so that evidence leads back to the file."""
    own = {**_judged(row, _FOUND), "parts": tuple(json.loads(row["parts"]))}
    return Finding(f"a{row['id']}", row["descriptor"], _spot_of(row, speaker, coffee, source), **own)


def mark_of(row: Mapping[str, Any], speaker: str, coffee: str, source: str) -> AttributeFinding:
    """The attribute finding of a row."""
    what = {key: row[key] for key in ("attribute", "level", "step")}
    spot = _spot_of(row, speaker, coffee, source)
    return AttributeFinding(f"m{row['id']}", spot=spot, **what, **_judged(row, _MARKED))


def _judged(row: Mapping[str, Any], keys: Iterable[str]) -> dict[str, Any]:
    return {key: bool(row[key]) if key in _TRUTHS else row[key] for key in keys}


def _spot_of(row: Mapping[str, Any], speaker: str, coffee: str, source: str) -> Spot:
    own = {key: row[key] for key in SPOT if key not in ("start", "stop")}
    return Spot(span=(row["start"], row["stop"]), source=source, speaker=speaker, coffee=coffee, **own)


# --- talk ---


def turn_row(turn: Turn) -> tuple[Any, ...]:
    """A turn under the columns `TURN`, without its speaker."""
    places = (json.dumps(getattr(turn, key), ensure_ascii=False, separators=(",", ":")) for key in _PLACES)
    return (turn.text, *(getattr(turn, key) for key in _TURN), *places)


def turn_of(row: Mapping[str, Any], speaker: str | None, source: str) -> Turn:
    """The turn of a row."""
    places: dict[str, Any] = {key: tuple(map(tuple, json.loads(row[key]))) for key in _PLACES}
    return Turn(row["text"], source, speaker=speaker, **{key: row[key] for key in _TURN}, **places)


# --- vocabularies ---

_KEPT = ("id", "level", "print", "home", "words", "heard", "parts", "span", "fault", "use_instead")


def vocabulary_body(vocabulary: Vocabulary) -> bytes:
    """What of a vocabulary says which words mean what: enough to compare, not to read with."""
    body = {
        "ring": vocabulary.ring,
        "languages": vocabulary.languages,
        "descriptors": [[getattr(d, key) for key in _KEPT] for d in vocabulary.descriptors.values()],
    }
    return zlib.compress(json.dumps(body, ensure_ascii=False, separators=(",", ":")).encode(), 9)


def vocabulary_of(name: str, version: str, hash: str, body: bytes) -> Vocabulary:
    """The vocabulary of a row: its descriptors and their names, no language data."""
    kept = json.loads(zlib.decompress(body))
    descriptors = {}
    for values in kept["descriptors"]:
        given = dict(zip(_KEPT, values, strict=True))
        given["words"] = {language: tuple(words) for language, words in given["words"].items()}
        given |= {key: tuple(given[key]) for key in ("heard", "parts", "span")}
        descriptors[given["id"]] = Descriptor(**given)
    return Vocabulary(name, version, hash, tuple(kept["ring"]), tuple(kept["languages"]), descriptors, {}, {}, {})
