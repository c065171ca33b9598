"""Who tastes what in which order: balanced serving orders, blind codes, hidden duplicates and a house control."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise, permutations

import numpy as np

from tastevocab.errors import InputError

FEW_ORDERS = 5
"""Up to so many samples a sitting every order of them is weighed; beyond, a seeded choice of orders."""
TRIED = 240


@dataclass(frozen=True, slots=True)
class Sample:
    """One thing to pour: a coffee, a hidden `duplicate` of one (`of` its id), or the house `control`."""

    id: str
    kind: str
    of: str


@dataclass(frozen=True, slots=True)
class Sitting:
    """One taster's sitting: codes in serving order with the sample each stands for."""

    taster: str
    order: tuple[tuple[str, Sample], ...]


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
    """A serving order for each taster: all samples (a Williams design, dealt in a seeded order), or `per_sitting`.

    With fewer a sitting the choice is balanced step by step: every sample as often as any other, every pair of samples
    as often as any other, places and followers too.
    """
    size = per_sitting or samples
    if not 1 <= size <= samples:
        raise InputError(f"{size} of {samples} samples a sitting", mend=f"choose between 1 and {samples}")
    random = np.random.default_rng(seed)
    if size < samples or samples < 2:
        return _incomplete(tasters, samples, size, random)
    names = random.permutation(samples)
    rows = williams(samples)
    dealt: list[tuple[int, ...]] = []
    while len(dealt) < tasters:
        dealt += [tuple(int(names[i]) for i in rows[r]) for r in random.permutation(len(rows))]
    return tuple(dealt[:tasters])


def _incomplete(tasters: int, samples: int, size: int, random: np.random.Generator) -> tuple[tuple[int, ...], ...]:
    served: Counter[int] = Counter()
    together: Counter[tuple[int, int]] = Counter()
    places: Counter[tuple[int, int]] = Counter()
    follows: Counter[tuple[int, int]] = Counter()
    rows = []
    for _ in range(tasters):
        chosen = _choose(samples, size, served, together, random)
        row = _arrange(chosen, places, follows, random)
        served.update(row)
        together.update(combinations(sorted(row), 2))
        places.update(enumerate(row))
        follows.update(pairwise(row))
        rows.append(row)
    return tuple(rows)


def _choose(
    samples: int, size: int, served: Counter[int], together: Counter[tuple[int, int]], random: np.random.Generator
) -> list[int]:
    """The samples served least, and of those the ones that met least."""
    chosen: list[int] = []
    shuffled = [int(i) for i in random.permutation(samples)]
    while len(chosen) < size:
        left = [i for i in shuffled if i not in chosen]
        chosen.append(min(left, key=lambda i: (served[i], sum(together[(min(i, c), max(i, c))] for c in chosen))))
    return chosen


def _arrange(
    chosen: Sequence[int],
    places: Counter[tuple[int, int]],
    follows: Counter[tuple[int, int]],
    random: np.random.Generator,
) -> tuple[int, ...]:
    """The order whose places and followers came up least so far."""
    if len(chosen) <= FEW_ORDERS:
        tried = list(permutations(int(chosen[i]) for i in random.permutation(len(chosen))))
    else:
        tried = [tuple(int(chosen[i]) for i in random.permutation(len(chosen))) for _ in range(TRIED)]

    def cost(row: tuple[int, ...]) -> int:
        return sum((places[key] + 1) ** 2 for key in enumerate(row)) + sum(
            (follows[key] + 1) ** 2 for key in pairwise(row)
        )

    return min(tried, key=cost)


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


def plan(
    tasters: Sequence[str],
    coffees: Sequence[str],
    *,
    duplicate: bool = False,
    control: str = "",
    per_sitting: int = 0,
    avoid: Iterable[str] = (),
    seed: int = 1,
    shared: bool = False,
) -> Plan:
    """A serving order and blind codes for every taster; no two tasters share a code, unless `shared` gives each sample
    one code for all (a public tasting, poured from the same pots).

    `duplicate` hides one coffee twice (chosen by the seed), `control` adds the house's own; `avoid` are numbers no code
    may be. The same arguments give the same plan.
    """
    samples = [Sample(coffee, "coffee", coffee) for coffee in coffees]
    if duplicate and coffees:
        twin = coffees[int(np.random.default_rng(seed).integers(len(coffees)))]
        samples.append(Sample(f"{twin}_again", "duplicate", twin))
    if control:
        samples.append(Sample(control, "control", control))
    rows = orders(len(tasters), len(samples), per_sitting=per_sitting, seed=seed)
    if shared:
        common = codes(len(samples), avoid=avoid, seed=seed)
        dealt = iter([common[i] for row in rows for i in row])
    else:
        dealt = iter(codes(sum(len(row) for row in rows), avoid=avoid, seed=seed))
    sittings = tuple(
        Sitting(taster, tuple((next(dealt), samples[i]) for i in row))
        for taster, row in zip(tasters, rows, strict=True)
    )
    return Plan(sittings, tuple(samples), seed, _note(len(tasters), len(samples), per_sitting or len(samples)))


def _note(tasters: int, samples: int, size: int) -> str:
    if samples < 2:
        return "One sample: there is no order to balance."
    if size < samples:
        return f"{size} of {samples} samples each, as evenly as {tasters} tasters allow (seed repeats it)."
    rows = samples if samples % 2 == 0 else 2 * samples
    if tasters % rows == 0:
        return "Every sample stands equally often at every place and after every other (Williams design)."
    return (
        f"Williams design of {rows} orders; {tasters} tasters use it in part, full balance needs a multiple of {rows}."
    )
