"""Place in the sip, moment, brew, nose and mouth: said at once, or carried on from what was announced before."""

from __future__ import annotations

import pytest
from reading_checks import bug, expect, note, talk

PLACES = [
    ("rose up front", "rose front"),
    ("opens with rose", "rose front"),
    ("the start is rose", "rose front"),
    ("rose in the middle", "rose middle"),
    ("mid palate rose", "rose middle"),
    ("rose on the finish", "rose finish"),
    ("finishes with rose", "rose finish"),
    ("the finish is all rose", "rose finish"),
    ("aftertaste of plum", "plums finish"),
    ("aftertaste of rose", "rose finish"),
    ("back of the tongue, rose", "rose finish"),
    ("rose", "rose !front !middle !finish"),
]

MOMENTS = [
    ("Piping hot: rose.", "rose hot"),
    ("Lukewarm it's all rose.", "rose warm"),
    ("As it cools, rose.", "rose warm"),
    ("At room temperature, rose.", "rose cool"),
    ("Cold, it's rose.", "rose cool"),
    ("On the dry grounds, rose.", "rose dry"),
    ("Breaking the crust: rose.", "rose aroma"),
    ("Rose.", "rose !hot !warm !cool !dry !aroma"),
    bug("'dry' that opens a sentence is astringency", "Dry, it's rose.", "rose dry"),
]

BREWS = [
    ("Espresso: rose.", "rose espresso"),
    ("The french press: rose.", "rose immersion"),
    ("The pour over gives rose.", "rose filter"),
    ("Cupping bowl: rose.", "rose cupping"),
    ("Rose.", "rose !espresso !filter"),
    ("Cold brew: rose.", "rose cold_brew !cool"),
]

NOSES = [
    ("smells of plum, tastes of fig", ["plums nose", "reach/fig !nose"]),
    ("on the nose, plum; in the mouth, fig", ["plums nose", "reach/fig !nose"]),
    ("the nose is plum, the sip is fig", ["plums nose", "reach/fig !nose"]),
    ("plum on the nose, fig in the mouth", ["plums nose", "reach/fig !nose"]),
    ("smells of rose", ["rose nose"]),
]  # fmt: skip


@pytest.mark.parametrize(("said", "expected"), [*PLACES, *MOMENTS, *BREWS])
def test_one_flavour_and_where_it_was(said: str, expected: str) -> None:
    expect(note(said), expected)


@pytest.mark.parametrize(("said", "expected"), NOSES)
def test_nose_and_mouth(said: str, expected: list[str]) -> None:
    expect(note(said), *expected)


def test_three_places_in_one_sip() -> None:
    expect(note("rose at the start, plum in the mid palate, liquorice on the finish"),
           "rose front", "plums middle", "liquorice_root finish")  # fmt: skip


def test_opens_and_closes() -> None:
    expect(note("opens with rose, closes with malt"), "rose front", "malt finish")


def test_later_turns_inherit_the_moment() -> None:
    expect(
        talk("Ana: First sip now, hot. Plum.", "Ben: I get fig.", "Ana: It's cooled down. Raspberry.", "Ben: Date."),
        "plums hot Ana", "reach/fig hot Ben", "raspberry cool Ana", "date cool Ben",
    )  # fmt: skip


def test_later_turns_inherit_the_brew_and_a_new_brew_ends_the_moment() -> None:
    expect(
        talk("Ana: Right, the french press. Cold now.", "Ben: Cocoa.", "Ana: Now the espresso.", "Ben: Toffee."),
        "dark_choc immersion cool", "toffee espresso !cool !immersion",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("Hot, plum. Cold, plum.", ["plums hot", "plums cool"]),
        ("In the filter, plum. In the espresso, plum.", ["plums filter", "plums espresso"]),
    ],
)
def test_the_same_flavour_at_two_moments_is_two_findings(said: str, expected: list[str]) -> None:
    expect(talk(f"Ana: {said}"), *expected)


def test_coming_back_to_a_flavour_is_no_place() -> None:
    expect(talk("Ana: I keep coming back to plum."), "plums !finish")


def test_smelling_says_nose_and_not_dry_grounds() -> None:
    expect(note("it smells of plum"), "plums nose !dry")


def test_rows_of_a_table_inherit_nothing() -> None:
    from reading_checks import lexicon

    from tastevocab.reading.read import read_turns
    from tastevocab.reading.records import Turn

    rows = [Turn("As it cools, rose.", "n.csv", note="1", kind="note"), Turn("plum", "n.csv", note="2", kind="note")]
    expect(read_turns(rows, lexicon(), isolated=True), "rose warm", "plums !warm")


def test_a_column_wins_over_the_running_scene() -> None:
    from reading_checks import lexicon

    from tastevocab.reading.read import read_turns
    from tastevocab.reading.records import Turn

    turns = [
        Turn("Hot now. Rose.", "t", speaker="Ana"),
        Turn("plum", "t", speaker="Ben", moment="cool", brew="espresso"),
    ]
    expect(read_turns(turns, lexicon()), "rose hot", "plums cool espresso")


def test_a_heading_moves_the_scene_on() -> None:
    from reading_checks import lexicon

    from tastevocab.reading.read import read_turns
    from tastevocab.reading.records import Turn

    turns = [
        Turn("Filter, hot", "t", kind="heading"), Turn("rose", "t", speaker="Ana"),
        Turn("Espresso", "t", kind="heading"), Turn("plum", "t", speaker="Ana"),
    ]  # fmt: skip
    expect(read_turns(turns, lexicon()), "rose filter hot", "plums espresso !hot")


def test_a_brew_that_is_only_wished_for_changes_nothing() -> None:
    expect(talk("Ana: Now the filter. Rose.", "Ben: I'd love it as an espresso.", "Ana: Cedar."),
           "rose filter", "cedar filter !espresso")  # fmt: skip


def test_milk_that_names_the_drink_is_no_finding() -> None:
    expect(talk("Ana: Now with milk.", "Ben: Hazelnut."), "recipe:reach/creamy_flavour", "hazelnut milk")


def test_a_comparison_with_another_brew_leaves_this_cup_s_flavour() -> None:
    expect(talk("Ana: Unlike the espresso, this has jasmine."), "jasmine !espresso")
