"""Bootstrap intervals, and agreement over a whole session with its degenerate cases."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from panel_seats import seat

from tastevocab.errors import StatisticsError
from tastevocab.panel.agreement import agreement, agreement_json
from tastevocab.panel.flavour_map import Serving, build_map
from tastevocab.panel.gather import Gathered
from tastevocab.panel.intervals import bootstrap, resample_counts
from tastevocab.reading.records import AttributeFinding, Spot


def test_resamples_draw_as_many_as_there_are_and_repeat_by_seed() -> None:
    first = np.concatenate(list(resample_counts(7, 130, 3)))
    assert first.shape == (130, 7)
    assert (first.sum(axis=1) == 7).all()
    assert (first == np.concatenate(list(resample_counts(7, 130, 3)))).all()
    assert (first != np.concatenate(list(resample_counts(7, 130, 4)))).any()


@pytest.mark.parametrize("weighting", ["mark", "voice", "plain"])
def test_bootstrap_is_the_map_rebuilt_from_each_resample(spans, table, weighting) -> None:
    """Against the slow way: draw the tasters, give each copy a name, build the whole map again."""
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
    low, high = bootstrap(made.folded, spans, weighting, samples=samples).share["flower_bench/white_blossom/jasmine"]
    assert (low, high) == pytest.approx(tuple(np.percentile(shares, (2.5, 97.5))))


def test_one_taster_has_no_interval(spans, table) -> None:
    made = build_map([table.say("A", "jasmine")], Serving("x"), "A", spans)
    with pytest.raises(StatisticsError, match="two tasters"):
        bootstrap(made.folded, spans)


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
    made = by_about(agreement(gathered(session, table, said), spans, samples=50))
    for about in ("notes", "families", "categories"):
        assert made[(about, "alpha")].value == pytest.approx(1)
        assert made[(about, "alpha")].sentence.endswith("it does not say the words are right.")
    assert made[("flower_bench/white_blossom", "alpha")].value == pytest.approx(1)


def test_agreement_grows_from_note_to_family(session, table, spans) -> None:
    words = {"A": ("jasmine", "lime"), "B": ("jasmine", "lemon"), "C": ("gardenia", "lime")}
    said = [(t, c, [w]) for t, pair in words.items() for c, w in zip(("vale", "rio_claro"), pair, strict=True)]
    made = by_about(agreement(gathered(session, table, said), spans, samples=0))
    assert made[("notes", "alpha")].value < made[("families", "alpha")].value
    assert made[("notes", "alpha")].low is None


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
    first = agreement(gathered(session, table, said), spans, samples=20)[0]
    assert first.value is None
    assert reason in first.sentence
    assert "nan" not in str(agreement_json([first]))


def test_attributes_give_w_and_alpha(session, table, spans) -> None:
    marks = [(t, c, s) for t in "ABC" for c, s in (("vale", 2.0), ("rio_claro", 4.0))]
    made = by_about(agreement(gathered(session, table, [("A", "vale", ["jasmine"])], marks), spans, samples=30))
    assert made[("acidity", "W")].value == pytest.approx(1)
    assert made[("acidity", "alpha")].value == pytest.approx(1)
