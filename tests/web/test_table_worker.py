"""Reading and counting beside the server: it answers, fails in words, starts anew when it dies, ends with its input."""

from __future__ import annotations

import asyncio
import subprocess
import sys
from contextlib import suppress

import pytest

from tastevocab.web.table.worker import Failed, WorkBeside


def test_it_reads_dies_and_starts_anew():
    async def play() -> None:
        beside = WorkBeside()
        try:
            rows = await beside.ask("read", "blackberry, not lemon", "hot", "")
            assert [(r["words"], r["state"]) for r in rows] == [("blackberry", "counted"), ("lemon", "denied")]
            with pytest.raises(Failed, match="no such file"):
                await beside.ask("results", "/nowhere/table.yaml", {}, [])
            assert beside._process is not None
            waiting = asyncio.create_task(beside.ask("read", "peach", "", ""))
            await asyncio.sleep(0)
            with suppress(ProcessLookupError):
                beside._process.kill()
            with suppress(Failed):
                await waiting
            await beside._process.wait()
            assert (await beside.ask("find", "blackb"))[0]["print"] == "blackberry"
        finally:
            await beside.stop()

    asyncio.run(play())


def test_it_ends_with_its_input():
    """So that a server killed outright leaves nothing running behind."""
    made = subprocess.run(
        [sys.executable, "-m", "tastevocab.web.table.worker", "", ""],
        input='{"id": 1, "what": "print_of", "given": ["reach/dark_fruit"]}\n{"id": 2, "what": "bad", "given": []}\n',
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    assert made.stdout.splitlines()[0] == '{"id": 1, "gives": "dark fruit"}'
    assert '"fails"' in made.stdout.splitlines()[1]


def test_labels_come_before_other_names_in_a_search(work):
    async def find(words: str) -> list[str]:
        return [f"{one['print']}|{one['as']}" for one in await work.ask("find", words)]

    assert asyncio.run(find(" ")) == []
    found = asyncio.run(find("black"))
    labels = [f.endswith("|") for f in found]
    assert labels == sorted(labels, reverse=True)
    assert "blackberry|" in found
