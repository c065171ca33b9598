"""Feedback for a taster: hidden duplicates, pet words beside the base rate, what only they find."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tastevocab.errors import InputError
from tastevocab.panel.feedback import CAUTION, feedback, feedback_lines
from tastevocab.panel.gather import Gathered
from tastevocab.panel.session import Coffee


@pytest.fixture
def evening(session, table):
    """Mira says mandarin of everything; the second pour of vale is vale_again."""
    coffees = {"vale": Coffee("vale"), "vale_again": Coffee("vale_again", duplicate_of="vale"), "rio": Coffee("rio")}
    said = [
        ("mira", "vale", ["mandarin", "jasmine", "plum_jam"]),
        ("mira", "vale_again", ["mandarin", "gardenia"]),
        ("mira", "rio", ["mandarin"]),
        ("otto", "vale", ["cocoa_powder"]),
        ("pilar", "vale", ["cocoa_powder"]),
        ("sven", "vale", ["dark_chocolate"]),
        ("otto", "vale_again", ["mandarin"]),
    ]
    found = [table.say(t, w, coffee=c) for t, c, words in said for w in words]
    return Gathered(replace(session, coffees=coffees), tuple(found))


def test_duplicates_overlap_more_at_family_level(evening, spans) -> None:
    (repeat,) = feedback("mira", evening, spans).repeats
    assert repeat.notes == pytest.approx(1 / 4)
    assert repeat.families == pytest.approx(2 / 3)
    (other,) = feedback("pilar", evening, spans).repeats
    assert other.notes is None


def test_pet_words_stand_beside_the_base_rate(evening, spans) -> None:
    (pet,) = feedback("mira", evening, spans).pets
    assert (pet.print, pet.coffees, pet.of, pet.others, pet.others_of) == ("mandarin", 3, 3, 1, 4)
    assert pet.chance == 1
    assert feedback("otto", evening, spans).pets == ()
    twice = feedback("otto", evening, spans, [evening]).pets
    assert [(p.print, p.coffees, p.of) for p in twice] == [("mandarin", 2, 4), ("cocoa powder", 2, 4)]


def test_what_only_they_find_and_the_reverse(evening, spans) -> None:
    made = feedback("mira", evening, spans)
    assert ("vale", "white blossom") in made.alone
    assert made.missed == (("vale", "dark chocolate and cocoa"),)


def test_the_caution_comes_first(evening, spans) -> None:
    lines = feedback_lines(feedback("mira", evening, spans), {})
    assert CAUTION in lines[0]
    assert any("25 % of the notes shared, 67 % of the families" in line for line in lines)


def test_a_stranger_gets_none(evening, spans) -> None:
    with pytest.raises(InputError, match="'zed' is no taster"):
        feedback("zed", evening, spans)
