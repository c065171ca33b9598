"""What is in hand while people talk: coffee, brew and moment from turn to turn, and a table's names for them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest
from heard_checks import heard
from reading_checks import lexicon

from tastevocab.reading.hand.scene import Scenes, Shares
from tastevocab.reading.hand.situation import (
    Known,
    Situation,
    brew_of,
    follow,
    known_of,
)
from tastevocab.reading.hearing.windows import BREWS, MOMENTS
from tastevocab.reading.records import Poured, Table
from tastevocab.reading.words.utterance import Utterance

TABLE = Table(
    tasters=("Ana Lima", "Ben"),
    coffees=(Poured("alto", ("Alto Verde",)), Poured("plum_hill", ("Plum Hill natural",)), Poured("b", ("B",))),
    brews=(("v60", "V60, paper filter"), ("shot", "espresso")),
)
KNOWN = known_of(TABLE, lexicon())
FILTER, ESPRESSO = BREWS.index("filter"), BREWS.index("espresso")
SCENES = Scenes.opened()
UNSURE = {"coffee": dict.fromkeys(range(3), 0.3), "moment": dict.fromkeys(range(1, len(MOMENTS)), 0.2)}


def said(text: str) -> Utterance:
    return Utterance(text, lexicon())


def followed(
    *texts: str, known: Known = KNOWN, scene: Mapping[str, Mapping[int, float]] | None = None
) -> list[Situation]:
    us = [said(t) for t in texts]
    return follow(us, [heard(u, scene=scene or UNSURE) for u in us], [None] * len(us), known, SCENES)


def coffees(*texts: str, known: Known = KNOWN) -> list[str]:
    return [known.coffees[s.coffee] for s in followed(*texts, known=known)]


def test_a_table_is_known_by_its_names() -> None:
    assert KNOWN.coffees == ("alto", "plum_hill", "b")
    assert KNOWN.people == {"ana lima", "ana", "lima", "ben"}
    assert ("alto", "verde") in KNOWN.names[0]
    assert ("verde",) in KNOWN.names[0]  # a word that no other coffee has
    assert KNOWN.brews == (FILTER, ESPRESSO)
    assert KNOWN.cards == {FILTER: "v60", ESPRESSO: "shot"}


def test_nothing_is_known_without_a_table() -> None:
    assert known_of(None, lexicon()) == Known()


@pytest.mark.parametrize(
    ("method", "brew"),
    [("espresso", "espresso"), ("V60, paper filter", "filter"), ("French press", "press"), ("cupping", "cupping"),
     ("cold brew", "cold"), ("cold", "cold"), ("the green room", "")],
)  # fmt: skip
def test_the_words_of_a_method(method: str, brew: str) -> None:
    assert BREWS[brew_of(method, lexicon())] == brew


def test_a_coffee_named_is_in_hand_until_another_is() -> None:
    talk = (
        "Alto Verde.",
        "I get rose.",
        "mm.",
        "now the Plum Hill.",
        "I get cocoa.",
        "back to the Alto Verde.",
    )
    assert coffees(*talk) == ["alto", "alto", "alto", "plum_hill", "plum_hill", "alto"]


def test_what_is_tasted_after_a_coffee_was_counted_to_is_of_it() -> None:
    found = coffees(
        "number one. pouring.", "I get rose.", "lemon too.",
        "number two.", "I get cocoa.", "yeah, cocoa.",
        "number three.", "I get plum.",
    )  # fmt: skip
    assert [found[at] for at in (1, 2, 4, 5, 7)] == ["alto", "alto", "plum_hill", "plum_hill", "b"]


def test_without_a_table_no_coffee_is_in_hand() -> None:
    assert [s.coffee for s in followed("this is the Alto Verde", known=Known())] == [-1]


def test_what_the_encoder_hears_decides_where_nothing_is_named() -> None:
    scene = {"coffee": {2: 0.97}, "brew": {ESPRESSO: 0.97}}
    for made in followed("right then", "yes", scene=scene):
        assert (made.coffee, BREWS[made.brew]) == (2, "espresso")


def test_a_moment_is_in_hand_once_somebody_has_spoken_of_one() -> None:
    scene = {"moment": {MOMENTS.index("cool"): 0.97}}
    assert [MOMENTS[s.moment] for s in followed("right then", "yes", scene=scene)] == ["", ""]
    assert [MOMENTS[s.moment] for s in followed("it has cooled now", "yes", scene=scene)] == ["cool", "cool"]


def test_brews_and_moments_named_in_talk() -> None:
    first, second = followed("Espresso. Hot.", "and plum")
    assert (BREWS[first.brew], MOMENTS[first.moment]) == ("espresso", "hot")
    assert (second.brew, second.moment) == (first.brew, first.moment)


def test_a_moment_nobody_spoke_of_is_not_in_hand() -> None:
    assert [s.moment for s in followed("plum")] == [0]
    assert [s.moment for s in followed("while it is hot: plum")] == [MOMENTS.index("hot")]


def test_only_the_brews_of_the_table_are_in_question() -> None:
    assert {s.brew for s in followed("the press now", "plum", "moka next")} <= set(KNOWN.brews)


def test_an_empty_recording_and_empty_turns() -> None:
    assert followed() == []
    assert coffees("Alto Verde.", "", "") == ["alto"] * 3


def test_each_part_of_a_turn_is_of_the_coffee_named_before_it() -> None:
    (made,) = followed("The Alto Verde: jasmine. Plum Hill natural: cocoa.")
    assert [made.at(word).coffee for word in (0, 3, 7)] == [0, 0, 1]
    (compared,) = followed("brighter than the Alto Verde, is the Plum Hill")
    assert compared.heads == ()


def shares(*rows: tuple[float, float]) -> Shares:
    grid = np.array(rows, np.float32)
    return Shares(grid, np.ones((len(rows), 2), np.float32), np.ones((len(rows), 5), np.float32))


class Told:
    """Stands in for the network: gives what it was given."""

    def __init__(self, *rows: tuple[float, float]) -> None:
        self.given = shares(*rows)

    def shares(self, clues: object, brews: object) -> Shares:
        return self.given


def others(texts: list[str], *rows: tuple[float, float]) -> list[int]:
    us = [said(t) for t in texts]
    known = replace(KNOWN, coffees=KNOWN.coffees[:2], names=KNOWN.names[:2])
    made = follow(us, [heard(u) for u in us], [None] * len(us), known, Told(*rows))
    return [s.other for s in made]


def test_a_coffee_is_asked_about_where_the_talk_speaks_against_it() -> None:
    assert others(["the Plum Hill", "rose"], (0.7, 0.3), (0.7, 0.3)) == [1, 1]
    assert others(["the Plum Hill", "rose"], (0.95, 0.05), (0.2, 0.8)) == [-1, -1]
    assert others(["the Alto Verde", "and the other one", "rose"], (0.9, 0.1), (0.7, 0.3), (0.7, 0.3)) == [-1, 1, 1]
    assert others(["rose"], (0.49, 0.45)) == [1]
    assert others(["brighter than the Plum Hill"], (0.7, 0.3)) == [-1]
