"""Intervals, and agreement over a whole session with its degenerate cases."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import scipy.stats
from panel_seats import seat

from tastevocab.errors import StatisticsError
from tastevocab.panel.agreement import agreement, agreement_json
from tastevocab.panel.flavour_map import Serving, build_map
from tastevocab.panel.gather import Gathered
from tastevocab.panel.intervals import intervals, resample_counts, student
from tastevocab.panel.spans import Spans
from tastevocab.reading.records import AttributeFinding, Finding, Spot
from tastevocab.vocabulary.cache import open_vocabulary


def test_resamples_draw_as_many_as_there_are_and_repeat_by_seed() -> None:
    first = np.concatenate(list(resample_counts(7, 130, 3)))
    assert first.shape == (130, 7)
    assert (first.sum(axis=1) == 7).all()
    assert (first == np.concatenate(list(resample_counts(7, 130, 3)))).all()
    assert (first != np.concatenate(list(resample_counts(7, 130, 4)))).any()


@pytest.mark.parametrize("weighting", ["mark", "voice", "plain"])
def test_a_crowds_intervals_are_the_map_rebuilt_from_each_resample(spans, table, weighting, monkeypatch) -> None:
    """Against the slow way: draw the tasters, give each copy a name, build the whole map again."""
    monkeypatch.setattr("tastevocab.panel.intervals.SMALL", 4)
    words = {"A": ["jasmine", "plum_jam"], "B": ["jasmine"], "C": ["blackberry"], "D": ["reach/dark_fruit"], "E": []}
    found = [table.say(t, w, strength=35.4 if t == "A" else None) for t, ws in words.items() for w in ws]
    made = build_map(found, Serving("x"), "ABCDE", spans, weighting=weighting)
    samples = 60
    counts = np.concatenate(list(resample_counts(5, samples, 1)))
    shares = []
    for row in counts:
        drawn = [(f"{t}{c}", t) for t, n in zip("ABCDE", row.astype(int), strict=True) for c in range(n)]
        again = [seat(f, speaker=copy) for copy, t in drawn for f in found if f.spot.speaker == t]
        rebuilt = build_map(again, Serving("x"), [copy for copy, _ in drawn], spans, weighting=weighting)
        node = rebuilt.by_id.get("flower_bench/white_blossom/jasmine")
        shares.append(node.share if node else 0.0)
    low, high = intervals(made.folded, spans, weighting, samples=samples).share["flower_bench/white_blossom/jasmine"]
    assert (low, high) == pytest.approx(tuple(np.percentile(shares, (2.5, 97.5))))


@pytest.mark.parametrize("weighting", ["mark", "voice", "plain"])
def test_a_panels_intervals_are_the_map_rebuilt_without_each_taster(spans, table, weighting) -> None:
    """Tukey's jackknife by its definition, with scipy's t and maps built anew, no nearer than k of n by scipy's exact
    interval."""
    words = {"A": ["jasmine", "plum_jam"], "B": ["jasmine", "cola"], "C": ["blackberry"], "D": ["jasmine"], "E": []}
    found = [table.say(t, w, strength=35.4 if t == "A" else None) for t, ws in words.items() for w in ws]
    made = build_map(found, Serving("x"), "ABCDE", spans, weighting=weighting)
    id = "flower_bench/white_blossom/jasmine"
    value, without = made.by_id[id].wedge, []
    for gone in "ABCDE":
        rest = build_map(
            [f for f in found if f.spot.speaker != gone],
            Serving("x"),
            "ABCDE".replace(gone, ""),
            spans,
            weighting=weighting,
        )
        without.append(rest.by_id[id].wedge if id in rest.by_id else 0.0)
    half = scipy.stats.t.ppf(0.975, 4) * np.sqrt(4 / 5 * ((without - np.mean(without)) ** 2).sum())
    exact = scipy.stats.binomtest(3, 5).proportion_ci(method="exact")
    low, high = intervals(made.folded, spans, weighting).weight[id]
    assert low == pytest.approx(max(0.0, min(value - half, value * exact.low / 0.6)))
    assert high == pytest.approx(max(value + half, value * exact.high / 0.6))


@pytest.mark.parametrize("df", [1, 2, 3, 4, 7, 20, 59])
def test_students_t_against_scipy(df) -> None:
    assert student(df) == pytest.approx(scipy.stats.t.ppf(0.975, df), rel=1e-9)


@pytest.mark.parametrize("tasters", [3, 5, 8])
def test_shares_are_inside_their_intervals_as_often_as_said(spans, table, tasters) -> None:
    """150 tables of tasters who find each of four words with a chance of its own: the true share of jasmine is inside
    at least 95 times in 100, less three standard errors. The whole table: tests/bench/claims_tables.py."""
    random = np.random.default_rng(8)
    chances = {"jasmine": 0.6, "cola": 0.4, "mandarin": 0.3, "plum_jam": 0.3}
    true, held, of = 0.6 / sum(chances.values()), 0, 0
    for _ in range(150):
        panel = [f"t{i}" for i in range(tasters)]
        found = [table.say(t, w) for t in panel for w, p in chances.items() if random.random() < p]
        made = build_map(found, Serving("x"), panel, spans)
        if (id := "flower_bench/white_blossom/jasmine") in made.by_id:
            low, high = intervals(made.folded, spans).share[id]
            held, of = held + (low <= true <= high), of + 1
    assert held / of >= 0.95 - 3 * (0.95 * 0.05 / of) ** 0.5


def test_one_taster_has_no_interval(spans, table) -> None:
    made = build_map([table.say("A", "jasmine")], Serving("x"), "A", spans)
    with pytest.raises(StatisticsError, match="two tasters"):
        intervals(made.folded, spans)


def gathered(session, table, said, marks=()):
    findings = [table.say(t, w, coffee=c) for t, c, words in said for w in words]
    attributes = tuple(
        AttributeFinding(f"a{i}", "acidity", "high", step, Spot("x", (0, 1), "t", speaker=t, coffee=c))
        for i, (t, c, step) in enumerate(marks)
    )
    return Gathered(replace(session, tasters=tuple("ABC")), tuple(findings), attributes)


def by_about(figures):
    return {(a.about, a.measure): a for a in figures}


def test_perfect_agreement_is_one_and_says_what_it_does_not_mean(session, table, spans) -> None:
    said = [(t, c, [w]) for t in "ABC" for c, w in (("vale", "jasmine"), ("rio_claro", "cola"))]
    made = by_about(agreement(gathered(session, table, said), spans))
    for about in ("notes", "families", "categories"):
        assert made[(about, "alpha")].value == pytest.approx(1)
        assert made[(about, "alpha")].sentence.endswith("it does not say the words are right.")
    assert made[("flower_bench/white_blossom", "alpha")].value == pytest.approx(1)


def test_agreement_grows_from_note_to_family(session, table, spans) -> None:
    words = {"A": ("jasmine", "lime"), "B": ("jasmine", "lemon"), "C": ("gardenia", "lime")}
    said = [(t, c, [w]) for t, pair in words.items() for c, w in zip(("vale", "rio_claro"), pair, strict=True)]
    made = by_about(agreement(gathered(session, table, said), spans))
    assert made[("notes", "alpha")].value < made[("families", "alpha")].value
    notes = made[("notes", "alpha")]
    assert notes.low < notes.value < notes.high
    assert "95 % interval" in notes.sentence


@pytest.mark.parametrize(
    ("said", "reason"),
    [
        ([], "Nobody found anything"),
        ([("A", "vale", ["jasmine"]), ("A", "rio_claro", ["cola"])], "One taster"),
        ([("A", "vale", ["jasmine"]), ("B", "vale", ["cola"])], "Fewer than two servings"),
        ([(t, c, ["jasmine"]) for t in "AB" for c in ("vale", "rio_claro")], "All values are the same"),
    ],
)
def test_degenerate_cases_are_named(session, table, spans, said, reason) -> None:
    first = agreement(gathered(session, table, said), spans)[0]
    assert first.value is None
    assert reason in first.sentence
    assert "nan" not in str(agreement_json([first]))


def test_attributes_give_w_and_alpha(session, table, spans) -> None:
    marks = [(t, c, s) for t in "ABC" for c, s in (("vale", 2.0), ("rio_claro", 4.0))]
    made = by_about(agreement(gathered(session, table, [("A", "vale", ["jasmine"])], marks), spans))
    assert made[("acidity", "W")].value == pytest.approx(1)
    assert made[("acidity", "alpha")].value == pytest.approx(1)


def test_w_stands_beside_chance_and_no_taster_agrees_with_a_copy(session, table, spans) -> None:
    """Three tasters whose marks have nothing in common: W is near 1/3 and its interval must not begin above chance, as
    it did when copies of one taster were counted as agreeing."""
    marks = [
        (t, c, s)
        for t, steps in (("A", (1, 2, 3)), ("B", (3, 1, 2)), ("C", (2, 1, 3)))
        for c, s in zip(("vale", "rio_claro", "sol"), map(float, steps), strict=True)
    ]
    made = by_about(agreement(gathered(session, table, [("A", "vale", ["jasmine"])], marks), spans))[("acidity", "W")]
    assert made.chance == pytest.approx(1 / 3)
    assert made.p > 0.3
    assert made.low < made.chance < made.value < made.high
    assert "chance alone 0.33" in made.sentence
    assert "than chance may give" in made.sentence


def test_a_thing_at_home_in_a_family_has_limits_for_the_family_too() -> None:
    """It counts nobody for the family, whose wedge holds it all the same (the shipped vocabulary has such words)."""
    spans = Spans(open_vocabulary())
    word = next(id for id in spans.ids if (home := spans.parent(id)) and id not in spans.supports[home])
    found = [Finding(t, word, Spot("x", (0, 1), "t", speaker=t, coffee="x")) for t in "AB"]
    made = intervals(build_map(found, Serving("x"), "ABC", spans).folded, spans)
    for low, high in (made.weight[spans.parent(word)], made.share[spans.parent(word)]):
        assert 0 <= low <= high < float("inf")
