"""Chance beside quorum: exact tails, tables drawn at base rates, and what becomes of a table no better than they."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.stats

from tastevocab.panel.base_rates import count_notes, rates_text
from tastevocab.panel.chance import RandomTables, _agreement, _tails, tables_text, weighed
from tastevocab.panel.flavour_map import Serving, build_map
from tastevocab.panel.rungs import climb
from tastevocab.panel.summary import bench
from tastevocab.reading.records import Finding, Reading, Spot
from tastevocab.vocabulary.cache import open_vocabulary


@pytest.fixture(scope="module")
def shipped():
    return bench(open_vocabulary())


def table_of(said, tools):
    """A map of tasters who said the descriptors at these places."""
    names = [f"t{i}" for i in range(len(said))]
    found = [
        Finding(f"{name}-{w}", tools.spans.ids[w], Spot("w", (0, 1), "s", speaker=name, coffee="x"))
        for name, words in zip(names, said, strict=True)
        for w in words
    ]
    return build_map(found, Serving("x"), names, tools.spans)


def test_tails_against_scipy() -> None:
    """Equal chances: the binomial. Unequal: a plain sum over all outcomes. Many tasters: near the binomial still."""
    made = _tails(np.full((1, 5), 0.3))[0]
    assert made == pytest.approx([scipy.stats.binom.sf(k - 1, 5, 0.3) for k in range(6)])
    chances = np.array([0.1, 0.5, 0.8])
    outcomes = [(np.array([i >> b & 1 for b in range(3)])) for i in range(8)]
    by_hand = [sum(np.prod(np.where(o, chances, 1 - chances)) for o in outcomes if o.sum() >= k) for k in range(4)]
    assert _tails(chances[None])[0] == pytest.approx(by_hand)
    many = _tails(np.full((1, 200), 0.3))[0]
    assert many[70] == pytest.approx(scipy.stats.binom.sf(69, 200, 0.3), abs=0.01)


def test_the_chance_of_a_word_is_how_often_it_is_drawn(shipped) -> None:
    """The formula (words one by one) against tables drawn (all words of a taster different): within 3 of 100."""
    random, said = shipped.random, [4] * 5
    people = random.people(said, 600, 3)
    tails = _tails(1 - (1 - random.rate)[:, None] ** np.array(said)[None, :])
    for print in ("reach/chocolatey", "reach/berry", "choc_cream", "sugar_jar/caramel_toffee/caramel"):
        place = shipped.spans.order[print]
        for k in (1, 3):
            assert tails[place, k] == pytest.approx((people[:, place] >= k).mean(), abs=0.05)


def test_random_tables_print_next_to_nothing(shipped) -> None:
    """Tables of five that say four words each at base rates: nearly all have a word at quorum, one in ten prints."""
    quorums = printed = 0
    for said in shipped.random.draw([4] * 5, 60, 77):
        made = table_of(said, shipped)
        ladder = climb(made, shipped.spans)
        quorums += bool(ladder.rungs)
        printed += bool(weighed(ladder, shipped.random.weigh(made), "say").rungs)
    assert quorums > 45
    assert printed <= 0.1 * 60 + 3 * (60 * 0.1 * 0.9) ** 0.5


@pytest.fixture
def rates(vocabulary, spans):
    """The small vocabulary with rates of the test's own: chocolate on every second note, bergamot hardly ever."""
    return RandomTables(
        spans,
        {"choc_cream/pale_choc/milk_chocolate": 0.5, "citrus_crate/peel_oil/bergamot": 0.01, "reach/floral": 0.3},
    )


def test_a_common_word_says_so_and_a_rare_one_stands(spans, table, rates) -> None:
    found = [table.say(t, "milk_chocolate") for t in "ABC"] + [table.say(t, "bergamot") for t in "ABCDE"]
    made = build_map(found, Serving("x"), "ABCDE", spans)
    chance = rates.weigh(made)
    assert not chance.alike
    kept = {r.print: r for r in weighed(climb(made, spans), chance, "say").rungs}
    assert kept["milk chocolate"].chance > 0.3
    assert kept["bergamot"].chance < 0.001
    assert kept["milk chocolate"].why.endswith("of 10 tables.")
    assert [r.print for r in weighed(climb(made, spans), chance, "leave_out").rungs] == ["bergamot"]
    step = next(s for s in weighed(climb(made, spans), chance, "leave_out").steps if s.print == "milk chocolate")
    assert step.verdict.startswith("at quorum, and by chance in ")
    assert not step.chosen


def test_tables_that_agree_as_much_count_as_much(spans, table, rates, monkeypatch) -> None:
    """A p of random draws counts those that are as large (Phipson and Smyth 2010): alike in all is 1."""
    made = build_map([table.say(t, "milk_chocolate") for t in "ABC"], Serving("x"), "ABCDE", spans)
    seen = _agreement(np.array([list(rates.weigh(made).by_word.values())]))
    monkeypatch.setattr(rates, "_others", lambda said: np.repeat(seen, 9))
    assert rates.weigh(made).table == 1.0


def test_a_table_like_random_ones_prints_nothing(spans, table, rates) -> None:
    found = [table.say(t, "milk_chocolate") for t in "ABC"] + [table.say(t, "reach/floral") for t in "DE"]
    made = build_map(found, Serving("x"), "ABCDE", spans)
    chance = rates.weigh(made)
    assert chance.alike
    ladder = weighed(climb(made, spans), chance, "say")
    assert ladder.rungs == ()
    assert ladder.verdict.startswith("No word stands out: ")
    assert [r.print for r in weighed(climb(made, spans), chance, "off").rungs] == ["milk chocolate"]


def test_a_vocabulary_without_rates_is_left_alone(tools) -> None:
    assert tools.random is None


def test_words_for_a_chance() -> None:
    assert [tables_text(c) for c in (0.0001, 0.02, 0.094, 0.096, 0.34, 1.0)] == [
        "fewer than 1 of 100 tables",
        "2 of 100 tables",
        "9 of 100 tables",
        "1 of 10 tables",
        "3 of 10 tables",
        "10 of 10 tables",
    ]


def test_rates_are_counted_by_note() -> None:
    spot = Spot("w", (0, 1), "s")
    twice = [Finding("1", "a/b/c", spot), Finding("2", "a/b/c", spot)]
    echo = Finding("3", "a/b/d", spot, standing="echo")
    denied = Finding("4", "a/b/d", spot, present=False)
    notes, named = count_notes([Reading(findings=(*twice, echo, denied)), Reading()])
    assert (notes, dict(named)) == (2, {"a/b/c": 1})
    assert rates_text(notes, named).endswith("notes: 2\nrates:\n  a/b/c: 0.500000\n")


def test_shipped_rates_are_figures_of_known_words(shipped) -> None:
    given = shipped.vocabulary.language["base_rates"]
    assert set(given) == {"notes", "rates"}
    assert all(0 < float(rate) < 1 for rate in given["rates"].values())
    assert set(given["rates"]) <= set(shipped.spans.ids)


def test_a_house_brings_its_own_base_rates(tmp_path) -> None:
    """Where every second note says lemon, three of three on lemon is no news; the shipped rates know it as rare."""
    lemon = "citrus_crate/lemon_lime/lemon"
    rates = f"{lemon}: 0.5, sugar_jar/caramel_toffee/caramel: 0.49, flower_bench/white_blossom/jasmine: 0.01"
    (tmp_path / "house.yaml").write_text(f"base_rates: {{{rates}}}\n")
    chances = []
    for house in (None, tmp_path / "house.yaml"):
        tools = bench(open_vocabulary(None, house))
        assert tools.random
        chance = tools.random.weigh(table_of([[tools.spans.order[lemon]]] * 3, tools))
        chances.append(chance.by_word[lemon])
    assert chances[0] < 0.01
    assert chances[1] == pytest.approx(0.5**3, abs=0.05)
