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


def choice_weights(examples: Sequence[tuple[Sequence[Mapping[str, float]], Sequence[bool]]]) -> dict[str, float]:
    """Weights of features by which the right ones among candidates are chosen (conditional logit, McFadden 1974)."""
    import numpy as np
    from scipy.optimize import minimize

    if not examples:
        return {}
    names = sorted({name for options, _ in examples for o in options for name in o})
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

    def loss(w: Any) -> Any:
        scores = x @ w
        top = np.full(n, -np.inf)
        np.maximum.at(top, g, scores)
        raised = np.exp(scores - top[g])
        total, hit = np.bincount(g, raised, n), np.bincount(g, raised * y, n)
        slope = x.T @ (raised / total[g] - raised * y / hit[g]) + RIDGE * w
        return -(np.log(hit) - np.log(total)).sum() + RIDGE * (w @ w) / 2, slope

    found = minimize(loss, np.zeros(len(names)), jac=True, method="L-BFGS-B").x
    return _kept(dict(zip(names, found, strict=True)))


def chance_weights(examples: Sequence[tuple[Mapping[str, float], bool]]) -> dict[str, float]:
    """Weights of features for a question of yes or no."""
    pairs = [([features, {}], [right, not right]) for features, right in examples]
    return choice_weights(pairs)


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
