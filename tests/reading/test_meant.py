"""What a stretch means: the likeliest of what it may, heard a second time where that is in doubt."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tastevocab.reading.language.meant import DOUBT, FEW, Hear, finding_features, meant_by, shares_of
from tastevocab.reading.language.reference import Candidate
from tastevocab.reading.language.spans import Span

PLUM, ROSE = "orchard/plums", "flower_bench/rose_petal/rose"
WEIGHTS = {"means": {"points": 1.0}, "again": {"means it": 1.0, "heard again": 1.0}}


def option(descriptor: str, points: float, kind: str = "linked") -> Candidate:
    return Candidate(descriptor, None, {kind: 1.0, "points": points})


def never(few: Sequence[str]) -> list[float]:
    raise AssertionError("what is sure is not heard again")


def hears(**answers: float) -> Hear:
    return lambda few: [answers[d.rsplit("/", 1)[-1]] for d in few] + [0.05]


def test_what_is_sure_is_not_heard_again() -> None:
    meant = meant_by([option(PLUM, 3.0), option(ROSE, 0.0)], WEIGHTS, never)
    assert (meant.best.descriptor, meant.again) == (PLUM, None)
    assert meant.share >= DOUBT


def test_what_is_in_doubt_is_heard_again_and_both_count() -> None:
    doubtful = [option(PLUM, 0.2), option(ROSE, 0.0)]
    assert meant_by(doubtful, WEIGHTS, hears(plums=0.45, rose=0.5)).best.descriptor == PLUM
    heard = meant_by(doubtful, WEIGHTS, hears(plums=0.15, rose=0.8))
    assert (heard.best.descriptor, heard.again) == (ROSE, 0.8)
    assert heard.share == pytest.approx(0.8 / (0.8 + 0.15 * 2.718281828**0.2))
    assert meant_by(doubtful, WEIGHTS, lambda few: []).best.descriptor == PLUM


def test_only_the_likeliest_few_are_heard_again() -> None:
    asked: list[str] = []

    def hear(few: Sequence[str]) -> list[float]:
        asked.extend(few)
        return [1 / (len(few) + 1)] * (len(few) + 1)

    meant_by([option(f"a/b/{n}", n / 10) for n in range(9)], WEIGHTS, hear)
    assert asked == [f"a/b/{n}" for n in range(8, 8 - FEW, -1)]


@given(st.lists(st.tuples(st.sampled_from("abc"), st.floats(0, 1)), min_size=1, max_size=9))
def test_shares_of_one_descriptor_are_added_up_and_its_likeliest_candidate_kept(made: list[tuple[str, float]]) -> None:
    options, shares = [option(d, p) for d, p in made], [p for _, p in made]
    found = shares_of(options, shares)
    assert sum(share for share, _ in found.values()) == pytest.approx(sum(shares))
    for descriptor, (_, best) in found.items():
        assert best.features["points"] == max(p for d, p in made if d == descriptor)


def test_how_sure_a_finding_is_rests_on_the_second_hearing_where_there_was_one() -> None:
    span = Span(0, 2, (0.0, 0.9, 0.0, 0.0, 0.0, 0.0, 0.0), 0.9)
    once = finding_features(span, meant_by([option(PLUM, 3.0), option(ROSE, 0.0)], WEIGHTS, never))
    twice = finding_features(
        span, meant_by([option(PLUM, 0.1), option(ROSE, 0.0)], WEIGHTS, hears(plums=0.9, rose=0.05))
    )
    assert {"in doubt", "heard again"} == set(twice) - set(once)
    assert twice["heard again"] > 0
