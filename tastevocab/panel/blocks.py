"""Which samples a taster gets who cannot taste them all: balanced incomplete blocks where there are such.

A design of b sittings of k among v samples is balanced (Yates 1936, Ann. Eugenics 7:121) where every sample is served r
times and every two samples meet in the same number of sittings. There can be one only where r = b k / v and
r (k - 1) / (v - 1) are whole numbers. Found here: all choices of k, and designs that turn into themselves when the
samples are turned round (with or without one sample that stays), after Bose (1939, Ann. Eugenics 9:353).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import combinations

import numpy as np

Block = tuple[int, ...]

FURTHEST = 60
"""Sittings up to which a balanced design is looked for."""

ROUNDS = 20
"""How often sittings are gone through again to even out meetings."""

CHOICES = 20_000
"""Choices of k among v up to which designs that turn round are looked for, and steps of that search."""


def blocks(sittings: int, samples: int, size: int, random: np.random.Generator) -> tuple[Block, ...]:
    """`sittings` choices of `size` among `samples` (0..samples-1): a balanced design, or whole copies of a smaller one,
    where one is known; else as even as step-by-step choice gets. Samples and sittings are dealt in seeded order.
    """
    whole = balanced(sittings, samples, size)
    if not whole:
        return _even(sittings, samples, size, random)
    names = random.permutation(samples)
    return tuple(tuple(int(names[s]) for s in whole[i]) for i in random.permutation(len(whole)))


@lru_cache(maxsize=256)
def balanced(sittings: int, samples: int, size: int) -> tuple[Block, ...]:
    """A balanced incomplete block design of just so many sittings, () where none is known."""
    for part in range(1, sittings + 1):
        if sittings % part == 0 and _may_be(part, samples, size) and (found := _design(part, samples, size)):
            return found * (sittings // part)
    return ()


def next_balanced(sittings: int, samples: int, size: int) -> int | None:
    """The fewest sittings from `sittings` on, up to `FURTHEST`, that a balanced design is known for."""
    return next((n for n in range(sittings, FURTHEST + 1) if balanced(n, samples, size)), None)


def _may_be(sittings: int, samples: int, size: int) -> bool:
    times, rest = divmod(sittings * size, samples)
    # Fisher (1940): never fewer sittings than samples.
    return not rest and (times * (size - 1)) % (samples - 1) == 0 and sittings >= samples


def _design(sittings: int, samples: int, size: int) -> tuple[Block, ...]:
    every = math.comb(samples, size)
    if sittings == every:
        return tuple(combinations(range(samples), size))
    if every > CHOICES or sittings > FURTHEST:
        return ()
    meetings = sittings * size * (size - 1) // (samples * (samples - 1))
    for turning in (samples, samples - 1):
        if found := _turned(sittings, samples, size, turning, meetings):
            return found
    return ()


def _turned(sittings: int, samples: int, size: int, turning: int, meetings: int) -> tuple[Block, ...]:
    """Whole orbits of blocks under turning the first `turning` samples round, in which every two meet `meetings` times;
    () where there is none. Depth first, the orbits of the first pair that is short tried in order."""
    orbits = _orbits(samples, size, turning)
    kinds = sorted({kind for _, counts in orbits for kind in counts})
    # How often the pairs of one kind (so far apart in the turning, or with the sample that stays) meet in all.
    pairs = Counter(_kind(a, b, turning) for a, b in combinations(range(samples), 2))
    short = [meetings * pairs[kind] for kind in kinds]
    rows = [(blocks, [counts.get(kind, 0) for kind in kinds]) for blocks, counts in orbits]
    rows = [(blocks, row) for blocks, row in rows if all(x <= y for x, y in zip(row, short, strict=True))]
    steps = [CHOICES]

    def search(start: int, left: list[int], chosen: list[int]) -> list[int] | None:
        steps[0] -= 1
        if steps[0] < 0:
            return None
        if not any(left):
            return chosen
        for i in range(start, len(rows)):
            row = rows[i][1]
            if all(x <= y for x, y in zip(row, left, strict=True)):
                found = search(i, [y - x for x, y in zip(row, left, strict=True)], [*chosen, i])
                if found is not None:
                    return found
        return None

    picked = search(0, short, [])
    made = tuple(block for i in picked or () for block in rows[i][0])
    return made if len(made) == sittings else ()


def _orbits(samples: int, size: int, turning: int) -> list[tuple[tuple[Block, ...], Counter[int]]]:
    seen: set[Block] = set()
    made = []
    for first in combinations(range(samples), size):
        if first in seen:
            continue
        orbit = {tuple(sorted((s + by) % turning if s < turning else s for s in first)) for by in range(turning)}
        seen |= orbit
        counts = Counter(_kind(a, b, turning) for block in orbit for a, b in combinations(block, 2))
        made.append((tuple(sorted(orbit)), counts))
    return made


def _kind(a: int, b: int, turning: int) -> int:
    """Two samples' distance in the turning, 0 where one of them stays."""
    if max(a, b) >= turning:
        return 0
    return min((a - b) % turning, (b - a) % turning)


def _even(sittings: int, samples: int, size: int, random: np.random.Generator) -> tuple[Block, ...]:
    """Each sitting the samples served least so far, and of those the ones that met least."""
    served: Counter[int] = Counter()
    together: Counter[Block] = Counter()
    rows: list[list[int]] = []
    for _ in range(sittings):
        shuffled = [int(i) for i in random.permutation(samples)]
        chosen: list[int] = []
        while len(chosen) < size:
            left = [i for i in shuffled if i not in chosen]
            chosen.append(min(left, key=lambda i: (served[i], sum(together[_pair(i, c)] for c in chosen))))
        served.update(chosen)
        together.update(combinations(sorted(chosen), 2))
        rows.append(chosen)
    for _ in range(ROUNDS):
        helped = [_exchanged(one, other, together) for one, other in combinations(rows, 2)]
        if True not in helped:
            break
    return tuple(map(tuple, rows))


def _exchanged(one: list[int], other: list[int], together: Counter[Block]) -> bool:
    """Whether two sittings changed samples so that pairs meet more evenly; how often each is served stays."""
    for mine in [s for s in one if s not in other]:
        for theirs in [s for s in other if s not in one]:
            new_one = [theirs if s == mine else s for s in one]
            new_other = [mine if s == theirs else s for s in other]
            together.subtract(p for row in (one, other) for p in combinations(sorted(row), 2))
            better = _met(new_one, new_other, together) < _met(one, other, together)
            if better:
                one[:], other[:] = new_one, new_other
            together.update(p for row in (one, other) for p in combinations(sorted(row), 2))
            if better:
                return True
    return False


def _met(one: Sequence[int], other: Sequence[int], together: Counter[Block]) -> int:
    """What two sittings add to the sum of squares of meetings."""
    added = Counter(p for row in (one, other) for p in combinations(sorted(row), 2))
    return sum((together[p] + n) ** 2 - together[p] ** 2 for p, n in added.items())


def _pair(a: int, b: int) -> Block:
    return (a, b) if a < b else (b, a)


def meetings(rows: Iterable[Sequence[int]], samples: int) -> tuple[int, int]:
    """How often two samples meet in a sitting: the least and the most of all pairs."""
    counts = Counter(pair for row in rows for pair in combinations(sorted(row), 2))
    every = [counts[pair] for pair in combinations(range(samples), 2)]
    return min(every, default=0), max(every, default=0)
