"""Invented notes as tables of each kind, what is found in them, and the commands run on them."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import typer
from distributed import Client
from typer.testing import CliRunner, Result

from tastevocab.corpus.columns import COLUMNS
from tastevocab.reading.read import stream_file
from tastevocab.reading.report.contract import Labels, rows
from tastevocab.reading.words.lexicon import open_lexicon

SAID = (
    "Blackberry and a whiff of bergamot.",
    "no lemon, kind of plum?",
    "Bright, orange kettle boils",
    "slatterberry, tons of caramel",
    "",
    'he said "jasmine", \nthen peach',
    "café, açaí und Quitte",
)


def notes(count: int) -> list[dict[str, Any]]:
    return [
        {"id": f"n{i}", "coffee": "AB"[i % 2], "taster": f"t{i // 2}", "text": SAID[i % len(SAID)]}
        for i in range(count)
    ]


def write_lines(path: Path, rows: Sequence[Mapping[str, Any]]) -> Path:
    path.write_text("".join(json.dumps(row, ensure_ascii=False) + "\n" for row in rows), "utf-8")
    return path


def write_csv(path: Path, rows: Sequence[Mapping[str, Any]]) -> Path:
    pd.DataFrame(list(rows)).to_csv(path, index=False)
    return path


def write_parquet(path: Path, rows: Sequence[Mapping[str, Any]], group: int = 7) -> Path:
    pq.write_table(pa.Table.from_pylist(list(rows)), path, row_group_size=group)
    return path


def read_as_one(path: Path) -> list[dict[str, Any]]:
    """What one plain process reads of a table, as the contract tells it."""
    lexicon = open_lexicon()
    labels = Labels(lexicon.prints, lexicon.levels_of)
    return [row for reading in stream_file(path, lexicon) for row in rows(reading, labels)]


def found_in(folder: Path) -> list[dict[str, Any]]:
    return [row for path in sorted(folder.glob("*.parquet")) for row in pq.read_table(path).to_pylist()]


def same(row: Mapping[str, Any], told: Mapping[str, Any]) -> bool:
    """Whether a row of findings says what the contract's row says, in every column both have."""
    for name, value in told.items():
        if name in COLUMNS and name not in ("parts", "signs", "suggestions", "source") and row[name] != value:
            return False
    return [row["start"], row["end"]] == list(told["span"])


def run(app: typer.Typer, client: Client, *args: object) -> Result:
    return told(app, "read", *args, "--scheduler", client.scheduler.address)


def told(app: typer.Typer, *args: object) -> Result:
    return CliRunner().invoke(app, list(map(str, args)), env={"COLUMNS": "100", "NO_COLOR": "1"})
