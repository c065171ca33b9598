"""An archive of 2,000 invented sessions (20,000 servings of a taster): add, find, taster, like; size; killed adds.

Run with `pytest tests/bench/test_archive_bench.py -n 0 --benchmark-enable -s`, which prints the 95th percentiles.
Otherwise the archive is a twentieth of that, each question is asked once, and a few adds are killed.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest

INVENTED = Path(__file__).parents[1] / "archive"
sys.path.append(str(INVENTED))

from archive_tables import ROWS, Keeper, write_session  # noqa: E402
from invented import PEOPLE, Maker  # noqa: E402

from tastevocab.archive import adding, upkeep  # noqa: E402
from tastevocab.archive.alike import map_shares, nearest  # noqa: E402
from tastevocab.archive.history import history  # noqa: E402
from tastevocab.archive.search import Wanted, find  # noqa: E402
from tastevocab.archive.store import Archive, opened  # noqa: E402
from tastevocab.archive.taster import taster_report  # noqa: E402
from tastevocab.archive.worth import coffee_worth  # noqa: E402
from tastevocab.panel.flavour_map import Serving  # noqa: E402
from tastevocab.panel.summary import Bench, bench, map_of  # noqa: E402
from tastevocab.reading.words.lexicon import open_lexicon  # noqa: E402
from tastevocab.vocabulary.cache import open_vocabulary  # noqa: E402

SESSIONS = 2_000


@pytest.fixture(scope="module")
def tools() -> Bench:
    return bench(open_vocabulary())


@pytest.fixture(scope="module")
def whole(request) -> bool:
    """Whether benchmarks are asked for."""
    return not request.config.getoption("benchmark_disable") or request.config.getoption("benchmark_enable")


@pytest.fixture(scope="module")
def kept(tmp_path_factory, tools, whole) -> Iterator[tuple[Archive, list[tuple[float, float]]]]:
    """The archive, and the seconds that each session took to be written."""
    path = tmp_path_factory.mktemp("bench") / "a.sqlite"
    maker, seconds = Maker(tools.spans, seed=7), []
    with opened(path, make=True) as archive:
        for taken in maker.sessions(SESSIONS if whole else SESSIONS // 20):
            seconds.append(once(partial(adding.write, archive, taken, tools.vocabulary)))
        yield archive, seconds


def told(what: str, seconds: list[tuple[float, float]]) -> None:
    """Of so many times (on the clock, of the processor) the median and the 95th of a hundred."""
    print(f"\n{what}, n {len(seconds)}:", end="")
    for name, some in zip(("on the clock", "of the processor"), zip(*seconds, strict=True), strict=True):
        p95 = statistics.quantiles(some, n=20)[-1] if len(some) > 1 else some[0]
        print(f" {name} p50 {1e3 * statistics.median(some):.1f} ms, p95 {1e3 * p95:.1f} ms", end="")
    print()


def once(work: Callable[[], object]) -> tuple[float, float]:
    start, spent = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - start, time.process_time() - spent


def timed(what: str, ask: Callable[[int], object], times: int) -> None:
    told(what, [once(partial(ask, number)) for number in range(times)])


def test_add(kept, tmp_path, whole):
    archive, seconds = kept
    told("add, writing alone", seconds[len(seconds) // 2 :])
    counts = upkeep.counts(archive)
    print(f"size: {counts['bytes'] / 1e6:.1f} MB, {counts['findings']} findings, {counts['sessions']} sessions")
    keeper = Keeper(open_lexicon(), open_vocabulary())
    paths = [write_session(tmp_path / "t", f"typed{i}", rows=ROWS) for i in range(40 if whole else 1)]
    timed("add, typed notes read too", lambda i: keeper.add(archive, paths[i]), len(paths))
    timed("add, the same again", lambda i: keeper.add(archive, paths[i]), len(paths))
    assert upkeep.check(archive) == []


def test_questions(kept, tools, whole):
    archive, _ = kept
    times = 20 if whole else 1
    spans = tools.spans
    notes = [id for id in spans.ids if spans.descriptor(id).level == "note"]
    timed("find, a note", lambda i: find(archive, Wanted(descriptors=(notes[i],))), times)
    family = [tuple(sorted(spans.supports[id])) for id in spans.ids if spans.descriptor(id).level == "family"]
    timed(
        "find, a family, washed",
        lambda i: find(archive, Wanted(descriptors=family[i], facts=(("process", "washed"),))),
        times,
    )
    labels = [spans.descriptor(id).print for id in notes]
    timed("find, words of the talk", lambda i: find(archive, Wanted(words=labels[i])), times)
    timed("taster", lambda i: taster_report(archive, PEOPLE[i % len(PEOPLE)], spans), times)
    maker = Maker(spans, seed=8)
    new = [maker.session(10_000 + i).gathered for i in range(times)]
    shares = [map_shares(map_of(g, Serving("cupa"), tools, pool=True)) for g in new]
    timed("like", lambda i: nearest(archive, shares[i], spans), times)
    timed("worth", lambda i: coffee_worth(archive, new[i], "cupa", tools), times)
    names = [name for (name,) in archive.db.execute("SELECT DISTINCT name FROM coffee WHERE duplicate_of = ''")]
    timed("coffee", lambda i: history(archive, names[i], tools), min(times, 10))


KILLS = """
import os, random, signal, sys, time
sys.path.append(sys.argv[1])
from pathlib import Path
from invented import Maker
from tastevocab.archive import adding, upkeep
from tastevocab.archive.recall import editions
from tastevocab.archive.store import opened
from tastevocab.panel.spans import Spans
from tastevocab.vocabulary.cache import open_vocabulary

path, kills = Path(sys.argv[2]), int(sys.argv[3])
vocabulary = open_vocabulary()
maker = Maker(Spans(vocabulary), seed=11)
random.seed(11)

def work(taken, steps, dies):
    count = 0
    def tick():
        nonlocal count
        count += 1
        if dies and count >= steps:
            os.kill(os.getpid(), signal.SIGKILL)
    with opened(path, make=True) as archive:
        archive.db.execute("PRAGMA cache_size = 8")  # pages go to the disk before the end, as with a big session
        archive.db.set_progress_handler(tick, 20)
        adding.write(archive, taken, vocabulary)
    return count

steps = work(maker.session(0), 0, False)
killed = journals = there = 0
number = 0
while killed < kills:
    number += 1
    taken = maker.session(number)
    child = os.fork()
    if not child:
        work(taken, random.randint(1, steps), number % 2)
        os._exit(0)
    if not number % 2:  # every other one is killed from outside, at a time of no regard to what it does
        time.sleep(random.uniform(0, 0.06))
        os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    killed += os.WIFSIGNALED(status)
    journals += path.with_name(path.name + "-journal").exists()
    with opened(path) as archive:
        wrong = upkeep.check(archive)
        assert not wrong, wrong
        names = [e.session for e in editions(archive.db)]
        there += taken.session.id in names
        assert len(names) == there + 1, names
        assert adding.write(archive, taken, vocabulary).state == ("unchanged" if taken.session.id in names else "added")
    there += taken.session.id not in names
print(killed, number, journals, steps)
"""


@pytest.mark.skipif(os.name != "posix", reason="kill -9 is POSIX")
def test_killed_adds_leave_nothing_half(tmp_path, whole):
    """Half are killed from inside SQLite after a random number of its steps, half from outside at a random time; then
    the file is whole, holds every session that was there, and takes the killed one."""
    kills = 100 if whole else 6
    run = [sys.executable, "-c", KILLS, str(INVENTED), str(tmp_path / "a.sqlite"), str(kills)]
    done = subprocess.run(run, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    killed, adds, journals, steps = map(int, done.stdout.split())
    print(f"\n{killed} of {adds} adds were killed, {journals} of them left a journal behind; {steps} steps each")
    assert killed == kills
