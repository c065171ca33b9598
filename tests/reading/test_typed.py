"""Typed notes that nobody could read in two ways."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from reading_checks import denied, levels, lexicon, note, present, short

from tastevocab.reading.language.items import STEP_OF_LEVEL
from tastevocab.reading.language.typed import judge_note
from tastevocab.reading.read import read_text, read_turns
from tastevocab.reading.records import Reading, Turn
from tastevocab.reading.words.lexicon import open_lexicon
from tastevocab.reading.words.utterance import Utterance


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Blackberry, cocoa", ["blackberry", "dark_choc"]),
        ("plum", ["plums"]),
        ("Jasmine and apricot.", ["jasmine", "apricot"]),
        ("lots of rose", ["rose"]),
        ("strawbery", ["strawberry"]),
        ("blackbery and hazlenut", ["blackberry", "hazelnut"]),
    ],
)
def test_what_is_listed_is_found(text: str, found: list[str]) -> None:
    reading = note(text)
    assert present(reading) == found
    assert denied(reading) == []


@pytest.mark.parametrize(
    ("text", "gone"),
    [
        ("no fruit", "reach/fruity"),
        ("not lemon", "lemon"),
        ("no plum", "plums"),
        ("absolutely no lemon", "lemon"),
    ],
)
def test_what_is_denied_is_denied(text: str, gone: str) -> None:
    reading = note(text)
    assert (present(reading), denied(reading)) == ([], [gone])


@pytest.mark.parametrize(
    ("text", "level"),
    [
        ("not sweet", {"sweetness": "none"}),
        ("slightly sour", {"acidity": "low"}),
        ("high acidity", {"acidity": "high"}),
        ("very bitter", {"bitterness": "high"}),
        ("thin body, long finish", {"body": "low", "finish": "high"}),
    ],
)
def test_qualities_and_their_levels(text: str, level: dict[str, str]) -> None:
    reading = note(text)
    assert levels(reading) == level
    assert present(reading) == []


@pytest.mark.parametrize("text", ["would be good with milk", "It would be good with milk."])
def test_a_wish_is_set_aside(text: str) -> None:
    reading = note(text)
    assert (present(reading), denied(reading)) == ([], [])
    assert [short(s.descriptor) for s in reading.set_aside] == ["reach/creamy_flavour"]


def test_a_misspelt_name_says_how_it_was_known() -> None:
    (found,) = note("grapefriut").findings
    assert short(found.descriptor) == "grapefruit_kin"
    assert found.via in ("spelling", "sound")
    assert found.match < 1
    assert found.spot.words == "grapefriut"


@pytest.mark.parametrize("text", ["maybe plum", "plum?", "perhaps plum"])
def test_a_doubt_is_hedged(text: str) -> None:
    (found,) = note(text).findings
    assert found.hedged
    assert found.certainty == 0.5


def test_a_question_mark_doubts_the_name_before_it_alone() -> None:
    found = {short(f.descriptor): f.hedged for f in note("walnut, tobacco?, fig").findings}
    assert [name for name, hedged in found.items() if hedged] == ["leaf_hide"]


@pytest.mark.parametrize(
    ("text", "degree"),
    [("plum++", "strong"), ("loads of plum", "strong"), ("a hint of plum", "weak")],
)
def test_a_degree_has_its_number(text: str, degree: str) -> None:
    (found,) = note(text).findings
    assert found.degree == degree
    assert found.strength == lexicon().strength[degree]


def _cell(text: str, topic: str) -> Reading:
    return read_turns([Turn(text, "sheet.md", kind="cell", topic=topic)], lexicon())


@pytest.mark.parametrize(
    ("text", "level", "step"),
    [
        ("4", "high", 4.0),
        ("3/5", "medium", 3.0),
        ("1", "low", 1.0),
        ("0", "none", 1.0),
        ("low", "low", 2.0),
        ("4.", "high", 4.0),
    ],
)
def test_a_cell_under_an_attribute_is_its_level(text: str, level: str, step: float) -> None:
    (found,) = _cell(text, "acidity").attributes
    assert (found.attribute, found.level, found.step) == ("acidity", level, step)


@pytest.mark.parametrize("text", ["17", "-", "1e9", "3.5.1", "½", "4²", "²"])
def test_a_cell_that_is_no_level_is_none(text: str) -> None:
    assert _cell(text, "acidity").attributes == ()


def test_headings_and_their_scene_reach_the_notes_below() -> None:
    turns = [
        Turn("Espresso, hot", "s.md", kind="heading"), Turn("plum", "s.md", kind="note"),
        Turn("Verdict", "s.md", kind="heading"), Turn("rose", "s.md", kind="note"),
    ]  # fmt: skip
    found = read_turns(turns, lexicon()).findings
    assert [(f.spot.brew, f.spot.moment) for f in found] == [("espresso", "hot"), ("espresso", None)]


def test_what_the_row_says_itself_comes_first() -> None:
    turns = [
        Turn("Espresso, hot", "s.md", kind="heading"),
        Turn("plum", "s.md", kind="cell", moment="cool", brew="filter", coffee="b", speaker="Ana"),
    ]
    (found,) = read_turns(turns, lexicon()).findings
    spot = found.spot
    assert (spot.brew, spot.moment, spot.coffee, spot.speaker) == ("filter", "cool", "b", "Ana")


def test_the_head_of_a_sheet_is_never_tasted() -> None:
    reading = read_turns([Turn("Coffee: Plum Hill, rose natural", "s.md", kind="note", topic="header")], lexicon())
    assert reading == replace(read_turns([], lexicon()), said=reading.said)


def test_what_is_judged_stays_in_its_note() -> None:
    u = Utterance("Loads of plum, no rose, slightly sour", lexicon())
    for j in judge_note(u, None, {}):
        assert 0 <= j.start < j.end <= len(u.words)
        assert 0 <= j.sure <= 1
        assert not j.level or j.level in STEP_OF_LEVEL


def test_words_the_house_ignores_are_neither_found_nor_unknown(tmp_path: Path) -> None:
    house = tmp_path / "house.yaml"
    house.write_text("ignore: [peach, glimmerfruit]\n", encoding="utf-8")
    reading = read_text("peach, plum, glimmerfruit", open_lexicon(house=house))
    assert {f.spot.words for f in reading.findings} == {"plum"}
    assert reading.unresolved == ()


@pytest.mark.parametrize(
    ("text", "level"),
    [
        ("Full flavour, bright kick of lime", None),
        ("fuller flavour, and hazelnut", None),
        ("full body, lime", "high"),
        ("full and heavy, lime", "high"),
        ("light red fruits, cake", None),
        ("Light, red fruits", "low"),
    ],
)
def test_full_and_light_are_of_the_body_where_no_flavour_follows(text: str, level: str | None) -> None:
    assert levels(note(text)).get("body") == level


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Finish date Tuesday, peach and lime", ["peach", "lime"]),
        ("Best before date March: honey", ["honeys"]),
        ("Save the date for the party, plum", ["plums"]),
        ("date and fig", ["date", "reach/fig"]),
        ("sticky date", ["date"]),
        ("a date, maybe", ["date"]),
        ("roasted date, plum", ["date", "plums"]),
    ],
)
def test_a_date_of_the_calendar_is_no_fruit(text: str, found: list[str]) -> None:
    assert present(note(text)) == found
