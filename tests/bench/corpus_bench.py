"""What a corpus costs: a plain process beside Dask with 1 and 2, a killed worker, and the crowd of a million findings.

`python tests/bench/corpus_bench.py NOTES.jsonl [--notes 100000] [--findings 1000000]`: notes are drawn with a seed from
the texts of a table of notes, with tasters and coffees of their own. Times are of whole processes, start and end
included: core-seconds are user and system time of a command and all it started, memory is that of its biggest process.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

import pyarrow as pa
import pyarrow.parquet as pq

from tastevocab.reading.intake.files import stream_turns

COMMAND = (sys.executable, "-c", "from tastevocab.cli.main import run; run()")
COFFEES = 4
MB = 1_000_000


class Cost(NamedTuple):
    """Seconds on the clock and on cores, and the memory in MB of the biggest process."""

    wall: float
    cores: float
    memory: float


def cost_of(arguments: Sequence[object], kill_after: float = 0.0) -> Cost:
    """What a command costs; with `kill_after` one of its workers is killed after so many seconds."""
    start = time.monotonic()
    child = subprocess.Popen([*COMMAND, *map(str, arguments)], stderr=subprocess.DEVNULL, stdout=subprocess.DEVNULL)
    if kill_after:
        time.sleep(kill_after)
        os.kill(max(workers_of(child.pid)), signal.SIGKILL)
    _, status, used = os.wait4(child.pid, 0)
    assert not status, arguments
    return Cost(time.monotonic() - start, used.ru_utime + used.ru_stime, used.ru_maxrss * 1024 / MB)


def workers_of(pid: int) -> list[int]:
    """The processes a command started that read (Linux)."""
    found = []
    for folder in Path("/proc").iterdir():
        if folder.name.isdigit():
            try:
                parent = int((folder / "stat").read_text().rsplit(")", 1)[1].split()[1])
                line = (folder / "cmdline").read_bytes()
            except OSError:
                continue
            if parent == pid and b"spawn_main" in line:
                found.append(int(folder.name))
    return found


def notes(texts: Sequence[str], count: int) -> Iterator[dict[str, str]]:
    """So many notes: each taster has one of each coffee."""
    dice = random.Random(7)
    for number in range(count):
        taster, coffee = divmod(number, COFFEES)
        yield {"id": f"n{number}", "taster": f"t{taster}", "coffee": "ABCD"[coffee], "text": dice.choice(texts)}


def read_costs(texts: Sequence[str], count: int, folder: Path) -> None:
    """Prints the table of reading, and whether a killed worker changed anything."""
    table = folder / "notes.parquet"
    pq.write_table(pa.Table.from_pylist(list(notes(texts, count))), table)
    lines = folder / "notes.jsonl"
    lines.write_text("".join(json.dumps(n) + "\n" for n in notes(texts, count)), "utf-8")
    size = sum(len(n["text"].encode()) for n in notes(texts, count)) / MB
    print(f"{count:,} notes, {size:.1f} MB of text\n")
    print("| | seconds | core-seconds | over one plain process | notes/s | MB, biggest process |")
    print("|---|---|---|---|---|---|")
    plain = cost_of(["read", lines, "--format", "jsonl", "--out", folder / "plain.jsonl"])
    kept: dict[str, dict[str, bytes]] = {}
    for label, made in (("one plain process", plain), *_with_dask(table, folder, plain.wall, kept)):
        over, speed = 100 * (made.cores / plain.cores - 1), count / made.wall
        figures = f"{made.wall:.0f} | {made.cores:.0f} | {over:+.0f} % | {speed:,.0f} | {made.memory:.0f}"
        print(f"| {label} | {figures} |", flush=True)
    print(f"\nkilled worker: {'same bytes' if kept['2'] == kept['killed'] == kept['1'] else 'OTHER BYTES'}")


def _with_dask(
    table: Path, folder: Path, plain: float, kept: dict[str, dict[str, bytes]]
) -> Iterator[tuple[str, Cost]]:
    for label, jobs, kill in (("1", 1, 0.0), ("2", 2, 0.0), ("killed", 2, plain / 2)):
        out = folder / f"found-{label}"
        made = cost_of(["read", table, "--jobs", jobs, "--out", f"{out}/"], kill)
        kept[label] = {p.name: p.read_bytes() for p in out.glob("*.parquet")}
        yield {"killed": "Dask, 2 processes, one killed"}.get(label, f"Dask, {jobs} process{'es' * (jobs > 1)}"), made


def crowd_costs(texts: Sequence[str], findings: Sequence[int], folder: Path) -> None:
    """Prints the table of crowds: what was found in some notes, as if by ever more tasters."""
    table, found = folder / "some.parquet", folder / "some"
    pq.write_table(pa.Table.from_pylist(list(notes(texts, 20_000))), table)
    cost_of(["read", table, "--out", f"{found}/"])
    (part,) = (pq.read_table(path) for path in found.glob("*.parquet"))
    each = part["kind"].to_pylist().count("flavour")
    print("\n| findings | rows | tasters' servings | seconds | core-seconds | MB, biggest process |")
    print("|---|---|---|---|---|---|")
    for wanted in findings:
        copies, many = -(-wanted // each), folder / f"many-{wanted}"
        many.mkdir()
        for copy in range(copies):
            again = part.to_pandas()
            again["speaker"] += f"-{copy}"
            told = pa.Table.from_pandas(again, schema=part.schema, preserve_index=False)
            pq.write_table(told.replace_schema_metadata(part.schema.metadata), many / f"some.{copy:05}.parquet")
        made = cost_of(["crowd", many, "--out", folder / f"maps-{wanted}", "--jobs", 2])
        sizes = f"{copies * each:,} | {copies * part.num_rows:,} | {copies * 20_000:,}"
        print(f"| {sizes} | {made.wall:.0f} | {made.cores:.0f} | {made.memory:.0f} |", flush=True)


def main() -> None:
    """Both tables."""
    given = argparse.ArgumentParser(description=__doc__)
    given.add_argument("file", type=Path)
    given.add_argument("--notes", type=int, default=100_000)
    given.add_argument("--findings", type=int, nargs="*", default=[250_000, 1_000_000])
    asked = given.parse_args()
    texts = [turn.text for turn in stream_turns(asked.file) if turn.text]
    with tempfile.TemporaryDirectory() as folder:
        if asked.notes:
            read_costs(texts, asked.notes, Path(folder))
        crowd_costs(texts, asked.findings, Path(folder))


if __name__ == "__main__":
    main()
