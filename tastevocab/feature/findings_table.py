"""findings.csv: one row a finding, with the exact words and where they stand."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tastevocab.cells import csv_text
from tastevocab.feature.material import Material
from tastevocab.reading.records import Finding

COLUMNS = (
    "id",
    "taster",
    "coffee",
    "brew",
    "moment",
    "bowl",
    "descriptor",
    "print",
    "level",
    "present",
    "standing",
    "counted",
    "words",
    "degree",
    "strength",
    "certainty",
    "hedged",
    "place",
    "state",
    "fault",
    "two_faced",
    "via",
    "match",
    "source",
    "note",
    "at",
    "start",
    "end",
)


def findings_csv(material: Material) -> bytes:
    """Every finding of the coffee, echoes, denials and faults too; `counted` says which count a person."""
    return csv_text(COLUMNS, _rows(material)).encode("utf-8")


def _rows(material: Material) -> Iterator[tuple[Any, ...]]:
    panel = set(material.session.panel(material.coffee.id))
    for f in material.gathered.findings:
        yield _row(f, material, panel)


def _row(f: Finding, material: Material, panel: set[str]) -> tuple[Any, ...]:
    spot = f.spot
    d = material.tools.vocabulary.descriptors[f.descriptor]
    counted = f.present and not f.fault and f.standing == "own" and spot.speaker in panel
    return (
        f.id,
        spot.speaker,
        spot.coffee,
        spot.brew,
        spot.moment,
        spot.bowl,
        f.descriptor,
        d.print,
        d.level,
        _yes(f.present),
        f.standing,
        _yes(counted),
        spot.words,
        f.degree,
        f.strength,
        f.certainty,
        _yes(f.hedged),
        spot.place,
        f.state,
        _yes(f.fault),
        _yes(f.two_faced),
        f.via,
        round(f.match, 3),
        spot.source,
        spot.note,
        None if spot.at is None else round(spot.at, 3),
        spot.span[0],
        spot.span[1],
    )


def _yes(value: bool) -> str:
    return "yes" if value else "no"
