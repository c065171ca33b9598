"""What a corpus costs: a plain process beside Dask with 1 and 2, a killed worker, and the crowd of a million findings.

`python tests/bench/corpus_bench.py NOTES.jsonl [--notes 1000000 --pieces 4] [--findings 1000000]`: notes are drawn with
seeds from the texts of a table of notes, with tasters and coffees of their own. Times are of whole processes, start and
end included: core-seconds are user and system time of a command and all it started, memory is its biggest process's.
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

from tastevocab.corpus.parts import PART_ROWS
from tastevocab.reading.intake.files import stream_turns

COMMAND = (sys.executable, "-c", "from tastevocab.cli.main import run; run()")
COFFEES = 4
MB = 1_000_000


class Cost(NamedTuple):
    """Seconds on the clock and on cores, and the memory in MB of the biggest process."""

    wall: float
    cores: float
    memory: float


def cost_of(arguments: Sequence[object], kill: tuple[Path, int] | None = None) -> Cost:
    """What a command costs; with `kill` one of its workers is killed when a folder holds so many parts."""
    start = time.monotonic()
    child = subprocess.Popen([*COMMAND, *map(str, arguments)], stderr=subprocess.DEVNULL, stdout=subprocess.DEVNULL)
    if kill:
        while len(list(kill[0].glob("*.parquet"))) < kill[1]:
            assert child.poll() is None, f"{arguments} ended before a worker could be killed"
            time.sleep(0.05)
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


def notes(texts: Sequence[str], numbers: range) -> Iterator[dict[str, str]]:
    """The notes of these numbers: each taster has one of each coffee."""
    for number in numbers:
        taster, coffee = divmod(number, COFFEES)
        text = random.Random(number).choice(texts)
        yield {"id": f"n{number}", "taster": f"t{taster}", "coffee": "ABCD"[coffee], "text": text}


PLAIN, ONE, TWO, KILLED = "one plain process", "Dask, 1 process", "Dask, 2 processes", "Dask, 2, one killed"


def read_piece(texts: Sequence[str], numbers: range, folder: Path) -> dict[str, Cost]:
    """What it costs to read one more piece; with Dask what lies in `folder` already is named too, and kept."""
    lines, table = folder / f"notes-{numbers.start:09}.jsonl", folder / f"notes-{numbers.start:09}.parquet"
    pq.write_table(pa.Table.from_pylist(list(notes(texts, numbers))), table)
    with lines.open("w", encoding="utf-8") as file:
        file.writelines(json.dumps(n) + "\n" for n in notes(texts, numbers))
    tables = sorted(folder.glob("notes-*.parquet"))
    for broken_off in folder.glob(f"*/{table.name}.*"):  # of a piece that was not measured to its end
        broken_off.unlink()
    plain = cost_of(["read", lines, "--format", "jsonl", "--out", folder / "plain.jsonl"])
    made = {PLAIN: plain}
    print(f"piece from {numbers.start:,}: {PLAIN}: {plain}", file=sys.stderr, flush=True)
    half = len(list((folder / KILLED).glob("*.parquet"))) + max(1, len(numbers) // PART_ROWS // 2)
    for name, jobs, kill in ((ONE, 1, None), (TWO, 2, None), (KILLED, 2, (folder / KILLED, half))):
        made[name] = cost_of(["read", *tables, "--jobs", jobs, "--out", f"{folder / name}/"], kill)
        print(f"piece from {numbers.start:,}: {name}: {made[name]}", file=sys.stderr, flush=True)
    lines.unlink()
    return made


def read_costs(texts: Sequence[str], count: int, pieces: int, folder: Path, most: int) -> None:
    """Reads at most `most` more of the pieces, and prints the table of all that are read in `folder` by now."""
    told, each = folder / "costs.jsonl", count // pieces
    done = told.read_text().count("\n") if told.exists() else 0
    for piece in range(done, min(pieces, done + most)):
        made = read_piece(texts, range(piece * each, (piece + 1) * each), folder)
        with told.open("a") as file:
            file.write(json.dumps(made) + "\n")
    rows = [{name: Cost(*cost) for name, cost in json.loads(line).items()} for line in told.open()]
    print(f"{len(rows) * each:,} notes in {len(rows)} runs each\n")
    print("| | seconds | core-seconds | over one plain process | notes/s | MB, biggest process |")
    print("|---|---|---|---|---|---|")
    plain = sum(row[PLAIN].cores for row in rows)
    for name in rows[0]:
        wall, cores = (sum(getattr(row[name], what) for row in rows) for what in ("wall", "cores"))
        memory, speed = max(row[name].memory for row in rows), len(rows) * each / wall
        print(
            f"| {name} | {wall:.0f} | {cores:.0f} | {100 * (cores / plain - 1):+.1f} % | {speed:,.0f} | {memory:.0f} |"
        )
    one, two, killed = ({p.name: p.read_bytes() for p in (folder / n).glob("*.parquet")} for n in (ONE, TWO, KILLED))
    print(f"\n{len(one)} parts; killed worker: {'same bytes' if one == two == killed else 'OTHER BYTES'}")


def crowd_costs(texts: Sequence[str], findings: Sequence[int], folder: Path) -> None:
    """Prints the table of crowds: what was found in some notes, as if by ever more tasters."""
    table, found = folder / "some.parquet", folder / "some"
    pq.write_table(pa.Table.from_pylist(list(notes(texts, range(20_000)))), table)
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
    given.add_argument("--pieces", type=int, default=1, help="read the notes in so many runs, each keeping the last's")
    given.add_argument("--most", type=int, default=1000, help="pieces to read now")
    given.add_argument("--folder", type=Path, help="where all of it lies, to go on there later")
    given.add_argument("--findings", type=int, nargs="*", default=[250_000, 1_000_000])
    asked = given.parse_args()
    texts = [turn.text for turn in stream_turns(asked.file) if turn.text]
    with tempfile.TemporaryDirectory() as temporary:
        folder = asked.folder or Path(temporary)
        folder.mkdir(exist_ok=True)
        if asked.notes:
            read_costs(texts, asked.notes, asked.pieces, folder, asked.most)
        if asked.findings:
            crowd_costs(texts, asked.findings, Path(temporary))


if __name__ == "__main__":
    main()
