"""What a stretch means: the likeliest of what it may, heard a second time where that is in doubt."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tastevocab.reading.language.judge import logit
from tastevocab.reading.language.meant import FEW, HIGH, LOW, Hear, Meant, meant_by, shares_of
from tastevocab.reading.language.reference import Candidate
from tastevocab.reading.language.spans import Span

PLUM, ROSE = "orchard/plums", "flower_bench/rose_petal/rose"
SAID = Span(0, 2, (0.0, 0.9, 0.0, 0.0, 0.0, 0.0, 0.0), 0.9)
WEIGHTS = {
    "means": {"points": 1.0},
    "right": {"means it": 1.0},
    "again": {"means it": 1.0, "heard again": 1.0},
    "right again": {"heard again": 1.0},
}


def meant(options: Sequence[Candidate], hear: Hear) -> Meant:
    return meant_by(SAID, options, WEIGHTS, hear)


def option(descriptor: str, points: float, kind: str = "linked") -> Candidate:
    return Candidate(descriptor, None, {kind: 1.0, "points": points})


def never(few: Sequence[str]) -> list[float]:
    raise AssertionError("what is sure is not heard again")


def hears(**answers: float) -> Hear:
    return lambda few: [answers[d.rsplit("/", 1)[-1]] for d in few] + [0.05]


@pytest.mark.parametrize("points", [[3.0, 0.0], [0.0] * 4], ids=["nearly sure", "hardly likely"])
def test_what_is_in_no_doubt_is_not_heard_again(points: list[float]) -> None:
    found = meant([option(f"a/b/{n}", p) for n, p in enumerate(points)], never)
    assert found.sure >= HIGH or found.sure <= LOW
    assert "heard again" not in found.features


def test_what_is_in_doubt_is_heard_again_and_both_count() -> None:
    doubtful = [option(PLUM, 0.2), option(ROSE, 0.0)]
    assert meant(doubtful, hears(plums=0.45, rose=0.5)).best.descriptor == PLUM
    heard = meant(doubtful, hears(plums=0.15, rose=0.8))
    assert heard.best.descriptor == ROSE
    share = 0.8 / (0.8 + 0.15 * 2.718281828**0.2)
    assert heard.features["means it"] == pytest.approx(logit(share))
    assert heard.features["heard again"] == pytest.approx(logit(0.8))
    assert meant(doubtful, lambda few: []).best.descriptor == PLUM  # no word of it was heard: the first hearing stands


def test_how_sure_a_finding_is_rests_on_the_second_hearing_where_there_was_one() -> None:
    doubtful = [option(PLUM, 0.2), option(ROSE, 0.0)]
    assert meant(doubtful, hears(plums=0.9, rose=0.05)).sure > HIGH
    assert meant(doubtful, hears(plums=0.1, rose=0.05)).sure < LOW


def test_only_the_likeliest_few_are_heard_again() -> None:
    asked: list[str] = []

    def hear(few: Sequence[str]) -> list[float]:
        asked.extend(few)
        return [1 / (len(few) + 1)] * (len(few) + 1)

    meant([option("a/b/9", 2.5), *(option(f"a/b/{n}", n / 10) for n in range(9))], hear)
    assert asked == ["a/b/9", *(f"a/b/{n}" for n in range(8, 9 - FEW, -1))]


@given(st.lists(st.tuples(st.sampled_from("abc"), st.floats(0, 1)), min_size=1, max_size=9))
def test_shares_of_one_descriptor_are_added_up_and_its_likeliest_candidate_kept(made: list[tuple[str, float]]) -> None:
    options, shares = [option(d, p) for d, p in made], [p for _, p in made]
    found = shares_of(options, shares)
    assert sum(share for share, _ in found.values()) == pytest.approx(sum(shares))
    for descriptor, (_, best) in found.items():
        assert best.features["points"] == max(p for d, p in made if d == descriptor)
