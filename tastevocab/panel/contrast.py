"""Two maps against each other: who gained and lost what, and whether the change may be told or is proved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tastevocab.errors import StatisticsError
from tastevocab.panel.distances import jensen_shannon, tree_movers
from tastevocab.panel.exact import holm, least_correct, sign_test
from tastevocab.panel.flavour_map import FlavourMap, own_weights
from tastevocab.panel.folding import Booleans, found_by
from tastevocab.panel.rungs import quorum
from tastevocab.panel.spans import Spans

PROOF = 0.05


@dataclass(frozen=True, slots=True)
class Change:
    """One family (or broad word) from the first map to the second, over the tasters of both.

    `before` and `after` people of `of`; `gained` found it only after, `lost` only before. `p` is the exact two-sided
    sign test of those, `p_holm` corrected for all families asked. `told` says whether more than half moved one way;
    `proved` whether `p_holm` is at most 0.05 too.
    """

    descriptor: str
    print: str
    before: int
    after: int
    of: int
    gained: tuple[str, ...]
    lost: tuple[str, ...]
    p: float
    p_holm: float
    told: bool
    proved: bool
    verdict: str


@dataclass(frozen=True, slots=True)
class Contrast:
    """Two serving sets compared. `distance` is Jensen-Shannon's (0..1), `steps` the earth mover's along the tree (both
    None where one map is empty). `sentence` is what may be said; `proof` what would prove a difference.
    """

    first: str
    second: str
    tasters: tuple[str, ...]
    changes: tuple[Change, ...]
    distance: float | None
    steps: float | None
    sentence: str
    proof: str


def contrast(first: FlavourMap, second: FlavourMap, spans: Spans, labels: tuple[str, str]) -> Contrast:
    """Compare two maps family by family, over the tasters who are on both panels; biggest moves first."""
    both = tuple(t for t in first.tasters if t in set(second.tasters))
    ids = families(first, second, spans=spans)
    before, after = _found(first, both, ids, spans), _found(second, both, ids, spans)
    changes = _changes(ids, both, before, after, spans)
    distance, steps = _distances(_weights(first), _weights(second), spans)
    return Contrast(
        first=labels[0],
        second=labels[1],
        tasters=both,
        changes=changes,
        distance=distance,
        steps=steps,
        sentence=_sentence(labels, changes, both, (first, second)),
        proof=_proof(len(both)),
    )


def _distances(first: dict[str, float], second: dict[str, float], spans: Spans) -> tuple[float | None, float | None]:
    try:
        return jensen_shannon(first, second), tree_movers(first, second, spans.parent)
    except StatisticsError:
        return None, None


def families(*maps: FlavourMap, spans: Spans) -> list[str]:
    """The families found in any of the maps, and the broad words said, in walking order."""
    found = {n.descriptor for made in maps for n in made.nodes if n.level in ("family", "reach")}
    return sorted(found, key=spans.order.__getitem__)


def _found(made: FlavourMap, both: Sequence[str], ids: Sequence[str], spans: Spans) -> Booleans:
    place = {t: i for i, t in enumerate(made.tasters)}
    found: Booleans = found_by(made.folded, spans, ids)[[place[t] for t in both]]
    return found


def _weights(made: FlavourMap) -> dict[str, float]:
    return dict(zip(made.folded.descriptors, own_weights(made.folded, made.weighting).tolist(), strict=True))


def _changes(
    ids: Sequence[str], both: Sequence[str], before: Booleans, after: Booleans, spans: Spans
) -> tuple[Change, ...]:
    gained, lost = after & ~before, before & ~after
    p_values = [sign_test(int(g), int(s)) for g, s in zip(gained.sum(axis=0), lost.sum(axis=0), strict=True)]
    corrected = holm(p_values)
    made = []
    for column, id in enumerate(ids):
        plus = tuple(t for t, yes in zip(both, gained[:, column], strict=True) if yes)
        minus = tuple(t for t, yes in zip(both, lost[:, column], strict=True) if yes)
        # A change is told when a majority moved the same way, not when a majority holds it now.
        told = max(len(plus), len(minus)) >= quorum(len(both))
        proved = told and corrected[column] <= PROOF
        made.append(
            Change(
                descriptor=id,
                print=spans.descriptor(id).print,
                before=int(before[:, column].sum()),
                after=int(after[:, column].sum()),
                of=len(both),
                gained=plus,
                lost=minus,
                p=p_values[column],
                p_holm=corrected[column],
                told=told,
                proved=proved,
                verdict=_verdict(told, proved, corrected[column]),
            )
        )
    return tuple(sorted(made, key=lambda c: (-abs(len(c.gained) - len(c.lost)), spans.order[c.descriptor])))


def _verdict(told: bool, proved: bool, p: float) -> str:
    if proved:
        return "may be told, and stands the exact test"
    if told:
        return "may be told, is not proved"
    return "no majority, though the test stands: look again" if p <= PROOF else "not to be told"


def _sentence(
    labels: tuple[str, str], changes: Sequence[Change], both: Sequence[str], maps: tuple[FlavourMap, FlavourMap]
) -> str:
    if not both:
        return f"{labels[0]} and {labels[1]} have no taster in common: their maps cannot be compared person by person."
    for label, made in zip(labels, maps, strict=True):
        if not made.nodes:
            return f"Nothing was found in {label}: there is no change to tell."
    drops = [c for c in changes if c.told and len(c.lost) > len(c.gained)]
    rises = [c for c in changes if c.told and len(c.gained) >= len(c.lost)]
    if not drops and not rises:
        return f"From {labels[0]} to {labels[1]} no majority changed in one direction: tell no change."
    parts = [f"{c.print} fades ({len(c.lost)} of {c.of} lost it)" for c in drops]
    parts += [f"{c.print} comes ({len(c.gained)} of {c.of} gained it)" for c in rises]
    proved = all(c.proved for c in (*drops, *rises))
    standing = "may be told, and stands the exact test" if proved else "may be told, is not proved"
    return f"From {labels[0]} to {labels[1]}: {'; '.join(parts)}. This {standing}."


def _proof(tasters: int) -> str:
    least = least_correct(tasters)
    if least is None:
        return f"With {tasters} tasters no odd-one-out test can show a difference: ask more people."
    right = f"at least {least} of {tasters} right (5 % risk)"
    return f"To show that there is a difference at all: an odd-one-out test, {right}."
