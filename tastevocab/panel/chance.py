"""Chance beside quorum: what tables of people would agree on who say as many words at random, by how often words fall.

Some words fall at any coffee: a table of five that says four words each at base rates has some word at quorum nine
times in ten. So each printed word carries how often such a table has as many people on it, and a table that agrees no
more than such tables do prints nothing as its own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from tastevocab.panel.flavour_map import FlavourMap
from tastevocab.panel.folding import Booleans, Floats, Integers
from tastevocab.panel.rungs import Ladder, Rung, Step, can_be_rung
from tastevocab.panel.spans import Spans
from tastevocab.reading.review.company import quorum

Choice = Literal["say", "leave_out", "off"]
CHOICES: tuple[Choice, ...] = ("say", "leave_out", "off")

LIKELY = 0.1
"""From one table in ten on, chance alone makes a word likely, and that is said."""

ALIKE = 0.05
"""A table prints nothing where a bigger part of random tables agrees as much: so hardly any of them prints."""

TABLES = 600
SEED = 1
"""Random tables drawn for each make of panel, and their seed."""

LARGEST = 60
"""Up to so many tasters tables are drawn; beyond, only words are weighed."""

WORDS = 8
"""The most surprising agreements that a table is judged by."""


@dataclass(frozen=True, slots=True)
class Chance:
    """What chance makes of a map. `table` is the part of random tables that agree at least as much (None: not asked),
    `by_word` the chance (0..1) of as many people on a word, `at_quorum` that of a quorum on it.
    """

    table: float | None
    by_word: Mapping[str, float]
    at_quorum: Mapping[str, float]

    @property
    def alike(self) -> bool:
        """Whether the table agrees no more than tables of random words do."""
        return self.table is not None and self.table > ALIKE


class RandomTables:
    """Tables whose tasters draw words at base rates: each taster as many different ones as a real one said.

    `rates` is by descriptor the part of notes (0..1) that name it; descriptors that no note named share what Good
    (1953, Biometrika 40:237-264) gives the unseen, the part of all words that fell once, of which `once` is told by
    the smallest rate.
    """

    def __init__(self, spans: Spans, rates: Mapping[str, float]) -> None:
        self._spans = spans
        drawn = np.array([rates.get(id, 0.0) for id in spans.ids])
        least = min((rate for rate in drawn.tolist() if rate > 0), default=0.0)
        # A thing that only its notes make is never said itself.
        sayable = np.array([d.level != "thing" or bool(d.words) for d in map(spans.descriptor, spans.ids)])
        unseen = (drawn == 0) & sayable
        if unseen.any():
            drawn[unseen] = (least * np.count_nonzero(drawn == least) or 1.0) / np.count_nonzero(unseen)
        self._share = drawn / drawn.sum()
        self._ladder = np.cumsum(self._share)
        self._counts = _counted_for(spans)
        self._rungs = np.array([can_be_rung(id, spans) for id in spans.ids])
        self.rate = np.zeros(len(spans.ids))
        for descriptor, ids in enumerate(self._counts):
            self.rate[ids] += self._share[descriptor]
        self._drawn: dict[tuple[int, ...], Floats] = {}

    def weigh(self, map: FlavourMap) -> Chance:
        """The chance of every rung that two people or more found, and of the table as a whole."""
        of, need = len(map.tasters), quorum(len(map.tasters))
        said = np.array(sorted(map.said)), np.array([map.said[k] for k in sorted(map.said)])
        found = [n for n in map.by_id.values() if n.people >= 2 and can_be_rung(n.descriptor, self._spans)]
        places = np.array([self._spans.order[n.descriptor] for n in found], dtype=np.int64)
        if not found:
            return Chance(None, {}, {})
        people = np.array([n.people for n in found])
        reached = _reached(self.rate[places], *said, np.stack((people, np.full(len(found), need)), axis=1))
        by_word = {n.descriptor: float(p) for n, p in zip(found, reached[:, 0], strict=True)}
        at_quorum = {n.descriptor: float(p) for n, p in zip(found, reached[:, 1], strict=True)}
        table = None
        if of <= LARGEST and any(n.people >= need for n in found):
            seen = _agreement(np.array([list(by_word.values())]))[0]
            others = self._others(tuple(np.repeat(*said).tolist()))
            table = float(1 + np.count_nonzero(others >= seen - 1e-9)) / (1 + len(others))
        return Chance(table, by_word, at_quorum)

    def _others(self, said: tuple[int, ...]) -> Floats:
        """How much random tables agree whose tasters say so many words; drawn once for each make of panel."""
        if said not in self._drawn:
            people = self.people(said, TABLES, SEED)
            tails = _tails(_hits(self.rate, np.array(said)))
            chances = tails[np.arange(len(self.rate)), people]
            chances[:, ~self._rungs] = 1.0
            chances[people < 2] = 1.0
            self._drawn[said] = _agreement(chances)
        return self._drawn[said]

    def people(self, said: Sequence[int], tables: int, seed: int) -> Integers:
        """People on every descriptor in so many random tables (tables x descriptors), seeded."""
        made = np.zeros((tables, len(self._counts)), dtype=np.int64)
        for table, tasters in enumerate(self.draw(said, tables, seed)):
            for words in tasters:
                if words:
                    made[table, np.unique(np.concatenate([self._counts[w] for w in words]))] += 1
        return made

    def found(self, said: Sequence[int], seed: int) -> Booleans:
        """What each taster of one random table found, at it or below, seeded (tasters x descriptors)."""
        made = np.zeros((len(said), len(self._counts)), dtype=bool)
        for taster, words in enumerate(self.draw(said, 1, seed)[0]):
            for word in words:
                made[taster, self._counts[word]] = True
        return made

    def counted_for(self, id: str) -> Integers:
        """The places of all descriptors that a finding of `id` counts a person for."""
        return self._counts[self._spans.order[id]]

    def draw(self, said: Sequence[int], tables: int, seed: int) -> list[list[list[int]]]:
        """Random tables: by taster the places of the different words drawn, the likelier the oftener they fall."""
        random = np.random.default_rng(seed)
        made = []
        for _ in range(tables):
            tasters = []
            for count in said:
                words: dict[int, None] = {}
                while len(words) < min(count, len(self._share)):
                    missing = random.random(count - len(words) + 2)
                    for word in np.searchsorted(self._ladder, missing * self._ladder[-1]).tolist():
                        if len(words) < count:
                            words.setdefault(word)
                tasters.append(list(words))
            made.append(tasters)
        return made


def _counted_for(spans: Spans) -> list[Integers]:
    """For each descriptor the places of all that a finding of it counts a person for."""
    made: list[list[int]] = [[] for _ in spans.ids]
    for place, id in enumerate(spans.ids):
        for descriptor in spans.supports[id]:
            made[spans.order[descriptor]].append(place)
    return [np.array(places, dtype=np.int64) for places in made]


def _hits(rate: Floats, said: Integers) -> Floats:
    """The chance that each taster hits each word (words x tasters)."""
    made: Floats = 1 - (1 - np.minimum(rate, 1.0))[:, None] ** said[None, :].astype(float)
    return made


def _reached(rate: Floats, said: Integers, times: Integers, least: Integers) -> Floats:
    """The chance that `least` (words x bounds) or more hit each word, of tasters who say so many words, so many times
    each: exact up to `LARGEST` tasters, beyond by the normal curve."""
    if times.sum() <= LARGEST:
        return np.take_along_axis(_tails(_hits(rate, np.repeat(said, times))), least, axis=1)
    hits = _hits(rate, said)
    mean, spread = hits @ times, np.sqrt(np.maximum((hits * (1 - hits)) @ times, 1e-12))
    z = (least - 0.5 - mean[:, None]) / spread[:, None]
    normal: Floats = np.vectorize(lambda x: math.erfc(x / math.sqrt(2)) / 2)(z)
    return normal


def _tails(hits: Floats) -> Floats:
    """The chance of k or more tasters, k = 0..n (words x n + 1), for tasters who hit with chances of their own: the
    Poisson binomial distribution."""
    words, of = hits.shape
    exactly = np.zeros((words, of + 1))
    exactly[:, 0] = 1.0
    for taster in range(of):
        hit = hits[:, taster, None]
        exactly[:, 1:] = exactly[:, 1:] * (1 - hit) + exactly[:, :-1] * hit
        exactly[:, 0] *= 1 - hit[:, 0]
    tails: Floats = np.minimum(1.0, np.cumsum(exactly[:, ::-1], axis=1)[:, ::-1])
    return tails


def _agreement(chances: Floats) -> Floats:
    """How much each table agrees: the sum of the `WORDS` biggest surprises, -ln of the chance of as many people."""
    surprise = -np.log(np.maximum(chances, 1e-300))
    if surprise.shape[1] > WORDS:
        surprise = np.partition(surprise, -WORDS, axis=1)[:, -WORDS:]
    made: Floats = surprise.sum(axis=1)
    return made


def tables_text(chance: float) -> str:
    """ "3 of 10 tables", "fewer than 1 of 100 tables": how often, in words that a page can carry."""
    if chance < 0.005:
        return "fewer than 1 of 100 tables"
    if chance < 0.095:
        return f"{max(1, round(100 * chance))} of 100 tables"
    return f"{round(10 * chance)} of 10 tables"


def weighed(ladder: Ladder, chance: Chance, choice: Choice) -> Ladder:
    """The ladder with chance beside its rungs.

    Where the table agrees no more than tables of random words no rung stays; with "leave_out" none that chance makes
    likely does; with "off" all stay, and their chance is told all the same.
    """
    if not ladder.rungs or not chance.by_word:
        return ladder
    rungs = tuple(_told(rung, chance) for rung in ladder.rungs)
    if choice == "off":
        return replace(ladder, rungs=rungs)
    if chance.alike:
        of = ladder.rungs[0].of
        table = chance.table or 0.0
        verdict = (
            f"No word stands out: {tables_text(table)} of {of} who say as many words at random agree as much. "
            "Print nothing as the panel's."
        )
        return Ladder(_passed(ladder, chance, {r.descriptor for r in rungs}), (), verdict)
    if choice == "say":
        return replace(ladder, rungs=rungs)
    likely = {r.descriptor for r in rungs if chance.by_word[r.descriptor] >= LIKELY}
    kept = tuple(r for r in rungs if r.descriptor not in likely)
    verdict = (
        ladder.verdict if kept else "Every word at quorum is likely by chance alone. Print nothing as the panel's."
    )
    return Ladder(_passed(ladder, chance, likely), kept, verdict)


def _told(rung: Rung, chance: Chance) -> Rung:
    value = chance.by_word.get(rung.descriptor)
    if value is None:
        return rung
    why = f"{rung.why.removesuffix('.')}; by chance in {tables_text(value)}."
    return replace(rung, why=why, chance=value, chance_quorum=chance.at_quorum[rung.descriptor])


def _passed(ladder: Ladder, chance: Chance, gone: set[str]) -> tuple[Step, ...]:
    def passed(step: Step) -> Step:
        often = tables_text(chance.by_word[step.descriptor])
        return replace(step, chosen=False, verdict=f"at quorum, and by chance in {often}: not printed")

    return tuple(passed(s) if s.descriptor in gone else s for s in ladder.steps)
