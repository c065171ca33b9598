"""A table as it runs: acts come in, are kept, added up, read and counted, and whoever may see it is told."""

from __future__ import annotations

import asyncio
import contextlib
import time
from collections import Counter
from collections.abc import Callable, Coroutine, Iterable
from typing import Any

from tastevocab.web.guard import Rates, Refused
from tastevocab.web.table import acts
from tastevocab.web.table import state as st
from tastevocab.web.table.entrance import Entrance, new_code
from tastevocab.web.table.lines import Lines
from tastevocab.web.table.setting import Setting
from tastevocab.web.table.store import Event, Kept, Store
from tastevocab.web.table.tally import Home, Tally
from tastevocab.web.table.views import Known, View, leader_view, open_seats, reading_key, taster_view, wall_view
from tastevocab.web.table.worker import Asks, Failed
from tastevocab.web.tokens import digest, new_token

LEADER, WALL = st.LEADER, "wall"
MOST_KEPT = 20_000
READ_AT_ONCE = 4


class Live:
    """A running table. All methods belong to the server's event loop."""

    def __init__(
        self,
        setting: Setting,
        store: Store,
        reader: Asks,
        counter: Asks,
        home: Home,
        clock: Callable[[], float] = time.time,
    ) -> None:
        self.setting, self.store, self.reader, self.counter = setting, store, reader, counter
        self.address, self.clock = home.address, clock
        self.table = ""  # this table's own name, so that a phone never sends it what it kept for another
        self.state = st.State()
        self.tokens: dict[str, str] = {}
        self.entrance = Entrance(new_code())
        self.rates = Rates(rate=10, burst=400)
        self._kept: Counter[str] = Counter()
        self._readings: dict[tuple[str, str, str], list[dict[str, Any]]] = {}
        self._prints: dict[str, str] = {}
        self._own = new_token()
        self._own_number = 0
        self._tasks: set[asyncio.Task[None]] = set()
        self._reading = asyncio.Semaphore(READ_AT_ONCE)
        self.lines = Lines(self.view, clock, self._came_or_went)
        self.tally = Tally(setting, store, counter, home, self.lines.tell_all)

    # --- begin and end ---

    async def start(self) -> None:
        """Take up where the store left off."""
        self.entrance.code = await self._remembered("code", self.entrance.code)
        self.table = await self._remembered("table", new_token())
        self.tokens = await asyncio.to_thread(self.store.tokens)
        for event in await asyncio.to_thread(self.store.events):
            self._kept[event.seat] += 1
            if event.kind != "gone":
                st.add(self.state, event)
        for seat in self.setting.seats:
            self._read_all(seat.id)
        if self.state.shown or self.state.revealed is not None:
            self._later(self.tally.count())

    async def _remembered(self, name: str, fresh: str) -> str:
        """What the store has under a name; `fresh` from now on where it has nothing."""
        there = await asyncio.to_thread(self.store.about, name)
        if there is None:
            await asyncio.to_thread(self.store.set_about, name, fresh)
        return there or fresh

    async def stop(self) -> None:
        """End what still runs; all that was acknowledged is on disk already."""
        tasks = list(self._tasks)
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)
        await self.reader.stop()
        await self.counter.stop()

    def _later(self, work: Coroutine[Any, Any, None]) -> None:
        task = asyncio.get_running_loop().create_task(work)
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    # --- what is seen ---

    def known(self) -> Known:
        """All that is known now."""
        return Known(
            setting=self.setting,
            state=self.state,
            readings=self._readings,
            prints=self._prints,
            results=self.tally.results,
            wheels=self.tally.wheels,
            here=self.lines.here(),
            address=self.address,
            code=self.entrance.code,
            wrong=self.entrance.wrong_lately(),
            folder=str(self.tally.home.folder),
            files=self.tally.files,
            busy=self.tally.busy,
        )

    def view(self, who: str) -> View:
        """What the leader, the wall or a seat may see now."""
        if who == LEADER:
            return leader_view(self.known())
        if who == WALL:
            return wall_view(self.known())
        seat = self.setting.seat(who)
        if seat is None:
            raise Refused(404, "there is no such seat")
        return taster_view(self.known(), seat)

    def _came_or_went(self, who: str) -> None:
        if who not in (LEADER, WALL):
            self.lines.tell([LEADER])

    # --- what tasters do ---

    async def take(self, seat: str, client: str, given: list[Any]) -> dict[str, Any]:
        """Keep a phone's acts, given as a list of objects; says number by number what is kept, and what is refused.

        What it names as kept is on disk. Raises `Refused` where nothing of it was kept.
        """
        if self.state.seat(seat).gone:
            raise Refused(410, "these notes were taken back: nothing more is kept from this seat")
        if not self.rates.take(seat, max(1, len(given))):
            raise Refused(429, "too much at once: it is sent again in a moment")
        if self._kept[seat] > MOST_KEPT:
            raise Refused(413, "this seat is full: tell the leader")
        events, refused = self._events(seat, client, given)
        kept = await asyncio.wrap_future(self.store.keep(events)) if events else ()
        numbers = self._add(seat, kept, refused)
        return {"kept": numbers, "refused": refused}

    def _events(self, seat: str, client: str, given: list[Any]) -> tuple[list[Event], list[dict[str, Any]]]:
        received = self.clock()
        events, refused = [], []
        for one in given:
            number = one.get("n") if isinstance(one, dict) else None
            if not isinstance(number, int) or isinstance(number, bool) or not 0 < number < 2**53:
                raise Refused(400, "n: every act has a whole number of its own")
            try:
                body = acts.checked(one.get("kind"), one, self.setting, seat)
                written = received - acts.age_of(one)
                if self.state.ended is not None and written >= self.state.ended:
                    raise Refused(409, "the table has ended")
                events.append(Event(seat, client, number, one["kind"], body, written, received))
            except Refused as problem:
                refused.append({"n": number, "why": problem.why})
        return events, refused

    def _add(self, seat: str, kept: Iterable[Kept], refused: list[dict[str, Any]]) -> list[int]:
        numbers, new = [], set()
        for one in kept:
            if not one.same:
                refused.append({"n": one.event.number, "why": "this number was used for something else"})
                continue
            numbers.append(one.event.number)
            if one.new:
                self._kept[seat] += 1
                st.add(self.state, one.event)
                new.add(one.event.kind)
        self._read_all(seat)
        self.lines.tell([seat, *([LEADER, WALL] if "close" in new else [])])
        if new:
            self._again()
        return numbers

    def _again(self) -> None:
        """Count and write anew what was counted and written before: something has come in since, or was taken back."""
        if self.state.shown or self.state.revealed is not None:
            self._later(self.tally.count())
        if self.state.ended is not None:
            self._later(self.tally.write())

    async def withdraw(self, seat: str) -> None:
        """Write over everything a seat has sent, and count it no more."""
        event = self._made(seat, "withdraw", {})
        await asyncio.wrap_future(self.store.forget(seat, event))
        await asyncio.to_thread(self.store.shrink)
        texts = {reading_key(n) for n in st.notes_of(self.state, seat)}
        st.add(self.state, event)
        still = {reading_key(n) for s in self.setting.seats for n in st.notes_of(self.state, s.id)}
        for key in texts - still:
            self._readings.pop(key, None)
        self.lines.tell_all()
        self._again()

    # --- reading ---

    def _read_all(self, seat: str) -> None:
        """See to it that every note of a seat is read."""
        for note in st.notes_of(self.state, seat):
            key = reading_key(note)
            if key not in self._readings:
                self._readings[key] = []
                self._later(self._read(seat, key))
        for mark in st.marks_of(self.state, seat):
            if mark.descriptor and mark.descriptor not in self._prints:
                self._prints[mark.descriptor] = mark.descriptor
                self._later(self._name(seat, mark.descriptor))

    async def _read(self, seat: str, key: tuple[str, str, str]) -> None:
        try:
            async with self._reading:
                self._readings[key] = await self.reader.ask("read", *key)
        except Failed:
            self._readings.pop(key, None)  # the note is kept all the same; it is read with the next one
        self.lines.tell([seat])

    async def _name(self, seat: str, descriptor: str) -> None:
        with contextlib.suppress(Failed):
            self._prints[descriptor] = await self.reader.ask("print_of", descriptor) or descriptor
        self.lines.tell([seat])

    # --- what the leader does ---

    def _made(self, seat: str, kind: str, body: dict[str, Any]) -> Event:
        self._own_number += 1
        now = self.clock()
        return Event(seat, self._own, self._own_number, kind, body, now, now)

    async def lead(self, kind: str, given: dict[str, Any]) -> dict[str, Any]:
        """Do what the leader asks for. Raises `Refused` where it is not the time for it."""
        if kind == "code":
            await asyncio.to_thread(self.store.set_about, "code", self.entrance.renew())
            self.lines.tell([LEADER, WALL])
            return {}
        if kind == "shut_out":
            return await self._shut_out(given)
        body = acts.leaders(kind, given, self.setting)
        self._in_time(kind, body, force=given.get("force") is True)
        if kind == "late":
            body["seat"] = self._spare()
        event = self._made(LEADER, kind, body)
        await asyncio.wrap_future(self.store.keep([event]))
        st.add(self.state, event)
        if kind in ("show", "reveal"):
            self._later(self.tally.count())
        if kind == "end":
            self._later(self.tally.write())
        self.lines.tell_all()
        return {"seat": body["seat"]} if kind == "late" else {}

    def _in_time(self, kind: str, body: dict[str, Any], *, force: bool) -> None:
        if self.state.ended is not None and kind != "end":
            raise Refused(409, "the table has ended")
        brews = [body["brew"]] if kind == "show" else self.setting.brews if kind == "reveal" else ()
        waiting = sum(open_seats(self.setting, self.state, b) for b in brews if self.state.told_at(b) is None)
        if waiting and not force:
            raise Refused(409, f"{waiting} still open: closing for them is asked for apart")

    def _spare(self) -> str:
        free = [s.id for s in self.setting.seats if s.kind == "late" and not self.state.seat(s.id).name]
        if not free:
            raise Refused(409, "no seat is left: start the next table with more names, or with --guests")
        return free[0]

    async def _shut_out(self, given: dict[str, Any]) -> dict[str, Any]:
        seat = given.get("seat")
        if not isinstance(seat, str) or self.setting.seat(seat) is None:
            raise Refused(400, "seat: no such seat")
        await asyncio.wrap_future(self.store.shut_out(seat))
        self.tokens = {d: s for d, s in self.tokens.items() if s != seat}
        self.lines.tell([seat])
        return {}

    async def let_in(self, seat: str, name: str = "", *, taken: bool = True) -> str:
        """A new token for a seat (or the leader, or the wall); raises nothing: who may have it was settled before."""
        token = new_token()
        event = self._made(seat, "taken", {"name": name}) if taken else None
        await asyncio.wrap_future(self.store.let_in(digest(token), seat, event))
        self.tokens[digest(token)] = seat
        if event is not None:
            st.add(self.state, event)
            self.lines.tell([LEADER, WALL, seat])
        return token

    def free_guest(self) -> str | None:
        """The next free guest seat, if there is one."""
        free = (s.id for s in self.setting.seats if s.kind == "guest" and not self.state.seat(s.id).taken)
        return next(free, None)
