"""Whether servings differ at all: their labels shuffled within each taster, everything asked at once.

If the servings were alike, each taster's own words could as well have come from them in any other order. So the labels
of a taster's servings are shuffled (R. A. Fisher 1935, The Design of Experiments, ch. 3: randomisation within pairs),
whole servings with all their words, and each time the biggest statistic of all that is asked is kept. A difference
counts where hardly any shuffle has one as big anywhere: that is the adjusted p of Westfall and Young (1993,
Resampling-Based Multiple Testing, step-down maxT), which holds the risk of any false alarm over all words and pairs.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations

import numpy as np

from tastevocab.panel.folding import Booleans, Floats, Integers

EXACT = 50_000
"""Up to so many different shuffles all of them are worked; beyond, a seeded choice."""

SHUFFLES = 9_999
FEWEST = 199
WORK = 200_000_000
"""Shuffles drawn for a panel, and at least for a crowd, whose findings x shuffles stay near `WORK`."""

BLOCK = 4_000_000
"""Figures held at a time."""

Weights = Callable[[Booleans], Floats]
"""From who had which serving (servings) to what each serving weighs in each question (servings x questions), 0 in sum
over the servings had."""


@dataclass(frozen=True, slots=True)
class Shuffled:
    """What the shuffling says. `p` (questions x words) is adjusted for all of them; 1 where no words could differ.

    `overall` is the one p for "these servings are alike" (the smallest of all), `asked` how many questions x words,
    `ways` how many shuffles were worked, `exact` whether these are all there are, `tasters` how many tasters' words
    differ between servings at all: the others tell nothing.
    """

    p: Floats
    overall: float
    asked: int
    ways: int
    exact: bool
    tasters: int

    def method(self) -> str:
        """ "permutation within 5 tasters, all 32 ways, 12 questions"."""
        ways = f"all {self.ways:,} ways" if self.exact else f"{self.ways:,} seeded shuffles"
        people = f"{self.tasters:,} taster{'s' if self.tasters != 1 else ''}"
        return f"permutation within {people}, {ways}, {self.asked:,} question{'s' if self.asked != 1 else ''}"


def pairs(asked: Sequence[tuple[int, int]]) -> Weights:
    """Each question one pair of servings (first, second): who found it in the second less who did in the first,
    over those who had both."""

    def weights(had: Booleans) -> Floats:
        made = np.zeros((len(had), len(asked)))
        for question, (first, second) in enumerate(asked):
            if had[first] and had[second]:
                made[first, question], made[second, question] = -1.0, 1.0
        return made

    return weights


def against_rest(had: Booleans) -> Floats:
    """Each question one serving: found there, less the mean of the others that the taster had."""
    count = int(had.sum())
    if count < 2:
        return np.zeros((len(had), len(had)))
    made = np.where(had[:, None] & had[None, :], -1.0 / (count - 1), 0.0)
    made[np.diag_indices(len(had))] = had.astype(float)
    return made


def shuffle(found: Booleans, had: Booleans, weights: Weights, *, seed: int = 1, most: int | None = None) -> Shuffled:
    """The adjusted p of every question and word.

    `found` is tasters x servings x words, `had` tasters x servings: who was present at what (what is found elsewhere is
    passed over). A statistic is the sum over tasters of `weights` x found, over its standard deviation under shuffling,
    both ways. Exact up to `EXACT` different shuffles; else p = (1 + as big) / (1 + shuffles) (Phipson & Smyth 2010,
    Stat. Appl. Genet. Mol. Biol. 9:39). `most` shuffles are worked at most where given, for tables that are simulated.
    """
    found = found & had[:, :, None]
    kinds, kind = np.unique(had, axis=0, return_inverse=True)
    kind = kind.reshape(-1)
    weighed = np.array([weights(row) for row in kinds]).reshape(len(kinds), had.shape[1], -1)
    spread = np.sqrt(_variances(found, had, weighed, kind))
    weighs: Booleans = np.any(weighed != 0, axis=(1, 2))
    telling = np.flatnonzero(_informative(found, had) & weighs[kind])
    asked = int(np.count_nonzero(spread))
    shape = (weighed.shape[2], found.shape[2])
    if not asked:
        return Shuffled(np.ones(shape), 1.0, shape[0] * shape[1], 1, True, 0)
    observed = sum(w.T @ found[kind == k].sum(axis=0) for k, w in enumerate(weighed))
    live = np.flatnonzero(spread.ravel())
    # A sum that is none but for rounding must not beat another by it.
    size = np.abs(np.asarray(observed).ravel()[live] / spread.ravel()[live])
    order = np.argsort(-size, kind="stable")
    live, size = live[order], size[order]
    arrangements = _arrangements(found[telling], had[telling], min(EXACT, most or EXACT))
    drawn = (
        _every(found[telling], had[telling], weighed[kind[telling]], arrangements)
        if arrangements is not None
        else _some(found[telling], had[telling], weighed, kind[telling], seed, min(SHUFFLES, most or SHUFFLES))
    )
    bigger, ways = np.zeros(len(live)), 0
    for block in drawn:
        values = np.abs(block.reshape(len(block), -1)[:, live]) / spread.ravel()[live]
        highest = np.maximum.accumulate(values[:, ::-1], axis=1)[:, ::-1]
        bigger += (highest >= size - 1e-9).sum(axis=0)
        ways += len(block)
    every = arrangements is not None
    p = bigger / ways if every else (bigger + 1) / (ways + 1)
    p = np.maximum.accumulate(p)
    adjusted = np.ones(shape[0] * shape[1])
    adjusted[live] = p
    return Shuffled(adjusted.reshape(shape), float(p[0]), shape[0] * shape[1], ways, every, len(telling))


def _variances(found: Booleans, had: Booleans, weights: Floats, kind: Integers) -> Floats:
    """Each statistic's variance under shuffling (questions x words): sum of squared weights x k (m - k) / (m (m - 1))
    for a taster who found it in k of m servings."""
    m = had.sum(axis=1).astype(float)[:, None]
    k = found.sum(axis=1).astype(float)
    chance = np.divide(k * (m - k), m * (m - 1), out=np.zeros_like(k), where=m > 1)
    summed = np.array([chance[kind == i].sum(axis=0) for i in range(len(weights))])
    made: Floats = (weights**2).sum(axis=1).T @ summed
    return made


def _informative(found: Booleans, had: Booleans) -> Booleans:
    k, m = found.sum(axis=1), had.sum(axis=1)[:, None]
    made: Booleans = np.any((k > 0) & (k < m), axis=1)
    return made


def _arrangements(found: Booleans, had: Booleans, most: int) -> list[Integers] | None:
    """For every taster the different orders of their servings (orders x servings had), or None where all tasters
    together have more than `most`."""
    total, made = 1, []
    for words, here in zip(found, had, strict=True):
        _, same, times = np.unique(words[here], axis=0, return_inverse=True, return_counts=True)
        total *= math.factorial(int(here.sum())) // math.prod(math.factorial(int(t)) for t in times)
        if total > most or here.sum() > 8:
            return None
        first: dict[tuple[int, ...], tuple[int, ...]] = {}
        labels = same.reshape(-1).tolist()
        for order in permutations(range(len(labels))):
            first.setdefault(tuple(labels[i] for i in order), order)
        made.append(np.array(list(first.values()), dtype=np.int64))
    return made


def _every(found: Booleans, had: Booleans, weights: Floats, arrangements: Sequence[Integers]) -> Iterator[Floats]:
    """The statistics of all shuffles, block by block: shuffles x questions x words."""
    parts = []
    for words, here, weighed, orders in zip(found, had, weights, arrangements, strict=True):
        parts.append(np.einsum("sq,asw->aqw", weighed[here], words[here][orders].astype(float)))
    total = math.prod(len(part) for part in parts)
    step = max(1, BLOCK // max(1, parts[0][0].size))
    for start in range(0, total, step):
        number = np.arange(start, min(start + step, total))
        block = np.zeros((len(number), *parts[0].shape[1:]))
        for part in parts:
            number, digit = np.divmod(number, len(part))
            block += part[digit]
        yield block


def _some(found: Booleans, had: Booleans, weights: Floats, kind: Integers, seed: int, most: int) -> Iterator[Floats]:
    """The statistics of seeded shuffles, from counts of each word at each serving, by who had what (`kind`)."""
    random = np.random.default_rng(seed)
    taster, serving, word = np.nonzero(found)
    place = (np.cumsum(had, axis=1) - 1)[taster, serving]
    kinds, servings, words = len(weights), had.shape[1], found.shape[2]
    shuffles = int(np.clip(WORK // max(1, len(word)), min(FEWEST, most), most))
    cells = kinds * servings * words
    step = int(np.clip(BLOCK // max(len(word), cells, had.size), 1, shuffles))
    for start in range(0, shuffles, step):
        size = min(step, shuffles - start)
        keys = np.where(had, random.random((size, *had.shape)), 2.0)
        moved = np.argsort(keys, axis=2)[:, taster, place]
        cell = (kind[taster] * servings + moved) * words + word + cells * np.arange(size)[:, None]
        counts = np.bincount(cell.ravel(), minlength=cells * size).reshape(size, kinds, servings, words)
        yield np.einsum("bksw,ksq->bqw", counts.astype(float), weights)
