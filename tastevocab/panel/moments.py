"""When in the cup a word was found: its people by moment, and the moment that may be told of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from tastevocab.reading.records import MOMENTS, Finding


@dataclass(frozen=True, slots=True)
class When:
    """The one moment at which a word was found, or mostly: `people` of its finders named it then."""

    moment: str
    people: int


def people_by_moment(findings: Iterable[Finding]) -> Mapping[str, int]:
    """How many tasters found something at each moment, from dry to cool."""
    who: dict[str, set[str]] = {}
    for f in findings:
        if f.spot.moment in MOMENTS:
            who.setdefault(str(f.spot.moment), set()).add(f.spot.speaker or "")
    return {m: len(who[m]) for m in MOMENTS if m in who}


def told_when(by_moment: Mapping[str, int], finders: int, passes: Iterable[str]) -> When | None:
    """When a word of `finders` people was found, if that may be said: more than half of them named it at one moment of
    the several tasted (`passes`), and at any other at most half as many."""
    if len(tuple(passes)) < 2 or not by_moment:
        return None
    best = max(by_moment, key=lambda m: (by_moment[m], MOMENTS.index(m)))
    count = by_moment[best]
    others = max((n for m, n in by_moment.items() if m != best), default=0)
    return When(best, count) if 2 * count > finders and 2 * others <= count else None
