"""Serving sets: which findings a map is made of, and what must not be thrown together unasked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from tastevocab.errors import InputError, near
from tastevocab.panel.flavour_map import Serving
from tastevocab.panel.gather import Gathered
from tastevocab.reading.records import MOMENTS, AttributeFinding, Finding, Spot

EACH = "each"


@dataclass(frozen=True, slots=True)
class Selection:
    """The findings of one serving set and the panel they count against; `pooled` and `notices` are for captions."""

    serving: Serving
    tasters: tuple[str, ...]
    findings: tuple[Finding, ...]
    attributes: tuple[AttributeFinding, ...]
    pooled: tuple[str, ...]
    notices: tuple[str, ...]
    unattributed: int


def select(gathered: Gathered, serving: Serving, *, pool: bool = False) -> Selection:
    """What was found of one serving set.

    Raises `InputError` where the coffee, brew or moment is unknown, and where findings of several brews or moments
    would be thrown together without `pool`.
    """
    _known(gathered, serving)
    findings = tuple(f for f in gathered.findings if _belongs(f.spot, serving))
    pooled = tuple(_mixed(findings, serving, gathered))
    if pooled and not pool:
        several = " and in several ".join(pooled)
        raise InputError(
            f"{serving.label()} was tasted in several {several}: they are not thrown together unasked",
            place=gathered.session.place,
            mend="choose one (--brew ID, --moment M), ask for each (--brew each, --moment each), or add --pool",
        )
    return Selection(
        serving=serving,
        tasters=gathered.session.panel(serving.coffee, serving.brew),
        findings=findings,
        attributes=tuple(a for a in gathered.attributes if _belongs(a.spot, serving)),
        pooled=pooled,
        notices=tuple(_left_out(gathered, serving)),
        unattributed=sum(f.present and f.spot.coffee in (None, serving.coffee) for f in gathered.unattributed),
    )


def serving_sets(
    gathered: Gathered,
    coffees: Sequence[str] = (),
    brews: Sequence[str] = (),
    moments: Sequence[str] = (),
    bowl: str | None = None,
) -> tuple[Serving, ...]:
    """A serving set for each coffee (all of the session if none is named) and each brew and moment asked for.

    "each" stands for every brew or moment that has findings of that coffee.
    """
    sets = []
    for coffee in coffees or tuple(gathered.session.coffees):
        for brew in _asked(brews, brews_found(gathered, coffee)):
            for moment in _asked(moments, moments_found(gathered, coffee, brew)):
                sets.append(Serving(coffee, brew, moment, bowl))
    return tuple(sets)


def brews_found(gathered: Gathered, coffee: str) -> tuple[str, ...]:
    """The brews that findings of a coffee name, in the session's order."""
    found = {f.spot.brew for f in gathered.findings if f.spot.coffee == coffee and f.spot.brew}
    cards = [id for id in gathered.session.brews if id in found]
    return (*cards, *sorted(found - set(cards)))


def moments_found(gathered: Gathered, coffee: str, brew: str | None = None) -> tuple[str, ...]:
    """The moments that findings of a coffee (in one brew) name, from dry to cool."""
    serving = Serving(coffee, brew)
    found = {f.spot.moment for f in gathered.findings if _belongs(f.spot, serving)}
    return tuple(m for m in MOMENTS if m in found)


def _asked(asked: Sequence[str], found: Sequence[str]) -> Sequence[str | None]:
    if not asked:
        return (None,)
    wanted: list[str] = []
    for one in asked:
        wanted.extend(found if one == EACH else (one,))
    return tuple(dict.fromkeys(wanted)) or (None,)


def _belongs(spot: Spot, serving: Serving) -> bool:
    return (
        spot.coffee == serving.coffee
        and serving.brew in (None, spot.brew)
        and serving.moment in (None, spot.moment)
        and serving.bowl in (None, spot.bowl)
    )


def _known(gathered: Gathered, serving: Serving) -> None:
    session = gathered.session
    heard = {f.spot.brew for f in gathered.findings if f.spot.brew}
    for what, given, known in (
        ("coffee", serving.coffee, tuple(session.coffees)),
        ("brew", serving.brew, (*session.brews, *sorted(heard - set(session.brews)))),
        ("moment", serving.moment, MOMENTS),
    ):
        if given is not None and given not in known:
            raise InputError(f"unknown {what} {given!r}", place=session.place, mend=near(given, known))


def _mixed(findings: Iterable[Finding], serving: Serving, gathered: Gathered) -> Iterator[str]:
    counted = [f.spot for f in findings if f.present and not f.fault and f.standing == "own"]
    if serving.brew is None:
        found = {s.brew for s in counted if s.brew}
        if len(found) > 1:
            ordered = [b for b in brews_found(gathered, serving.coffee) if b in found]
            yield f"brews ({', '.join(ordered)})"
    if serving.moment is None:
        moments = [m for m in MOMENTS if any(s.moment == m for s in counted)]
        if len(moments) > 1:
            yield f"moments ({', '.join(moments)})"


def _left_out(gathered: Gathered, serving: Serving) -> Iterator[str]:
    """A sentence where findings say no brew or moment and the map asks for one."""
    counts: Counter[str] = Counter()
    wider = {
        "brew": replace(serving, brew=None),
        "moment": replace(serving, moment=None),
        "bowl": replace(serving, bowl=None),
    }
    for f in gathered.findings:
        for what, without in wider.items():
            if without != serving and getattr(f.spot, what) is None and _belongs(f.spot, without):
                counts[what] += 1
    for what, count in counts.items():
        some = f"{count} findings say no {what} and are" if count > 1 else f"1 finding says no {what} and is"
        yield f"{some} left out of this map."
