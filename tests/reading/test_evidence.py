"""Signs for and against a word being said of the cup: their points, and what they decide in talk."""

from __future__ import annotations

import pytest
from reading_checks import denied, lexicon, note, present, talk

from tastevocab.reading.language.evidence import signs
from tastevocab.reading.language.mention import Mention
from tastevocab.reading.language.utterance import Utterance


def names_of_signs() -> set[str]:
    u = Utterance("the finish is all plum", lexicon())
    return {sign for sign, _ in signs(u, Mention(4, 5, "orchard/plums"))}


def test_every_sign_has_points_and_every_point_a_sign() -> None:
    assert set(lexicon().evidence) == names_of_signs() | {"base", "least"}


@pytest.mark.parametrize(
    "said",
    [
        "Plum.",
        "I get plum.",
        "It's plum, all the way to the finish.",
        "A lot of plum in the middle.",
        "Maybe some plum as it cools.",
        "Plum and a bit of caramel.",
        "What I taste is plum.",
    ],
)
def test_what_is_said_of_the_cup_stays(said: str) -> None:
    assert "plums" in present(talk(f"Ana: {said}"))


@pytest.mark.parametrize(
    "said",
    [
        "My sister planted the plum you can see from the window.",
        "You were going to bring the plum you bought on Saturday.",
        "The plums on that poster are bigger than your head.",
        "She told the driver to leave the plums by the gate yesterday.",
        "Were those the plums that went on the tart he made last week?",
    ],
)
def test_what_is_said_of_the_world_goes(said: str) -> None:
    assert present(talk(f"Ana: {said}")) == []


def test_a_denial_is_never_taken_for_other_talk() -> None:
    assert denied(talk("Ana: There's no plum in the bowls you and she were looking at.")) == ["plums"]


def test_typed_notes_are_not_weighed() -> None:
    assert present(note("the plums you can see over there")) == ["plums"]


def test_a_tasting_word_never_speaks_against_the_cup() -> None:
    points = lexicon().evidence
    for sign in ("word of tasting", "frame before", "amount before", "doubt before", "is before", "place", "level"):
        assert points[sign] > 0, sign
    for sign in ("strange words", "strange words near", "question", "you before", "they after", "past before"):
        assert points[sign] < 0, sign
