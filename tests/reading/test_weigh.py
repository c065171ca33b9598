"""Fitted weights beside those of statsmodels (Seabold, Perktold 2010)."""

from __future__ import annotations

import numpy as np
import pytest
from statsmodels.discrete.conditional_models import ConditionalLogit
from statsmodels.discrete.discrete_model import Logit

from tastevocab.reading.fitting.weigh import chance_weights, choice_weights

TRUE = {"a": 1.2, "b": -0.7, "c": 0.3}
Examples = list[tuple[list[dict[str, float]], list[bool]]]


def choices(count: int, seed: int) -> Examples:
    """Choices among three or four candidates that are made by TRUE."""
    rng = np.random.default_rng(seed)
    made: Examples = []
    for _ in range(count):
        options = [dict(zip(TRUE, rng.normal(size=len(TRUE)), strict=True)) for _ in range(rng.integers(3, 5))]
        scores = [sum(TRUE[name] * value for name, value in o.items()) + rng.gumbel() for o in options]
        made.append((options, [score == max(scores) for score in scores]))
    return made


def test_weights_of_a_choice_are_those_of_a_conditional_logit() -> None:
    examples = choices(1500, seed=1)
    rows = [[o[name] for name in TRUE] for options, _ in examples for o in options]
    groups = [number for number, (options, _) in enumerate(examples) for _ in options]
    right = [float(hit) for _, hits in examples for hit in hits]
    theirs = ConditionalLogit(np.array(right), np.array(rows), groups=np.array(groups)).fit(disp=False).params
    assert choice_weights(examples) == pytest.approx(dict(zip(TRUE, theirs, strict=True)), abs=0.01)  # ridge, rounding


def test_weights_of_yes_or_no_are_those_of_a_logit() -> None:
    rng = np.random.default_rng(2)
    x = np.column_stack([np.ones(3000), rng.normal(size=(3000, 2))])
    y = rng.random(3000) < 1 / (1 + np.exp(-x @ (0.5, 1.0, -2.0)))
    names = ("always", "a", "b")
    ours = chance_weights([(dict(zip(names, row, strict=True)), bool(hit)) for row, hit in zip(x, y, strict=True)])
    theirs = Logit(y.astype(float), x).fit(disp=False).params
    assert ours == pytest.approx(dict(zip(names, theirs, strict=True)), abs=0.02)
