"""Lines held open to pages (server-sent events): the view whenever it has changed, a beat in between."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncGenerator, Callable, Iterable

from tastevocab.web.guard import Refused
from tastevocab.web.table.views import View
from tastevocab.web.tokens import digest

BEAT = 10.0
"""Seconds between heartbeats; a page that hears none for twice as long opens its line anew."""
REST = 0.08
"""Seconds that changes are gathered for before a page is told."""
MOST_LINES = 8


class Lines:
    """All open lines, by whose they are. `view` gives what somebody may see now, `clock` seconds since 1970, `moved`
    hears of whoever opens or closes a line."""

    def __init__(self, view: Callable[[str], View], clock: Callable[[], float], moved: Callable[[str], None]) -> None:
        self._view, self._clock, self._moved = view, clock, moved
        self._open: dict[str, set[asyncio.Event]] = {}
        self._closing = False

    def here(self) -> frozenset[str]:
        """Who has a page open."""
        return frozenset(who for who, lines in self._open.items() if lines)

    async def open(self, who: str, seen: str) -> AsyncGenerator[str, None]:
        """The events of one line. `seen` is the id of the view that the page has already: a view's id is made of the
        view, so that it tells nothing else. Raises `Refused` (429) where too many are open."""
        mine = self._open.setdefault(who, set())
        if len(mine) >= MOST_LINES:
            raise Refused(429, "this seat is open in too many places: close some")
        line = asyncio.Event()
        line.set()
        mine.add(line)
        self._moved(who)
        try:
            yield "retry: 1500\n\n"
            while True:
                if not await _within(line, BEAT):
                    yield self._beat()
                    continue
                if self._closing:
                    return
                line.clear()
                text = json.dumps(self._view(who), ensure_ascii=False)
                if (name := digest(text)[:16]) == seen:
                    yield self._beat()
                else:
                    seen = name
                    yield f"id: {name}\nevent: view\ndata: {self._stamped(text)}\n\n"
                await asyncio.sleep(REST)
        finally:
            mine.discard(line)
            self._moved(who)

    def _beat(self) -> str:
        return f"event: beat\ndata: {round(self._clock() * 1000)}\n\n"

    def _stamped(self, text: str) -> str:
        """A view with this machine's time in it, for clocks that are wrong."""
        return f'{{"now": {round(self._clock() * 1000)}, "view": {text}}}'

    def snapshot(self, who: str) -> str:
        """The view as one JSON text, as a line would bring it."""
        return self._stamped(json.dumps(self._view(who), ensure_ascii=False))

    def tell(self, whom: Iterable[str]) -> None:
        """Have these pages look whether their view has changed."""
        for who in whom:
            for line in self._open.get(who, ()):
                line.set()

    def tell_all(self) -> None:
        """Have every page look."""
        self.tell(list(self._open))

    def close(self) -> None:
        """Let every line end: the server is about to stop."""
        self._closing = True
        self.tell_all()


async def _within(event: asyncio.Event, seconds: float) -> bool:
    """Whether something happens within so many seconds."""
    try:
        await asyncio.wait_for(event.wait(), seconds)
    except TimeoutError:
        return False
    return True
