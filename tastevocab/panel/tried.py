"""Who had which servings, and what was found in each: columns that a crowd can be cut into, and what is asked of them.

One row a serving that somebody had, in the order of tasters; one entry a finding. A question says where a row counts in
which statistics, so that a shuffle is no more than rows that change places.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from tastevocab.panel.folding import Booleans, Floats, Integers

Keys = npt.NDArray[np.uint64]

_TASTER_BITS = np.uint64(22)
_STEP = np.uint64(0x9E3779B97F4A7C15)


@dataclass(frozen=True)
class Tried:
    """Some tasters' servings: `taster` (0.., in order), `serving` and a `key` of both names, one a row; `row` and
    `word`, one an entry: who had that row found that word in it, once at most."""

    taster: Integers
    serving: Integers
    key: Keys
    row: Integers
    word: Integers

    @cached_property
    def sizes(self) -> Integers:
        """How many servings each taster had."""
        return np.bincount(self.taster)

    @cached_property
    def starts(self) -> Integers:
        """Each taster's first row."""
        return np.cumsum(self.sizes) - self.sizes

    def counts(self, words: int) -> tuple[Integers, Integers, Integers]:
        """Taster, word and in how many servings that taster found it, for all found at all."""
        pair, k = np.unique(self.taster[self.row] * words + self.word, return_counts=True)
        taster, word = np.divmod(pair, max(words, 1))
        return taster, word, k

    def rows_of(self, taster: Integers) -> tuple[Integers, Integers]:
        """All rows of each taster listed, with the place in the list that each row stands for."""
        size = self.sizes[taster]
        pair = np.repeat(np.arange(len(taster)), size)
        within = np.arange(len(pair)) - np.repeat(np.cumsum(size) - size, size)
        return self.starts[taster][pair] + within, pair

    def said(self, one: int) -> list[tuple[int, ...]]:
        """One taster's words, serving by serving."""
        first, size = int(self.starts[one]), int(self.sizes[one])
        rows = range(first, first + size)
        low, high = np.searchsorted(self.row, (first, first + size))
        row, word = self.row[low:high].tolist(), self.word[low:high].tolist()
        return [tuple(sorted(w for r, w in zip(row, word, strict=True) if r == at)) for at in rows]

    def only(self, tasters: Booleans) -> Tried:
        """The same of these tasters alone."""
        kept = tasters[self.taster]
        place, order = np.cumsum(kept) - 1, np.cumsum(tasters) - 1
        entries = kept[self.row]
        return Tried(
            order[self.taster[kept]], self.serving[kept], self.key[kept], place[self.row[entries]], self.word[entries]
        )


def joined(parts: Iterable[Tried]) -> Tried:
    """Several crowds as one; no taster may be in two of them."""
    taster, row, columns = 0, 0, []
    for part in parts:
        columns.append((part.taster + taster, part.serving, part.key, part.row + row, part.word))
        taster, row = taster + len(part.sizes), row + len(part.taster)
    return Tried(*(np.concatenate(column) for column in zip(*columns, strict=True)))


def tried_of(found: Booleans, had: Booleans, names: Sequence[str] | None = None) -> Tried:
    """The same of dense tables: `found` tasters x servings x words, `had` tasters x servings."""
    taster, serving = np.nonzero(had)
    row = np.cumsum(had.ravel()).reshape(had.shape) - 1
    who, where, word = np.nonzero(found & had[:, :, None])
    people = names if names is not None else [str(i) for i in range(len(had))]
    key = keys_of([people[i] for i in taster.tolist()], serving)
    # Who had nothing is nobody here: tasters are numbered anew.
    order = np.cumsum(had.any(axis=1)) - 1
    return Tried(order[taster], serving, key, row[who, where], word)


def keys_of(names: Sequence[str], serving: Integers) -> Keys:
    """What a row is shuffled by: 64 bits of the taster's name and the serving's number."""
    known = {name: hashlib.blake2b(name.encode(), digest_size=8).digest() for name in set(names)}
    base = np.array([int.from_bytes(known[name], "little") for name in names], dtype=np.uint64)
    return _mixed(base + serving.astype(np.uint64) * _STEP)


def permuted(tried: Tried, shuffles: range, seed: int) -> Integers:
    """For each shuffle the row that each row's words come to stand in, within each taster (shuffles x rows).

    Random numbers are those of SplitMix64 (Steele, Lea and Flood 2014) started at the row's key, so that they follow
    from taster, serving, seed and number of the shuffle, whoever else is shuffled.
    """
    number = np.array([(seed << 32) + shuffle + 1 for shuffle in shuffles], dtype=np.uint64)
    drawn = _mixed(tried.key[None, :] + number[:, None] * _STEP) >> _TASTER_BITS
    who = tried.taster.astype(np.uint64) << (np.uint64(64) - _TASTER_BITS)
    return np.argsort(who | drawn, axis=1)


def _mixed(value: Keys) -> Keys:
    value = (value ^ (value >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    value = (value ^ (value >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return value ^ (value >> np.uint64(31))


@dataclass(frozen=True, slots=True)
class Reach:
    """In which statistics each row counts (rows x ways): the `question`, the `weight` there (0: none), the square of
    the weights of all the taster's rows in it (`spread`, a part each), and what is taken off for each finding of the
    taster wherever it was (`base`)."""

    questions: int
    question: Integers
    weight: Floats
    spread: Floats
    base: Floats


Question = Callable[[Tried], Reach]


def pairs(asked: Sequence[tuple[int, int]]) -> Question:
    """Each question one pair of servings (first, second): who found it in the second less who did in the first,
    over those who had both."""

    def reach(tried: Tried) -> Reach:
        question, partner, sign = _ends(asked)
        kept = tried.serving < len(question)
        serving = np.where(kept, tried.serving, 0)
        other = partner[serving]
        width = int(max(tried.serving.max(initial=0), partner.max(initial=0))) + 1
        have = tried.taster * width + tried.serving
        wanted = tried.taster[:, None] * width + np.maximum(other, 0)
        at = np.minimum(np.searchsorted(have, wanted), max(len(have) - 1, 0))
        both = (have[at] == wanted) & (other >= 0) & kept[:, None] if len(have) else np.zeros(other.shape, dtype=bool)
        weight = np.where(both, sign[serving], 0.0)
        return Reach(len(asked), question[serving], weight, np.abs(weight), np.zeros(weight.shape))

    return reach


def _ends(asked: Sequence[tuple[int, int]]) -> tuple[Integers, Integers, Floats]:
    """By serving, for each pair it is an end of: the pair, the other end, and the sign (servings x ways)."""
    ends: dict[int, list[tuple[int, int, float]]] = {}
    for number, (first, second) in enumerate(asked):
        ends.setdefault(first, []).append((number, second, -1.0))
        ends.setdefault(second, []).append((number, first, 1.0))
    servings, ways = max(ends, default=-1) + 1, max(map(len, ends.values()), default=1)
    question, partner = np.zeros((servings, ways), dtype=np.int64), np.full((servings, ways), -1, dtype=np.int64)
    sign = np.zeros((servings, ways))
    for serving, listed in ends.items():
        for way, (number, other, side) in enumerate(listed):
            question[serving, way], partner[serving, way], sign[serving, way] = number, other, side
    return question, partner, sign


def against_rest(servings: int) -> Question:
    """Each question one of the servings: found there, less the mean of the others that the taster had."""

    def reach(tried: Tried) -> Reach:
        m = tried.sizes[tried.taster].astype(float)[:, None]
        weight = np.divide(m, m - 1, out=np.zeros_like(m), where=m > 1)
        base = np.divide(1.0, m - 1, out=np.zeros_like(m), where=m > 1)
        return Reach(servings, tried.serving[:, None], weight, weight, base)

    return reach


def kinds_of(reach: Reach) -> tuple[Integers, Floats]:
    """Rows that count alike: the kind of each, and what each kind weighs in each question (questions x kinds)."""
    ways = reach.weight.shape[1]
    alike, kind = np.unique(np.hstack((reach.question, reach.weight)), axis=0, return_inverse=True)
    weights = np.zeros((reach.questions, len(alike)))
    for way in range(ways):
        np.add.at(weights, (alike[:, way].astype(np.int64), np.arange(len(alike))), alike[:, ways + way])
    return kind.reshape(-1), weights


def dense(
    reach: Reach, rows: Integers, word: Integers, value: Floats, words: int, times: Floats | None = None
) -> Floats:
    """Sums of a reach's `value` at rows and words (questions x words), each `times` over."""
    made = np.zeros(reach.questions * words)
    for way in range(value.shape[1]):
        cell = reach.question[rows, way] * words + word
        given = value[rows, way] if times is None else value[rows, way] * times
        made += np.bincount(cell, given, minlength=len(made))
    return made.reshape(reach.questions, words)
