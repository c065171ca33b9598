"""The judge: fitted weights to probabilities, for every question asked of a mention.

Multinomial logistic regression over named features (a weight for each feature and answer), and the same for choosing
one of several candidates (a weight for each feature). `weights.yaml` holds them, `fitting` makes them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from itertools import repeat

Weights = Mapping[str, Mapping[str, float]]


def answers(weights: Weights, features: Iterable[str]) -> dict[str, float]:
    """The probability of each answer to a question. `weights`: answer to feature to weight."""
    listed = list(features)
    scores = {answer: sum(map(of.get, listed, repeat(0.0))) for answer, of in weights.items()}
    return dict(zip(scores, _shares(list(scores.values())), strict=True))


def choice(weights: Mapping[str, float], candidates: Sequence[Mapping[str, float]]) -> list[float]:
    """The probability of each candidate; a candidate is its features with their values."""
    return _shares([_score(weights, c) for c in candidates])


def chance(weights: Mapping[str, float], features: Mapping[str, float]) -> float:
    """The probability of yes to a question of yes or no."""
    return 1 / (1 + math.exp(-max(-30.0, min(30.0, _score(weights, features)))))


def moved_most(weights: Mapping[str, float], features: Mapping[str, float], count: int = 3) -> tuple[str, ...]:
    """The features that moved an answer most, strongest first, with a sign."""
    pushed = [(weights.get(name, 0.0) * value, name) for name, value in features.items() if name != "always"]
    pushed.sort(key=lambda p: (-abs(p[0]), p[1]))
    return tuple(f"{'+' if by > 0 else '-'} {name}" for by, name in pushed[:count] if abs(by) > 0.05)


def _score(weights: Mapping[str, float], features: Mapping[str, float]) -> float:
    return sum(weights.get(name, 0.0) * value for name, value in features.items())


def _shares(scores: list[float]) -> list[float]:
    if not scores:
        return []
    top = max(scores)
    raised = [math.exp(s - top) for s in scores]
    total = sum(raised)
    return [r / total for r in raised]
