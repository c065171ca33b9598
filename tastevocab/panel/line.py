"""The notes line: the few words, among those at quorum, that best stand for the whole map.

A facility location problem (Cornuejols, Fisher & Nemhauser 1977): maximise the sum over all descriptors found of
weight x likeness to the nearest printed word; exact for the small numbers of words that go on a bag.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations

import numpy as np

from tastevocab.panel.flavour_map import FlavourMap
from tastevocab.panel.folding import Floats, Folded, Integers
from tastevocab.panel.rungs import Ladder, can_be_rung, chosen_ids
from tastevocab.panel.spans import Spans
from tastevocab.panel.sums import own_weights
from tastevocab.reading.records import MOMENTS, Finding
from tastevocab.vocabulary.measures import TreeMeasures

EXACT = 200_000
"""Subsets tried at most; beyond, words are picked one by one (at least 63 % of the best, Nemhauser et al. 1978)."""

BATCH = 2048
"""Subsets weighed at a time."""

TIE = 0.01
"""Lines tie whose coverage differs by less than a point: as much as is printed of it."""

PANEL_LIMIT = 60
"""Panels up to this size are re-counted without each taster in turn; in a crowd one leaves no trace."""

PLACES = ("front", "middle", "finish")


@dataclass(frozen=True, slots=True)
class BestLine:
    """The best line of `size` words and the part of the map (0..1) it covers; not `exact`: the best that was found,
    another may cover more."""

    size: int
    words: tuple[str, ...]
    coverage: float
    exact: bool


@dataclass(frozen=True, slots=True)
class NotesLine:
    """The words chosen, in the order asked for (`order` says which).

    `coverage` (0..1) is the part of the map's weight they stand for. `best` are the best lines of 2, 3 and 4 of all
    words found, quorum or not: where exact, no line of that length can cover more. `unstable` names the tasters without
    whom a word would change, each with the line that would then stand; None where the panel is too big to ask.
    """

    words: tuple[str, ...]
    order: str
    coverage: float
    best: tuple[BestLine, ...]
    unstable: tuple[tuple[str, tuple[str, ...]], ...] | None
    why: str


def notes_line(
    map: FlavourMap,
    ladder: Ladder,
    spans: Spans,
    measures: TreeMeasures,
    *,
    words: int = 3,
    order: str = "strongest",
    findings: Sequence[Finding] = (),
) -> NotesLine:
    """Choose up to `words` of the ladder's rungs; `order` is "strongest" or "unfolding" (that needs `findings`).

    Of lines that tie, the one that stands best for what was said in a closing round (of `findings`).
    """
    candidates = [r.descriptor for r in ladder.rungs]
    weights = np.array([map.by_id[d].own for d in map.folded.descriptors])
    choice = _Choice(measures, words, _closing_words(map.tasters, findings))
    chosen = choice.of(candidates, map.folded, weights)
    without = replace(choice, closing=frozenset())
    by_closing = bool(choice.closing) and set(chosen) != set(without.of(candidates, map.folded, weights))
    line = unfolding(chosen, findings, spans) if order == "unfolding" else chosen
    return NotesLine(
        words=tuple(line),
        order=order,
        coverage=coverage(map.folded, weights, chosen, measures),
        best=_best_lines(map, weights, measures, spans),
        unstable=_leave_one_out(map, spans, choice, candidates, frozenset(chosen)),
        why=_why(len(chosen), len(candidates), words, order, by_closing),
    )


@dataclass(frozen=True, slots=True)
class _Choice:
    """How a line is chosen, whoever is on the panel: by the likeness of words, up to `words` of them, and of lines that
    tie by the taster and descriptor of all that was said in a `closing` round."""

    measures: TreeMeasures
    words: int
    closing: frozenset[tuple[str, str]]

    def of(self, candidates: Sequence[str], folded: Folded, weights: Floats) -> tuple[str, ...]:
        """The words of `candidates` that best stand for a panel's findings, each descriptor of which has a weight."""
        likeness = likenesses(folded.descriptors, candidates, self.measures)
        picked = best_subset(likeness, weights, self.words, _votes(folded, self.closing))
        return tuple(candidates[i] for i in picked)


def _closing_words(tasters: Sequence[str], findings: Sequence[Finding]) -> frozenset[tuple[str, str]]:
    """Taster and descriptor of all that was found in a closing round."""
    panel = set(tasters) if findings else set()
    return frozenset(
        (f.spot.speaker or "", f.descriptor)
        for f in findings
        if f.spot.closing and f.present and not f.fault and f.standing == "own" and f.spot.speaker in panel
    )


def _votes(folded: Folded, closing: frozenset[tuple[str, str]]) -> Floats:
    """How many of a panel named each descriptor in the closing round."""
    panel = set(folded.tasters) if closing else set()
    counts = Counter(descriptor for taster, descriptor in closing if taster in panel)
    return np.array([counts[d] for d in folded.descriptors], dtype=np.float64)


def coverage(folded: Folded, weights: Floats, words: Sequence[str], measures: TreeMeasures) -> float:
    """The part (0..1) of a map's weight that `words` stand for: sum of M(d) x max Lin(d, word), over the sum of M."""
    total = float(weights.sum())
    if not total or not words:
        return 0.0
    return float(likenesses(folded.descriptors, words, measures).max(axis=1) @ weights) / total


def likenesses(found: Sequence[str], words: Sequence[str], measures: TreeMeasures) -> Floats:
    """Lin's similarity (0..1) of each descriptor found (rows) to each word (columns)."""
    return np.array([[measures.lin(d, w) for w in words] for d in found], dtype=np.float64).reshape(
        len(found), len(words)
    )


def best_subset(likeness: Floats, weights: Floats, size: int, votes: Floats | None = None) -> tuple[int, ...]:
    """The columns of `likeness` (rows x columns, not negative), `size` of them or all if fewer, that maximise
    sum over rows of weight x the row's best chosen column.

    Exact while there are at most `EXACT` subsets, else greedy. Of subsets within `TIE` of the best the same sum with
    `votes` for weights decides, where there are any; then the earliest columns.
    """
    columns = likeness.shape[1]
    size = min(size, columns)
    if size <= 0:
        return ()
    if math.comb(columns, size) > EXACT:
        return _greedy(likeness * weights[:, None], size)
    subsets = _subsets(columns, size)
    values = _worth(likeness, weights, subsets)
    if votes is not None and votes.any():
        tied = np.flatnonzero(values > values.max() - TIE * weights.sum())
        said = _worth(likeness, votes, subsets[tied])
        tied = tied[said > said.max() - 1e-12]
        values, subsets = values[tied], subsets[tied]
    return tuple(int(i) for i in subsets[int(np.argmax(values > values.max() - 1e-12))])


@lru_cache(maxsize=4)
def _subsets(columns: int, size: int) -> Integers:
    """All subsets of so many columns, in order: one after the other lines of a panel are chosen from as many words."""
    return np.array(list(combinations(range(columns), size)), dtype=np.int64)


def _worth(likeness: Floats, weights: Floats, subsets: Integers) -> Floats:
    """For each subset of columns the sum over rows of weight x the row's best column in it."""
    gain = likeness * weights[:, None]
    parts = []
    for start in range(0, len(subsets), BATCH):
        first, *rest = subsets[start : start + BATCH].T
        best = gain[:, first]
        for column in rest:
            np.maximum(best, gain[:, column], out=best)
        parts.append(best.sum(axis=0))
    return np.concatenate(parts)


def _greedy(gain: Floats, size: int) -> tuple[int, ...]:
    chosen: list[int] = []
    reached = np.zeros(gain.shape[0])
    for _ in range(size):
        values = np.maximum(gain, reached[:, None]).sum(axis=0)
        values[chosen] = -1
        chosen.append(int(values.argmax()))
        reached = np.maximum(reached, gain[:, chosen[-1]])
    return tuple(sorted(chosen))


def _best_lines(map: FlavourMap, weights: Floats, measures: TreeMeasures, spans: Spans) -> tuple[BestLine, ...]:
    candidates = [n.descriptor for n in map.nodes if can_be_rung(n.descriptor, spans)]
    if not candidates:
        return ()
    likeness = likenesses(map.folded.descriptors, candidates, measures)
    made = []
    for size in (2, 3, 4):
        words = [candidates[i] for i in best_subset(likeness, weights, size)]
        exact = math.comb(len(candidates), len(words)) <= EXACT
        made.append(BestLine(size, tuple(words), coverage(map.folded, weights, words, measures), exact))
    return tuple(made)


def _leave_one_out(
    map: FlavourMap, spans: Spans, choice: _Choice, candidates: Sequence[str], line: frozenset[str]
) -> tuple[tuple[str, tuple[str, ...]], ...] | None:
    if len(map.tasters) > PANEL_LIMIT or map.folded.times is not None:
        return None
    changed = []
    strength = {id: i for i, id in enumerate(candidates)}
    ids = [n.descriptor for n in map.by_id.values() if n.people >= 2 and can_be_rung(n.descriptor, spans)]
    for taster in map.tasters if len(map.tasters) > 1 else ():
        rest = map.folded.without(taster)
        rungs = sorted(chosen_ids(rest, spans, ids), key=lambda id: (strength.get(id, len(strength)), spans.order[id]))
        left = choice.of(rungs, rest, own_weights(rest, map.weighting))
        if frozenset(left) != line:
            changed.append((taster, left))
    return tuple(changed)


def unfolding(words: Sequence[str], findings: Sequence[Finding], spans: Spans) -> list[str]:
    """`words` in the order of the cup: by the middle moment of their findings, then by place in the sip."""

    def middle(id: str) -> tuple[float, float]:
        inside = [f.spot for f in findings if f.present and f.standing == "own" and f.descriptor in spans.supports[id]]
        moments = [MOMENTS.index(s.moment) for s in inside if s.moment in MOMENTS]
        places = [PLACES.index(s.place) for s in inside if s.place in PLACES]
        return (float(np.mean(moments)) if moments else 2.0, float(np.mean(places)) if places else 1.0)

    return sorted(words, key=lambda id: (*middle(id), list(words).index(id)))


def _why(chosen: int, candidates: int, words: int, order: str, by_closing: bool) -> str:
    named = {"strongest": "strongest first", "unfolding": "as the cup unfolds"}[order]
    if not chosen:
        return "No word reached quorum: the line stays empty."
    if candidates <= words:
        return f"All {chosen} at quorum, {named}." if chosen > 1 else "The only word at quorum."
    tied = "; of lines that tie, the one nearest to the closing round" if by_closing else ""
    return f"Of {candidates} words at quorum the {chosen} that best stand for the whole map, {named}{tied}."
