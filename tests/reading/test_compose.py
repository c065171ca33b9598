"""Words that tasters make by rule: a state before a thing, a thing before a thing, forms and kinds around it."""

from __future__ import annotations

import pytest
from reading_checks import expect, lexicon, note, short

from tastevocab.vocabulary.compose import whole

COMPOSED = [
    ("fermented strawberry", "strawberry", "fermented", ()),
    ("stewed gooseberry", "gooseberry", "stewed", ()),
    ("overripe papaya", "papaya", "overripe", ()),
    ("burnt hazelnut", "hazelnut", "burnt", ()),
    ("tinned nectarine", "nectarine", "tinned", ()),
    ("dried apricot", "dried_apricot", None, ()),
    ("candied lime", "candied_lime", None, ()),
    ("walnut biscuit", "walnut", "baked", ("walnut", "biscuit_pastry")),
    ("hazelnut caramel", "caramel", None, ("hazelnut", "caramel")),
    ("raspberry wine", "raspberry", "spirit", ("raspberry", "reach/winey")),
    ("cherry cola", "cherry_cola", None, ("cherries", "cola")),
    ("chocolate covered raisin", "chocolate_raisin", None, ("raisin",)),
    ("lemon juice", "lemon", None, ()),
    ("plum flavour", "plums", None, ()),
    ("garden mint", "mint", None, ()),
    ("plum notes", "plums", None, ()),
    ("juicy plum", "plums", None, ()),
]

DERIVED = [
    ("lemony", "lemon"), ("peachy", "peach"), ("nutty", "reach/nutty"), ("rosy", "rose"), ("malty", "malt"),
    ("gingery", "reach/ginger"), ("biscuity", "biscuit_pastry"), ("marzipany", "marzipan"), ("rose-like", "rose"),
    ("plum-esque", "plums"), ("cherries", "cherries"), ("berries", "reach/berry"), ("peaches", "peach"),
    ("walnuts", "walnut"), ("nuttiness", "reach/nutty"), ("fruitiness", "reach/fruity"), ("caramelly", "caramel"),
    ("Zitronengras", None), ("roaster", None), ("clearly", None), ("musts", None),
]  # fmt: skip

TWO_THINGS = [
    ("peach and tea", ["peach", "reach/tea_like"]),
    ("peach, tea", ["peach", "reach/tea_like"]),
    ("peach. tea", ["peach", "reach/tea_like"]),
    ("peach / tea", ["peach", "reach/tea_like"]),
    ("lemony chocolate", ["lemon", "reach/chocolatey"]),
]


@pytest.mark.parametrize(("said", "flavour", "state", "parts"), COMPOSED)
def test_look_up_composes(said: str, flavour: str, state: str | None, parts: tuple[str, ...]) -> None:
    found = whole(lexicon().names, said)
    assert found is not None
    assert (short(found.descriptor), found.state) == (flavour, state)
    assert set(parts) <= {short(p) for p in found.parts}


@pytest.mark.parametrize("said", [case[0] for case in COMPOSED])
def test_reading_composes_as_look_up_does(said: str) -> None:
    known = whole(lexicon().names, said)
    (found,) = note(f"getting {said}").findings
    assert known is not None
    assert (found.descriptor, found.state, found.parts) == (known.descriptor, known.state, known.parts)


@pytest.mark.parametrize(("said", "flavour"), DERIVED)
def test_derived_forms(said: str, flavour: str | None) -> None:
    found = whole(lexicon().names, said)
    assert (short(found.descriptor) if found else None) == flavour


@pytest.mark.parametrize(("said", "flavours"), TWO_THINGS)
def test_a_mark_or_an_and_keeps_two_things_apart(said: str, flavours: list[str]) -> None:
    expect(note(said), *flavours)


def test_peach_tea_is_one_thing_and_has_both_parts() -> None:
    expect(note("peach tea"), "peach_iced_tea +peach +black_tea")


def test_the_longest_name_wins() -> None:
    expect(note("lemon meringue pie"), "lemon_meringue_pie")
    expect(note("lemon peel"), "lemon_zest")
    expect(note("lemon"), "lemon")


@pytest.mark.parametrize("said", ["frumbious", "the", "", "...", "peach and tea", "peach, frumbious"])
def test_look_up_answers_one_thing_or_nothing(said: str) -> None:
    assert whole(lexicon().names, said) is None


def test_a_state_does_not_cross_a_comma() -> None:
    expect(note("candied, lime"), "lime !candied")


def test_a_taste_before_a_thing_is_a_finding_and_a_state() -> None:
    expect(note("sour raspberry"), "acidity=high", "raspberry sour")


@pytest.mark.parametrize(
    ("one", "other"),
    [("passion fruit", "passionfruit"), ("flavor of plum", "flavour of plum"), ("yogurt", "yoghurt"),
     ("Zucchini", "courgette"), ("cilantro", "coriander leaf"), ("PLUM", "plum"), ("crème brûlée", "creme brulee")],
)  # fmt: skip
def test_spellings_and_regions_meet(one: str, other: str) -> None:
    first, second = note(one).findings, note(other).findings
    assert [f.descriptor for f in first] == [f.descriptor for f in second] != []


def test_a_state_before_a_name_of_two_words() -> None:
    expect(note("dried wild strawberry"), "wild_strawberry dried")
