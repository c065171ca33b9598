"""Sheets for every brew and for those who are to taste it; codes that no two sessions share; feedback by attendance."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest

from tastevocab.errors import InputError
from tastevocab.panel.attendance import Seat
from tastevocab.panel.designs import Design
from tastevocab.panel.feedback import feedback
from tastevocab.panel.gather import settle
from tastevocab.panel.pouring import pouring, seed_of
from tastevocab.panel.session import Source
from tastevocab.panel.sheets import key_csv, sheets
from tastevocab.reading.records import Reading


@pytest.fixture
def uneven(session):
    """Rio Claro is for three, the shot for two of them and tao."""
    coffees = {**session.coffees, "rio_claro": replace(session.coffees["rio_claro"], tasters=("mira", "otto", "sven"))}
    brews = {**session.brews, "shot": replace(session.brews["shot"], tasters=("mira", "otto", "tao"))}
    return replace(session, coffees=coffees, brews=brews)


def test_everyone_gets_what_they_are_to_taste_in_every_brew(uneven) -> None:
    got = {(s.taster, s.brew): {sample.id for _, sample in s.order} for s in pouring(uneven).sittings}
    assert got == {
        **{(t, "cone"): {"vale", "rio_claro"} for t in ("mira", "otto", "sven")},
        **{(t, "cone"): {"vale"} for t in ("pilar", "tao")},
        **{(t, "shot"): {"vale", "rio_claro"} for t in ("mira", "otto")},
        ("tao", "shot"): {"vale"},
    }


def test_no_code_stands_for_two_things(uneven) -> None:
    made = pouring(uneven, Design(duplicate=True))
    rows = list(csv.DictReader(io.StringIO(key_csv(made))))
    assert len({row["code"] for row in rows}) == len(rows)
    assert {row["brew"] for row in rows} == {"cone", "shot"}
    titles = [page.title for page in sheets(made, ["hot", "cool"], {}, session="s")]
    assert titles[:4] == ["mira: cone, hot", "mira: cone, cool", "mira: shot, hot", "mira: shot, cool"]


def test_one_brew_on_request_and_an_unknown_one_refused(uneven) -> None:
    assert {s.brew for s in pouring(uneven, brews=["shot"]).sittings} == {"shot"}
    with pytest.raises(InputError, match="unknown brew 'siphon'"):
        pouring(uneven, brews=["siphon"])


def test_two_sessions_share_neither_codes_nor_orders(session) -> None:
    january, february = replace(session, date="2026-01-05"), replace(session, date="2026-02-05")
    assert pouring(january) == pouring(january)
    assert seed_of(january) != seed_of(february) != seed_of(replace(february, id="other"))
    first, second = pouring(january), pouring(february)
    pairs = [{(code, sample.id) for s in made.sittings for code, sample in s.order} for made in (first, second)]
    assert not pairs[0] & pairs[1]


def test_the_hidden_duplicate_moves_from_session_to_session(session) -> None:
    days = [pouring(replace(session, date=f"2026-01-{day:02}"), Design(duplicate=True)) for day in range(1, 15)]
    assert {next(s.of for s in made.samples if s.kind == "duplicate") for made in days} == {"vale", "rio_claro"}


def test_a_code_on_a_sheet_says_coffee_and_brew(session, table) -> None:
    opened = replace(session, codes={"417": "vale"}, code_brews={"417": "shot"})
    said = Reading((table.say("mira", "cola", coffee="417"),))
    spot = settle(opened, [(Source(source="sheet.csv"), said)]).findings[0].spot
    assert (spot.coffee, spot.brew) == ("vale", "shot")


def test_nobody_is_said_to_miss_what_they_were_not_served(session, table, tools) -> None:
    said = tuple(table.say(who, "blackberry", brew="cone") for who in ("mira", "otto", "sven"))
    gathered = settle(session, [(Source(source="t.vtt", coffee="vale"), Reading(said))])
    there = replace(gathered, present={Seat("vale", "cone", None): frozenset({"mira", "otto", "sven", "tao"})})
    assert feedback("tao", there, tools.spans).missed
    assert feedback("pilar", there, tools.spans).missed == ()
