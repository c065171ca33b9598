"""Invented sessions written to a folder: short typed notes in a table, so that reading them costs little."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from pathlib import Path

from tastevocab.archive import adding
from tastevocab.archive.adding import Added
from tastevocab.archive.store import Archive
from tastevocab.panel.gather import Gathered
from tastevocab.panel.session import open_session
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.vocabulary.model import Vocabulary

ROWS = (
    ("mira", "vale", "jasmine and peach, Mira's grandmother's quilt"),
    ("otto", "vale", "jasmine, a bit of caramel"),
    ("pilar", "vale", "peach, caramel"),
    ("mira", "rio", "caramel, blackberry"),
    ("otto", "rio", "caramel and cocoa powder"),
    ("pilar", "rio", "caramel, as mira said, and blackberry"),
)


def write_session(
    folder: Path,
    name: str = "spring",
    date: str = "2026-03-02",
    rows: Iterable[tuple[str, str, str]] = ROWS,
    coffees: Mapping[str, str] | None = None,
    tasters: str = "mira, otto, pilar",
    more: str = "",
) -> Path:
    """A session file and its sheet; `coffees` maps ids to the inside of their YAML mapping."""
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as out:
        csv.writer(out).writerows([("taster", "coffee", "text"), *rows])
    cups = coffees or {
        "vale": "name: Vale Alto, process: washed, roasted: 2026-02-20, origin: Huehuetenango",
        "rio": "name: Rio Claro, process: natural, roasted: 2026-02-22, origin: Sul de Minas",
    }
    body = "".join(f"  {id}: {{{facts}}}\n" for id, facts in cups.items())
    path = folder / f"{name}.yaml"
    path.write_text(
        f"session: {name}\ndate: {date}\nblind: true\ntasters: [{tasters}]\ncoffees:\n{body}"
        f"notes:\n  - {{source: {name}.csv}}\n{more}",
        "utf-8",
    )
    return path


class Keeper:
    """Adds session files to an archive in few words."""

    def __init__(self, lexicon: Lexicon, vocabulary: Vocabulary) -> None:
        self.lexicon = lexicon
        self.vocabulary = vocabulary

    def add(self, archive: Archive, path: Path, **how: bool) -> Added:
        return adding.add(archive, open_session(path), self.lexicon, self.vocabulary, **how)


def said(gathered: Gathered) -> list[tuple[object, ...]]:
    """What tells the findings of a session apart from those of another reading of it."""
    return [
        (f.descriptor, f.spot.speaker, f.spot.coffee, f.spot.brew, f.spot.moment, f.spot.span, f.spot.at, f.spot.words,
         f.spot.source, f.present, f.standing, f.certainty, f.strength, f.state, f.parts)
        for f in gathered.findings
    ]  # fmt: skip
