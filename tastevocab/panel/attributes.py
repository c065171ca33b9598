"""Attributes on their word scales: the middle value and the range, with every taster's mark; never a mean of words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from statistics import median, median_low

from tastevocab.reading.records import AttributeFinding
from tastevocab.vocabulary.model import Attribute, Vocabulary


@dataclass(frozen=True, slots=True)
class AttributeStrip:
    """One attribute of one serving set.

    `marks` are pairs of taster and step 1..5 (by step), `median` the middle mark, `low` and `high` the range; `words`
    says the middle in the scale's words ("medium to full"), `evidence` the ids behind it.
    """

    attribute: str
    print: str
    scale: tuple[str, ...]
    marks: tuple[tuple[str, float], ...]
    of: int
    median: float
    low: float
    high: float
    words: str
    evidence: tuple[str, ...]


def strips(
    found: Iterable[AttributeFinding], tasters: Sequence[str], vocabulary: Vocabulary
) -> tuple[AttributeStrip, ...]:
    """A strip for each attribute with an own mark, in the vocabulary's order.

    A taster who gave several marks has the middle one (the lower of two, so that it is one they gave).
    """
    panel = set(tasters)
    given: dict[str, dict[str, list[float]]] = {}
    ids: dict[str, list[str]] = {}
    for f in found:
        counts = f.standing == "own" and (f.present or f.level == "none")
        if counts and f.spot.speaker in panel and f.attribute in vocabulary.attributes:
            given.setdefault(f.attribute, {}).setdefault(f.spot.speaker or "", []).append(f.step)
            ids.setdefault(f.attribute, []).append(f.id)
    return tuple(_strip(a, given[a.id], len(panel), ids[a.id]) for a in vocabulary.attributes.values() if a.id in given)


def _strip(attribute: Attribute, given: dict[str, list[float]], of: int, ids: list[str]) -> AttributeStrip:
    marks = {taster: median_low(steps) for taster, steps in given.items()}
    counted = counted_strip(attribute, Counter(marks.values()), of)
    ordered = tuple(sorted(marks.items(), key=lambda mark: (mark[1], mark[0])))
    return replace(counted, marks=ordered, evidence=tuple(sorted(ids)))


def counted_strip(attribute: Attribute, people: Mapping[float, int], of: int) -> AttributeStrip:
    """The strip of a crowd of `of`, of which so many people gave each step: who gave which is not in it."""
    steps = sorted(people)
    upto = list(accumulate(people[step] for step in steps))
    low, high = (
        next(s for s, n in zip(steps, upto, strict=True) if n > k) for k in ((upto[-1] - 1) // 2, upto[-1] // 2)
    )
    middle = float(median((low, high)))
    return AttributeStrip(
        attribute=attribute.id,
        print=attribute.print,
        scale=attribute.scale,
        marks=(),
        of=of,
        median=middle,
        low=steps[0],
        high=steps[-1],
        words=step_words(attribute.scale, middle),
        evidence=(),
    )


def step_words(scale: Sequence[str], step: float) -> str:
    """A step 1..5 in the scale's words; between two steps both ("light to medium").

    >>> step_words(("watery", "light", "medium", "full", "syrupy"), 2.5)
    'light to medium'
    """
    if not scale:
        return f"{step:g}"
    low = min(max(int(step), 1), len(scale))
    if step == low or low == len(scale):
        return scale[low - 1]
    return f"{scale[low - 1]} to {scale[low]}"
