"""The judge: fitted weights to probabilities, for every question asked of a mention.

Multinomial logistic regression over named features (a weight for each feature and answer), and the same for choosing
one of several candidates (a weight for each feature). `weights.yaml` holds them, `fitting` makes them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

Weights = Mapping[str, Mapping[str, float]]
UNLIKELY = 1e-4  # no probability is taken for less
LEAST = 0.05  # what moves an answer less is not told


class Question:
    """Weights of one question, turned round: for each feature a row with what it says for every answer, so that a
    feature is looked up once. `weights`: answer to feature to weight."""

    def __init__(self, weights: Weights) -> None:
        self.answers = tuple(weights)
        features = {feature for of in weights.values() for feature in of}
        self.rows = {f: tuple(of.get(f, 0.0) for of in weights.values()) for f in features}
        self.telling = {
            answer: {f: (-abs(by), f, _signed(by, f)) for f, by in of.items() if abs(by) > LEAST and f != "always"}
            for answer, of in weights.items()
        }

    def scores(self, features: Iterable[str]) -> list[float]:
        """The summed weights of each answer, in the order of `answers`."""
        rows = filter(None, map(self.rows.get, features))
        return list(map(sum, zip(*rows, strict=False))) or [0.0] * len(self.answers)

    def shares(self, features: Iterable[str]) -> dict[str, float]:
        """The probability of each answer."""
        return dict(zip(self.answers, _shares(self.scores(features)), strict=True))

    def likeliest(self, features: Iterable[str]) -> str:
        """The answer of the highest probability, the last by name of several."""
        return max(zip(self.scores(features), self.answers, strict=True))[1]

    def signs(self, answer: str, features: Iterable[str], count: int = 3) -> tuple[str, ...]:
        """The features that spoke most for or against an answer, strongest first, with a sign."""
        told: list[Any] = sorted(filter(None, map(self.telling[answer].get, features)))
        return tuple([sign for _, _, sign in told[:count]])


def choice(weights: Mapping[str, float], candidates: Sequence[Mapping[str, float]]) -> list[float]:
    """The probability of each candidate; a candidate is its features with their values."""
    return _shares([_score(weights, c) for c in candidates])


def chance(weights: Mapping[str, float], features: Mapping[str, float]) -> float:
    """The probability of yes to a question of yes or no."""
    return 1 / (1 + math.exp(-max(-30.0, min(30.0, _score(weights, features)))))


def log_of(p: float) -> float:
    """The logarithm of a probability, kept within bounds."""
    return math.log(max(p, UNLIKELY))


def logit(p: float) -> float:
    """The log of the odds, kept within bounds."""
    return log_of(p) - log_of(1 - p)


def moved_most(weights: Mapping[str, float], features: Mapping[str, float], count: int = 3) -> tuple[str, ...]:
    """The features that moved an answer most, strongest first, with a sign. What is weighed once for all and once more
    for a kind ("past, means it") is told as one."""
    pushed: dict[str, float] = {}
    for name, value in features.items():
        whole = name.rpartition(", ")[2]
        pushed[whole] = pushed.get(whole, 0.0) + weights.get(name, 0.0) * value
    pushed.pop("always", None)
    told = sorted((-abs(by), name) for name, by in pushed.items() if abs(by) > LEAST)
    return tuple(_signed(pushed[name], name) for _, name in told[:count])


def _signed(by: float, name: str) -> str:
    return f"{'+' if by > 0 else '-'} {name}"


def _score(weights: Mapping[str, float], features: Mapping[str, float]) -> float:
    return sum(weights.get(name, 0.0) * value for name, value in features.items())


def _shares(scores: Sequence[float]) -> list[float]:
    if not scores:
        return []
    top = max(scores)
    raised = [math.exp(s - top) for s in scores]
    total = sum(raised)
    return [r / total for r in raised]
