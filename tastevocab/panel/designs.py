"""Who tastes what in which order: balanced serving orders, blind codes, hidden duplicates and a house control."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise, permutations, product
from typing import Any

import numpy as np

from tastevocab.errors import InputError
from tastevocab.panel.blocks import blocks, meetings, next_balanced

ROUNDS = 20
"""How often rows are gone through again to even out places."""


@dataclass(frozen=True, slots=True)
class Sample:
    """One thing to pour: a coffee, a hidden `duplicate` of one (`of` its id), or the house `control`."""

    id: str
    kind: str
    of: str


@dataclass(frozen=True, slots=True)
class Design:
    """What is poured beside the coffees, and how all of it is dealt.

    `duplicate` hides one coffee twice (chosen by the seed), `control` adds the house's own. A taster gets up to
    `per_sitting` samples (0: all). `avoid` are numbers no code may be. No two tasters share a code, unless `shared`
    gives each sample one code for all (a public tasting, poured from the same pots).
    """

    duplicate: bool = False
    control: str = ""
    per_sitting: int = 0
    avoid: Collection[str] = ()
    shared: bool = False


@dataclass(frozen=True, slots=True)
class Sitting:
    """One taster's sitting: codes in serving order with the sample each stands for; `brew` as the session names it."""

    taster: str
    order: tuple[tuple[str, Sample], ...]
    brew: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """The whole design; `seed` repeats it. `note` says how it is balanced."""

    sittings: tuple[Sitting, ...]
    samples: tuple[Sample, ...]
    seed: int
    note: str


def williams(n: int) -> tuple[tuple[int, ...], ...]:
    """Orders of n samples (0..n-1) balanced for position and first-order carry-over: n rows if n is even, else 2n.

    Each sample stands once (even) or twice (odd) at each place, and follows each other one once (even) or twice (odd).
    Williams (1949, Aust. J. Sci. Res. A 2:149-168). Raises `InputError` for n below 2.
    """
    if n < 2:
        raise InputError(f"{n} sample has no order to balance", mend="give at least two samples")
    first = [0]
    for step in range(1, n):
        first.append((step + 1) // 2 if step % 2 else n - step // 2)
    rows = [tuple((value + shift) % n for value in first) for shift in range(n)]
    return tuple(rows) if n % 2 == 0 else (*rows, *(row[::-1] for row in rows))


def orders(tasters: int, samples: int, *, per_sitting: int = 0, seed: int = 1) -> tuple[tuple[int, ...], ...]:
    """A serving order for each taster: all samples, or `per_sitting` of them.

    All: the rows of one Latin square (Williams) in a seeded order, then its mirror's, and so on: however many tasters
    there are, no sample stands at a place more than once oftener than at another. Fewer: which samples by `blocks`, in
    the order that keeps places and followers even.
    """
    size = per_sitting or samples
    if not 1 <= size <= samples:
        raise InputError(f"{size} of {samples} samples a sitting", mend=f"choose between 1 and {samples}")
    random = np.random.default_rng(seed)
    if samples < 2:
        return ((0,) * size,) * tasters
    if size < samples:
        return _arranged(blocks(tasters, samples, size, random), random)
    names = [int(i) for i in random.permutation(samples)]
    square = williams(samples)[:samples]
    mirror = tuple(row[::-1] for row in square)
    dealt: list[tuple[int, ...]] = []
    while len(dealt) < tasters:
        for rows in (square, mirror):
            dealt += [tuple(names[i] for i in rows[r]) for r in random.permutation(samples)]
    return tuple(dealt[:tasters])


def _arranged(rows: Sequence[Sequence[int]], random: np.random.Generator) -> tuple[tuple[int, ...], ...]:
    """The rows' samples in an order that spreads each over the places as evenly as whole numbers allow; then samples
    change places within a row as long as that evens followers out and leaves places alone.

    Place by place each row gives one of its samples: none more often than its share a place, and as often as must be
    for what is left to fit. Such a choice always exists (Konig 1916, on even bipartite graphs); it is found as a flow.
    """
    left = [[row[i] for i in random.permutation(len(row))] for row in rows]
    made: list[list[int]] = [[] for _ in rows]
    size = len(rows[0]) if rows else 0
    most = {s: -(-count // size) for s, count in Counter(s for row in rows for s in row).items()}
    for behind in range(size - 1, -1, -1):
        waiting = Counter(s for row in left for s in row)
        least = {s: max(0, count - behind * most[s]) for s, count in waiting.items()}
        for i, sample in enumerate(_one_each(left, least, most)):
            left[i].remove(sample)
            made[i].append(sample)
    places, follows = (
        Counter(p for row in made for p in enumerate(row)),
        Counter(p for row in made for p in pairwise(row)),
    )
    for _ in range(ROUNDS):
        helped = [_evened(row, places, follows) for row in made]
        if True not in helped:
            break
    return tuple(map(tuple, made))


def _one_each(rows: Sequence[Sequence[int]], least: Mapping[int, int], most: Mapping[int, int]) -> list[int]:
    """One sample of each row, each as often as `least` and no more often than `most` says."""
    import networkx as nx

    graph = nx.DiGraph()
    for row, samples in enumerate(rows):
        graph.add_edge("all", ("row", row), capacity=1)
        graph.add_edges_from(((("row", row), ("sample", s)) for s in samples), capacity=1)
    for s, due in least.items():
        graph.add_edge(("sample", s), ("due", s), capacity=due, weight=-1)
        graph.add_edge(("due", s), "place", capacity=due)
        graph.add_edge(("sample", s), "place", capacity=most[s] - due)
    flow = nx.max_flow_min_cost(graph, "all", "place")
    return [next(s for (_, s), taken in flow["row", row].items() if taken) for row in range(len(rows))]


def _evened(row: list[int], places: Counter[tuple[int, int]], follows: Counter[tuple[int, int]]) -> bool:
    """Whether a swap within the row helped; the counts follow it."""
    changed = False
    for a, b in combinations(range(len(row)), 2):
        swapped = list(row)
        swapped[a], swapped[b] = row[b], row[a]
        places.subtract(enumerate(row))
        follows.subtract(pairwise(row))
        if _uneven(swapped, places, follows) < _uneven(row, places, follows):
            row[:] = swapped
            changed = True
        places.update(enumerate(row))
        follows.update(pairwise(row))
    return changed


def _uneven(row: Sequence[int], places: Counter[tuple[int, int]], follows: Counter[tuple[int, int]]) -> tuple[int, int]:
    """What a row adds to the sums of squares of places and of followers."""
    return sum(2 * places[key] + 1 for key in enumerate(row)), sum(2 * follows[key] + 1 for key in pairwise(row))


@dataclass(frozen=True, slots=True)
class Balance:
    """How even serving orders are, each as the least and the most: how often a sample is served, stands at any one
    place, comes directly after any one other, and meets any one other in a sitting."""

    served: tuple[int, int]
    places: tuple[int, int]
    follows: tuple[int, int]
    meets: tuple[int, int]


def balance(rows: Sequence[Sequence[int]], samples: int) -> Balance:
    """Count it in `rows` of samples 0..samples-1."""

    def ends(counts: Counter[Any], every: Iterable[Any]) -> tuple[int, int]:
        found = [counts[key] for key in every]
        return min(found, default=0), max(found, default=0)

    size = max((len(row) for row in rows), default=0)
    return Balance(
        served=ends(Counter(s for row in rows for s in row), range(samples)),
        places=ends(Counter(p for row in rows for p in enumerate(row)), product(range(size), range(samples))),
        follows=ends(Counter(p for row in rows for p in pairwise(row)), permutations(range(samples), 2)),
        meets=meetings(rows, samples),
    )


def codes(count: int, *, avoid: Iterable[str] = (), seed: int = 1) -> tuple[str, ...]:
    """`count` different three-digit codes, none in `avoid`, none easy to remember (333, 123, 200).

    They differ in two digits from one another as long as there are such. Raises `InputError` when there are too few.
    """
    banned = set(avoid)
    pool = [f"{number}" for number in range(100, 1000)]
    pool = [code for code in pool if code not in banned and not _striking(code)]
    random = np.random.default_rng(seed)
    shuffled = [pool[i] for i in random.permutation(len(pool))]
    picked: list[str] = []
    for apart in (2, 1):
        for code in shuffled:
            if len(picked) == count:
                return tuple(picked)
            if code not in picked and all(_apart(code, other) >= apart for other in picked):
                picked.append(code)
    if len(picked) < count:
        raise InputError(f"{count} codes are more than three digits give", mend="split the session")
    return tuple(picked)


def _striking(code: str) -> bool:
    steps = {int(b) - int(a) for a, b in pairwise(code)}
    return len(set(code)) < 3 or steps in ({1}, {-1}) or code.endswith("00")


def _apart(a: str, b: str) -> int:
    return sum(x != y for x, y in zip(a, b, strict=True))


def numbers_in(text: str) -> set[str]:
    """Every three-digit number that stands in a text (weights, dates, lots): a code must not be one of them."""
    return {run[i : i + 3] for run in re.findall(r"\d{3,}", text) for i in range(len(run) - 2)}


def plan(tasters: Sequence[str], coffees: Sequence[str], design: Design | None = None, *, seed: int = 1) -> Plan:
    """A serving order and blind codes for every taster; the same arguments give the same plan."""
    design = design or Design()
    samples = _samples(coffees, design, seed)
    rows = orders(len(tasters), len(samples), per_sitting=design.per_sitting, seed=seed)
    if design.shared:
        common = codes(len(samples), avoid=design.avoid, seed=seed)
        dealt = iter([common[i] for row in rows for i in row])
    else:
        dealt = iter(codes(sum(len(row) for row in rows), avoid=design.avoid, seed=seed))
    sittings = tuple(
        Sitting(taster, tuple((next(dealt), samples[i]) for i in row))
        for taster, row in zip(tasters, rows, strict=True)
    )
    return Plan(sittings, samples, seed, _note(rows, len(samples), design.per_sitting or len(samples)))


def _samples(coffees: Sequence[str], design: Design, seed: int) -> tuple[Sample, ...]:
    samples = [Sample(coffee, "coffee", coffee) for coffee in coffees]
    if design.duplicate and coffees:
        twin = coffees[int(np.random.default_rng(seed).integers(len(coffees)))]
        samples.append(Sample(f"{twin}_again", "duplicate", twin))
    if design.control:
        samples.append(Sample(design.control, "control", design.control))
    return tuple(samples)


def _note(rows: Sequence[Sequence[int]], samples: int, size: int) -> str:
    """What balance these very orders have, and how many tasters would make it whole."""
    if samples < 2:
        return "One sample: there is no order to balance."
    even, tasters = balance(rows, samples), len(rows)
    order = (
        f"Every sample stands {_times(even.places)} at each place and comes {_times(even.follows)} directly after each "
        "other"
    )
    if size == samples:
        whole = samples if samples % 2 == 0 else 2 * samples
        fuller = "" if tasters % whole == 0 else f" Both come out even with {whole * (tasters // whole + 1)} tasters."
        return f"{order} (Latin squares after Williams, each followed by its mirror).{fuller}"
    served = f"{size} of {samples} samples each: every sample is served {_times(even.served)}, and every two meet "
    if even.meets[0] == even.meets[1] and even.meets[0]:
        return f"{served}{_times(even.meets)} in a sitting (a balanced incomplete block design). {order}."
    known = next_balanced(tasters, samples, size)
    more = f"{known} tasters would make every two meet equally often" if known else "no balanced design is known here"
    return f"{served}{_times(even.meets)}; {more}. {order}."


def _times(limits: tuple[int, int]) -> str:
    known = {(0, 0): "never", (1, 1): "once", (2, 2): "twice", (0, 1): "at most once", (1, 2): "once or twice"}
    low, high = limits
    return known.get(limits, f"{low} times" if low == high else f"{low} to {high} times")
