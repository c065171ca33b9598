"""Weights from examples: logistic regression, for answers, for yes or no, and for choosing among candidates.

Penalised by the squares of the weights (ridge; Hoerl and Kennard 1970), minimised by L-BFGS (Nocedal 1980, scipy's):
the same examples give the same weights. Needs scipy (extra `test`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

RIDGE = 1.0
LEAST = 4  # a feature seen less often than this gets no weight


def choice_weights(
    examples: Sequence[tuple[Sequence[Mapping[str, float]], Sequence[bool]]], before: Mapping[str, float] | None = None
) -> dict[str, float]:
    """Weights of features by which the right ones among candidates are chosen (conditional logit, McFadden 1974).

    `before`: weights to learn on from, which count as much as the examples: they hold as firmly as so many examples
    would hold them (the diagonal of the information, Fisher 1922).
    """
    import numpy as np
    from scipy.optimize import minimize

    old = before or {}
    names = sorted({*old, *(name for options, _ in examples for o in options for name in o)})
    index = {name: i for i, name in enumerate(names)}
    rows, group, right = [], [], []
    for number, (options, hits) in enumerate(examples):
        for option, hit in zip(options, hits, strict=True):
            row = np.zeros(len(names))
            for name, value in option.items():
                row[index[name]] = value
            rows.append(row)
            group.append(number)
            right.append(float(hit))
    x, g, y, n = np.array(rows), np.array(group), np.array(right), len(examples)

    def raised(w: Any) -> tuple[Any, Any]:
        scores = x @ w
        top = np.full(n, -np.inf)
        np.maximum.at(top, g, scores)
        odds = np.exp(scores - top[g])
        return odds, np.bincount(g, odds, n)

    first = np.array([old.get(name, 0.0) for name in names])
    held = np.full(len(names), RIDGE)
    if old:
        odds, total = raised(first)
        shares = odds / total[g]
        means = np.array([np.bincount(g, shares * column, n) for column in x.T]).T
        held += np.array([name in old for name in names]) * (shares @ (x - means[g]) ** 2)

    def loss(w: Any) -> Any:
        odds, total = raised(w)
        hit, far = np.bincount(g, odds * y, n), w - first
        slope = x.T @ (odds / total[g] - odds * y / hit[g]) + held * far
        return -(np.log(hit) - np.log(total)).sum() + held @ far**2 / 2, slope

    found = minimize(loss, first, jac=True, method="L-BFGS-B").x
    return _kept(dict(zip(names, found, strict=True)))


def chance_weights(
    examples: Sequence[tuple[Mapping[str, float], bool]], before: Mapping[str, float] | None = None
) -> dict[str, float]:
    """Weights of features for a question of yes or no; `before` as in `choice_weights`."""
    pairs = [([features, {}], [right, not right]) for features, right in examples]
    return choice_weights(pairs, before)


def answer_weights(
    examples: Sequence[tuple[Sequence[str], str]], weights: Sequence[float], ridge: float
) -> dict[str, dict[str, float]]:
    """Weights of features for each answer (multinomial logit); `weights` say how much each example counts."""
    import numpy as np
    from scipy.optimize import minimize
    from scipy.sparse import csr_matrix

    seen = Counter(f for features, _ in examples for f in features)
    index = {f: i for i, f in enumerate(sorted(f for f, count in seen.items() if count >= LEAST))}
    labels = sorted({answer for _, answer in examples})
    cells = [(r, index[f]) for r, (features, _) in enumerate(examples) for f in features if f in index]
    rows, columns = np.array(cells).T
    x = csr_matrix((np.ones(len(cells)), (rows, columns)), (len(examples), len(index)))
    y = np.eye(len(labels))[[labels.index(answer) for _, answer in examples]]
    each = np.array(weights)[:, None]

    def loss(flat: Any) -> Any:
        w = flat.reshape(len(index), len(labels))
        scores = x @ w
        scores -= scores.max(1, keepdims=True)
        logs = scores - np.log(np.exp(scores).sum(1, keepdims=True))
        slope = x.T @ (each * (np.exp(logs) - y)) + ridge * w
        return -(each * y * logs).sum() + ridge * (w**2).sum() / 2, slope.ravel()

    start = np.zeros(len(index) * len(labels))
    found = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": 150}).x.reshape(len(index), -1)
    return {label: _kept({f: found[i, c] for f, i in index.items()}) for c, label in enumerate(labels)}


def _kept(weights: Mapping[str, Any]) -> dict[str, float]:
    return {name: round(float(w), 3) for name, w in sorted(weights.items()) if abs(w) >= 0.02}
