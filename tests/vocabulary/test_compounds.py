"""A compound keeps the thing it names: fruit by head, over all heads, whatever is listed."""

from __future__ import annotations

import pytest

from tastevocab.vocabulary.compose import whole
from tastevocab.vocabulary.lookup import Names
from tastevocab.vocabulary.model import Vocabulary
from tastevocab.vocabulary.things import bare_thing

FRUITS = """strawberry, raspberry, blackberry, blackcurrant, blueberry, cherry, plum, peach, apricot, nectarine, apple,
pear, fig, grape, lemon, lime, orange, mandarin, grapefruit, pineapple, mango, banana, coconut,
passionfruit, guava, lychee, kiwi, watermelon, melon, cranberry, gooseberry, rhubarb, pomegranate, quince,
papaya, tangerine, yuzu, blood orange, elderberry, redcurrant, damson, mulberry, persimmon, jackfruit,
soursop, tamarind, kumquat, loganberry, cloudberry"""
HEADS = """sorbet, gum, tart, candy, sherbet, lolly, soda, compote, cake, crumble, yoghurt, cream, tea, syrup, pie,
jam, ice cream, cheesecake, custard, muffin, juice, jelly, smoothie, milkshake, liqueur, chutney, cordial,
cobbler, popsicle, gelato, mousse, fool, turnover, danish, chews, pastille, curd, lemonade, iced tea,
kombucha, brandy, chocolate, macaron, doughnut, scone, biscuit, cookie, gummy bear, hard candy, boiled
sweet, preserve, coulis, bubble gum, lollipop, meringue, crisp, strudel, galette, panna cotta"""


def _listed(text: str) -> list[str]:
    return [part.strip() for part in text.replace("\n", " ").split(",")]


def test_fruit_and_head_keep_the_fruit(coffee: Vocabulary, names: Names) -> None:
    lost = []
    for fruit in _listed(FRUITS):
        plain = whole(names, fruit)
        assert plain is not None, fruit
        assert plain.descriptor, fruit
        thing = bare_thing(coffee, plain.descriptor)
        kept = {plain.descriptor, *((thing.id, *thing.span) if thing else ())}
        for head in _listed(HEADS):
            found = whole(names, f"{fruit} {head}")
            if found is None or found.descriptor not in kept:
                lost.append(f"{fruit} {head}: {found.descriptor if found else 'unknown'}")
    assert not lost, lost


@pytest.mark.parametrize(
    ("phrase", "note", "form"),
    [
        ("peach pie", "peach_pie", None),
        ("rhubarb crumble", "rhubarb_crumble", None),
        ("blueberry cheesecake", "blueberry", "baked"),
        ("lemon yoghurt", "lemon_yoghurt", None),
        ("rum and raisin ice cream", "rum_and_raisin", "frozen"),
        ("soy milk", "soya_milk", None),
        ("butter bean", "cooked_beans", None),
        ("lima bean", "cooked_beans", None),
        ("custard cream", "custard_cream_biscuit", None),
        ("carrot cake", "carrot_cake", None),
        ("red licorice", "red_liquorice", None),
        ("white port", "white_port", None),
        ("cacao pulp", "cocoa_pulp", None),
        ("chocolate covered strawberry", "strawberry", "chocolate"),
        ("dried pear", "ripe_pear", "dried"),
        ("custard apple", "cherimoya", None),  # no apple in it
    ],
)
def test_the_named_thing_never_another(names: Names, phrase: str, note: str, form: str | None) -> None:
    found = whole(names, phrase)
    assert found is not None
    assert (found.descriptor or "").rsplit("/", 1)[-1] == note
    assert found.state == form
