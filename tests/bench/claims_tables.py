"""What the claims hold, as tables: false alarms and power of the shuffling, lines of random panels, coverage of
intervals and ellipses, false discoveries, balance of orders. `python tests/bench/claims_tables.py` prints them as
Markdown in some minutes, seeded; with the name of a table (alarms, power, partial, lines, coverage, agreement, orders,
cells, planes) only that one.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from functools import partial as partial_of
from math import comb

import numpy as np

from tastevocab.panel import permutation
from tastevocab.panel.cell_tests import cell_chances
from tastevocab.panel.chance import weighed
from tastevocab.panel.correspondence import correspondence
from tastevocab.panel.designs import balance, orders
from tastevocab.panel.distances import masi
from tastevocab.panel.ellipses import Ellipse, ellipses
from tastevocab.panel.exact import exact_interval, false_discovery
from tastevocab.panel.flavour_map import FlavourMap, Serving, build_map
from tastevocab.panel.intervals import intervals, wilson
from tastevocab.panel.permutation import shuffle
from tastevocab.panel.reliability import Pairs, alpha_interval, w_interval
from tastevocab.panel.rungs import climb
from tastevocab.panel.summary import Bench, bench
from tastevocab.panel.tried import against_rest, pairs
from tastevocab.reading.records import Finding, Spot
from tastevocab.reading.review.company import quorum
from tastevocab.vocabulary.cache import open_vocabulary

TASTERS, SERVINGS = (3, 5, 8), (2, 3, 6)
WORDS = np.array([0.5, 0.35, 0.3, 0.25, 0.2, 0.2, 0.15, 0.15, 0.1, 0.1, 0.1, 0.1])
"""How often each of twelve words falls at one serving; a third of tasters say some of them at every serving."""


def table(rows: list[list[object]], head: list[str]) -> str:
    lines = ["| " + " | ".join(map(str, row)) + " |" for row in (head, ["---"] * len(head), *rows)]
    return "\n".join(lines)


def panels(random: np.random.Generator, count: int, tasters: int, servings: int) -> np.ndarray:
    """Panels x tasters x servings x words, alike in every serving; habits make a taster's own servings alike."""
    habit = random.random((count, tasters, 1, len(WORDS))) < WORDS * random.random((count, tasters, 1, 1))
    return habit | (random.random((count, tasters, servings, len(WORDS))) < WORDS)


def every_pair(servings: int) -> list[tuple[int, int]]:
    return [(a, b) for b in range(servings) for a in range(b)]


def overall(found: np.ndarray) -> float:
    return shuffle(found, np.ones(found.shape[:2], dtype=bool), pairs(every_pair(found.shape[1]))).overall


def alarms(count: int) -> Iterator[str]:
    """How often the test finds any difference where the coffees are identical."""
    random = np.random.default_rng(1)
    rows = []
    for tasters in TASTERS:
        row: list[object] = [tasters]
        for servings in SERVINGS:
            made = panels(random, count, tasters, servings)
            row.append(f"{100 * np.mean([overall(p) <= 0.05 for p in made]):.1f} %")
        rows.append(row)
    yield f"False alarms, identical coffees ({count} panels each, 12 words, all pairs, 5 % asked for)\n"
    yield table(rows, ["tasters", *(f"{s} servings" for s in SERVINGS)])


def power(count: int) -> Iterator[str]:
    """How often it finds that the last serving has a word that the others do not."""
    random = np.random.default_rng(2)
    rows = []
    for there in (0.9, 0.7, 0.5):
        for tasters in TASTERS:
            row: list[object] = [f"{100 * there:.0f} %, elsewhere 5 %", tasters]
            for servings in SERVINGS:
                made = panels(random, count, tasters, servings)
                made[:, :, :, 2] = random.random(made.shape[:3]) < 0.05
                made[:, :, -1, 2] = random.random(made.shape[:2]) < there
                named = [
                    (shuffle(p, np.ones(p.shape[:2], dtype=bool), against_rest(p.shape[1])).p[-1, 2] <= 0.05)
                    for p in made
                ]
                row.append(f"{100 * np.mean(named):.0f} %")
            rows.append(row)
    yield f"Power: the one word that one serving has is named ({count} panels each, beside 11 words alike)\n"
    yield table(rows, ["found there by", "tasters", *(f"{s} servings" for s in SERVINGS)])


def partial(count: int) -> Iterator[str]:
    """Two servings alike and a third that differs in three words: how often a difference between the two is named."""
    random = np.random.default_rng(3)
    rows = []
    for tasters in TASTERS:
        made = panels(random, count, tasters, 3)
        made[:, :, 2, :3] = random.random((count, tasters, 3)) < 0.9
        wrong = [(shuffle(p, np.ones(p.shape[:2], dtype=bool), pairs(every_pair(3))).p[0] <= 0.05).any() for p in made]
        rows.append([tasters, f"{100 * np.mean(wrong):.1f} %"])
    yield f"False alarms between two cups alike beside a third that differs ({count} panels each)\n"
    yield table(rows, ["tasters", "named"])


def said_by(tools: Bench, said: list[list[int]]) -> FlavourMap:
    names = [f"t{i}" for i in range(len(said))]
    found = [
        Finding(f"{name}-{w}", tools.spans.ids[w], Spot("w", (0, 1), "s", speaker=name, coffee="x"))
        for name, words in zip(names, said, strict=True)
        for w in words
    ]
    return build_map(found, Serving("x"), names, tools.spans)


def lines(count: int) -> Iterator[str]:
    """How many panels that say random words at base rates have a line, before and after chance is asked."""
    tools = bench(open_vocabulary())
    assert tools.random
    rows = []
    for tasters in TASTERS:
        for words in (2, 4, 8):
            before = after = kept = 0
            for said in tools.random.draw([words] * tasters, count, 99):
                made = said_by(tools, said)
                ladder, chance = climb(made, tools.spans), tools.random.weigh(made)
                before += bool(ladder.rungs)
                after += bool(weighed(ladder, chance, "say").rungs)
                kept += bool(weighed(ladder, chance, "leave_out").rungs)
            rows.append([tasters, words, *(f"{100 * k / count:.0f}" for k in (before, after, kept))])
    yield f"Lines printed by 100 panels of random words ({count} panels each)\n"
    yield table(rows, ["tasters", "words each", "a word at quorum", "`say`", "`leave_out`"])


def coverage(count: int) -> Iterator[str]:
    """How often the true figure is inside its 95 % interval."""
    tools = bench(open_vocabulary())
    random = np.random.default_rng(4)
    ids = [id for id in tools.spans.ids if tools.spans.descriptor(id).level == "note"][::60][:6]
    ids += [i for i in tools.spans.below(tools.spans.parent(ids[0])) if i != ids[0]][:2]
    chances = np.array([0.55, 0.3, 0.4, 0.2, 0.5, 0.15, 0.25, 0.35])[: len(ids)]

    def drawn(tasters: int) -> FlavourMap:
        names = [f"t{i}" for i in range(tasters)]
        found = [
            Finding(f"{n}{id}", id, Spot("w", (0, 1), "s", speaker=n, coffee="x"),
                    certainty=float(random.choice([1.0, 0.5], p=[0.8, 0.2])),
                    strength=float(random.choice([17.2, 6.1, 35.4, 53.3], p=[0.79, 0.07, 0.07, 0.07])))
            for n in names for id, p in zip(ids, chances, strict=True) if random.random() < p
        ]  # fmt: skip
        return build_map(found, Serving("x"), names, tools.spans)

    true = drawn(40_000).by_id
    rows = []
    for tasters in (3, 4, 5, 6, 8):
        need = quorum(tasters)
        held = dict.fromkeys(("wedge", "share"), 0)
        of = 0
        for _ in range(count):
            made = drawn(tasters)
            if not made.folded.taster.size:
                continue
            known = intervals(made.folded, tools.spans)
            for node in made.nodes:
                if node.wedge > 0:
                    of += 1
                    low, high = known.weight[node.descriptor]
                    held["wedge"] += low <= true[node.descriptor].wedge <= high
                    low, high = known.share[node.descriptor]
                    held["share"] += low <= true[node.descriptor].share <= high
        rows.append(
            [
                tasters,
                *(
                    f"{100 * min(_covered(p, tasters, least, limits) for p in np.linspace(0.02, 0.98, 97)):.0f} %"
                    for least, limits in (
                        (0, wilson),
                        (0, exact_interval),
                        (need, wilson),
                        (need, partial_of(exact_interval, least=need)),
                    )
                ),
                f"{100 * held['wedge'] / of:.1f} %",
                f"{100 * held['share'] / of:.1f} %",
            ]
        )
    yield f"Coverage of 95 % intervals (k of N: worst true share, exactly; wedges and shares: {count} panels each)\n"
    yield table(
        rows,
        [
            "tasters",
            "k of N, Wilson",
            "k of N, exact",
            "printed words, Wilson",
            "printed words, as told",
            "wedges",
            "shares",
        ],
    )


def _covered(share: float, tasters: int, least: int, interval) -> float:  # type: ignore[no-untyped-def]
    """The chance that the interval holds the share, among the outcomes from `least` on."""
    chance = np.array([comb(tasters, k) * share**k * (1 - share) ** (tasters - k) for k in range(tasters + 1)])
    held = sum(
        chance[k]
        for k in range(least, tasters + 1)
        if interval(k, tasters)[0] - 1e-9 <= share <= interval(k, tasters)[1] + 1e-9
    )
    return float(held / chance[least:].sum())


def agreement(count: int) -> Iterator[str]:
    """Coverage of the intervals of alpha (sets of words) and of W, over tasters."""
    random = np.random.default_rng(5)
    rates = random.random((4, 8)) ** 2 * 0.9
    base = np.array([0, 0.5, 1.0, 1.8])

    def sets(tasters: int) -> Pairs:
        habit = random.normal(size=(tasters, 1, 8)) * 0.8
        found = random.random((tasters, 4, 8)) < 1 / (1 + np.exp(-np.log(rates / (1 - rates)) - habit))
        cells = [(frozenset(np.flatnonzero(found[t, u]).tolist()), t, u) for t in range(tasters) for u in range(4)]
        return Pairs(*map(list, zip(*cells, strict=True)), masi)

    def marks(tasters: int) -> np.ndarray:
        return np.argsort(np.argsort(base + random.normal(size=(tasters, 4)) * 1.2, axis=1), axis=1).astype(float)

    alpha = float(sets(500).alpha()[0])
    ranks = marks(200_000) - 1.5
    mean = ((ranks.sum(axis=0) ** 2).sum() - (ranks**2).sum()) / ((len(ranks) - 1) * (ranks**2).sum())
    rows = []
    for tasters in (3, 4, 5, 6, 8):
        found = [alpha_interval(sets(tasters), tasters) for _ in range(count)]
        w_found = [w_interval(marks(tasters)) for _ in range(count)]
        w = (1 + (tasters - 1) * mean) / tasters
        rows.append([tasters, *(_share_held(f, t) for f, t in ((found, alpha), (w_found, w)))])
    yield f"Coverage of 95 % intervals of agreement ({count} panels each, 4 servings)\n"
    yield table(rows, ["tasters", "alpha of word sets", "Kendall's W"])


def _share_held(limits: list[tuple[float, float] | None], true: float) -> str:
    known = [pair for pair in limits if pair]
    return f"{100 * np.mean([low <= true <= high for low, high in known]):.1f} %"


def balances(_: int) -> Iterator[str]:
    """How even serving orders are."""
    rows = []
    for samples, size in ((3, 3), (4, 4), (5, 5), (6, 6), (6, 3), (7, 3), (9, 3)):
        for tasters in (3, 5, 8, 10, 12):
            made = balance(orders(tasters, samples, per_sitting=size), samples)
            cells = (made.served, made.places, made.follows, made.meets)
            rows.append([samples, size, tasters, *(f"{a}" if a == b else f"{a} to {b}" for a, b in cells)])
    yield "Balance of serving orders: the least and the most\n"
    yield table(
        rows, ["samples", "a sitting", "tasters", "served", "at any one place", "after any one other", "any two meet"]
    )


def cells(count: int) -> Iterator[str]:
    """How often the coffees' table tells a cell where all are alike; of cells told where one word of twelve differs in
    one coffee and another in another, how many are none; how often each of the two is told."""
    random = np.random.default_rng(6)
    rows = []
    for tasters in (5, 8, 12, 20):
        for servings in (3, 6):
            alike, false, right = [], [], []
            for made in panels(random, count, tasters, servings):
                alike.append(bool(_told_cells(made)))
                for coffee, word in ((0, 2), (1, 5)):
                    made[:, :, word] = random.random((tasters, servings)) < 0.05
                    made[:, coffee, word] = random.random(tasters) < 0.7
                told = _told_cells(made)
                # Where one coffee has more of a word the others have less: any cell of those two words is right.
                wrong = [cell for cell in told if cell[1] not in (2, 5)]
                false.append(len(wrong) / max(len(told), 1))
                right.append((((0, 2) in told) + ((1, 5) in told)) / 2)
            rows.append([tasters, servings, *(f"{100 * np.mean(v):.1f} %" for v in (alike, false, right))])
    yield f"Cells of the table of coffees and words ({count} tables each, 12 words, two of them 70 % against 5 %)\n"
    yield table(rows, ["tasters", "coffees", "alike: any cell told", "of cells told: false", "the two: told"])


def _told_cells(found: np.ndarray) -> set[tuple[int, int]]:
    _, p, least = cell_chances(found, np.ones(found.shape[:2], dtype=bool))
    places = [(int(c), int(w)) for c, w in np.argwhere(least < 1)]
    corrected = false_discovery([float(p[place]) for place in places])
    return {place for place, q in zip(places, corrected, strict=True) if q <= 0.05}


def planes(count: int) -> Iterator[str]:
    """How often a coffee's true profile, laid on the plane of a table of tasters, is inside its ellipse."""
    random = np.random.default_rng(7)
    rows = []
    for tasters in (5, 8, 12, 20, 60):
        inside = []
        for _ in range(count):
            chances = random.dirichlet(np.ones(12)) * 3.5 * np.exp(random.normal(0, 0.7, (4, 12)))
            chances = np.clip(chances, 0.0, 0.9)
            found = random.random((tasters, 4, 12)) < chances
            kept = found.any(axis=(0, 1))
            counts = found[:, :, kept].sum(axis=0).T.astype(float)
            if not counts.sum(axis=0).all():
                continue
            made = correspondence(counts, [str(i) for i in np.flatnonzero(kept)], list("abcd"))
            true = chances[:, kept] / chances[:, kept].sum(axis=1)[:, None]
            places = true @ (made.row_points[:, :2] / np.sqrt(made.inertia[:2]))
            drawn = ellipses(found[:, :, kept], np.ones((tasters, 4), dtype=bool), made, samples=400)
            inside += [_inside(e, place) for e, place in zip(drawn, places, strict=True)]
        rows.append([tasters, f"{100 * np.mean(inside):.1f} %"])
    yield f"Ellipses that hold the true place ({count} tables of four coffees each, 12 words)\n"
    yield table(rows, ["tasters", "held"])


def _inside(e: Ellipse, place: np.ndarray) -> bool:
    x, y = place - (e.x, e.y)
    cosine, sine = np.cos(e.turned), np.sin(e.turned)
    along, across = (x * cosine + y * sine) / max(e.long, 1e-12), (y * cosine - x * sine) / max(e.short, 1e-12)
    return bool(along**2 + across**2 <= 1)


TABLES = {
    "alarms": (alarms, 600),
    "power": (power, 200),
    "partial": (partial, 400),
    "lines": (lines, 300),
    "coverage": (coverage, 300),
    "agreement": (agreement, 400),
    "orders": (balances, 1),
    "cells": (cells, 200),
    "planes": (planes, 200),
}


def main(names: list[str]) -> None:
    permutation.SHUFFLES = 999  # enough for 5 %, and as sound as more
    for name in names or TABLES:
        made, count = TABLES[name]
        print("\n".join(made(count)), end="\n\n", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
