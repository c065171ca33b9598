"""What is in hand while people talk: coffee, brew and moment from turn to turn, and a table's names for them."""

from __future__ import annotations

import pytest
from heard_checks import heard
from reading_checks import lexicon

from tastevocab.reading.language.situation import (
    Known,
    Situation,
    brew_candidates,
    brew_of,
    coffee_candidates,
    follow,
    known_of,
    moment_candidates,
)
from tastevocab.reading.language.utterance import Utterance
from tastevocab.reading.language.windows import BREWS, MOMENTS
from tastevocab.reading.records import Poured, Table

TABLE = Table(
    tasters=("Ana Lima", "Ben"),
    coffees=(Poured("alto", ("Alto Verde",)), Poured("plum_hill", ("Plum Hill natural",)), Poured("b", ("B",))),
    brews=(("v60", "V60, paper filter"), ("shot", "espresso")),
)
KNOWN = known_of(TABLE, lexicon())
FILTER, ESPRESSO = BREWS.index("filter"), BREWS.index("espresso")
NAMED = {"named": 5.0, "by the encoder": 0.1, "in hand before": 1.0}
WEIGHTS = {"coffee": NAMED, "brew": NAMED, "moment": NAMED}


def said(text: str) -> Utterance:
    return Utterance(text, lexicon())


START = Situation()


def after(text: str, before: Situation = START, known: Known = KNOWN) -> Situation:
    u = said(text)
    return follow(u, heard(u), before, known, WEIGHTS)


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
     ("cold brew", "cold"), ("the green room", "")],
)  # fmt: skip
def test_the_words_of_a_method(method: str, brew: str) -> None:
    assert BREWS[brew_of(method, lexicon())] == brew


def test_a_coffee_named_is_in_hand_and_stays_until_another_is() -> None:
    first = after("this is the Alto Verde")
    assert (first.coffee, first.seen) == (0, 1)
    still = after("I get rose", first)
    assert still.coffee == 0
    later = after("now the Plum Hill", still)
    assert (later.coffee, later.seen) == (1, 2)
    assert after("back to the Alto Verde", later).seen == 2


def test_without_a_table_no_coffee_is_in_hand() -> None:
    assert after("this is the Alto Verde", known=Known()).coffee == -1


def test_what_the_encoder_hears_decides_where_nothing_is_named() -> None:
    u = said("right then")
    h = heard(u, scene={"coffee": {2: 0.9}, "brew": {ESPRESSO: 0.9}, "moment": {MOMENTS.index("cool"): 0.9}})
    hears = {"by the encoder": 2.0}
    made = follow(u, h, Situation(), KNOWN, {**WEIGHTS, "moment": hears})
    assert (made.coffee, BREWS[made.brew], MOMENTS[made.moment]) == (2, "espresso", "cool")


def test_brews_and_moments_named_in_talk() -> None:
    made = after("as espresso, while it is hot")
    assert (BREWS[made.brew], MOMENTS[made.moment]) == ("espresso", "hot")
    kept = after("and plum", made)
    assert (kept.brew, kept.moment) == (made.brew, made.moment)


def test_only_the_brews_of_the_table_are_in_question() -> None:
    u = said("plum")
    assert set(brew_candidates(u, heard(u), Situation(), KNOWN.brews)) == {FILTER, ESPRESSO}


def test_features_of_coffees() -> None:
    u = said("unlike the Alto Verde this has rose")
    made = coffee_candidates(u, heard(u), Situation(coffee=1, seen=2), KNOWN)
    assert made[0]["named"] == 1
    assert made[1]["in hand before"] == 1
    assert made[1]["other coffees named"] == 1
    assert made[2]["next in order"] == 1
    opening = said("next one")
    assert coffee_candidates(opening, heard(opening), Situation(seen=1), KNOWN)[1]["next in order, turned to"] == 1


def test_a_letter_names_a_coffee_only_in_capitals() -> None:
    for text, named in (("cup B then", 1.0), ("cup b then", 0.0)):
        u = said(text)
        assert coffee_candidates(u, heard(u), Situation(), KNOWN)[2]["named"] == named


def test_features_of_moments() -> None:
    u = said("plum")
    made = moment_candidates(u, heard(u), Situation(moment=MOMENTS.index("warm")))
    assert set(made) == set(range(1, len(MOMENTS)))
    assert [MOMENTS[m] for m in made if made[m]["colder than before"]] == ["cool"]
    assert [MOMENTS[m] for m in made if made[m]["warmer than before"]] == ["hot"]


def test_an_empty_turn_leaves_all_in_hand() -> None:
    before = Situation(coffee=1, brew=FILTER, moment=MOMENTS.index("hot"), seen=2)
    assert after("", before) == before
