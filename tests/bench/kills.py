"""Commands killed at any moment leave every file as it was or as it becomes, and nothing beside that stays.

`python tests/bench/kills.py` kills `feature`, `review`, `vocab add`, `session sheets` a hundred times each and prints
a table; the suite does a few of each (`tests/cli/test_killed.py`). POSIX only: children are forked, so that they start
warm, and killed by SIGKILL.
"""

from __future__ import annotations

import contextlib
import io
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

Files = Mapping[str, bytes]

SESSION = """\
session: kills
blind: true
tasters: [ana, ben, cat]
coffees: {one: {name: One}, two: {name: Two}}
brews: {filter: {method: filter}}
notes:
  - {source: sheet.csv}
"""
SHEET = "taster,coffee,brew,moment,text\n" + "".join(
    f"{who},{coffee},filter,hot,{words}\n"
    for coffee, words in (("one", "milk chocolate and plum"), ("two", "jasmine, kumquish, slatterberry and lemon"))
    for who in ("ana", "ben", "cat")
)
DECIDED = "- {words: kumquish, decide: reject}\n- {words: slatterberry, decide: change, descriptor: blackberry}\n"


@dataclass(frozen=True, slots=True)
class Command:
    """One command of the program: as it is typed, first to reach the old state, then to go on to the new one."""

    name: str
    old: tuple[str, ...]
    new: tuple[str, ...]


COMMANDS = (
    Command("feature", ("feature", "session.yaml", "--out", "pack"), ("feature", "other.yaml", "--out", "pack")),
    Command(
        "review",
        ("review", "session.yaml", "--decide", "first.yaml"),
        ("review", "session.yaml", "--decide", "decided.yaml"),
    ),
    Command(
        "vocab add",
        ("vocab", "add", "hawberry", "--under", "dark_berries", "--as", "note", "--house", "house.yaml"),
        ("vocab", "add", "slatterberry", "--under", "dark_berries", "--as", "note", "--house", "house.yaml"),
    ),
    Command(
        "session sheets",
        ("session", "sheets", "session.yaml", "--out", "sheets", "--seed", "1"),
        ("session", "sheets", "session.yaml", "--out", "sheets", "--seed", "2"),
    ),
)


def table(folder: Path) -> None:
    """A table in a folder, with what the commands take."""
    (folder / "session.yaml").write_text(SESSION)
    (folder / "other.yaml").write_text(SESSION.replace("sheet.csv", "other.csv"))
    (folder / "sheet.csv").write_text(SHEET)
    (folder / "other.csv").write_text(SHEET.replace("plum", "cherry").replace("jasmine", "rose"))
    (folder / "first.yaml").write_text("- {words: kumquish, decide: accept}\n")
    (folder / "decided.yaml").write_text(DECIDED)


def run(folder: Path, words: Sequence[str]) -> int:
    """One command of the program in a folder, in this process; its exit status."""
    from tastevocab.cli.main import build
    from tastevocab.errors import TastevocabError

    os.chdir(folder)
    quiet = io.StringIO()
    with contextlib.redirect_stdout(quiet), contextlib.redirect_stderr(quiet):
        try:
            return int(build()(list(words), standalone_mode=False) or 0)
        except TastevocabError as problem:
            print(problem, file=sys.__stderr__)
            return 1


def forked(work: Callable[[], int]) -> int:
    """The process id of a child that does `work` and ends with its status."""
    child = os.fork()
    if child:
        return child
    status = 3
    try:
        status = work()
    finally:
        os._exit(status)


def done(child: int) -> int:
    """The exit status of a child, once it has ended."""
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def held(folder: Path) -> Files:
    """Every file below a folder, by its path there."""
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def odd(now: Files, old: Files, new: Files) -> list[str]:
    """Files that are neither as they were nor as they become; what is being written besides is none."""
    left = (n for n in now if not Path(n).name.startswith(".") and now[n] not in (old.get(n), new.get(n)))
    return [*left, *(n for n in old if n not in now)]


@dataclass(frozen=True, slots=True)
class Outcome:
    """Of the kills of one command: how many came before it had ended, and left files old, new, or of both."""

    command: str
    killed: int
    old: int
    new: int
    mixed: int
    seconds: float
    bad: tuple[str, ...]
    left: tuple[str, ...]


def kills(command: Command, times: int, seed: int = 1) -> Outcome:
    """Kill a command `times` times at random moments, and look at what it left each time and in the end."""
    rng = random.Random(seed)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name).resolve()
        table(folder)
        assert done(forked(lambda: run(folder, command.old))) == 0
        old = held(folder)
        start = time.perf_counter()
        assert done(forked(lambda: run(folder, command.new))) == 0
        seconds, new = time.perf_counter() - start, held(folder)
        assert old != new
        counts = {"killed": 0, "old": 0, "new": 0, "mixed": 0}
        bad: list[str] = []
        for number in range(times):
            _restore(folder, old)
            child = forked(lambda: run(folder, command.new))
            if number % 2:  # as it writes: when something new stands in a folder
                _writes(folder, time.monotonic() + 3 * seconds)
                time.sleep(rng.choice((0, rng.uniform(0, 0.01))))
            else:
                time.sleep(rng.uniform(0, 1.05 * seconds))
            os.kill(child, signal.SIGKILL)
            counts["killed"] += done(child) == -signal.SIGKILL
            now = held(folder)
            bad += odd(now, old, new)
            plain = {n: data for n, data in now.items() if not Path(n).name.startswith(".")}
            counts["old" if plain == old else "new" if plain == new else "mixed"] += 1
        _restore(folder, old)
        assert done(forked(lambda: run(folder, command.new))) == 0
        last = held(folder)
        left = tuple(n for n in last if n not in new)
        assert {n: last[n] for n in new} == new
        return Outcome(command.name, **counts, seconds=seconds, bad=tuple(bad), left=left)


def _writes(folder: Path, until: float) -> None:
    """Wait for a temporary file in a folder or one below it."""
    before = set(folder.rglob(".*.part"))
    while time.monotonic() < until:
        if any(p not in before for p in folder.rglob(".*.part")):
            return


def _restore(folder: Path, files: Files) -> None:
    """The files as they were; what a killed program left beside them stays, as it would."""
    for path in folder.rglob("*"):
        if path.is_file() and not path.name.startswith("."):
            path.unlink()
    for name, data in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)


def together(words: Sequence[Sequence[str]], prepare: Callable[[Path], None] = table) -> Files:
    """The files that commands leave which run all at once in one folder."""
    name = tempfile.mkdtemp()
    try:
        folder = Path(name).resolve()
        prepare(folder)
        children = [forked(lambda w=w: run(folder, w)) for w in words]  # type: ignore[misc]
        assert [done(child) for child in children] == [0] * len(words)
        return held(folder)
    finally:
        shutil.rmtree(name, ignore_errors=True)


def main(times: int) -> None:
    print("| command | killed before its end | left old | left new | some old, some new | half | left behind |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    for command in COMMANDS:
        o = kills(command, times)
        print(f"| {o.command} ({o.seconds:.2f} s) | {o.killed} | {o.old} | {o.new} | {o.mixed} | {len(o.bad)} | "
              f"{len(o.left)} |", flush=True)  # fmt: skip


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
