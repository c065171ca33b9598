"""One coffee over time: its tastings, and what parts one batch from the last."""

from __future__ import annotations

import itertools
import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tastevocab.archive.people import row_dicts
from tastevocab.archive.recall import Edition, as_of_today, editions, gathered_of
from tastevocab.archive.store import Archive
from tastevocab.errors import InputError, near
from tastevocab.panel.contrast import Contrast, contrast
from tastevocab.panel.flavour_map import FlavourMap, Serving
from tastevocab.panel.rungs import climb
from tastevocab.panel.settling import some
from tastevocab.panel.summary import Bench, map_of

BATCH = ("lot", "harvest", "roasted")
"""The facts that tell one batch of a coffee from another, the first that is recorded."""


@dataclass(frozen=True, slots=True)
class Sitting:
    """One tasting of a coffee: `batch` what tells its batch ("roasted 2026-02-20", "" where nothing does), `agreed` the
    words at quorum with their people, `verdict` the sentence where there are none. `map` is of all brews and moments.
    """

    session: str
    date: str
    coffee: str
    name: str
    batch: str
    vocabulary: str
    tasters: int
    agreed: tuple[tuple[str, int], ...]
    verdict: str
    map: FlavourMap


@dataclass(frozen=True, slots=True)
class History:
    """A coffee's tastings in order of time, and each held against the one before it."""

    name: str
    sittings: tuple[Sitting, ...]
    changes: tuple[Contrast, ...]


def history(archive: Archive, name: str, tools: Bench) -> History:
    """The tastings of a coffee by its name or id, hidden second pours left out.

    Changes are told over the tasters of both tastings, as `tastevocab contrast` does, each pair of tastings by itself.
    Two sittings days apart differ by the day too, so a change is no proof of another batch.
    Raises `InputError` for a coffee that the archive lacks.
    """
    with archive.reading() as db:
        rows = row_dicts(
            db,
            "SELECT c.id, c.key, c.name, c.edition, v.version FROM coffee AS c "
            "JOIN edition AS e ON e.id = c.edition AND e.current = 1 JOIN vocabulary AS v ON v.id = e.vocabulary "
            "WHERE c.duplicate_of = '' ORDER BY e.date, e.id, c.id",
        )
        wanted = name.casefold()
        chosen = [row for row in rows if wanted in (row["name"].casefold(), row["key"].casefold())]
        if not chosen:
            known = sorted({row["name"] for row in rows})
            raise InputError(f"the archive holds no coffee {name!r}", mend=near(name, known))
        by_id = {edition.id: edition for edition in editions(db)}
        facts: dict[int, dict[str, str]] = {}
        for coffee, key, value in db.execute("SELECT coffee, key, value FROM fact"):
            facts.setdefault(coffee, {})[key] = value
        sittings = tuple(_sitting(db, row, by_id[row["edition"]], facts.get(row["id"], {}), tools) for row in chosen)
    changes = tuple(contrast(a.map, b.map, tools.spans, _labels(a, b)) for a, b in itertools.pairwise(sittings))
    return History(chosen[-1]["name"], sittings, changes)


def _sitting(
    db: sqlite3.Connection, row: Mapping[str, Any], edition: Edition, facts: Mapping[str, str], tools: Bench
) -> Sitting:
    gathered = as_of_today(gathered_of(db, edition), tools.vocabulary)
    made = map_of(gathered, Serving(row["key"]), tools, pool=True)
    ladder = climb(made, tools.spans)
    return Sitting(
        session=edition.session,
        date=edition.date,
        coffee=row["key"],
        name=row["name"],
        batch=_batch(facts),
        vocabulary=row["version"],
        tasters=len(made.tasters),
        agreed=tuple((rung.print, rung.people) for rung in ladder.rungs),
        verdict=ladder.verdict,
        map=made,
    )


def _batch(facts: Mapping[str, str]) -> str:
    return next((f"{key} {facts[key]}" for key in BATCH if facts.get(key)), "")


def _label(sitting: Sitting) -> str:
    return " ".join(part for part in (sitting.date, sitting.batch and f"({sitting.batch})") if part) or sitting.session


def _labels(a: Sitting, b: Sitting) -> tuple[str, str]:
    """What tells two tastings apart: day and batch; of one day the session, of one session the coffee's id."""
    pairs = ((_label(a), _label(b)), (a.session, b.session), (a.coffee, b.coffee))
    return next(pair for pair in pairs if pair[0] != pair[1])


def history_lines(made: History) -> list[str]:
    """A coffee's history as lines to read."""
    lines = [f"{made.name}: {some(len(made.sittings), 'tasting')}"]
    for s in made.sittings:
        words = ", ".join(f"{word} ({people} of {s.tasters})" for word, people in s.agreed) or s.verdict
        batch = f", {s.batch}" if s.batch else ""
        lines.append(f"  {s.date or '(no date)'}  {s.session}{batch}: {words}")
    for change in made.changes:
        if not change.tasters:
            lines += ["", f"  {change.first} > {change.second}: nobody tasted both, so they are not compared"]
            continue
        lines += ["", f"  {change.first} > {change.second}, tasters of both: {len(change.tasters)}"]
        lines.append(f"    {change.sentence}")
        moved = [c for c in change.changes if c.gained or c.lost]
        lines += [
            f"    {c.print}: {c.before} > {c.after} of {c.of} (+{len(c.gained)} -{len(c.lost)}, p {c.p:.2f} over all "
            f"asked of this pair): {c.verdict}"
            for c in moved[:6]
        ]
        if change.distance is not None:
            lines.append(
                f"    maps apart: {change.distance:.2f} of 1 (Jensen-Shannon), {change.steps:.1f} steps a share"
            )
        lines.append(f"    {change.proof}")
    return lines


def history_json(made: History) -> dict[str, object]:
    """A coffee's history as plain values."""
    told = ("session", "date", "coffee", "batch", "vocabulary", "tasters", "verdict")
    return {
        "coffee": made.name,
        "tastings": [
            {
                **{key: getattr(s, key) for key in told},
                "agreed": [{"print": word, "people": people} for word, people in s.agreed],
            }
            for s in made.sittings
        ],
        "changes": [_change_json(c) for c in made.changes],
    }


def _change_json(c: Contrast) -> dict[str, object]:
    told = ("descriptor", "print", "before", "after", "of", "told", "proved")
    return {
        "first": c.first,
        "second": c.second,
        "tasters": len(c.tasters),
        "distance": None if c.distance is None else round(c.distance, 6),
        "steps": None if c.steps is None else round(c.steps, 6),
        "families": [{**{key: getattr(one, key) for key in told}, "p": round(one.p, 6)} for one in c.changes],
        "sentence": c.sentence,
    }
