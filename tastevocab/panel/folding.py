"""Folding: one person, one descriptor, one serving set counts once, by the surest and the strongest of what was said.

Columns instead of objects, so that a crowd costs little: see `Folded`.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from tastevocab.panel.spans import Spans
from tastevocab.reading.records import Finding

MODERATE = 17.2
"""Where "moderate" stands on the Labelled Magnitude Scale, 0..100 (Green et al. 1993): taken where nothing was said."""

CHUNK = 1024
"""Tasters held as a dense block at a time, so that memory does not grow with the crowd."""

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]
Booleans = npt.NDArray[np.bool_]


class Unnamed(Sequence[str]):
    """So many tasters of a crowd, without their names."""

    def __init__(self, count: int) -> None:
        self._count = count

    def __len__(self) -> int:
        return self._count

    def __getitem__(self, place: Any) -> Any:
        return [f"taster {i + 1}" for i in range(self._count)[place]] if isinstance(place, slice) else self._name(place)

    def _name(self, place: int) -> str:
        return f"taster {range(self._count)[place] + 1}"


@dataclass(frozen=True, slots=True)
class Folded:
    """The folded findings of one serving set, one row per taster and descriptor, ordered by both.

    `tasters` is the whole panel by name, `descriptors` the ids found in walking order. The columns, all of one length:
    `taster` and `descriptor` index into those, `certainty` is 0.25..1, `strength` 0..100, `share` the part of one voice
    each row has (certainty over how many descriptors that taster gave). `evidence` holds finding ids by descriptor.
    Of a crowd, tasters who found alike may stand as one: `times` says how many each stands for.
    """

    tasters: Sequence[str]
    descriptors: tuple[str, ...]
    taster: Integers
    descriptor: Integers
    certainty: Floats
    strength: Floats
    share: Floats
    evidence: Mapping[str, tuple[str, ...]]
    times: Integers | None = None

    @property
    def rows(self) -> int:
        """How many tasters stand here: each, or as many as found differently."""
        return len(self.tasters) if self.times is None else len(self.times)

    def count(self, who: Booleans) -> int:
        """How many tasters these are."""
        return int(np.count_nonzero(who) if self.times is None else self.times[who].sum())

    def chunks(self) -> Iterator[tuple[slice, slice]]:
        """Blocks of tasters and the rows that belong to them."""
        for start in range(0, len(self.tasters), CHUNK):
            stop = min(start + CHUNK, len(self.tasters))
            low, high = np.searchsorted(self.taster, (start, stop))
            yield slice(start, stop), slice(int(low), int(high))

    def dense(self, people: slice, rows: slice, values: Floats) -> Floats:
        """`values` of these rows as a matrix, descriptors by tasters, 0 where nothing was found."""
        block = np.zeros((len(self.descriptors), people.stop - people.start))
        block[self.descriptor[rows], self.taster[rows] - people.start] = values[rows]
        return block

    def without(self, taster: str) -> Folded:
        """The same map with one taster gone from the panel."""
        gone = self.tasters.index(taster)
        keep = self.taster != gone
        index = self.taster[keep]
        return Folded(
            tuple(t for t in self.tasters if t != taster),
            self.descriptors,
            index - (index > gone),
            self.descriptor[keep],
            self.certainty[keep],
            self.strength[keep],
            self.share[keep],
            self.evidence,
        )


def fold(findings: Iterable[Finding], tasters: Sequence[str], spans: Spans) -> Folded:
    """Fold own, present flavour findings of known tasters; everything else is passed over.

    Certainty is the surest said. Strength is the strongest stated; `MODERATE` where no mention says any.
    """
    panel = tuple(sorted(set(tasters)))
    return _columns(panel, spans, _listed(findings, panel, spans))


class _Listed(NamedTuple):
    """What counts of the findings, a place each: the taster's and the descriptor's number, how sure and how strong
    (-1: nothing said). `evidence` holds the findings' ids by descriptor."""

    who: array[int]
    what: array[int]
    sure: array[float]
    strong: array[float]
    evidence: dict[str, list[str]]


def _listed(findings: Iterable[Finding], panel: Sequence[str], spans: Spans) -> _Listed:
    taster_at = {t: i for i, t in enumerate(panel)}
    order = spans.order
    who, what, sure, strong = array("i"), array("i"), array("d"), array("d")
    evidence: dict[str, list[str]] = {}
    for f in findings:
        if not f.present or f.fault or f.standing != "own":
            continue
        person, place = taster_at.get(f.spot.speaker or ""), order.get(f.descriptor)
        if person is None or place is None:
            continue
        who.append(person)
        what.append(place)
        sure.append(f.certainty)
        strong.append(-1.0 if f.strength is None else f.strength)
        evidence.setdefault(f.descriptor, []).append(f.id)
    return _Listed(who, what, sure, strong, evidence)


def _columns(panel: tuple[str, ...], spans: Spans, listed: _Listed) -> Folded:
    who, what, sure, strong, evidence = listed
    key = np.frombuffer(who, dtype=np.intc).astype(np.int64) if who else np.zeros(0, dtype=np.int64)
    key *= len(spans.ids)
    key += np.frombuffer(what, dtype=np.intc) if what else 0
    by_key = np.argsort(key, kind="stable").astype(np.int32)
    key = key[by_key]
    first = np.flatnonzero(np.r_[True, key[1:] != key[:-1]]) if key.size else np.zeros(0, dtype=np.int64)
    certainty = _reduce(sure, by_key, first)
    strength = _reduce(strong, by_key, first)
    del by_key
    strength[strength < 0] = MODERATE
    taster, place = np.divmod(key[first], len(spans.ids))
    places, descriptor = np.unique(place, return_inverse=True)
    said = np.bincount(taster, minlength=max(len(panel), 1))
    return Folded(
        tasters=panel,
        descriptors=tuple(spans.ids[i] for i in places),
        taster=taster,
        descriptor=descriptor.reshape(-1),
        certainty=certainty,
        strength=strength,
        share=certainty / said[taster],
        # One descriptor at a time, so that a crowd's ids are never held twice.
        evidence={id: tuple(sorted(set(evidence.pop(id)))) for id in tuple(evidence)},
    )


def _reduce(values: array[float], by_key: npt.NDArray[Any], first: Integers) -> Floats:
    """The biggest of the values from each `first` place on, in the order `by_key`."""
    if not first.size:
        return np.zeros(0)
    made: Floats = np.maximum.reduceat(np.frombuffer(values)[by_key], first)
    return made


def support_columns(folded: Folded, spans: Spans, id: str) -> Integers:
    """The descriptor columns whose findings count a person for `id`."""
    support = spans.supports[id]
    return np.array([i for i, d in enumerate(folded.descriptors) if d in support], dtype=np.int64)


def found_by(folded: Folded, spans: Spans, ids: Sequence[str]) -> Booleans:
    """Who found what, at it or below: a matrix tasters x `ids`."""
    found = np.zeros((folded.rows, len(ids)), dtype=bool)
    for place, id in enumerate(ids):
        wanted = np.zeros(len(folded.descriptors), dtype=bool)
        wanted[support_columns(folded, spans, id)] = True
        found[folded.taster[wanted[folded.descriptor]], place] = True
    return found


def distinct(found: Booleans) -> list[int]:
    """Of words (the last axis) found by the same in the same places only the last, which is the narrowest: notes stand
    after their families."""
    words = found.shape[-1]
    _, first = np.unique(found.reshape(-1, words).T[::-1], axis=0, return_index=True)
    return sorted(words - 1 - int(place) for place in first)


def finders(folded: Folded, spans: Spans, id: str) -> tuple[str, ...]:
    """The tasters with an own finding at `id` or below (for a reach word: at it or inside its span)."""
    found = found_by(folded, spans, (id,))[:, 0]
    return tuple(t for t, yes in zip(folded.tasters, found, strict=True) if yes)
