"""A crowd counted in pieces: the figures of the panel to the byte, on the demo and on findings that are made up."""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from trials import trials

from tastevocab.corpus import crowds
from tastevocab.corpus.assembled import How, counts_of, told
from tastevocab.corpus.columns import frame_of, rows_of, table_of
from tastevocab.corpus.contrasts import Crowd
from tastevocab.corpus.tallies import Ask, people_rows, summed, taken, tally
from tastevocab.feature import demo
from tastevocab.panel.comparison import compare, comparison_json
from tastevocab.panel.flavour_map import Serving
from tastevocab.panel.gather import Gathered, gather
from tastevocab.panel.report import map_json
from tastevocab.panel.session import Coffee, Session, read_session
from tastevocab.panel.summary import Bench, Choices, report_of
from tastevocab.reading.records import AttributeFinding, Finding, Reading, Spot
from tastevocab.reading.report.contract import Labels
from tastevocab.reading.words.lexicon import open_lexicon

ASK = Ask("coffee", None, None)
NO_FIGURE = {
    "evidence", "notices", "questions", "gained_by", "lost_by", "marks", "counts", "claims", "claims_coverage",
    "pooled", "absent",
}  # fmt: skip
"""What names people, points at findings, or is of a session alone."""
OF_A_PANEL = {"line_without", "intervals", "wedge_interval", "share_interval"}
"""What takes every taster's own words, and is told of small servings alone."""
OF_FAULTS = {"descriptor", "print", "family", "hold", "people", "of"}


@cache
def tools() -> Bench:
    return ASK.tools()


class Future:
    def __init__(self, value: Any) -> None:
        self._value = value

    def result(self) -> Any:
        return self._value

    def release(self) -> None:
        pass


class OneProcess:
    """A cluster's client, as far as contrasts ask for one."""

    def submit(self, work: Any, *args: Any, pure: bool) -> Future:
        return Future(work(*args))


def counted(
    findings: Sequence[Finding | AttributeFinding], served: Sequence[Spot], pieces: int, how: How
) -> tuple[list[dict[str, Any]], dict[str, Any]]:
    """Maps and contrasts of a crowd whose tasters lie in so many partitions."""
    reading = Reading(
        tuple(f for f in findings if isinstance(f, Finding)),
        tuple(f for f in findings if isinstance(f, AttributeFinding)),
        said=tuple(served),
    )
    df = taken(frame_of(table_of(rows_of(reading, Labels({}, {})))), ASK)
    place = pd.util.hash_array(df["taster"].astype(object).to_numpy()) % pieces
    with TemporaryDirectory() as folder:
        folders = crowds.Folders(*(Path(folder) / name for name in ("tasters", "tallies", "maps")))
        for path in folders:
            path.mkdir()
        parts = [df[place == piece].reset_index(drop=True) for piece in range(pieces)]
        for piece, part in enumerate(parts):
            part.to_parquet(folders.tasters / f"{piece}.parquet")
        tallies = summed(pd.concat([tally(part, ASK) for part in parts]))
        tallies.to_parquet(folders.tallies / "0.parquet")
        crowd = Crowd(tuple(sorted(map(str, folders.tasters.glob("*")))), ASK, OneProcess())  # type: ignore[arg-type]
        known = crowds._overview(crowd, folders, how)
        contrast = {}
        if len(known.compared) > 1:
            crowds._compare(crowd, Path(folder), known)
            contrast = json.loads((Path(folder) / "contrast.json").read_text("utf-8"))
        people = [people_rows(part, ASK, known.classes) for part in parts]
        both = summed(pd.concat([tallies[tallies["serving"] != ""], *people]))
        return [told(name, counts, tools(), how, 0, ()) for name, counts in counts_of(both)], contrast


def plain(value: Any, without: set[str], path: str = "") -> Any:
    """A value of JSON without some keys; of faults only what is counted."""
    if isinstance(value, dict):
        kept = {k: v for k, v in value.items() if k not in without}
        if path == "faults":
            kept = {k: v for k, v in kept.items() if k in OF_FAULTS}
        return {k: plain(v, without, k) for k, v in kept.items()}
    return [plain(v, without, path) for v in value] if isinstance(value, list | tuple) else value


def alike(ours: Any, theirs: Any, without: set[str]) -> None:
    text = [json.dumps(plain(json.loads(json.dumps(v)), without), sort_keys=True, indent=1) for v in (ours, theirs)]
    assert text[0] == text[1]


def compare_both(gathered: Gathered, served: Sequence[Spot], pieces: int, small: int) -> None:
    maps, contrast = counted([*gathered.findings, *gathered.attributes], served, pieces, How(small=small))
    without = {"apart", *NO_FIGURE, *(() if small else OF_A_PANEL)}
    for made in maps:
        report = report_of(gathered, Serving(made["coffee"]), tools(), Choices(samples=100), pool=True)
        alike(made, map_json(report), without)
    if contrast:
        both = comparison_json(compare(gathered, tools(), "coffee", Serving(""), pool=True))
        alike(contrast, {**both, "tasters": contrast["tasters"]}, NO_FIGURE)
        assert contrast["tasters"] == both["tasters"]


# --- the demo ---


@pytest.mark.parametrize(("pieces", "small"), [(1, 60), (3, 60), (3, 0)])
def test_the_demo_counts_as_on_the_panel(pieces: int, small: int) -> None:
    session = read_session(Path(demo.__file__).parent / "demo_table" / "session.yaml")
    gathered = gather(session, open_lexicon())
    served = [
        Spot("", (0, 0), "demo", speaker=who, coffee=seat.coffee, brew=seat.brew, moment=seat.moment)
        for seat, people in gathered.present.items()
        for who in sorted(people)
    ]
    assert len(served) > 4
    assert len(gathered.findings) > 50
    compare_both(gathered, served, pieces, small)


# --- findings that are made up ---

IDS = (
    "citrus_crate/peel_oil/bergamot", "citrus_crate/peel_oil", "citrus_crate", "orchard/golden_stone/peach",
    "orchard/golden_stone/apricot", "hedgerow_vine/red_berries", "hedgerow_vine/dark_berries/blackberry",
)  # fmt: skip


@cache
def descriptors() -> list[str]:
    """Notes, families, categories, broad words and things, some of them of one thing in several forms."""
    spans = tools().spans
    things = [id for id in spans.ids if spans.descriptor(id).level == "thing"][:3]
    forms = [note for thing in things for note in sorted(spans.leaves[thing])[:3]]
    reach = [id for id in spans.ids if spans.descriptor(id).level == "reach"][:6]
    return [id for id in (*IDS, *things, *forms, *reach) if id in spans.order]


@cache
def faults() -> list[str]:
    return [d.id for d in tools().vocabulary.descriptors.values() if d.fault and d.level == "note"][:2]


@st.composite
def crowd(draw: st.DrawFn) -> tuple[Gathered, list[Spot]]:
    tasters = [f"t{i}" for i in range(draw(st.integers(1, 9)))]
    coffees = ["A", "B", "C"][: draw(st.integers(1, 3))]
    seats = draw(st.lists(st.tuples(st.sampled_from(tasters), st.sampled_from(coffees)), min_size=1, unique=True))
    made: list[Finding | AttributeFinding] = []
    for number, (taster, coffee) in enumerate(draw(st.lists(st.sampled_from(seats), max_size=40))):
        spot = Spot(
            "words", (number, number + 5), "made", f"n{number}", taster, coffee=coffee,
            moment=draw(st.sampled_from([None, "hot", "cool"])), line=number,
        )  # fmt: skip
        kind = draw(st.integers(0, 9))
        if kind == 0:
            step = draw(st.sampled_from([1.0, 2.0, 3.5, 5.0]))
            made.append(AttributeFinding(f"f{number}", draw(st.sampled_from(["acidity", "body"])), "high", step, spot))
            continue
        fault = kind == 1
        strength = draw(st.sampled_from([None, 1.4, 6.1, 35.4]))
        made.append(
            Finding(
                f"f{number}", draw(st.sampled_from(faults() if fault else descriptors())), spot, fault=fault,
                present=draw(st.integers(0, 6)) > 0, standing=draw(st.sampled_from(["own"] * 8 + ["echo", "informed"])),
                certainty=draw(st.sampled_from([1.0, 1.0, 0.5, 0.25])), strength=strength,
                state=draw(st.sampled_from([None, None, "dried"])),
            )
        )  # fmt: skip
    by_coffee = {c: tuple(sorted({t for t, o in seats if o == c})) for c in coffees if any(o == c for _, o in seats)}
    session = Session(
        "made", "made.yaml", Path(), tasters=tuple(tasters),
        coffees={c: Coffee(c, c, tasters=those) for c, those in by_coffee.items()},
    )  # fmt: skip
    flavours = tuple(f for f in made if isinstance(f, Finding))
    gathered = Gathered(session, flavours, tuple(f for f in made if isinstance(f, AttributeFinding)))
    return gathered, [Spot("", (0, 0), "made", speaker=taster, coffee=coffee) for taster, coffee in seats]


@given(crowd(), st.integers(1, 4), st.sampled_from([60, 0]))
@trials(10)
def test_made_up_crowds_count_as_on_the_panel(made: tuple[Gathered, list[Spot]], pieces: int, small: int) -> None:
    """Small servings with every taster's words, and the same as crowds of which only sums are known."""
    compare_both(*made, pieces, small)
