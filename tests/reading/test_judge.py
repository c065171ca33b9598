"""The judge's arithmetic: softmax and logistic over named features, against scipy and by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import expit, softmax

from tastevocab.reading.language.judge import Question, chance, choice, moved_most

WEIGHTS = {
    "found": {"always": 0.5, "alone": 1.5, "a question": -2.0},
    "denied": {"always": -1.0, "denial before": 3.0},
    "aside": {"a question": 1.0},
}
NAMES = ["always", "alone", "a question", "denial before", "unheard of"]
numbers = st.floats(-8, 8)


def test_answers_by_hand() -> None:
    shares = Question(WEIGHTS).shares(["always", "alone"])
    raised = {"found": math.exp(2.0), "denied": math.exp(-1.0), "aside": 1.0}
    total = sum(raised.values())
    assert shares == pytest.approx({answer: r / total for answer, r in raised.items()})


@given(st.lists(st.sampled_from(NAMES), unique=True))
def test_answers_are_a_softmax_of_summed_weights(features: list[str]) -> None:
    shares = Question(WEIGHTS).shares(iter(features))
    scores = [sum(of.get(f, 0.0) for f in features) for of in WEIGHTS.values()]
    assert list(shares) == list(WEIGHTS)
    assert list(shares.values()) == pytest.approx(softmax(scores))


def test_features_nobody_has_weighed_change_nothing() -> None:
    assert Question(WEIGHTS).shares(["always", "unheard of"]) == Question(WEIGHTS).shares(["always"])
    assert Question(WEIGHTS).shares([]) == pytest.approx({"found": 1 / 3, "denied": 1 / 3, "aside": 1 / 3})


@given(st.lists(st.dictionaries(st.sampled_from("abc"), numbers), max_size=5), numbers, numbers)
def test_choice_is_a_softmax_of_the_candidates_scores(candidates: list[dict[str, float]], a: float, b: float) -> None:
    shares = choice({"a": a, "b": b}, candidates)
    scores = [a * c.get("a", 0.0) + b * c.get("b", 0.0) for c in candidates]
    assert shares == pytest.approx(list(softmax(scores)) if scores else [])


def test_a_lone_candidate_is_certain_and_none_is_nothing() -> None:
    assert choice({"a": 3.0}, [{"a": -700.0}]) == [1.0]
    assert choice({"a": 3.0}, []) == []


def test_scores_too_large_to_raise_are_shared_all_the_same() -> None:
    assert choice({"a": 1.0}, [{"a": 5000.0}, {"a": 5000.0}, {"a": -5000.0}]) == [0.5, 0.5, 0.0]


@given(st.dictionaries(st.sampled_from("abc"), st.floats(-3, 3)), st.dictionaries(st.sampled_from("abc"), numbers))
def test_chance_is_logistic(weights: dict[str, float], features: dict[str, float]) -> None:
    score = sum(weights.get(name, 0.0) * value for name, value in features.items())
    assert chance(weights, features) == pytest.approx(expit(max(-30.0, min(30.0, score))))


def test_chance_by_hand_and_at_its_ends() -> None:
    assert chance({"x": 2.0}, {"x": 0.5}) == pytest.approx(1 / (1 + math.exp(-1)))
    assert chance({}, {"x": 9.0}) == 0.5
    assert 0 < chance({"x": 1.0}, {"x": -1e9}) < 1e-12
    assert 1 - 1e-12 < chance({"x": 1.0}, {"x": 1e9}) < 1


def test_what_moved_an_answer_most_comes_first() -> None:
    weights = {"always": 9.0, "a": 0.5, "b": -2.0, "c": 0.01, "d": 1.0, "e": 0.6}
    features = {"always": 1.0, "a": 2.0, "b": 1.0, "c": 1.0, "d": 1.0, "e": 1.0, "unheard of": 4.0}
    assert moved_most(weights, features) == ("- b", "+ a", "+ d")
    assert moved_most(weights, features, 9) == ("- b", "+ a", "+ d", "+ e")
    assert moved_most(weights, {"always": 1.0}) == ()
