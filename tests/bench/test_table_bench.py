"""The live table under load: a hundred tasters' pages on one machine, fifty kills of the server while phones type, and
an hour of eight tasters in a real browser, whose networks and tabs come and go.

Run with `pytest tests/bench/test_table_bench.py -n 0 --benchmark-enable -s`: it prints what it measured. Without the
option
the first two are run small. Nothing about times is asserted; that nothing is lost, doubled or seen by others is.
"""

from __future__ import annotations

import asyncio
import json
import os
import random
import sys
import time
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "web"))

from crashing import Server, crash, join
from hour import CHROMIUM, Hour, play

KILLS = int(os.environ.get("TASTEVOCAB_KILLS", "50"))
pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="reads /proc, kills as POSIX does")
NOTES = (
    "juicy blackberry, a bit of bergamot",
    "not lemon, more like mandarin",
    "cocoa and a dry finish",
    "honey, warm",
)


@dataclass
class Load:
    """What a run of many pages measured: seconds of each save, the server's memory (MB) and processor time."""

    saves: list[float] = field(default_factory=list)
    views: int = 0
    refused: int = 0
    memory: float = 0.0
    busy: float = 0.0
    seconds: float = 0.0

    def at(self, part: float) -> float:
        """The save time, in milliseconds, that this part of the saves did not exceed."""
        ranked = sorted(self.saves)
        return 1000 * ranked[min(len(ranked) - 1, int(part * len(ranked)))]


def of_process(pid: int) -> tuple[float, float]:
    """Memory in MB and processor seconds of a process and its children (proc(5))."""
    pids, memory, busy = [pid], 0.0, 0.0
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            with suppress(OSError):
                if int((entry / "stat").read_text().rpartition(")")[2].split()[1]) == pid:
                    pids.append(int(entry.name))
    for one in pids:
        with suppress(OSError):
            stat = Path(f"/proc/{one}/stat").read_text().rpartition(")")[2].split()
            memory += int(stat[21]) * os.sysconf("SC_PAGE_SIZE") / 1e6
            busy += (int(stat[11]) + int(stat[12])) / os.sysconf("SC_CLK_TCK")
    return memory, busy


async def page(port: int, seat: str, crumbs: str, codes: list[str], until: float, pause: float, load: Load) -> None:
    """One taster's page: a line held open, a note every `pause` seconds on average over a connection kept alive."""
    head = f"Host: 127.0.0.1:{port}\r\nCookie: {crumbs}\r\n"
    line, asking = await asyncio.open_connection("127.0.0.1", port, limit=2**22)
    asking.write(f"GET /seat/{seat}/live HTTP/1.1\r\n{head}\r\n".encode())
    listening = asyncio.create_task(listen(line, load))
    answers, sending = await asyncio.open_connection("127.0.0.1", port, limit=2**22)
    chance = random.Random(seat)
    await asyncio.sleep(chance.uniform(0, pause))
    n = 0
    while time.monotonic() < until:
        n += 1
        act = {"n": n, "kind": "note", "note": f"n{n}", "code": codes[n % len(codes)], "brew": "filter", "rev": 1}
        body = json.dumps({"client": f"load-{seat}", "events": [{**act, "text": f"{chance.choice(NOTES)} {n}"}]})
        start = time.monotonic()
        origin = f"Origin: http://127.0.0.1:{port}\r\nContent-Type: application/json\r\n"
        length = f"Content-Length: {len(body)}\r\n"
        sending.write(f"POST /seat/{seat}/events HTTP/1.1\r\n{head}{origin}{length}\r\n{body}".encode())
        status = int((await answers.readline()).split()[1])
        size = 0
        while (row := await answers.readline()).strip():
            if row.lower().startswith(b"content-length:"):
                size = int(row.split(b":")[1])
        told = json.loads(await answers.readexactly(size))
        load.saves.append(time.monotonic() - start)
        load.refused += status != 200 or told["kept"] != [n]
        await asyncio.sleep(chance.uniform(0, 2 * pause))
    listening.cancel()
    for writer in (asking, sending):
        writer.close()


async def listen(line: asyncio.StreamReader, load: Load) -> None:
    while row := await line.readline():
        load.views += row.startswith(b"event: view")


async def run(server: Server, pages: list[tuple[str, str, list[str]]], seconds: float, pause: float) -> Load:
    load, until = Load(), time.monotonic() + seconds
    before = of_process(server.process.pid)[1]
    start = time.monotonic()
    await asyncio.gather(*(page(server.port, *one, until, pause, load) for one in pages))
    load.seconds = time.monotonic() - start
    load.memory, busy = of_process(server.process.pid)
    load.busy = busy - before
    return load


def test_a_hundred_tasters(benchmark, tmp_path) -> None:
    people, seconds = (8, 3.0) if benchmark.disabled else (100, 60.0)
    server = Server(tmp_path, people, "silent" if benchmark.disabled else "reads")
    try:
        phones = [join(server, n, random.Random(n)) for n in range(people)]
        pages = [
            (p.seat, "; ".join(f"{k}={v}" for k, (v, _) in p.client.cookies.items()), list(p.codes)) for p in phones
        ]
        load = benchmark.pedantic(lambda: asyncio.run(run(server, pages, seconds, 2.0)), rounds=1, iterations=1)
    finally:
        server.stop()
    print(
        f"\n{people} pages, {len(load.saves)} saves in {load.seconds:.0f} s: median {load.at(0.5):.0f} ms, "
        f"p95 {load.at(0.95):.0f} ms, p99 {load.at(0.99):.0f} ms, most {load.at(1):.0f} ms; {load.views} views sent; "
        f"server with its reader {load.memory:.0f} MB, {load.busy / load.seconds:.2f} of a processor; "
        f"load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors"
    )
    assert load.saves
    assert load.refused == 0


def test_fifty_kills(benchmark, tmp_path) -> None:
    kills = 1 if benchmark.disabled else 50
    how = {"guests": 8, "kills": kills, "most": 2.0, "seed": 14}
    outcome = benchmark.pedantic(lambda: crash(tmp_path, **how), rounds=1, iterations=1)
    print(
        f"\n{outcome.kills} kills: {outcome.written} notes written, {outcome.acknowledged} acknowledged, "
        f"{len(outcome.lost)} lost, {len(outcome.twice)} twice, {len(outcome.breaches)} breaches of blindness"
    )
    assert (outcome.lost, outcome.twice, outcome.breaches, outcome.waiting) == ([], [], [], 0)


# --- an hour of eight tasters in a real browser ---


@pytest.mark.skipif(not Path(CHROMIUM).exists(), reason="needs Chromium at /usr/bin/chromium")
def test_an_hour_of_eight_tasters(benchmark, tmp_path) -> None:
    """Tabs, networks, sends and the server itself come and go, all in one run."""
    if benchmark.disabled:
        pytest.skip("only with --benchmark-enable: the suite plays a short hour in tests/web/test_table_crash.py")
    hour = Hour(people=8, notes=40, kills=KILLS, seed=8)
    outcome = benchmark.pedantic(lambda: play(tmp_path, hour), rounds=1, iterations=1)
    print(f"\n{outcome.told}")
    assert outcome.wrong == {}
