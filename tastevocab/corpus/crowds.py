"""A folder of findings to the maps, lines and contrasts of its servings, over a cluster: no crowd in one memory.

Findings are brought together by taster, counted in partitions, and the counts brought together by serving; what is of
all servings at once is only what two of them can be compared by.
"""

from __future__ import annotations

import heapq
import json
import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from tastevocab.cells import csv_lines
from tastevocab.corpus.assembled import Classes, Counts, How, classes_of, counts_of, own_weights_of, tasters_in, told
from tastevocab.corpus.contrasts import Asked, Crowd, apart, contrasts, pairs_of
from tastevocab.corpus.run import findings_in
from tastevocab.corpus.tallies import KEYS, WANTED, Ask, empty_tally, people_rows, summed, taken, tally
from tastevocab.errors import InputError, Place
from tastevocab.panel.comparison import Comparison, comparison_json
from tastevocab.panel.crowd import Standing, apart_json, words_asked
from tastevocab.panel.summary import CROWD
from tastevocab.vocabulary.model import CROSSING
from tastevocab.written import locked, whole_file

if TYPE_CHECKING:
    import pandas as pd
    from distributed import Client

PARTITION = 250_000
"""Rows of findings that a partition of tasters holds, more or less."""

LINE_COLUMNS = ("serving", "tasters", "line", "coverage", "verdict", "most_named")
MOST_NAMED = 5


class Folders(NamedTuple):
    """Where intermediate tables lie, under the output for all workers to see."""

    tasters: Path
    tallies: Path
    maps: Path


@dataclass(frozen=True, slots=True)
class Counted:
    """What a crowd's output holds: servings, those that were compared, tasters' servings, rows of findings read."""

    servings: int
    compared: int
    tasters: int
    rows: int


STEPS = 4
"""Steps that `count_crowd` tells of: tasters together, counts added up, servings compared, maps made."""


def count_crowd(
    found: Path,
    out: Path,
    ask: Ask,
    client: Client,
    how: How | None = None,
    step: Callable[[int], object] = lambda steps: None,
) -> Counted:
    """Write `maps.jsonl`, `lines.csv` and `contrast.json` of the findings in `found` to the folder `out`.

    `ask` says by what they are counted, `how` how maps are made; `step` hears of each of `STEPS`. Raises `InputError`
    where there are no findings, or none that says by what it is counted.
    """
    how = how or How()
    with _workspace(out) as folders:
        rows, homeless, ask = _by_taster(found, ask, folders)
        step(1)
        crowd = Crowd(tuple(sorted(map(str, folders.tasters.glob("*.parquet")))), ask, client)
        _by_serving(crowd, folders)
        step(1)
        known = _overview(crowd, folders, how, homeless)
        sets_apart = _compared(crowd, out, known)
        step(1)
        _write_maps(crowd, folders, out, how, known, sets_apart)
        step(1)
        return Counted(len(known.tasters), len(known.compared), sum(known.tasters.values()), rows)


@contextmanager
def _workspace(out: Path) -> Iterator[Folders]:
    """Room for intermediate tables, one crowd at a time; what a crowd that was killed has left goes first."""
    with locked(out / "maps.jsonl"):
        for left in out.glob(".crowd-*"):
            shutil.rmtree(left, ignore_errors=True)
        work = Path(tempfile.mkdtemp(prefix=".crowd-", dir=out))
        try:
            folders = Folders(work / "tasters", work / "tallies", work / "maps")
            folders.maps.mkdir()
            yield folders
        finally:
            shutil.rmtree(work, ignore_errors=True)


def _by_taster(found: Path, ask: Ask, folders: Folders) -> tuple[int, int, Ask]:
    """Bring the rows of each taster together. How many rows there are, how many findings are of no serving, and what is
    asked, with whether any row names a serving."""
    import dask
    import dask.dataframe as dd

    parts = findings_in(found)
    frame = dd.read_parquet([str(part) for part in parts], columns=WANTED, dtype_backend="pyarrow")
    there = (frame["kind"] == "flavour") & frame["present"].fillna(False) & ~frame["asked"].fillna(False)
    homeless = frame[there & frame[ask.by].isna()]["kind"].count()
    rows, homeless, named = dask.compute(frame["kind"].count(), homeless, frame[ask.by].count())
    if not named and ask.by != "coffee":
        raise InputError(f"no row names a {ask.by}", place=Place(str(found)), mend="count by another column")
    ask = ask._replace(named=bool(named))
    kept = frame.map_partitions(taken, ask, meta=taken(frame._meta, ask), enforce_metadata=False)
    count = max(1, -(-int(rows) // PARTITION))
    whole = kept.shuffle("taster", npartitions=count) if count > 1 else kept.repartition(npartitions=1)
    whole.to_parquet(str(folders.tasters), write_index=False, name_function=lambda i: f"{i:06}.parquet")
    return int(rows), int(homeless) if named else 0, ask


def _by_serving(crowd: Crowd, folders: Folders) -> None:
    """Tally every partition of tasters and add the tallies up, each serving's in one partition."""
    import dask.dataframe as dd

    tallies = dd.from_map(_tally_in, list(crowd.paths), args=(crowd.ask,), meta=empty_tally())
    together = tallies.groupby(KEYS, sort=False).sum(split_out=_spread(crowd)).reset_index()
    together.shuffle("serving", npartitions=_spread(crowd)).to_parquet(
        str(folders.tallies), write_index=False, name_function=lambda i: f"{i:06}.parquet"
    )


def _spread(crowd: Crowd) -> int:
    return max(1, len(crowd.paths) // 8)


def _tally_in(path: str, ask: Ask) -> pd.DataFrame:
    import pandas as pd

    return summed(tally(pd.read_parquet(path), ask))


def _people_in(path: str, ask: Ask, classes: Mapping[str, Classes]) -> pd.DataFrame:
    import pandas as pd

    return summed(people_rows(pd.read_parquet(path), ask, classes))


class _Overview(NamedTuple):
    """What is known of all servings at once: tasters, findings and what each descriptor weighs; the ids of their
    nodes; what two tasters found anywhere; how many findings are of no serving."""

    tasters: dict[str, int]
    findings: dict[str, int]
    weights: dict[str, dict[str, float]]
    classes: dict[str, Classes]
    nodes: frozenset[str]
    twice: frozenset[str]
    homeless: int

    @property
    def compared(self) -> tuple[str, ...]:
        """The servings with findings, in the order of their names."""
        return tuple(sorted(name for name, count in self.findings.items() if count))


def _overview(crowd: Crowd, folders: Folders, how: How, homeless: int = 0) -> _Overview:
    spans, made = crowd.ask.tools().spans, _Overview({}, {}, {}, {}, frozenset(), frozenset(), homeless)
    nodes, twice = set(), set()
    for serving, counts in _counts_in(folders.tallies):
        if not serving:
            twice = {id for (id, _), n in counts.get("anywhere", {}).items() if n[0] >= 2}
            continue
        made.tasters[serving] = tasters_in(counts)
        made.findings[serving] = int(counts.get("findings", {}).get(("", ""), (0,))[0])
        made.weights[serving] = own_weights_of(counts, spans, how.weighting)
        made.classes[serving] = classes_of(counts, spans, how.small)
        found = {id for id, _ in counts.get("at", {})}
        nodes |= {id for id in found if spans.descriptor(id).level not in CROSSING} | set(made.weights[serving])
    return made._replace(nodes=frozenset(nodes), twice=frozenset(twice))


def _counts_in(folder: Path) -> Iterator[tuple[str, Counts]]:
    """The counts of every serving, a partition at a time."""
    import pandas as pd

    for path in sorted(folder.glob("*.parquet")):
        yield from counts_of(pd.read_parquet(path))


def _compared(crowd: Crowd, out: Path, known: _Overview) -> dict[str, list[dict[str, Any]]]:
    """Compare the servings where there are two with findings. What sets each crowd apart, as it is told."""
    (out / "contrast.json").unlink(missing_ok=True)
    standing = _compare(crowd, out, known) if len(known.compared) > 1 else None
    return {
        name: [apart_json(a) for a in listed if a.proved]
        for name, listed in (standing.apart.items() if standing else ())
        if known.tasters[name] >= CROWD
    }


def _compare(crowd: Crowd, out: Path, known: _Overview) -> Standing | None:
    """Neighbours, and each against the rest, as `contrast --format json` tells them."""
    spans, compared = crowd.ask.tools().spans, known.compared
    described = set().union(*(known.weights[name] for name in compared))
    wide = {id for id in known.nodes if spans.descriptor(id).level in ("family", "reach")}
    words = tuple(sorted(wide | spans.things_of(described), key=spans.order.__getitem__))
    asked = Asked(compared, words, pairs_of(len(compared)))
    pairs = contrasts(crowd, asked, [known.weights[name] for name in compared], spans)
    alone = tuple(id for id in words_asked(known.nodes, spans) if id in known.twice)
    standing = apart(crowd, Asked(compared, alone), spans)
    by = Comparison(crowd.ask.by, f"by {crowd.ask.by}", compared, {}, pairs, standing)
    tasters = {name: known.tasters[name] for name in compared}
    text = json.dumps(comparison_json(by, tasters), ensure_ascii=False, indent=1)
    with whole_file(out / "contrast.json") as file:
        file.write(text.encode() + b"\n")
    return standing


def _write_maps(
    crowd: Crowd,
    folders: Folders,
    out: Path,
    how: How,
    known: _Overview,
    sets_apart: Mapping[str, Sequence[Mapping[str, Any]]],
) -> None:
    import dask.dataframe as dd
    from distributed import as_completed

    people = dd.from_map(_people_in, list(crowd.paths), args=(crowd.ask, known.classes), meta=empty_tally())
    tallies = dd.read_parquet(str(folders.tallies))
    both = dd.concat([tallies, people]).shuffle("serving", npartitions=_spread(crowd))
    asked = (crowd.ask, how, known.homeless, dict(sets_apart), str(folders.maps))
    maps = both.map_partitions(_maps_in, *asked, meta={"path": "str"}, align_dataframes=False)
    parts = [crowd.client.compute(part) for part in maps.to_delayed()]
    paths = sorted(path for done in as_completed(parts, loop=crowd.client.loop) for path in done.result()["path"])
    with whole_file(out / "maps.jsonl") as file, whole_file(out / "lines.csv") as lines:
        lines.write(csv_lines([LINE_COLUMNS]).encode())
        for line in heapq.merge(*map(_lines_of, paths), key=_serving_of):
            file.write(line)
            lines.write(csv_lines([_short(json.loads(line))]).encode())


def _maps_in(
    df: pd.DataFrame, ask: Ask, how: How, homeless: int, sets_apart: Mapping[str, Any], folder: str
) -> pd.DataFrame:
    """Write the maps of a partition's servings, a line each, in order; gives the file's path."""
    import pandas as pd

    rows = df[df["serving"] != ""]
    if not len(rows):
        return pd.DataFrame({"path": pd.Series([], dtype="str")})
    handle, path = tempfile.mkstemp(dir=folder, suffix=".jsonl")
    with open(handle, "w", encoding="utf-8") as file:
        for serving, counts in counts_of(summed(rows)):
            made = told(serving, counts, ask.tools(), how, homeless, sets_apart.get(serving, ()))
            file.write(json.dumps(made, ensure_ascii=False) + "\n")
    return pd.DataFrame({"path": pd.Series([path], dtype="str")})


def _lines_of(path: str) -> Iterator[bytes]:
    with open(path, "rb") as file:
        yield from file


def _serving_of(line: bytes) -> str:
    return str(json.loads(line)["coffee"])


def _short(made: Mapping[str, Any]) -> tuple[Any, ...]:
    """A map as one row: its line, and what most named."""
    words = {rung["descriptor"]: rung["print"] for rung in made["rungs"]}
    named = sorted((n for n in made["nodes"] if n["named"]), key=lambda n: (-n["named"], n["print"]))[:MOST_NAMED]
    most = "; ".join(f"{n['print']} {n['named']}" for n in named)
    line = ", ".join(words[id] for id in made["line"])
    return made["coffee"], made["tasters"], line, f"{made['line_coverage']:.3f}", made["verdict"], most
