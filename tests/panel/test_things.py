"""A panel that means one thing in many forms agrees on it."""

from __future__ import annotations

import pytest
from panel_seats import Table

from tastevocab.panel.claims import exact_finder, weigh_claims
from tastevocab.panel.flavour_map import FlavourMap, Serving, build_map
from tastevocab.panel.line import notes_line
from tastevocab.panel.rungs import climb
from tastevocab.panel.spans import Spans
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.vocabulary.lookup import Names
from tastevocab.vocabulary.measures import TreeMeasures
from tastevocab.vocabulary.model import Vocabulary

STRAWBERRY = "reach/strawberry"


@pytest.fixture(scope="module")
def coffee() -> Vocabulary:
    return open_vocabulary()


@pytest.fixture(scope="module")
def shipped(coffee: Vocabulary) -> Spans:
    return Spans(coffee)


def said(spans: Spans, *words: str) -> FlavourMap:
    """Tasters A, B, ... who each said one word."""
    table = Table(spans.vocabulary)
    tasters = "ABCDEFGH"[: len(words)]
    found = [table.say(who, word) for who, word in zip(tasters, words, strict=True)]
    return build_map(found, Serving("filter"), tasters, spans)


def test_five_who_said_strawberry_agree(shipped: Spans, coffee: Vocabulary) -> None:
    made = said(shipped, "strawberry_jam", "strawberry_jam", "strawberry_jam", "strawberry", "strawberry_sweet")
    ladder = climb(made, shipped)
    assert [(r.print, r.people, r.of) for r in ladder.rungs] == [("strawberry", 5, 5)]
    assert ladder.rungs[0].label == "strawberry, mostly as jam"
    assert ladder.rungs[0].came == "mostly as jam"
    assert "in the forms jam 3, candy 1, fresh 1" in ladder.rungs[0].why
    assert notes_line(made, ladder, shipped, TreeMeasures(coffee)).words == (STRAWBERRY,)


def test_the_narrower_form_is_printed_where_the_thing_adds_one(shipped: Spans) -> None:
    made = said(shipped, "strawberry_jam", "strawberry_jam", "strawberry_jam", "strawberry", "dark_choc")
    assert [(r.print, r.people) for r in climb(made, shipped).rungs] == [("strawberry jam", 3)]


def test_a_wider_word_over_some_forms_stands_aside(shipped: Spans) -> None:
    """Three cherries of one shelf: the shelf itself says less and adds nobody."""
    made = said(shipped, "cherry_jam", "dried_cherry", "glace_cherry")
    assert [(r.print, r.people) for r in climb(made, shipped).rungs] == [("cherry", 3)]


def test_a_wider_word_with_a_quorum_of_its_own_stands_beside(shipped: Spans) -> None:
    table = Table(shipped.vocabulary)
    found = [table.say(who, word) for who, word in zip("ABC", ("cherry_jam", "red_cherry", "cherry_pie"), strict=True)]
    found += [
        table.say(who, word) for who, word in zip("ABC", ("raspberry_jam", "lemon_curd", "peach_jam"), strict=True)
    ]
    made = build_map(found, Serving("filter"), "ABC", shipped)
    assert {r.print for r in climb(made, shipped).rungs} == {"cherry", "bright jams and jellies"}


def test_the_bare_word_of_a_family_counts_for_the_thing(shipped: Spans) -> None:
    made = said(shipped, "cherries", "cherry_jam", "dried_cherry", "walnut")
    (rung,) = climb(made, shipped).rungs
    assert (rung.descriptor, rung.people) == ("reach/cherry", 3)


def test_a_claimed_bare_word_is_met_in_any_form(shipped: Spans, coffee: Vocabulary) -> None:
    find = exact_finder(Names(coffee), coffee)
    made = said(shipped, "strawberry_jam", "strawberry_jam", "raspberry")
    bare, jam, ice = weigh_claims(("strawberry", "strawberry jam", "strawberry sorbet"), made, shipped, find)
    assert (bare.state, bare.people) == ("met", 2)
    assert bare.wording == "strawberry: 2 of 3 tasters found it too, as jam."
    assert (jam.state, jam.people) == ("met", 2)
    assert ice.state == "near"
    assert ice.near[0][1] == "the same thing in another form"


def test_a_denied_bare_word_is_denied(shipped: Spans, coffee: Vocabulary) -> None:
    table = Table(shipped.vocabulary)
    no = table.say("A", "strawberry", present=False)
    made = build_map([no, table.say("B", "walnut")], Serving("filter"), "AB", shipped)
    (claim,) = weigh_claims(("strawberry",), made, shipped, exact_finder(Names(coffee), coffee))
    assert (claim.state, claim.denials) == ("denied", 1)


def test_leaving_one_out_of_a_thing(shipped: Spans, coffee: Vocabulary) -> None:
    made = said(shipped, "peach_jam", "peach", "peach_pie")
    line = notes_line(made, climb(made, shipped), shipped, TreeMeasures(coffee))
    assert line.words == ("reach/peach",)
    assert line.unstable == ()  # any two of the three still agree
