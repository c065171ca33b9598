"""A descriptor's card and the kitchen sheet."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tastevocab.errors import VocabularyError
from tastevocab.vocabulary.card import attribute_lines, branch, card, card_lines
from tastevocab.vocabulary.model import Attribute, Vocabulary
from tastevocab.vocabulary.pointing import anything_at, point_at
from tastevocab.vocabulary.sheet import sheet, sheet_text


@pytest.mark.parametrize(
    ("text", "id"),
    [
        ("lemon", "citrus_row/lemon_side/lemon"),
        ("citrus_row/lemon_side/lemon", "citrus_row/lemon_side/lemon"),
        ("Lemons", "citrus_row/lemon_side/lemon"),
        ("melocotón", "orchard_row/stones/peach"),
        ("reach/citrus", "reach/citrus"),
        ("citrus", "reach/citrus"),
        ("pip fruit", "orchard_row/pips"),
        ("stones", "orchard_row/stones"),
        ("apricock", "orchard_row/stones/apricock"),
    ],
)
def test_pointing(toy: Vocabulary, text: str, id: str) -> None:
    assert point_at(toy, text).id == id


def test_pointing_at_nothing_offers_what_is_near(toy: Vocabulary) -> None:
    with pytest.raises(VocabularyError, match="did you mean apricot"):
        point_at(toy, "apricoot")


def test_a_card(toy: Vocabulary) -> None:
    made = card(toy, "citrus_row/lemon_side/lemon")
    assert made.way == ("Citrus", "lemon side", "lemon")
    assert [label for _, label in made.kin] == ["lime", "cloudy lemonade"]
    assert [label for _, label in made.neighbours] == ["lime"]
    assert [label for _, label in made.reached_by] == ["citrus"]
    assert made.state == "fresh"
    # Kin is told from both sides.
    assert [id for id, _ in card(toy, "citrus_row/lemon_side/lime").kin] == ["citrus_row/lemon_side/lemon"]


def test_allergens_stand_before_the_recipe(toy: Vocabulary) -> None:
    headings = [heading for heading, _ in card_lines(card(toy, "orchard_row/stones/apricot"))]
    assert headings.index("allergens") < headings.index("to taste it")
    assert all(text for _, text in card_lines(card(toy, "orchard_row/stones/apricock")))


def test_a_two_faced_word_asks(toy: Vocabulary) -> None:
    asked = dict(card_lines(card(toy, "citrus_row/lemon_side")))["two-faced"]
    assert asked.endswith("Like lemon, or like vinegar?")


def test_attributes_have_cards(toy: Vocabulary) -> None:
    (acidity,) = anything_at(toy, ["acidity"])
    assert isinstance(acidity, Attribute)
    lines = dict(attribute_lines(acidity))
    assert lines["step 2"] == "soft (low): soft acidity"
    assert lines["step 5"] == "piercing (high)"
    with pytest.raises(VocabularyError, match="no 'weight'"):
        anything_at(toy, ["acidity", "weight"])


def test_the_branch_walks_the_ring(toy: Vocabulary) -> None:
    walk = list(branch(toy))
    assert sorted(d.id for _, d in walk) == sorted(toy.descriptors)
    tops = [d.id for depth, d in walk if depth == 0]
    assert tops == ["citrus_row", "orchard_row", "tank_faults", "reach/fruity"]
    turned = replace(toy, ring=toy.ring[::-1])
    assert [d.id for depth, d in branch(turned) if depth == 0][:2] == ["orchard_row", "citrus_row"]
    assert [depth for depth, _ in branch(toy, "orchard_row/stones")] == [0, 1, 1, 1]


def test_a_sheet_in_full(toy: Vocabulary) -> None:
    kitchen = {"kitchen": {"rules": ["Cold water."], "cautions": ["Ask."]}}
    v = replace(toy, language=kitchen)
    wanted = [point_at(v, word) for word in ("apricot", "peach", "citrus", "lime", "peach")]
    assert sheet_text(sheet(v, wanted)) == (
        "# Kitchen references\n\n## Allergens first\n\n- **sulphites**: apricot\n\n## Buy and prepare\n\n"
        "- [ ] **apricot** (allergens: sulphites). Dried halves, soaked. Keeps: two days.\n  - Care: Read the label.\n"
        "- [ ] **peach** (allergens: none listed). Ripe slices, mashed. Keeps: same day.\n\n"
        "*citrus* is too broad to taste; choose from: lemon.\n\nNo reference is written yet for: lime.\n\n"
        "## For every reference\n\n- Cold water.\n\n## Cautions\n\n- Ask.\n"
    )


def test_what_means_stop_is_not_on_the_shopping_list(toy: Vocabulary) -> None:
    text = sheet_text(sheet(toy, anything_at(toy, ["vinegar taint", "peach"])))
    assert "[ ] **vinegar taint**" not in text
    assert "**vinegar taint**: Do not make or taste." in text


def test_the_shipped_sheet(coffee: Vocabulary) -> None:
    words = ("hazelnut", "peach", "milk chocolate", "jasmine", "black tea", "molasses")
    made = sheet(coffee, [point_at(coffee, word) for word in words])
    held = dict(made.allergens)
    # Kitchen references of the trade notes: hazelnut is a tree nut, milk chocolate holds milk and soya.
    assert held["tree nuts"][0] == "hazelnut"
    assert "milk chocolate" in held["milk"]
    text = sheet_text(made)
    assert text.index("tree nuts") < text.index("Buy and prepare")
    assert "at most 5 in one session" in text
    assert "medicines" in text
    assert "12 months" in text


def test_every_reference_names_known_allergens(coffee: Vocabulary) -> None:
    # Regulation (EU) No 1169/2011, Annex II, in plain words.
    known = {
        "gluten cereals", "crustaceans", "egg", "fish", "peanut", "soya", "milk", "tree nuts", "celery", "mustard",
        "sesame", "sulphites", "lupin", "molluscs",
    }  # fmt: skip
    for d in (*coffee.descriptors.values(), *coffee.attributes.values()):
        if d.reference:
            assert set(d.reference.allergens) <= known, d.id
            assert d.reference.make, d.id


def test_faults_that_mean_stop_are_never_made(coffee: Vocabulary) -> None:
    held = [d for d in coffee.descriptors.values() if d.hold and d.level == "note"]
    assert len(held) >= 4
    for d in held:
        assert d.fault
        assert d.reference is None or "do not make" in d.reference.make.lower(), d.id
