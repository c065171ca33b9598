"""How the panel's cost grows with the crowd: a map and its bootstrap at 100 to 100,000 tasters of 20 findings each.

Run with `pytest tests/bench/test_panel_bench.py -n 0 --benchmark-enable`; the limits are tests of their own below.
They are
told for a crowd of ten thousand and held on a tenth of it, or on all of it where TASTEVOCAB_BIG is set.
"""

from __future__ import annotations

import os
import tracemalloc
from functools import cache

import numpy as np
import pytest

from tastevocab.panel.flavour_map import Serving, build_map
from tastevocab.panel.folding import fold
from tastevocab.panel.intervals import intervals
from tastevocab.panel.spans import Spans
from tastevocab.reading.records import Finding, Spot
from tastevocab.vocabulary.cache import open_vocabulary

EACH = 20
CROWD = 10_000 if os.environ.get("TASTEVOCAB_BIG") else 1_000
SERVING = Serving("public")


@cache
def spans() -> Spans:
    return Spans(open_vocabulary())


def crowd(tasters: int) -> tuple[list[str], list[Finding]]:
    """Tasters who each name twenty descriptors, some far oftener than others, with doubt and degrees."""
    random = np.random.default_rng(7)
    ids = spans().ids
    weights = 1 / np.arange(1, len(ids) + 1)
    picked = random.choice(random.permutation(len(ids)), size=(tasters, EACH), p=weights / weights.sum())
    sure = random.choice([1.0, 1.0, 0.5, 0.25], size=(tasters, EACH))
    strong = random.choice([-1.0, 6.1, 17.2, 35.4], size=(tasters, EACH))
    names = [f"t{i:06}" for i in range(tasters)]
    found = []
    for i, name in enumerate(names):
        spot = Spot("words", (0, 5), "sheet", speaker=name, coffee="public")
        for j in range(EACH):
            strength = None if strong[i, j] < 0 else float(strong[i, j])
            found.append(
                Finding(f"{name}-{j}", ids[picked[i, j]], spot, certainty=float(sure[i, j]), strength=strength)
            )
    return names, found


@pytest.mark.parametrize("tasters", [100, 1_000, 10_000, 100_000])
def test_map_of_a_crowd(benchmark, tasters) -> None:
    if tasters > CROWD and benchmark.disabled:
        pytest.skip("only with --benchmark-enable")
    names, found = crowd(tasters)
    made = benchmark.pedantic(lambda: build_map(found, SERVING, names, spans()), rounds=1, iterations=1)
    assert sum(n.share for n in made.nodes if not n.parent) == pytest.approx(1)


@pytest.mark.parametrize("tasters", [100, 1_000, 10_000])
def test_bootstrap_of_a_crowd(benchmark, tasters) -> None:
    if tasters > CROWD and benchmark.disabled:
        pytest.skip("only with --benchmark-enable")
    names, found = crowd(tasters)
    folded = fold(found, names, spans())
    samples = 100 if benchmark.disabled else 1000
    made = benchmark.pedantic(lambda: intervals(folded, spans(), samples=samples), rounds=1, iterations=1)
    assert all(low <= high for low, high in made.share.values())


def test_a_hundred_thousand_tasters_take_300_megabytes() -> None:
    """Of the map's own, beside the findings; a tenth of it, or less, where TASTEVOCAB_BIG is not set."""
    tasters = 10 * CROWD
    names, found = crowd(tasters)
    spans()
    tracemalloc.start()
    made = build_map(found, SERVING, names, spans())
    assert len(made.tasters) == tasters
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 30e6 + 270e6 * tasters / 100_000
