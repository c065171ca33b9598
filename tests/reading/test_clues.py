"""What turns give away of what is in hand: names, counting, and the words beside them."""

from __future__ import annotations

import numpy as np
from heard_checks import heard
from hypothesis import given
from hypothesis import strategies as st
from reading_checks import lexicon
from trials import trials

from tastevocab.reading.hand.clues import BUCKETS, COFFEE, NAMED, Clues, clues_of, names_said, spoken_figure
from tastevocab.reading.hearing.windows import BREWS, MOMENTS
from tastevocab.reading.words.utterance import Utterance

NAMES = ((("alto", "verde"), ("verde",)), (("b",),))
BREWED = (BREWS.index("filter"), BREWS.index("cold"))


def clues(*texts: str) -> Clues:
    us = [Utterance(t, lexicon()) for t in texts]
    return clues_of(us, [heard(u) for u in us], ["Ana"] * len(us), NAMES, BREWED)


def named(made: Clues, coffee: int, turn: int = 0) -> dict[str, float]:
    return dict(zip(COFFEE, made.coffees[turn, coffee], strict=True))


def test_a_coffee_by_its_name_and_by_counting() -> None:
    made = clues("now the Alto Verde, please, everybody, all of you", "number two")
    first = named(made, 0)
    assert (first["named"], first["at the start"], first["at the end"], first["in a short turn"]) == (1, 1, 0, 0)
    assert named(made, 1)["others named"] == 1
    second = named(made, 1, 1)
    assert (second["named"], second["counted: named"], second["counted: in a short turn"]) == (0, 1, 1)


def test_a_name_that_opens_a_sentence() -> None:
    assert named(clues("Plum there. Verde here."), 0)["opens a sentence"] == 1
    assert named(clues("plum in the Verde"), 0)["opens a sentence"] == 0


def test_a_letter_names_a_coffee_only_in_capitals() -> None:
    for text, found in (("cup B then", [(1, 2)]), ("cup b then", [])):
        assert list(names_said(Utterance(text, lexicon()), NAMES[1])) == found


def test_words_beside_a_name_tell_names_apart() -> None:
    made = clues("unlike the Verde", "back to Verde", "no name at all")
    buckets = [frozenset(row[0]) for row in made.beside_coffees]
    assert buckets[0] != buckets[1]
    assert buckets[2] == {BUCKETS}


def test_a_brew_no_talk_was_learnt_with_is_told_by_its_words_alone() -> None:
    made = clues("filter")
    assert made.brews[0, :, 2].tolist() == [0, 1]
    assert made.brews[0, 1, :2].tolist() == [0, 0]


def test_figures_as_they_are_spoken() -> None:
    assert list(spoken_figure("2")) == ["two"]
    assert list(spoken_figure("9")) == []


@trials(25)
@given(st.lists(st.text("ab V.1two ", max_size=30), max_size=5))
def test_a_row_a_turn_whatever_is_said(texts: list[str]) -> None:
    made = clues(*texts)
    assert made.shared.shape[0] == made.words.shape[0] == len(texts)
    assert made.coffees.shape == (len(texts), 2, len(COFFEE))
    assert made.moments.shape == (len(texts), (len(NAMED) + 1) * (len(MOMENTS) - 1))
    assert made.words.max(initial=0) <= BUCKETS
    assert all(np.isfinite(grid).all() for grid in (made.shared, made.coffees, made.brews, made.moments))
