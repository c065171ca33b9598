"""A panel that means one thing in many forms agrees on it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import TYPE_CHECKING, cast

import pytest
from panel_seats import Table

from tastevocab.panel.claims import exact_finder, weigh_claims
from tastevocab.panel.flavour_map import FlavourMap, Serving, build_map
from tastevocab.panel.line import notes_line
from tastevocab.panel.rungs import climb
from tastevocab.panel.spans import Spans
from tastevocab.panel.telling import ladder_lines
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.vocabulary.framed import meant
from tastevocab.vocabulary.lookup import Names
from tastevocab.vocabulary.measures import TreeMeasures
from tastevocab.vocabulary.model import Vocabulary

if TYPE_CHECKING:
    from tastevocab.panel.summary import Report

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


def test_a_thing_takes_over_from_its_form_where_it_adds_one(shipped: Spans) -> None:
    made = said(shipped, "strawberry_jam", "strawberry_jam", "strawberry_jam", "strawberry", "dark_choc")
    assert [(r.label, r.people) for r in climb(made, shipped).rungs] == [("strawberry, mostly as jam", 4)]


def test_a_thing_and_its_form_of_one_name_are_two_rows_with_two_names(shipped: Spans) -> None:
    made = said(shipped, "strawberry", "strawberry", "strawberry_jam")
    rows = list(ladder_lines(cast("Report", SimpleNamespace(ladder=climb(made, shipped), map=made))))
    named = [row.strip(" >").split("  ")[0] for row in rows if "strawberry" in row.split(" of ")[0]]
    assert named == ["strawberry", "strawberry, any form"]


def test_one_form_alone_is_printed_as_that_form(shipped: Spans) -> None:
    made = said(shipped, "strawberry_jam", "strawberry_jam", "strawberry_jam", "walnut", "dark_choc")
    assert [(r.label, r.people) for r in climb(made, shipped).rungs] == [("strawberry jam", 3)]


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


def test_a_category_in_the_line_begins_small_like_any_word(shipped: Spans) -> None:
    made = said(shipped, "clove", "black_pepper", "cardamom", "walnut", "dark_choc")
    assert [(r.print, r.people) for r in climb(made, shipped).rungs] == [("spice", 3)]


def test_leaving_one_out_of_a_thing(shipped: Spans, coffee: Vocabulary) -> None:
    made = said(shipped, "peach_jam", "peach", "peach_pie")
    line = notes_line(made, climb(made, shipped), shipped, TreeMeasures(coffee))
    assert line.words == ("reach/peach",)
    assert line.unstable == ()  # any two of the three still agree


TRIPLES = """
strawberry: strawberry jam, fresh strawberry, strawberry bonbon
raspberry: raspberry jam, raspberry, raspberry sherbet
blackberry: blackberry crumble, blackberries, blackberry jam
blackcurrant: blackcurrant cordial, blackcurrant, blackcurrant pastille
blueberry: blueberry muffin, dried blueberry, blueberry yoghurt
cherry: cherry, cherry jam, dried cherry
plum: stewed plum, plum, plum jam
damson: damson jam, damson, damson crumble
peach: tinned peach, white peach, peach iced tea
apricot: dried apricot, apricot, apricot jam
nectarine: nectarine, nectarine tart, nectarine juice
apple: apple pie, green apple, apple juice
pear: poached pear, pear, pear drop
quince: quince jelly, quince, quince paste
fig: fig roll, fresh fig, fig jam
grape: grape jelly, red grape, grape soda
raisin: raisin, rum and raisin, raisin toast
date: date syrup, dates, sticky date pudding
lemon: lemon curd, lemon zest, lemon sorbet
lime: lime cordial, lime, key lime pie
orange: marmalade, orange juice, candied orange peel
mandarin: tinned mandarin, clementine, mandarin peel
grapefruit: pink grapefruit, grapefruit zest, grapefruit soda
pineapple: tinned pineapple, pineapple, dried pineapple
mango: dried mango, mango lassi, mango sorbet
banana: banana bread, ripe banana, banana candy
coconut: toasted coconut, coconut milk, coconut cake
passionfruit: passionfruit, passionfruit curd, passionfruit sorbet
guava: guava paste, pink guava, guava juice
lychee: lychee, lychee candy, lychee sorbet
kiwi: kiwi, kiwi yoghurt, kiwi candy
watermelon: watermelon candy, watermelon, watermelon slush
melon: melon, cantaloupe, melon sorbet
tamarind: tamarind candy, tamarind, tamarind paste
persimmon: dried persimmon, persimmon, persimmon jam
papaya: green papaya, papaya, papaya smoothie
longan: dried longan, longan, longan tea
cranberry: cranberry sauce, dried cranberry, cranberry juice
gooseberry: gooseberry fool, gooseberry, gooseberry jam
redcurrant: redcurrant jelly, redcurrants, redcurrant sorbet
rosehip: rosehip syrup, rosehip, rosehip tea
rhubarb: stewed rhubarb, rhubarb crumble, rhubarb
pomegranate: pomegranate molasses, pomegranate, pomegranate juice
mulberry: mulberry jam, black mulberry, dried mulberry
hibiscus: hibiscus tea, hibiscus flower, hibiscus syrup
chamomile: chamomile tea, chamomile flower, chamomile
rose: rose water, turkish delight, rose
jasmine: jasmine tea, jasmine flower, jasmine
violet: parma violets, violet, violet cream
ginger: ginger beer, gingerbread, fresh ginger
mint: mint tea, mint chocolate, fresh mint
cinnamon: cinnamon roll, cinnamon stick, cinnamon candy
vanilla: vanilla ice cream, vanilla pod, vanilla custard
liquorice: liquorice root, black liquorice, liquorice tea
almond: marzipan, almond, toasted almonds
hazelnut: hazelnut, hazelnut spread, hazelnut praline
peanut: peanut butter, peanuts, peanut brittle
walnut: walnut, coffee and walnut cake, candied walnut
pecan: pecan pie, pecan, candied pecan
cashew: cashew, salted cashew, cashew fudge
sesame: tahini, halva, toasted sesame
honey: honey, honey on toast, honeycomb
caramel: salted caramel, caramel popcorn, caramel
tomato: tomato soup, tomato, tomato paste
carrot: carrot cake, roast carrot, carrot juice
corn: popcorn, sweetcorn, corn bread
rice: rice pudding, cooked rice, horchata
toffee: toffee, sticky toffee pudding, toffee syrup
malt: malt, malted milk, malt ball
pistachio: pistachio, pistachio ice cream, pistachio paste
elderflower: elderflower cordial, elderflower, elderflower jelly
bergamot: bergamot, bergamot peel, candied bergamot
yuzu: yuzu, yuzu marmalade, yuzu sorbet
sweet potato: sweet potato, sweet potato pie, candied sweet potato
pumpkin: pumpkin pie, roast pumpkin, pumpkin bread
strawberry: strawberries and cream, strawberry laces, a ripe strawberry
raspberry: raspberry ripple, raspberry coulis, crushed raspberries
blackberry: bramble jelly, ripe blackberry, blackberry cobbler
blackcurrant: blackcurrant squash, blackcurrant jam, fresh blackcurrants
plum: prunes, red plum, plum tart
damson: damson paste, damson gin, damsons
peach: peach cobbler, peach rings, ripe peach
apricot: apricot glaze, apricot crumble, fresh apricot
apple: toffee apple, apple sauce, granny smith
pear: perry, tinned pear, conference pear
quince: membrillo, quince tart, ripe quince
fig: fig jam, dried figs, fig tart
raisin: sultanas, rum raisin, chocolate raisins
date: medjool dates, date loaf, date molasses
lemon: lemon drizzle, limoncello, squeezed lemon
lime: candied lime, lime zest, lime wedge
orange: orange squash, chocolate orange, navel orange
mandarin: canned mandarins, satsuma, tangerine zest
grapefruit: ruby grapefruit, grapefruit peel, grapefruit marmalade
pineapple: piña colada, grilled pineapple, pineapple cubes
mango: mango juice, mango ice lolly, alphonso mango
banana: banana split, dried banana, overripe banana
coconut: coconut ice, coconut water, coconut cream
passionfruit: passionfruit gummy, passionfruit cordial, passionfruit pulp
guava: guava candy, goiabada, white guava
lychee: lychee jelly, lychee martini, fresh lychee
kiwi: kiwi jam, gold kiwi, kiwi sorbet
watermelon: watermelon gum, watermelon juice, watermelon rind
melon: melon rind, honeydew, melon gelato
tamarind: tamarind balls, tamarind syrup, tamarind pulp
persimmon: hoshigaki, persimmon cake, sharon fruit
papaya: papaya jam, dried papaya, pawpaw
longan: longan jelly, dried longan, longan
cranberry: cranberry muffin, cranberry jelly, raw cranberry
gooseberry: gooseberry crumble, gooseberry jam, green gooseberry
redcurrant: redcurrant jam, redcurrant juice, redcurrant tart
rosehip: rosehip jam, rosehip tea, rosehips
rhubarb: rhubarb and custard sweets, rhubarb fool, rhubarb pie
pomegranate: grenadine, pomegranate syrup, pomegranate sorbet
mulberry: mulberry pie, white mulberry, mulberry syrup
hibiscus: bissap, hibiscus blossom, hibiscus jelly
chamomile: camomile infusion, chamomile flowers, chamomile syrup
rose: rose lokum, rose milk, damask rose
jasmine: jasmine pearls, jasmine blossom, jasmine syrup
violet: candied violets, violet petals, violet ice cream
ginger: ginger ale, ginger tea, crystallised ginger
mint: peppermint patty, mint gum, spearmint
cinnamon: cinnamon tea, cassia, cinnamon gum
vanilla: vanilla fudge, vanilla bean, vanilla pudding
liquorice: liquorice allsorts, liquorice stick, liquorice ice cream
almond: amaretto, ground almonds, toasted flaked almonds
hazelnut: hazelnut latte, roasted hazelnuts, gianduja
peanut: peanut butter cup, salted peanuts, satay
pecan: butter pecan, roasted pecans, pecan brittle
cashew: cashew butter, kaju katli, cashew nuts
sesame: sesame oil, sesame snaps, tahini paste
honey: honey drops, acacia honey, honey cake
caramel: dulce de leche, caramel corn, caramel sauce
tomato: ketchup, bloody mary, cherry tomatoes
carrot: carrot soup, carrot halwa, raw carrot
corn: cornmeal porridge, grilled corn, cornflakes
toffee: toffee sauce, toffee cake, english toffee
malt: malt loaf, malted milkshake, malt extract
plantain: fried plantain, ripe plantain, plantain chips
maple: maple candy, maple syrup, maple sap
barley: barley tea, pearl barley, barley soup
oat: flapjack, porridge oats, oatmeal cookie
soya: tofu, soy milk, roasted soybeans
pumpkin: pumpkin soup, pumpkin muffin, butternut squash
bacon: maple bacon, smoked bacon, bacon crisps
"""


@pytest.fixture(scope="module")
def names(coffee: Vocabulary) -> Names:
    return Names(coffee)


@pytest.mark.parametrize("line", TRIPLES.strip().splitlines())
def test_three_who_mean_one_thing_print_it(shipped: Spans, names: Names, line: str) -> None:
    """Common practice: what three tasters would write who mean the same thing, in three forms each."""
    thing, _, words = line.partition(": ")
    table, found = Table(shipped.vocabulary), []
    for who, phrase in zip("ABC", words.split(", "), strict=True):
        known = meant(names, phrase)
        assert known is not None, phrase
        assert known.descriptor, phrase
        found.append(table.say(who, known.descriptor, state=known.state))
    made = build_map(found, Serving("filter"), "ABC", shipped)
    (rung,) = climb(made, shipped).rungs
    assert (rung.print, rung.people) == (thing, 3)
