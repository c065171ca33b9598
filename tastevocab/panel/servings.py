"""Serving sets: which findings a map is made of, and what must not be thrown together unasked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from tastevocab.errors import InputError, near
from tastevocab.panel.attendance import served
from tastevocab.panel.flavour_map import Margin, Serving
from tastevocab.panel.gather import Gathered
from tastevocab.panel.table import told_names
from tastevocab.reading.records import MOMENTS, AttributeFinding, Finding, Spot

EACH = "each"
NAMED = 8
"""Tasters named in a sentence at most."""


@dataclass(frozen=True, slots=True)
class Selection:
    """The findings of one serving set and those of the panel who were served it: all that was said before the coffee
    was named, over all its moments unless the serving is of one.

    `margin` is what is to be said beside the figures.
    """

    serving: Serving
    tasters: tuple[str, ...]
    findings: tuple[Finding, ...]
    attributes: tuple[AttributeFinding, ...]
    margin: Margin


def select(gathered: Gathered, serving: Serving, *, pool: bool = False) -> Selection:
    """What was found of one serving set, and who was there.

    Raises `InputError` where the coffee, brew or moment is unknown, and where findings of several brews would be thrown
    together without `pool`.
    """
    _known(gathered, serving)
    findings = tuple(f for f in _of(gathered, serving.coffee) if _belongs(f.spot, serving))
    pooled = tuple(_mixed(findings, serving, gathered))
    if pooled and not pool:
        name = told_names(gathered.session)[serving.coffee]
        raise InputError(
            f"{serving.told(name)} was tasted in several {pooled[0]}: they are not thrown together unasked",
            place=gathered.session.place,
            mend=f"choose one (--brew {brews_found(gathered, serving.coffee)[0]}), ask for each (--brew each), "
            "or add --pool",
        )
    tasters = served(gathered.session, gathered.present, serving.coffee, serving.brew, serving.moment)
    named = gathered.session.panel(serving.coffee, serving.brew)
    absent = tuple(t for t in named if t not in set(tasters))
    return Selection(
        serving=serving,
        tasters=tasters,
        findings=findings,
        attributes=tuple(a for a in gathered.attributes_by_coffee.get(serving.coffee, ()) if _belongs(a.spot, serving)),
        margin=Margin(
            pooled=pooled,
            notices=(*_gaps(absent, serving), *_left_out(gathered, serving)),
            absent=absent,
            moments=_passes(gathered, serving, findings),
            unattributed=sum(f.present and f.spot.coffee in (None, serving.coffee) for f in gathered.unattributed),
        ),
    )


def _passes(gathered: Gathered, serving: Serving, findings: Sequence[Finding]) -> tuple[str, ...]:
    """The moments a map is over: one alone only where every finding names it."""
    if serving.moment:
        return (serving.moment,)
    found = moments_found(gathered, serving.coffee, serving.brew)
    return () if len(found) == 1 and any(f.spot.moment is None for f in findings) else found


def _gaps(absent: Sequence[str], serving: Serving) -> Iterator[str]:
    if absent:
        who = ", ".join(absent[:NAMED]) + (f" and {len(absent) - NAMED:,} more" if len(absent) > NAMED else "")
        one = len(absent) == 1
        who = who.replace("_", " ")
        when = f" at {serving.moment}" if serving.moment else ""
        have, they = ("has", "a gap, not a no") if one else ("have", "gaps, not noes")
        yield f"{who} {have} neither row nor word{when} here: {they}, and not counted."


def printed_serving(gathered: Gathered, coffee: str, brew: str | None = None, moment: str | None = None) -> Serving:
    """The serving set that speaks for a coffee: one brew, over its whole tasting, unless one `moment` is asked for.

    The brew is that in which most tasters named a flavour (the session's first of equals; none where more of them named
    none).
    """
    brews = brews_found(gathered, coffee)
    if brew is None and brews:
        own = [f.spot for f in _of(gathered, coffee) if _counted(f)]
        counts = Counter(brew for _, brew in {(spot.speaker, spot.brew) for spot in own})
        most = max(brews, key=lambda b: (counts[b], -brews.index(b)))
        brew = most if counts[most] >= counts[None] else None
    return Serving(coffee, brew, moment)


def serving_sets(
    gathered: Gathered,
    coffees: Sequence[str] = (),
    brews: Sequence[str] = (),
    moments: Sequence[str] = (),
    bowl: str | None = None,
    *,
    pool: bool = False,
) -> tuple[Serving, ...]:
    """A serving set for each coffee (all of the session if none is named) and each brew and moment asked for.

    "each" stands for every brew or moment that has findings of that coffee. Where no brew is asked for it is the one
    that is printed, or with `pool` all of them.
    """
    sets = []
    for coffee in coffees or tuple(gathered.session.coffees):
        printed = None if pool or coffee not in gathered.session.coffees else printed_serving(gathered, coffee).brew
        for brew in _asked(brews, brews_found(gathered, coffee)) if brews else (printed,):
            for moment in _asked(moments, moments_found(gathered, coffee, brew)):
                sets.append(Serving(coffee, brew, moment, bowl))
    return tuple(sets)


def brews_found(gathered: Gathered, coffee: str) -> tuple[str, ...]:
    """The brews that findings of a coffee name, in the session's order."""
    found = {f.spot.brew for f in _of(gathered, coffee) if f.spot.brew}
    cards = [id for id in gathered.session.brews if id in found]
    return (*cards, *sorted(found - set(cards)))


def moments_found(gathered: Gathered, coffee: str, brew: str | None = None) -> tuple[str, ...]:
    """The moments that findings of a coffee (in one brew) name, from dry to cool."""
    serving = Serving(coffee, brew)
    found = {f.spot.moment for f in _of(gathered, coffee) if _belongs(f.spot, serving)}
    return tuple(m for m in MOMENTS if m in found)


def _asked(asked: Sequence[str], found: Sequence[str]) -> Sequence[str | None]:
    if not asked:
        return (None,)
    wanted: list[str] = []
    for one in asked:
        wanted.extend(found if one == EACH else (one,))
    return tuple(dict.fromkeys(wanted)) or (None,)


def _of(gathered: Gathered, coffee: str) -> Sequence[Finding]:
    return gathered.by_coffee.get(coffee, ())


def _belongs(spot: Spot, serving: Serving) -> bool:
    return (
        spot.coffee == serving.coffee
        and serving.brew in (None, spot.brew)
        and serving.moment in (None, spot.moment)
        and serving.bowl in (None, spot.bowl)
    )


def _known(gathered: Gathered, serving: Serving) -> None:
    session = gathered.session
    heard = set() if serving.brew in (None, *session.brews) else {f.spot.brew for f in gathered.findings if f.spot.brew}
    for what, given, known in (
        ("coffee", serving.coffee, tuple(session.coffees)),
        ("brew", serving.brew, (*session.brews, *sorted(heard - set(session.brews)))),
        ("moment", serving.moment, MOMENTS),
    ):
        if given is not None and given not in known:
            raise InputError(f"unknown {what} {given!r}", place=session.place, mend=near(given, known))


def _counted(f: Finding) -> bool:
    return f.present and not f.fault and f.standing == "own"


def _mixed(findings: Iterable[Finding], serving: Serving, gathered: Gathered) -> Iterator[str]:
    if serving.brew is None:
        found = {f.spot.brew for f in findings if f.spot.brew and _counted(f)}
        if len(found) > 1:
            ordered = [b for b in brews_found(gathered, serving.coffee) if b in found]
            yield f"brews ({', '.join(ordered)})".replace("_", " ")


def _left_out(gathered: Gathered, serving: Serving) -> Iterator[str]:
    """A sentence where findings say no brew or moment and the map asks for one."""
    counts: Counter[str] = Counter()
    wider = {
        "brew": replace(serving, brew=None),
        "moment": replace(serving, moment=None),
        "bowl": replace(serving, bowl=None),
    }
    for f in _of(gathered, serving.coffee):
        for what, without in wider.items():
            if without != serving and getattr(f.spot, what) is None and _belongs(f.spot, without):
                counts[what] += 1
    for what, count in counts.items():
        some = f"{count} findings say no {what} and are" if count > 1 else f"1 finding says no {what} and is"
        yield f"{some} left out of this map."
