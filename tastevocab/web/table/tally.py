"""What is counted and written of a running table, as events come in: rounds that are shown, the session, the pack."""

from __future__ import annotations

import asyncio
import os
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from tastevocab.web.table.setting import Setting, to_json
from tastevocab.web.table.store import Store
from tastevocab.web.table.worker import Asks, Failed


@dataclass(frozen=True, slots=True)
class Home:
    """Where a table is: the address that phones go to, the session file it is of, the folder its files go into, the
    file of the pack's house style ("": the one that ships)."""

    address: str
    session: Path
    folder: Path
    style: str = ""


class Tally:
    """The results of a table, its files, and what is being done about them (`busy`, in words). `changed` is called
    whenever one of them is another; one thing is done at a time, and what was asked for twice is done once."""

    def __init__(self, setting: Setting, store: Store, counter: Asks, home: Home, changed: Callable[[], None]) -> None:
        self._setting, self._store, self._counter, self._changed = setting, store, counter, changed
        self.home = home
        self.results: dict[str, Any] = {}
        self.wheels: dict[str, Any] = {}
        self.files: tuple[str, ...] = ()
        self.busy = ""
        self._turn = asyncio.Lock()
        self._asked = {"count": 0, "write": 0}

    def _told(self) -> tuple[str, dict[str, Any], list[dict[str, Any]]]:
        events = [asdict(e) for e in self._store.events() if e.kind != "gone"]
        return str(self.home.session), to_json(self._setting), events

    def _now(self, busy: str) -> None:
        self.busy = busy
        self._changed()

    async def count(self) -> None:
        """Count the rounds that were shown, as they are now."""
        mine = self._ask("count")
        async with self._turn:
            if mine != self._asked["count"]:
                return
            self._now("counting")
            try:
                told = await asyncio.to_thread(self._told)
                found = await self._counter.ask("results", *told)
                self.results, self.wheels = found["counts"], found["wheels"]
                self._now("")
            except Failed as problem:
                self._now(f"cannot count: {problem}")

    async def write(self) -> None:
        """Write the session's files, then the pack."""
        mine = self._ask("write")
        async with self._turn:
            if mine != self._asked["write"]:
                return
            self._now("writing the files")
            try:
                told = await asyncio.to_thread(self._told)
                written = await self._counter.ask("write", *told, str(self.home.folder))
                self.files = tuple(os.path.relpath(path, self.home.folder) for path in written)
                self._now("making the pack")
                self.files += tuple(await self._counter.ask("pack", str(self.home.folder), self.home.style))
                self._now("")
            except Failed as problem:
                self._now(str(problem))

    def _ask(self, what: str) -> int:
        self._asked[what] += 1
        return self._asked[what]
