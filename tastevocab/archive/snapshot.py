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

FINDING = (
    "descriptor", "words", "start", "stop", "note", "at", "brew", "moment", "place", "bowl", "line", "present",
    "standing", "degree", "strength", "certainty", "hedged", "via", "match", "state", "parts", "fault", "two_faced",
    "nose", "echo", "sure",
)  # fmt: skip
MARK = (
    "attribute", "level", "step", "words", "start", "stop", "note", "at", "brew", "moment", "place", "bowl", "line",
    "present", "standing", "hedged", "sure",
)  # fmt: skip
ENTRY = ("coffee", "brew", "moment", "bowl", "reveal", "closing", "since", "until", "informed")
TURN = ("text", "offsets", "times", "note", "coffee", "brew", "moment", "bowl", "topic", "kind", "line", "offers")


# --- sessions ---


def session_body(session: Session, code: Named) -> dict[str, Any]:
    """A session as plain values with codes for people. Texts typed into it are kept as turns, not here."""
    return {
        "file": Path(session.file).name,
        "blind": session.blind,
        "bowls": session.bowls,
        "language": list(session.languages),
        "codes": dict(session.codes),
        "tasters": [code(t) for t in session.tasters],
        "coffees": [
            {
                "id": c.id,
                "name": c.name,
                "names": list(c.names),
                "claims": list(c.claims),
                "additions": c.additions,
                "process": c.process,
                "roasted": c.roasted,
                "tasters": [code(t) for t in c.tasters],
                "duplicate_of": c.duplicate_of,
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
        **{key: getattr(source, key) for key in ENTRY},
    }


def session_of(body: Mapping[str, Any], name: str, date: str, named: Named) -> Session:
    """The session that `session_body` was made of, with `named` codes; its files are no longer named by a path."""

    def people(codes: Iterable[str]) -> tuple[str, ...]:
        return tuple(map(named, codes))

    place = Place(f"archive: {name}")
    coffees = {
        c["id"]: Coffee(
            id=c["id"],
            name=c["name"],
            names=tuple(c["names"]),
            claims=tuple(c["claims"]),
            additions=c["additions"],
            process=c["process"],
            roasted=c["roasted"],
            tasters=people(c["tasters"]),
            duplicate_of=c["duplicate_of"],
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
        languages=tuple(body.get("language", ())),  # sessions of the first edition tell none
        codes=body["codes"],
        place=place,
    )


def _source(entry: Mapping[str, Any], named: Named, place: Place) -> Source:
    given = {key: entry[key] for key in ENTRY if key in entry}  # files of version 2 and before have fewer
    taster = named(entry["taster"]) if entry["taster"] else None
    tasters = tuple(map(named, entry.get("tasters", ())))
    return Source(source=entry["source"], taster=taster, tasters=tasters, place=place, **given)


# --- findings ---


def finding_row(f: Finding) -> tuple[Any, ...]:
    """A finding under the columns `FINDING`."""
    return (
        f.descriptor,
        *_spot_row(f.spot),
        f.present,
        f.standing,
        f.degree,
        f.strength,
        f.certainty,
        f.hedged,
        f.via,
        f.match,
        f.state,
        json.dumps(f.parts),
        f.fault,
        f.two_faced,
        f.nose,
        f.echo,
        f.sure,
    )


def mark_row(a: AttributeFinding) -> tuple[Any, ...]:
    """An attribute finding under the columns `MARK`."""
    return (a.attribute, a.level, a.step, *_spot_row(a.spot), a.present, a.standing, a.hedged, a.sure)


def _spot_row(spot: Spot) -> tuple[Any, ...]:
    return (
        spot.words,
        spot.span[0],
        spot.span[1],
        spot.note,
        spot.at,
        spot.brew,
        spot.moment,
        spot.place,
        spot.bowl,
        spot.line,
    )


def finding_of(row: Mapping[str, Any], speaker: str, coffee: str, source: str) -> Finding:
    """The finding of a row; its id is that of the row, so that evidence leads back to the file."""
    return Finding(
        id=f"a{row['id']}",
        descriptor=row["descriptor"],
        spot=_spot_of(row, speaker, coffee, source),
        present=bool(row["present"]),
        standing=row["standing"],
        degree=row["degree"],
        strength=row["strength"],
        certainty=row["certainty"],
        hedged=bool(row["hedged"]),
        via=row["via"],
        match=row["match"],
        state=row["state"],
        parts=tuple(json.loads(row["parts"])),
        fault=bool(row["fault"]),
        two_faced=bool(row["two_faced"]),
        nose=bool(row["nose"]),
        echo=bool(row["echo"]),
        sure=row["sure"],
    )


def mark_of(row: Mapping[str, Any], speaker: str, coffee: str, source: str) -> AttributeFinding:
    """The attribute finding of a row."""
    return AttributeFinding(
        id=f"m{row['id']}",
        attribute=row["attribute"],
        level=row["level"],
        step=row["step"],
        spot=_spot_of(row, speaker, coffee, source),
        present=bool(row["present"]),
        standing=row["standing"],
        hedged=bool(row["hedged"]),
        sure=row["sure"],
    )


def _spot_of(row: Mapping[str, Any], speaker: str, coffee: str, source: str) -> Spot:
    own = {key: row[key] for key in ("words", "note", "at", "brew", "moment", "place", "bowl", "line")}
    return Spot(span=(row["start"], row["stop"]), source=source, speaker=speaker, coffee=coffee, **own)


# --- talk ---


def turn_row(turn: Turn) -> tuple[Any, ...]:
    """A turn under the columns `TURN`, without its speaker."""
    return (
        turn.text,
        json.dumps(turn.offsets, separators=(",", ":")),
        json.dumps(turn.times, separators=(",", ":")),
        turn.note,
        turn.coffee,
        turn.brew,
        turn.moment,
        turn.bowl,
        turn.topic,
        turn.kind,
        turn.line,
        json.dumps(turn.offers, ensure_ascii=False, separators=(",", ":")),
    )


def turn_of(row: Mapping[str, Any], speaker: str | None, source: str) -> Turn:
    """The turn of a row."""
    own = {key: row[key] for key in ("text", "note", "coffee", "brew", "moment", "bowl", "topic", "kind", "line")}
    offsets, times, offers = (tuple(map(tuple, json.loads(row[key]))) for key in ("offsets", "times", "offers"))
    return Turn(source=source, speaker=speaker, offsets=offsets, times=times, offers=offers, **own)


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
