"""What a map's figures are made of: sums over tasters that are exact, so that a crowd adds up to the same in pieces."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from tastevocab.panel.folding import Floats, Folded, support_columns
from tastevocab.panel.spans import Spans

Weighting = Literal["mark", "voice", "plain"]

WEIGHTINGS: Mapping[Weighting, str] = {
    "mark": "mark: how many found it, and how strongly where anybody said (else moderate); hedges count less",
    "voice": "voice: one voice each, every taster's findings share one vote, hedges counting less",
    "plain": "plain: the sum of certainties, every finding alike",
}


@dataclass(frozen=True, slots=True)
class Own:
    """What was found exactly at one descriptor: by how many, the sum of their certainties, of certainty x strength, and
    of the part of one voice that each has."""

    people: int
    certainty: float
    force: float
    voice: float

    def weight(self, weighting: Weighting, panel: int) -> float:
        """In percent of the panel's most possible."""
        return float(_weighed(weighting, self.voice if weighting == "voice" else self.certainty, self.force, panel))


@dataclass(frozen=True, slots=True)
class Sums:
    """All that a map's figures are made of. Certainties are quarters and strengths counted in thousandths, so that the
    sums are exact and a crowd adds up to the same in any pieces.

    `own` is by descriptor what was found exactly there, `found` by id, at it or below and every person once: people,
    certainty, certainty x strength, certainty given with doubt. `said` tells how many named so many descriptors.
    """

    tasters: int
    own: Mapping[str, Own]
    found: Mapping[str, tuple[int, float, float, float]]
    said: Mapping[int, int]


def sums_of(folded: Folded, spans: Spans) -> Sums:
    """The sums of a folded panel."""
    size, tasters = len(folded.descriptors), len(folded.tasters)
    people = np.bincount(folded.descriptor, minlength=size)
    columns = (
        people,
        np.bincount(folded.descriptor, folded.certainty, minlength=size),
        _forces(folded),
        _voices(folded),
    )
    own = {
        id: Own(int(n), float(c), float(f), float(v))
        for id, n, c, f, v in zip(folded.descriptors, *columns, strict=True)
    }
    said = np.bincount(np.bincount(folded.taster, minlength=tasters)) if tasters else np.zeros(0, dtype=np.int64)
    return Sums(tasters, own, _found(folded, spans), {k: int(n) for k, n in enumerate(said) if n})


def _found(folded: Folded, spans: Spans) -> dict[str, tuple[int, float, float, float]]:
    columns = {id: support_columns(folded, spans, id) for id in spans.ids}
    active = [id for id in spans.ids if columns[id].size]
    totals = np.zeros((len(active), 4))
    thousandths = np.rint(1000 * folded.strength)
    for people, rows in folded.chunks():
        sure = folded.dense(people, rows, folded.certainty)
        strong = folded.dense(people, rows, thousandths)
        for place, id in enumerate(active):
            certainty = sure[columns[id]].max(axis=0)
            strength = strong[columns[id]].max(axis=0)
            totals[place] += (
                np.count_nonzero(certainty),
                certainty.sum(),
                certainty @ strength,
                certainty[certainty < 1].sum(),
            )
    rows_ = zip(active, totals.tolist(), strict=True)
    return {id: (int(people), sure, force / 1000, unsure) for id, (people, sure, force, unsure) in rows_}


def own_weights(folded: Folded, weighting: Weighting) -> Floats:
    """The weight of what was found exactly at each of `folded.descriptors`, in percent of the panel's most possible."""
    size, panel = len(folded.descriptors), max(len(folded.tasters), 1)
    sure = _voices(folded) if weighting == "voice" else np.bincount(folded.descriptor, folded.certainty, minlength=size)
    made: Floats = _weighed(weighting, sure, _forces(folded) if weighting == "mark" else 0.0, panel)
    return made


def _weighed(weighting: Weighting, sure: Any, force: Any, panel: int) -> Any:
    frequency = 100 * sure / panel
    return np.sqrt(frequency * (force / panel)) if weighting == "mark" else frequency


def _forces(folded: Folded) -> Floats:
    """By descriptor the sum of certainty x strength."""
    force = folded.certainty * np.rint(1000 * folded.strength)
    return np.bincount(folded.descriptor, force, minlength=len(folded.descriptors)) / 1000


def _voices(folded: Folded) -> Floats:
    """By descriptor the sum of certainties, each over how many descriptors its taster named."""
    size = len(folded.descriptors)
    said = np.bincount(folded.taster)[folded.taster] if folded.taster.size else folded.taster
    made = np.zeros(size)
    for k in np.unique(said).tolist():
        made += np.bincount(folded.descriptor[said == k], folded.certainty[said == k], minlength=size) / k
    return made
