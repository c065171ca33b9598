"""Kept once, whatever a phone does: sends doubled, out of order, in any parts, and cut by crashes, end in one state."""

from __future__ import annotations

import sqlite3
from dataclasses import asdict
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given
from hypothesis import strategies as st
from trials import trials

from tastevocab.errors import InputError
from tastevocab.web.table import state as table
from tastevocab.web.table.store import Event, Store

CODES = ("417", "283")


def note(seat: str, client: str, number: int, name: str, rev: int, text: str, written: float) -> Event:
    body = {"note": name, "code": "417", "brew": "filter", "moment": "hot", "bowl": 0, "text": text, "rev": rev}
    return Event(seat, client, number, "note", body, written, written + 1)


def close(seat: str, client: str, number: int, code: str, rev: int, closed: bool, written: float) -> Event:
    body = {"code": code, "brew": "filter", "closed": closed, "rev": rev}
    return Event(seat, client, number, "close", body, written, written + 1)


def seen(state: table.State) -> object:
    """Everything that counts of a state."""
    seats = ("s1", "s2")
    return [
        (table.notes_of(state, s), table.closed_by(state, s), table.present_at(state, s), table.revisions(state, s))
        for s in seats
    ]


revs, times = st.integers(1, 4), st.floats(0, 100)
makers = st.one_of(
    st.tuples(st.just(note), st.sampled_from("abc"), revs, st.sampled_from(["", "peach", "not lemon"]), times),
    st.tuples(st.just(close), st.sampled_from(CODES), revs, st.booleans(), times),
)


@st.composite
def histories(draw) -> list[Event]:
    """What two seats did on two pages each: numbers run per page, as on the phones."""
    numbers: dict[tuple[str, str], int] = {}
    events = []
    for make, *rest in draw(st.lists(makers, max_size=25)):
        seat, client = draw(st.sampled_from(["s1", "s2"])), draw(st.sampled_from(["tab1", "tab2"]))
        numbers[seat, client] = numbers.get((seat, client), 0) + 1
        events.append(make(seat, client, numbers[seat, client], *rest))
    return events


SHOWN = Event("leader", "boot", 1, "show", {"brew": "filter"}, 50.0, 50.0)


@given(histories(), st.data())
def test_the_order_of_arrival_changes_nothing(events, data):
    """Also with respect to the leader's act: whether a note is late is said by when it was written."""
    mixed = data.draw(st.permutations([SHOWN, *events]))
    assert seen(table.total(mixed)) == seen(table.total([SHOWN, *events]))


@trials(20)
@given(histories(), st.data())
def test_doubled_and_reordered_sends_are_kept_once(events, data):
    """Every event is sent one to three times, in any order and in batches of any size."""
    sends = data.draw(st.permutations([e for e in events for _ in range(data.draw(st.integers(1, 3)))]))
    with TemporaryDirectory() as folder:
        store = Store(Path(folder) / "table.sqlite3")
        try:
            acknowledged = set()
            while sends:
                size = data.draw(st.integers(1, 5))
                batch, sends = sends[:size], sends[size:]
                for kept in store.keep(batch).result():
                    assert kept.same
                    acknowledged.add((kept.event.seat, kept.event.client, kept.event.number))
            there = store.events()
        finally:
            store.close()
    assert len(there) == len(events)
    assert {(e.seat, e.client, e.number) for e in there} == acknowledged
    assert seen(table.total(there)) == seen(table.total(events))


def test_a_number_used_twice_for_different_things_is_told(tmp_path):
    store = Store(tmp_path / "table.sqlite3")
    one, other = (note("s1", "tab", 1, "a", 1, text, 1.0) for text in ("peach", "plum"))
    assert store.keep([one]).result()[0].new
    (kept,) = store.keep([other]).result()
    assert (kept.new, kept.same) == (False, False)
    assert [e.body["text"] for e in store.events()] == ["peach"]
    store.close()


def test_two_seats_may_use_the_same_numbers(tmp_path):
    """So that nobody can take another's numbers before them."""
    store = Store(tmp_path / "table.sqlite3")
    for seat in ("s1", "s2"):
        assert store.keep([note(seat, "tab", 1, "a", 1, "peach", 1.0)]).result()[0].new
    assert len(store.events()) == 2
    store.close()


def test_what_is_acknowledged_is_written_through(tmp_path):
    """The settings on which the promise rests, as SQLite says them (sqlite.org/pragma.html: FULL is 2)."""
    store = Store(tmp_path / "table.sqlite3")
    asked = {name: store.submit(lambda base, n=name: base.execute(f"PRAGMA {n}").fetchone()[0]).result()
             for name in ("journal_mode", "synchronous", "secure_delete", "locking_mode")}  # fmt: skip
    store.close()
    assert asked == {"journal_mode": "wal", "synchronous": 2, "secure_delete": 1, "locking_mode": "exclusive"}


def test_one_process_alone_has_the_file(tmp_path):
    store = Store(tmp_path / "table.sqlite3")
    store.set_about("a", "b")
    with pytest.raises(InputError, match="locked"):
        Store(tmp_path / "table.sqlite3")
    store.close()
    again = Store(tmp_path / "table.sqlite3")
    assert again.about("a") == "b"
    again.close()


def test_another_file_is_refused(tmp_path):
    (tmp_path / "table.sqlite3").write_text("no database at all, but long enough to look like one" * 20, "utf-8")
    with pytest.raises(InputError, match="no file of a live table"):
        Store(tmp_path / "table.sqlite3")


def test_work_that_fails_takes_nothing_with_it(tmp_path):
    store = Store(tmp_path / "table.sqlite3")

    def broken(base: sqlite3.Connection) -> None:
        base.execute("INSERT INTO about VALUES ('half', 'done')")
        raise ValueError("halfway")

    futures = [store.submit(lambda base: base.execute("SELECT 1").fetchone()), store.submit(broken)]
    kept = store.keep([note("s1", "tab", 1, "a", 1, "peach", 1.0)])
    assert kept.result()[0].new
    assert futures[0].result() == (1,)
    with pytest.raises(ValueError, match="halfway"):
        futures[1].result()
    assert store.about("half") is None
    store.close()


def test_events_come_back_as_they_were_kept(tmp_path):
    store = Store(tmp_path / "table.sqlite3")
    event = note("s1", "tab", 1, "a", 1, "péché · 桃 · \N{PEACH}", 1.25)
    store.keep([event]).result()
    assert [asdict(e) for e in store.events()] == [asdict(event)]
    store.close()
