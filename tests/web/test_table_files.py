"""The files a table ends as: what was typed comes back as it was; marks, scales and codes as they were said."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from table_toys import write_session

from tastevocab.panel.session import read_session
from tastevocab.reading.intake.files import stream_turns
from tastevocab.reading.read import read_file
from tastevocab.reading.words.lexicon import open_lexicon
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.web.body import text_of
from tastevocab.web.guard import Refused
from tastevocab.web.table import files
from tastevocab.web.table.setting import Wanted, from_json, set_table, to_json
from tastevocab.web.table.state import add, total
from tastevocab.web.table.store import Event


def setting_of(folder: Path, **wanted):
    path = write_session(folder)
    attributes = open_vocabulary().attributes
    return read_session(path), set_table(read_session(path), path.read_text("utf-8"), attributes, Wanted(**wanted))


@pytest.fixture(scope="module")
def toy(tmp_path_factory):
    return setting_of(tmp_path_factory.mktemp("files"))


def taken(seat: str) -> Event:
    return Event(seat, "boot", int(seat[1:]), "taken", {"name": ""}, 0.0, 0.0)


def typed(setting, seat: str, number: int, text: str, **more) -> Event:
    code = setting.seat(seat).codes[0]
    body = {"note": f"n{number}", "code": code, "brew": "filter", "moment": "hot", "bowl": 0, "text": text, "rev": 1}
    return Event(seat, "phone", number, "note", {**body, **more}, float(number), float(number))


texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=60)


@given(texts)
def test_whatever_is_typed_comes_back_from_the_table_of_notes(toy, tmp_path_factory, given):
    """Through the check of what is sent, the CSV, and the reader of tables; a blank before what a spreadsheet runs."""
    _, setting = toy
    text = text_of({"text": given}, "text", 2000)
    state = total([taken("s1"), typed(setting, "s1", 1, text)])
    data = files.table_csv(files.rows(setting, state, late=False), ())
    path = tmp_path_factory.getbasetemp() / "roundtrip.csv"
    path.write_bytes(data)
    turns = [t.text for t in stream_turns(path)]
    assert turns == ([files.unrun(text)] if text else [])
    assert not any(
        cell.startswith(("=", "+", "-", "@")) for row in csv.reader(io.StringIO(data.decode())) for cell in row
    )


@given(texts)
def test_text_is_taken_without_what_no_file_carries(given):
    taken = text_of({"text": given}, "text", 2000)
    assert not set(taken) & {chr(c) for c in (*range(9), *range(11, 32), *range(127, 160))}
    assert taken.strip() == taken


@pytest.mark.parametrize("value", [1, None, ["x"], {"a": 1}, True, "x" * 2001, "\ud800"])
def test_what_is_no_text_is_refused(value):
    with pytest.raises(Refused):
        text_of({"text": value}, "text", 2000)


@pytest.mark.parametrize("step", range(1, 6))
def test_a_scale_marked_is_read_as_that_step(toy, tmp_path, step):
    """All five words of every attribute on the page, through the table of notes and its reader."""
    _, setting = toy
    state = total([taken("s1")])
    for n, scale in enumerate(setting.scales, 1):
        body = {"code": setting.seat("s1").codes[0], "brew": "filter", "moment": "warm", "scale": scale.id}
        add(state, Event("s1", "phone", n, "scale", {**body, "step": step, "rev": n}, 1.0, 1.0))
    path = tmp_path / "notes.csv"
    path.write_bytes(files.table_csv(files.rows(setting, state, late=False), tuple(s.id for s in setting.scales)))
    read = read_file(path, open_lexicon()).attributes
    attributes = open_vocabulary().attributes
    assert {(a.attribute, a.step, a.level) for a in read} == {
        (s.id, float(step), attributes[s.id].levels[step - 1]) for s in setting.scales
    }


def test_who_was_not_there_is_no_taster_and_who_found_nothing_is(toy):
    session, setting = toy
    code = setting.seat("s2").codes[0]
    close = Event("s2", "p", 1, "close", {"code": code, "brew": "filter", "closed": True, "rev": 1}, 1.0, 1.0)
    state = total([taken("s1"), taken("s2"), taken("s3"), typed(setting, "s1", 1, "peach"), close])
    made = files.session_files(session, setting, state)[files.SESSION].decode()
    assert "tasters:\n- mira\n- otto\n" in made
    assert "pilar" not in made


def test_who_closed_a_cup_without_a_word_is_counted_among_those_served(toy, tmp_path):
    """Who was there and named nothing found nothing; who never sat is in no denominator."""
    from tastevocab.panel.attendance import served
    from tastevocab.panel.gather import gather

    session, setting = toy
    code = {pour: c for c, pour in setting.sealed["s2"].items()}[setting.poured("s1", setting.seat("s1").codes[0])]
    close = Event("s2", "p", 1, "close", {"code": code, "brew": "filter", "closed": True, "rev": 1}, 1.0, 1.0)
    state = total([taken("s1"), taken("s2"), taken("s3"), typed(setting, "s1", 1, "peach"), close])
    for name, data in files.session_files(session, setting, state).items():
        (tmp_path / name).write_bytes(data)
    gathered = gather(read_session(tmp_path / files.SESSION), open_lexicon())
    coffee = setting.poured("s2", code)
    assert served(gathered.session, gathered.present, coffee, "filter") == ("mira", "otto")
    assert served(gathered.session, gathered.present, coffee, "filter", "hot") == ("mira", "otto")


def test_a_coffee_that_only_some_had_names_them(tmp_path):
    session, setting = setting_of(tmp_path, per_sitting=1)
    state = total([taken("s1"), taken("s2"), typed(setting, "s1", 1, "peach"), typed(setting, "s2", 2, "plum")])
    (tmp_path / "out").mkdir()
    for name, data in files.session_files(session, setting, state).items():
        (tmp_path / "out" / name).write_bytes(data)
    made = read_session(tmp_path / "out" / files.SESSION)
    had = {setting.poured(s, setting.seat(s).codes[0]): {"s1": "mira", "s2": "otto"}[s] for s in ("s1", "s2")}
    assert {c.id: c.tasters for c in made.coffees.values()} == {c: (who,) for c, who in had.items()}


def test_nobody_wrote_nothing_is_written(toy):
    session, setting = toy
    assert files.session_files(session, setting, total([taken("s1")])) == {}


def test_a_setting_is_kept_and_comes_back(tmp_path):
    _, setting = setting_of(tmp_path, guests=20, duplicate=True, control="house")
    assert from_json(to_json(setting)) == setting


def test_orders_and_codes_are_those_of_the_sheets(toy):
    """One design: no two tasters share a code, and each has every coffee once."""
    _, setting = toy
    codes = [code for seat in setting.seats for code in seat.codes]
    assert len(set(codes)) == len(codes)
    for seat in setting.seats:
        assert sorted(setting.sealed[seat.id].values()) == ["tarrasca", "velmora"]
        assert tuple(setting.sealed[seat.id]) == seat.codes


def test_guests_are_served_from_the_same_pots(tmp_path):
    """One code a coffee; orders stay balanced: with two coffees each is first for half of the guests."""
    _, setting = setting_of(tmp_path, guests=40)
    meanings = {(code, pour) for sealed in setting.sealed.values() for code, pour in sealed.items()}
    assert len(meanings) == 2
    first = [seat.codes[0] for seat in setting.seats if seat.kind == "guest"]
    assert max(first.count(code) for code in set(first)) - min(first.count(code) for code in set(first)) <= 1
