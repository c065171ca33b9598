"""A crowd's wheel: small words folded and counted once a person, words ranked; 783 invented tasters."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest
from panel_seats import Table
from statsmodels.stats.proportion import proportion_confint

from tastevocab.panel.crowd_tree import LEAST_SHARE, OTHER, RANKED
from tastevocab.panel.flavour_map import Serving
from tastevocab.panel.gather import Gathered
from tastevocab.panel.session import Coffee, Session
from tastevocab.panel.summary import Bench, Report, bench, report_of
from tastevocab.panel.weighted_tree import wheel_tree
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.wheel.arcs import check_tree, picture
from tastevocab.wheel.card import draw_card
from tastevocab.wheel.drawing import Lettering, Shape
from tastevocab.wheel.sizes import SIZES
from tastevocab.wheel.tree import WheelTree

TASTERS = tuple(f"t{i:03}" for i in range(783))


@pytest.fixture(scope="module")
def tools() -> Bench:
    return bench(open_vocabulary())


def crowd(tools: Bench, of: int = 783, words: int = 150, agreed: str = "") -> Report:
    """Tasters who each name up to four of many words, a few words often and most of them hardly ever."""
    dice = random.Random(3)
    table = Table(tools.vocabulary)
    known = [
        d.id
        for d in tools.vocabulary.descriptors.values()
        if d.level in ("note", "family", "reach") and d.home and not d.fault and not d.use_instead
    ]
    chosen = dice.sample(known, words)
    often = [1 / (i + 1) for i in range(words)]
    said = []
    for taster in TASTERS[:of]:
        named = set(dice.choices(chosen, often, k=dice.randint(0, 4)))
        named |= {agreed} if agreed and dice.random() < 0.7 else set()
        said += [table.say(taster, id, coffee="vale") for id in sorted(named)]
    session = Session("crowd", "s.yaml", Path("."), tasters=TASTERS[:of], coffees={"vale": Coffee("vale", "Vale")})
    return report_of(Gathered(session, tuple(said)), Serving("vale"), tools)


@pytest.fixture(scope="module")
def report(tools: Bench) -> Report:
    return crowd(tools)


@pytest.fixture(scope="module")
def tree(report: Report, tools: Bench) -> WheelTree:
    return wheel_tree(report, tools)


def test_small_words_fold_and_nothing_is_lost(report: Report, tree: WheelTree) -> None:
    check_tree(tree)
    assert sum(n.own for n in tree.nodes) == pytest.approx(report.map.total)
    folds = [n for n in tree.nodes if n.fold and n.level == "note"]
    assert folds
    assert len(tree.nodes) < len(report.map.nodes) * 0.6
    counted = sum(int(n.label.split("(")[1].split()[0]) for n in folds)
    kept = sum(n.own > 0 and not n.fold for n in tree.nodes)
    assert counted + kept == sum(n.own > 0 for n in report.map.nodes)


def test_what_is_large_enough_keeps_its_own_arc(report: Report, tree: WheelTree) -> None:
    shown = {n.id for n in tree.nodes}
    assert all(n.descriptor in shown for n in report.map.nodes if n.share >= LEAST_SHARE)


def test_a_fold_counts_each_person_once(report: Report, tree: WheelTree) -> None:
    """Against a plain count over the findings."""
    drawn = {n.id for n in tree.nodes}
    folds = [n for n in tree.nodes if n.fold and n.level == "note" and n.id.endswith(f"/{OTHER}")]
    assert folds
    for fold in folds:
        gone = {n.descriptor for n in report.map.nodes if n.parent == fold.parent and n.descriptor not in drawn}
        who = {f.spot.speaker for f in report.evidence.values() if f.descriptor in gone}
        assert fold.people == len(who)


def test_words_are_ranked_with_wilson_intervals(report: Report, tree: WheelTree) -> None:
    """Intervals as statsmodels gives them (method "wilson")."""
    assert len(tree.ranked) == RANKED
    assert [row.people for row in tree.ranked] == sorted((row.people for row in tree.ranked), reverse=True)
    for row in tree.ranked:
        low, high = proportion_confint(row.people, row.of, method="wilson")
        assert (row.low, row.high) == pytest.approx((low * row.of, high * row.of))
    assert f"{tree.ranked[0].label} {tree.ranked[0].people}" in tree.headline


def test_petals_are_scaled_to_the_longest_and_rings_say_their_people(tree: WheelTree) -> None:
    shown = picture(tree)
    longest = max(a.people for a in shown.arcs if a.ring == "petal")
    assert shown.full == longest < 783
    assert max(a.length for a in shown.arcs if a.ring == "petal") == 1.0
    drawing = draw_card(tree, "page")
    numbers = {i.text for i in drawing.items if isinstance(i, Lettering) and i.kind == "ring-number"}
    assert numbers
    assert all(int(n) <= longest for n in numbers)
    assert f"the longest is {longest}" in " ".join(i.text for i in drawing.items if isinstance(i, Lettering))


@pytest.mark.parametrize("size", ["page", "bag", "board"])
def test_a_crowds_sheet_is_readable(tree: WheelTree, size: str) -> None:
    drawing = draw_card(tree, size)
    lines = [i for i in drawing.items if isinstance(i, Lettering)]
    assert min(i.points for i in lines) >= SIZES[size].smallest - 1e-9
    assert len(drawing.description) <= 600
    assert sum(isinstance(i, Shape) and i.kind == "ranked-dot" for i in drawing.items) >= 10
    sizes = {i.about: i.size for i in lines if i.kind == "label" and i.about == tree.nodes[0].id}
    assert len(sizes) <= 1


def test_a_word_shared_by_more_than_half_keeps_its_band_and_leads_the_ranking(tools: Bench) -> None:
    agreed = "hedgerow_vine/dark_berries/blackcurrant"
    tree = wheel_tree(crowd(tools, 60, 40, agreed), tools)
    assert tree.printed
    assert any(agreed in word.over for word in tree.printed)
    assert tree.ranked[0].printed
    drawn = {n.id for n in tree.nodes}
    assert all(set(word.over) & drawn for word in tree.printed)


def test_a_small_table_is_not_folded(tools: Bench) -> None:
    tree = wheel_tree(crowd(tools, 12, 60), tools)
    assert not any(n.fold for n in tree.nodes)
    assert tree.ranked == ()


def test_a_crowds_scale_is_a_histogram(tree: WheelTree) -> None:
    from tastevocab.wheel.tree import Strip

    marks = tuple((f"t{i}", float(1 + i % 3)) for i in range(90))
    strip = Strip("acidity", ("flat", "soft", "clear", "lively", "piercing"), marks, 2.0)
    drawing = draw_card(replace(tree, strips=(strip,)), "page")
    kinds = [i.kind for i in drawing.items if isinstance(i, Shape)]
    assert (kinds.count("bar"), kinds.count("mark")) == (3, 0)
