"""How many of those who were there found a word, moment by moment, with intervals."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from tastevocab.errors import StatisticsError
from tastevocab.panel.contrast import families, who_found
from tastevocab.panel.flavour_map import FlavourMap
from tastevocab.panel.folding import distinct
from tastevocab.panel.intervals import SMALL, share_interval
from tastevocab.panel.spans import Spans


@dataclass(frozen=True, slots=True)
class Share:
    """One word at one moment: `people` of the `of` tasters who were there then, and the 95 % interval of such tasters
    (0..1)."""

    moment: str
    people: int
    of: int
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Course:
    """One word's shares from moment to moment."""

    descriptor: str
    print: str
    shares: tuple[Share, ...]

    @property
    def swing(self) -> float:
        """The biggest share less the smallest (0..1)."""
        parts = [s.people / s.of for s in self.shares]
        return max(parts) - min(parts)


def courses(maps: Sequence[FlavourMap], spans: Spans) -> tuple[Course, ...]:
    """Every family, broad word and thing found at any of the moments that `maps` are of, what swings most first; of
    two found by the same people throughout one.

    The denominator is who was there at that moment, words or none (`attendance`). Each interval is of that share alone,
    exact up to 60 tasters (Clopper & Pearson 1934), Wilson's (1927) beyond: whether a change is proved is for the
    contrast of the same tasters.

    Raises `StatisticsError` for fewer than two moments, or one at which nobody was there.
    """
    if len(maps) < 2:
        raise StatisticsError("one moment has no course", mend="taste at two moments or more, or ask for all of them")
    nobody = [str(made.serving.moment) for made in maps if not made.tasters]
    if nobody:
        raise StatisticsError(f"nobody was there at {', '.join(nobody)}", mend="look at the rows of the sheet")
    ids = families(*maps, spans=spans)
    kept = distinct(who_found(maps, ids, spans)[2])
    made = [Course(ids[i], spans.descriptor(ids[i]).print, tuple(_share(one, ids[i]) for one in maps)) for i in kept]
    return tuple(sorted(made, key=lambda c: (-c.swing, -max(s.people / s.of for s in c.shares))))


def _share(made: FlavourMap, id: str) -> Share:
    node, of = made.by_id.get(id), len(made.tasters)
    people = node.people if node else 0
    return Share(str(made.serving.moment), people, of, *share_interval(people, of))


SHARE_COLUMNS = ("descriptor", "print", "moment", "people", "of", "share", "low", "high")


def share_rows(made: Sequence[Course]) -> list[tuple[object, ...]]:
    """A row a word and moment under `SHARE_COLUMNS`; shares and limits 0..1."""
    return [
        (c.descriptor, c.print, s.moment, s.people, s.of, f"{s.people / s.of:.4f}", f"{s.low:.4f}", f"{s.high:.4f}")
        for c in made
        for s in c.shares
    ]


def share_lines(made: Sequence[Course]) -> Iterator[str]:
    """Each word's people at each moment, with the interval in per cent."""
    method = "exact" if max(s.of for c in made for s in c.shares) <= SMALL else "Wilson's"
    yield f"Of those who were there at each moment ({method} 95 % interval in brackets), what swings most first"
    width = max(len(c.print) for c in made)
    for c in made:
        told = ", ".join(f"{s.moment} {s.people} of {s.of} ({_per_cent(s)})" for s in c.shares)
        yield f"  {c.print:<{width}}  {told}"


def _per_cent(share: Share) -> str:
    return f"{100 * share.low:.0f} to {100 * share.high:.0f} %"


def shares_json(made: Sequence[Course]) -> list[dict[str, Any]]:
    """For programs; figures keep six decimals."""
    return [
        {
            "descriptor": c.descriptor,
            "print": c.print,
            "moments": [
                {
                    "moment": s.moment,
                    "people": s.people,
                    "of": s.of,
                    "share": round(s.people / s.of, 6),
                    "interval": [round(s.low, 6), round(s.high, 6)],
                }
                for s in c.shares
            ],
        }
        for c in made
    ]
