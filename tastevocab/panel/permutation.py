"""Whether servings differ at all: their labels shuffled within each taster, everything asked at once.

If the servings were alike, each taster's own words could as well have come from them in any other order. So the labels
of a taster's servings are shuffled (R. A. Fisher 1935, The Design of Experiments, ch. 3: randomisation within pairs),
whole servings with all their words, and each time the biggest statistic of all that is asked is kept. A difference
counts where hardly any shuffle has one as big anywhere: that is the adjusted p of Westfall and Young (1993,
Resampling-Based Multiple Testing, step-down maxT), which holds the risk of any false alarm over all words and pairs.

All sums run over tasters, and how a taster is shuffled follows from the taster's name alone: a crowd in pieces
(`tallied`, `drawn`, then `judged` of their sums) gives what it gives as one (`shuffle`).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from tastevocab.panel.folding import Booleans, Floats, Integers
from tastevocab.panel.tried import Question, Reach, Tried, dense, kinds_of, permuted, tried_of

EXACT = 50_000
"""Up to so many different shuffles all of them are worked; beyond, a seeded choice."""

SHUFFLES = 9_999
FEWEST = 199
WORK = 200_000_000
"""Shuffles drawn for a panel, and at least for a crowd, whose findings x shuffles stay near `WORK`."""

BLOCK = 4_000_000
"""Figures held at a time."""


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


@dataclass(frozen=True, slots=True)
class Tallied:
    """Of some tasters, what adds up: each statistic (questions x words) and its variance under shuffling, how many
    tasters tell anything, how many findings they have, and in how many ways they can be shuffled (0: more than
    `EXACT`)."""

    observed: Floats
    variance: Floats
    tasters: int
    findings: int
    ways: int

    def __add__(self, other: Tallied) -> Tallied:
        ways = self.ways * other.ways
        return Tallied(
            self.observed + other.observed,
            self.variance + other.variance,
            self.tasters + other.tasters,
            self.findings + other.findings,
            ways if ways <= EXACT else 0,
        )

    def exact(self, most: int = EXACT) -> bool:
        """Whether all shuffles are worked: no more than `most`."""
        return 0 < self.ways <= min(EXACT, most)

    def shuffles(self, most: int = SHUFFLES) -> int:
        """How many shuffles are drawn, `most` at most, where not all are worked."""
        most = min(SHUFFLES, most)
        return int(np.clip(WORK // max(1, self.findings), min(FEWEST, most), most))


def shuffle(
    found: Booleans,
    had: Booleans,
    question: Question,
    *,
    names: Sequence[str] | None = None,
    seed: int = 1,
    most: int | None = None,
) -> Shuffled:
    """The adjusted p of every question and word.

    `found` is tasters x servings x words, `had` tasters x servings: who was present at what (what is found elsewhere is
    passed over); `names` are the tasters'. A statistic is the sum over tasters of the question's weights x found, over
    its standard deviation under shuffling, both ways. Exact up to `EXACT` different shuffles; else p = (1 + as big) /
    (1 + shuffles) (Phipson & Smyth 2010, Stat. Appl. Genet. Mol. Biol. 9:39). `most` shuffles are worked at most where
    given, for tables that are simulated.
    """
    tried, words = tried_of(found, had, names), found.shape[2]
    whole = tallied(tried, question, words)
    telling = telling_of(tried, question, words)
    if whole.exact(most or EXACT):
        return judged(whole, every(telling, question, words), exact=True)
    shuffles = range(whole.shuffles(most or SHUFFLES))
    return judged(whole, drawn(telling, question, words, shuffles, seed), exact=False)


def judged(whole: Tallied, blocks: Iterable[Floats], *, exact: bool) -> Shuffled:
    """What the shuffling says: the statistics as they are beside those of all the shuffles, or of some (shuffles x
    questions x words)."""
    shape, spread = whole.observed.shape, np.sqrt(whole.variance)
    live = np.flatnonzero(spread.ravel())
    if not live.size:
        return Shuffled(np.ones(shape), 1.0, whole.observed.size, 1, True, 0)
    # A sum that is none but for rounding must not beat another by it.
    size = np.abs(whole.observed.ravel()[live] / spread.ravel()[live])
    order = np.argsort(-size, kind="stable")
    live, size = live[order], size[order]
    bigger, ways = np.zeros(len(live)), 0
    for block in blocks:
        values = np.abs(block.reshape(len(block), -1)[:, live]) / spread.ravel()[live]
        highest = np.maximum.accumulate(values[:, ::-1], axis=1)[:, ::-1]
        bigger += (highest >= size - 1e-9).sum(axis=0)
        ways += len(block)
    p = bigger / ways if exact else (bigger + 1) / (ways + 1)
    p = np.maximum.accumulate(p)
    adjusted = np.ones(whole.observed.size)
    adjusted[live] = p
    return Shuffled(adjusted.reshape(shape), float(p[0]), whole.observed.size, ways, exact, whole.tasters)


def tallied(tried: Tried, question: Question, words: int) -> Tallied:
    """What adds up over tasters. A statistic's variance under shuffling is the sum of squared weights x
    k (m - k) / (m (m - 1)) for a taster who found it in k of m servings."""
    reach = question(tried)
    taster, word, k = tried.counts(words)
    m = tried.sizes[taster].astype(float)
    chance = np.divide(k * (m - k), m * (m - 1), out=np.zeros(len(m)), where=m > 1)
    rows, pair = tried.rows_of(taster)
    variance = dense(reach, rows, word[pair], reach.spread, words, chance[pair])
    observed = dense(reach, tried.row, tried.word, reach.weight, words) - _base(tried, reach, words)
    telling = telling_of(tried, question, words)
    ways = 1
    for one in range(len(telling.sizes)):
        ways = ways * _ways(telling, one) if ways else 0
        ways = ways if ways <= EXACT else 0
    return Tallied(observed, variance, len(telling.sizes), len(telling.row), ways)


def _base(tried: Tried, reach: Reach, words: int) -> Floats:
    """What each statistic has less for all that a taster found, wherever: the same under every shuffle."""
    taster, word, k = tried.counts(words)
    rows, pair = tried.rows_of(taster)
    return dense(reach, rows, word[pair], reach.base, words, k[pair].astype(float))


def telling_of(tried: Tried, question: Question, words: int) -> Tried:
    """The tasters whose words differ between servings that are asked about: the others tell nothing."""
    reach = question(tried)
    taster, _, k = tried.counts(words)
    differs = np.zeros(len(tried.sizes), dtype=bool)
    differs[taster[k < tried.sizes[taster]]] = True
    weighs = np.zeros(len(tried.sizes), dtype=bool)
    weighs[tried.taster[(reach.weight != 0).any(axis=1)]] = True
    return tried.only(differs & weighs)


def drawn(tried: Tried, question: Question, words: int, shuffles: range, seed: int = 1) -> Iterator[Floats]:
    """The statistics of these of the seeded shuffles, of telling tasters (shuffles x questions x words)."""
    reach = question(tried)
    base, (kind, weights) = _base(tried, reach, words), kinds_of(reach)
    cells = weights.shape[1] * words
    step = int(np.clip(BLOCK // max(len(tried.row), cells, len(tried.taster), 1), 1, max(1, len(shuffles))))
    for start in range(0, len(shuffles), step):
        some = shuffles[start : start + step]
        cell = (kind * words)[permuted(tried, some, seed)].take(tried.row, axis=1)
        cell += tried.word + cells * np.arange(len(some))[:, None]
        counts = np.bincount(cell.ravel(), minlength=cells * len(some)).reshape(len(some), -1, words)
        yield weights @ counts.astype(float) - base


def _ways(tried: Tried, one: int) -> int:
    """In how many different orders one taster's servings can stand."""
    said = tried.said(one)
    if len(said) > 8:
        return EXACT + 1
    same = [said.count(words) for words in set(said)]
    return math.factorial(len(said)) // math.prod(map(math.factorial, same))


def every(tried: Tried, question: Question, words: int) -> Iterator[Floats]:
    """The statistics of all shuffles of telling tasters, block by block: shuffles x questions x words."""
    reach = question(tried)
    # Of any number of servings and words these few tasters touch few.
    touched = np.unique(reach.question[:, :, None] * words + np.unique(tried.word))
    parts = [_arranged(tried, reach, one, words, touched) for one in range(len(tried.sizes))]
    total = math.prod(len(part) for part in parts)
    step = max(1, BLOCK // max(1, reach.questions * words))
    base = _base(tried, reach, words)
    for start in range(0, total, step):
        number = np.arange(start, min(start + step, total))
        block = np.zeros((len(number), reach.questions * words))
        for part in parts:
            number, digit = np.divmod(number, len(part))
            block[:, touched] += part[digit]
        yield block.reshape(len(block), reach.questions, words) - base


def _arranged(tried: Tried, reach: Reach, one: int, words: int, touched: Integers) -> Floats:
    """One taster's part in the statistics under every different order of their servings (orders x cells touched)."""
    said, first = tried.said(one), int(tried.starts[one])
    made = []
    for order in _orders(said):
        row = np.zeros(len(touched))
        for at, place in enumerate(order):
            for word in said[at]:
                cell = np.searchsorted(touched, reach.question[first + place] * words + word)
                np.add.at(row, cell, reach.weight[first + place])
        made.append(row)
    return np.array(made)


def _orders(said: Sequence[tuple[int, ...]]) -> Iterator[tuple[int, ...]]:
    """For each different order: where each serving's words come to stand."""
    from itertools import permutations

    seen = set()
    for order in permutations(range(len(said))):
        stands = tuple(said[order.index(place)] for place in range(len(said)))
        if stands not in seen:
            seen.add(stands)
            yield order
