"""How many tasters it takes: against exact power by enumeration, and what --to-show takes and refuses."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import scipy.stats

from tastevocab.errors import InputError
from tastevocab.panel import power
from tastevocab.panel.power import Wish, least_tasters, size_lines, wish
from tastevocab.panel.summary import bench
from tastevocab.vocabulary.cache import open_vocabulary


@pytest.fixture(scope="module")
def tools():
    return bench(open_vocabulary())


def exact_power(here: float, elsewhere: float, tasters: int) -> float:
    """Two cups and one word: the chance that McNemar's exact test shows more in the first, all outcomes summed up."""
    more, less = here * (1 - elsewhere), elsewhere * (1 - here)
    total = 0.0
    for b, c in itertools.product(range(tasters + 1), repeat=2):
        if c < b and b + c <= tasters and scipy.stats.binomtest(b, b + c).pvalue <= 0.05:
            total += scipy.stats.multinomial.pmf([b, c, tasters - b - c], tasters, [more, less, 1 - more - less])
    return total


@pytest.mark.parametrize(("here", "elsewhere", "tasters"), [(0.8, 0.1, 8), (0.9, 0.05, 6), (0.6, 0.1, 14)])
def test_one_word_of_two_cups_has_mcnemars_exact_power(tools, monkeypatch, here, elsewhere, tasters) -> None:
    """Nothing else said: the simulation must come to the sum. 400 tables lie within four standard errors."""
    monkeypatch.setattr(power, "SAID", 0)
    monkeypatch.setattr(power, "WAYS", 1 << tasters)
    wished = Wish(tools.find("jasmine"), "jasmine", here, elsewhere, False)
    draw = power._drawer(wished, 2, tools.random, tools)
    share = np.mean([power._names(draw(tasters, seed)) for seed in range(400)])
    expected = exact_power(here, elsewhere, tasters)
    assert share == pytest.approx(expected, abs=4 * (expected * (1 - expected) / 400) ** 0.5)
    assert 0.1 < expected < 0.95


def test_five_tasters_and_two_cups_can_show_nothing(tools) -> None:
    """All five one way is 2 of 32 (0.0625), whatever was found."""
    draw = power._drawer(Wish(tools.find("jasmine"), "jasmine", 1.0, 0.0, False), 2, tools.random, tools)
    assert not any(power._names(draw(5, seed)) for seed in range(20))
    assert all(power._names(draw(12, seed)) for seed in range(5))


def test_a_cup_like_the_others_is_hardly_ever_named(tools) -> None:
    draw = power._drawer(Wish(tools.find("jasmine"), "jasmine", 0.3, 0.3, False), 3, tools.random, tools)
    assert sum(power._names(draw(8, seed)) for seed in range(60)) <= 4


def test_the_least_number_is_found_and_said_with_its_doubt(tools, monkeypatch) -> None:
    monkeypatch.setattr(power, "PANELS", 60)
    monkeypatch.setattr(power, "ROUGH", 30)
    steps = []
    size = least_tasters(wish("jasmine 95 % 2 %", tools), 3, tools, also=4, step=lambda: steps.append(1))
    assert 4 < size.tasters <= 8
    assert size.named[size.tasters] >= 0.8 * size.tables[size.tasters]
    assert size.named[size.tasters - 1] < 0.8 * size.tables[size.tasters - 1]
    assert len(steps) >= len(size.tables)
    first, second, last = size_lines(size, 4)
    assert f"jasmine, found by 95 % in one of 3 cups and by 2 % in the others: {size.tasters} tasters at least" in first
    assert "The 4 tasters of this session: " in second
    assert "Simulated" in last
    assert "jasmine" in next(size_lines(power.Size(size.wish, 2, None, {}, {})))


@pytest.mark.parametrize(
    ("threshold", "expected"), [(2, 2), (3, 3), (7, 7), (9, 9), (11, 11), (13, 13), (27, 27), (60, 60), (61, None)]
)
def test_the_search_finds_the_threshold_of_a_rising_power(threshold, expected) -> None:
    assert power._least(lambda tasters, panels: tasters >= threshold) == expected
    # A rough look that is wrong by a rung either way changes nothing.
    assert power._least(lambda n, panels: n >= (threshold if panels == power.PANELS else threshold * 1.3)) == expected


def test_a_wish_is_a_word_and_shares(tools) -> None:
    made = wish("stone fruit: 62,5 % against 10%", tools)
    assert (made.print, made.here, made.elsewhere, made.usual) == ("stone fruit", 0.625, 0.1, False)
    usual = wish("caramel 60 %", tools)
    rate = tools.random.rate[tools.spans.order[usual.descriptor]]
    assert usual.usual
    assert usual.elsewhere == pytest.approx(1 - (1 - rate) ** 4)


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("jasmine", "is no difference to show"),
        ("60 % 10 %", "is no difference to show"),
        ("jasmine 60 % 10 % 5 %", "is no difference to show"),
        ("chocolaxaty 60 %", "did you mean chocolatey"),
        ("jasmine 10 % 60 %", "must be the bigger one"),
        ("jasmine 160 % 10 %", "none above 100 %"),
        ("phenolic 60 % 10 %", "no flavour"),
    ],
)
def test_what_is_no_wish_is_refused_with_the_way_to_write_it(tools, text, problem) -> None:
    with pytest.raises(InputError, match=problem):
        wish(text, tools)


def test_one_cup_cannot_differ(tools) -> None:
    with pytest.raises(InputError, match="two coffees or more"):
        least_tasters(wish("jasmine 60 % 10 %", tools), 1, tools)
