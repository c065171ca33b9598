"""Distances: of two tasters' sets of words (MASI), of two maps (Jensen-Shannon, earth mover's along the tree)."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from collections.abc import Set as AbstractSet

from tastevocab.errors import StatisticsError


def masi(a: AbstractSet[str], b: AbstractSet[str]) -> float:
    """MASI distance 0..1 of two sets: 1 - Jaccard x (1 equal, 2/3 one inside the other, 1/3 overlapping, 0 apart).

    Passonneau (2006, LREC, 831-836), with fractions. Two empty sets agree: 0 (our choice; the paper does not say).

    >>> round(masi({"plum"}, {"plum", "cocoa"}), 4)
    0.6667
    """
    if a == b:
        return 0.0
    shared = len(a & b)
    if not shared:
        return 1.0
    monotony = 2 / 3 if a <= b or b <= a else 1 / 3
    return 1 - shared / len(a | b) * monotony


def jensen_shannon(p: Mapping[str, float], q: Mapping[str, float]) -> float:
    """Jensen-Shannon distance 0 (alike) .. 1 (nothing in common): square root of the divergence in bits.

    `p` and `q` are weights (made to sum to 1). Endres & Schindelin (2003, IEEE Trans. Inf. Theory 49:1858-1860).
    Raises `StatisticsError` where either is all zero.
    """
    p, q = _shares(p), _shares(q)
    divergence = 0.0
    for key in p.keys() | q.keys():
        a, b = p.get(key, 0.0), q.get(key, 0.0)
        middle = (a + b) / 2
        divergence += sum(x * math.log2(x / middle) for x in (a, b) if x > 0) / 2
    return math.sqrt(max(0.0, divergence))


def tree_movers(
    p: Mapping[str, float],
    q: Mapping[str, float],
    parent: Callable[[str], str],
    length: Callable[[str], float] = lambda node: 1.0,
) -> float:
    """Earth mover's distance of two maps along the tree: how many steps a share must move on average to turn one into
    the other (0 alike, 2 to a sibling note, 4 to another family, 6 to another category).

    The sum over edges of length x |difference of the mass below| (Evans & Matsen 2012). `parent` gives what a node
    hangs from ("" at the top), `length` the length of the edge above a node. Raises `StatisticsError` where either is
    all zero.
    """
    p, q = _shares(p), _shares(q)
    moved: dict[str, float] = {}
    for id in p.keys() | q.keys():
        difference = p.get(id, 0.0) - q.get(id, 0.0)
        while id:
            moved[id] = moved.get(id, 0.0) + difference
            id = parent(id)
    return math.fsum(length(id) * abs(difference) for id, difference in moved.items())


def _shares(weights: Mapping[str, float]) -> dict[str, float]:
    total = math.fsum(weights.values())
    if total <= 0:
        raise StatisticsError("a map without findings has no distance to another", mend="show the other map alone")
    return {id: weight / total for id, weight in weights.items() if weight > 0}
