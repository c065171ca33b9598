"""Things and forms of the shipped vocabulary: complete, reached by their bare word, right in measures and exchange."""

from __future__ import annotations

import pytest

from tastevocab.vocabulary.compose import whole
from tastevocab.vocabulary.lookup import Names
from tastevocab.vocabulary.measures import TreeMeasures
from tastevocab.vocabulary.model import Vocabulary
from tastevocab.vocabulary.things import bare_thing, form_said, forms_told, thing_of, with_things


def test_every_thing_spans_its_notes_and_no_others(coffee: Vocabulary) -> None:
    things = {d.id: d for d in coffee.descriptors.values() if d.level == "thing"}
    assert len(things) > 60
    for id, thing in things.items():
        notes = {d.id for d in coffee.descriptors.values() if d.thing == id and not d.use_instead}
        assert set(thing.span) == notes
        assert len(notes) > 1
        assert thing.home in coffee.descriptors
    told = {d.thing for d in coffee.descriptors.values() if d.thing}
    assert told == set(things)


def test_the_bare_word_reaches_the_thing(coffee: Vocabulary, names: Names) -> None:
    for thing in [d for d in coffee.descriptors.values() if d.level == "thing"]:
        found = whole(names, thing.print)
        assert found is not None, thing.print
        assert bare_thing(coffee, found.descriptor or "") is thing, thing.print


def test_a_form_is_no_bare_word(coffee: Vocabulary) -> None:
    jam = "preserving_pan/bright_jam/strawberry_jam"
    assert bare_thing(coffee, jam) is None
    assert thing_of(coffee, jam) is coffee.descriptors["reach/strawberry"]
    assert thing_of(coffee, "flower_bench/white_blossom/orange_blossom") is None


def test_making_things_twice_makes_the_same(coffee: Vocabulary) -> None:
    all_of_them = list(coffee.descriptors.values())
    assert with_things(all_of_them) == all_of_them


def test_the_form_of_a_finding(coffee: Vocabulary) -> None:
    assert form_said(coffee.forms, "jam", None) == "jam"
    assert form_said(coffee.forms, "fresh", "frozen") == "frozen"
    assert form_said(coffee.forms, "fresh", "stewed") == "cooked"
    assert form_said(coffee.forms, "jam", "frozen") == "jam"  # the note says more than the state
    assert form_said(coffee.forms, "", None) == ""


@pytest.mark.parametrize(
    ("people", "of", "told"),
    [
        ({"jam": 3, "fresh": 1}, 4, "mostly as jam"),
        ({"jam": 4}, 4, "as jam"),
        ({"jam": 2, "fresh": 2}, 4, ""),  # half is not most
        ({"fresh": 3, "jam": 1}, 4, ""),  # fresh needs no telling
        ({"jam": 3}, 4, "mostly as jam"),  # one said the bare word
        ({}, 0, ""),
    ],
)
def test_how_a_form_is_told(coffee: Vocabulary, people: dict[str, int], of: int, told: str) -> None:
    assert forms_told(coffee, people, of) == told


def test_a_thing_is_above_its_forms_in_every_measure(coffee: Vocabulary) -> None:
    """Lin 1998: a node and one below it share all of the upper one's information."""
    measures = TreeMeasures(coffee)
    jam, ice = "preserving_pan/bright_jam/strawberry_jam", "sugar_jar/sweet_counter/strawberry_sorbet"
    thing = "reach/strawberry"
    for form in (jam, ice):
        assert measures.covers(thing, form)
        upper, lower = measures.information(thing), measures.information(form)
        assert 0 < upper < lower
        assert measures.lin(thing, form) == pytest.approx(2 * upper / (upper + lower))
    assert not measures.covers(thing, "preserving_pan/bright_jam/raspberry_jam")
    assert measures.lin(thing, jam) > measures.lin(jam, ice)
    assert len(measures.span_notes(thing)) == len(coffee.descriptors[thing].span)
