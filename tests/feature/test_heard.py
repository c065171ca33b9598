"""Brew facts heard in talk: offered with their words, weighed against the card, never taken."""

from __future__ import annotations

import pytest

from tastevocab.feature.brew_card import brew_card
from tastevocab.feature.heard import facts_heard, weighed
from tastevocab.feature.hearing import heard_in
from tastevocab.feature.house_style import TOLERANCE
from tastevocab.panel.session import BrewCard, Session, Source
from tastevocab.reading.records import Turn

BREWS = {"filter": "filter", "espresso": "espresso"}


def heard(*lines):
    turns = [Turn(text, "t.vtt", times=((0, 10.0 * i),), speaker="ana") for i, text in enumerate(lines)]
    return facts_heard(turns, BREWS)


@pytest.mark.parametrize(
    ("said", "facts"),
    [
        ("Filter. Sixteen grams in, two fifty out.", [("dose_g", 16), ("water_g", 250)]),
        ("Espresso: eighteen and a half grams in, forty out", [("dose_g", 18.5), ("yield_g", 40)]),
        ("Filter at ninety-three degrees", [("temperature_c", 93)]),
        ("Filter, two hundred degrees fahrenheit", [("temperature_c", 93.3)]),
        ("Filter, that was two minutes fifty", [("time_s", 170)]),
        ("Filter, three minutes and ten seconds", [("time_s", 190)]),
        ("Espresso, nine bars, twenty-eight seconds", [("pressure_bar", 9), ("time_s", 28)]),
        ("Filter. A ratio of one to sixteen", [("ratio", 16)]),
        ("Filter with 250 grams of water", [("water_g", 250)]),
        ("and a hundred grams of bypass", [("bypass_g", 100)]),
        ("Espresso, eighteen in, forty out", [("dose_g", 18), ("yield_g", 40)]),
        # No brew facts: waiting, people, spoons.
        ("Give it ten minutes. There are five of us, two spoons each", []),
        ("wait four minutes, then break", []),
        ("that is two of five, four out of five", []),
        ("one in five of us, and ten in the room", []),
    ],
)
def test_facts(said, facts):
    assert [(f.key, f.value) for f in heard(said)] == facts


def test_words_time_speaker_and_brew_are_kept():
    [_, fact] = heard("Filter first.", "Fifteen grams in, two fifty out.")
    assert (fact.words, fact.at, fact.speaker, fact.brew) == ("two fifty out", 10.0, "ana", "filter")


def test_a_brew_of_two_words_is_announced_by_both():
    names = {"filter": "filter", "french press": "press"}
    talk = [Turn("Filter. Fifteen grams in.", "t.vtt"), Turn("Now the French press, thirty grams in.", "t.vtt")]
    assert [f.brew for f in facts_heard(talk, names)] == ["filter", "press"]


def test_before_any_announcement_it_is_the_only_brew():
    [fact] = facts_heard([Turn("Fifteen grams in.", "t.vtt")], {"filter": "house"}, "house")
    assert (fact.brew, fact.value) == ("house", 15)


def test_against_the_card_and_against_each_other():
    card = brew_card(BrewCard("filter", "filter", {"dose_g": 15, "temperature_c": 93}), TOLERANCE)
    facts = weighed(
        heard("Filter, fifteen grams in, ninety-four degrees, two fifty out", "Filter, two sixty out"),
        {"filter": card},
        TOLERANCE,
    )
    assert [(f.key, f.contradicts) for f in facts] == [
        ("dose_g", False),
        ("temperature_c", True),
        ("water_g", False),
        ("water_g", True),
    ]
    assert facts[1].verdict == "the card says 93"
    assert facts[3].verdict == "said before as 250"
    assert card.facts == {"dose_g": 15, "temperature_c": 93}


def test_a_part_of_a_recording_is_heard_alone(tmp_path):
    (tmp_path / "a.vtt").write_text(
        "WEBVTT\n\n00:01.000 --> 00:02.000\n<v Mira>First.\n\n00:09.000 --> 00:10.000\n<v Mira>Second.\n", "utf-8"
    )
    parts = (Source("a.vtt", coffee="one", until=5.0), Source("a.vtt", coffee="two", since=5.0))
    turns = heard_in(Session("s", "s.yaml", tmp_path, tasters=("mira",), sources=parts))
    assert [(t.text, t.coffee) for t in turns] == [("First.", "one"), ("Second.", "two")]
    assert [t.file_position(0) for t in turns] == [40, 80]


def test_demo_offers_facts_and_claims(demo):
    notes = demo.notes
    assert [(f.brew, f.key) for f in notes.heard_facts if f.contradicts] == [("filter", "temperature_c")]
    assert {c.claim for c in notes.heard_claims} == {"red cherry", "toffee", "mandarin", "hazelnut", "jasmine"}
    assert all(c.listed for c in notes.heard_claims)
    assert notes.cards[0].facts["temperature_c"] == 93
