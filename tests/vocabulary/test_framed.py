"""Phrases that hold more than a name: what tasters write around it changes nothing, and never makes a flavour."""

from __future__ import annotations

import pytest

from tastevocab.vocabulary.framed import meant
from tastevocab.vocabulary.lookup import Names


@pytest.mark.parametrize(
    ("phrase", "note", "state"),
    [
        ("a bit like digestives", "wheat_biscuit", None),
        ("spicy like cloves", "clove", None),
        ("lilies at a funeral", "lily", None),
        ("orange soda gone flat", "orange_squash", None),
        ("the peel of a lemon", "lemon_zest", None),
        ("crust of a lemon tart", "lemon_tart", None),
        ("skin on the rice pudding", "rice_pudding", None),
        ("nutty milk chocolate", "milk_chocolate", None),
        ("silky caramel", "caramel", None),
        ("raspberries in cream", "raspberry", "cream"),
        ("maple-y", "maple_syrup", None),
        ("cherry wine", "cherries", "spirit"),
        ("fig spoon sweet", "fig", "syrup"),
        ("mint liqueur", "mint", "spirit"),
    ],
)
def test_words_around_a_name(names: Names, phrase: str, note: str, state: str | None) -> None:
    found = meant(names, phrase)
    assert found is not None
    assert ((found.descriptor or "").rsplit("/", 1)[-1], found.state) == (note, state)


def test_what_comes_with_it_is_a_part(names: Names) -> None:
    found = meant(names, "porridge with brown sugar")
    assert found is not None
    assert (found.descriptor, "sugar_jar/brown_sugar" in found.parts) == ("bakers_bench/bread_grain/oat_porridge", True)


@pytest.mark.parametrize(
    "phrase",
    [
        "no lemon",
        "a poke of acidity",
        "tap water",
        "a coffee filter",
        "the green coffee",
        "tastes like garbage",
        "nothing like lemon",
        "orange kettle on the table",
        "coffee from the farm",
        "time for tea",
        "milk jug",
    ],
)
def test_no_flavour_is_made_of_it(names: Names, phrase: str) -> None:
    assert meant(names, phrase) is None
