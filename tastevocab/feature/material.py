"""What a pack is made of: for one coffee, the map that is printed, and all the maps beside it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from tastevocab.errors import InputError
from tastevocab.feature.house_style import HouseStyle
from tastevocab.panel.flavour_map import Serving
from tastevocab.panel.gather import Gathered
from tastevocab.panel.rungs import quorum
from tastevocab.panel.servings import brews_found, moments_found
from tastevocab.panel.session import Coffee, Session
from tastevocab.panel.summary import Bench, Report, report_of
from tastevocab.reading.records import MOMENTS, AttributeFinding, Finding, SetAside, Spot, Unresolved

Found = TypeVar("Found", Finding, AttributeFinding, Finding | AttributeFinding)


@dataclass(frozen=True, slots=True)
class Wishes:
    """What was asked for: the coffees (all if none), brew and moment of the printed map (None: as the notes allow)."""

    coffees: tuple[str, ...] = ()
    brew: str | None = None
    moment: str | None = None


@dataclass(frozen=True, slots=True)
class Material:
    """One coffee's reports.

    `page` is the map that is printed. `brews` holds the printed map's like for every brew (the page's first), `moments`
    the page's brew from dry to cool, `maps` every brew at every moment. `whole` throws everything together: only
    faults, questions and claims are taken from it, never a picture.
    """

    coffee: Coffee
    gathered: Gathered
    tools: Bench
    page: Report
    brews: tuple[Report, ...]
    moments: tuple[Report, ...]
    maps: tuple[Report, ...]
    whole: Report

    @property
    def session(self) -> Session:
        return self.gathered.session

    def label(self, descriptor: str) -> str:
        """What a customer reads for a descriptor."""
        return self.tools.vocabulary.descriptors[descriptor].print


def materials_of(gathered: Gathered, tools: Bench, style: HouseStyle, wishes: Wishes) -> tuple[Material, ...]:
    """The material of each coffee wished for, with codes for tasters where the style says so.

    Raises `InputError` for an unknown coffee, brew or moment and for a coffee nobody described.
    """
    if style.tasters == "codes":
        gathered = coded(gathered)
    return tuple(
        material_of(gathered, coffee, tools, style, brew=wishes.brew, moment=wishes.moment)
        for coffee in dict.fromkeys(wishes.coffees or gathered.session.coffees)
    )


def material_of(
    gathered: Gathered,
    coffee: str,
    tools: Bench,
    style: HouseStyle,
    *,
    brew: str | None = None,
    moment: str | None = None,
) -> Material:
    """Everything that a pack of `coffee` needs. `brew` and `moment` choose what is printed (None: see `page_serving`).

    Raises `InputError` for an unknown coffee, brew or moment and for a coffee nobody described.
    """
    session = gathered.session
    if coffee not in session.coffees:
        raise InputError(
            f"unknown coffee {coffee!r}", place=session.place, mend=f"use one of {', '.join(session.coffees)}"
        )
    own = coffee_only(gathered, coffee)
    if not own.findings and not own.attributes:
        raise InputError(
            f"nobody described {coffee!r}",
            place=session.coffees[coffee].place,
            mend="take it out of the session, or name the others with --coffee",
        )

    def report(serving: Serving) -> Report:
        return report_of(
            own,
            serving,
            tools,
            pool=True,
            weighting=style.weighting,
            words=style.words,
            order=style.order,
            chance=style.chance,
        )

    page = page_serving(own, coffee, brew, moment or style.moment, exactly=moment is not None)
    brews = (page.brew, *(b for b in brews_found(own, coffee) if b != page.brew))
    servings = [page, *(page_serving(own, coffee, b, style.moment) for b in brews[1:])]
    moments = [Serving(coffee, page.brew, m) for m in moments_found(own, coffee, page.brew)]
    every = [Serving(coffee, b, m) for b in brews for m in moments_found(own, coffee, b)]
    made: dict[Serving, Report] = {}
    for serving in (*servings, *moments, *every, Serving(coffee)):
        if serving not in made:
            made[serving] = report(serving)
    return Material(
        coffee=session.coffees[coffee],
        gathered=own,
        tools=tools,
        page=made[page],
        brews=tuple(made[s] for s in servings),
        moments=tuple(made[s] for s in moments),
        maps=tuple(made[s] for s in every),
        whole=made[Serving(coffee)],
    )


def page_serving(gathered: Gathered, coffee: str, brew: str | None, moment: str, *, exactly: bool = False) -> Serving:
    """The serving that stands for a coffee: never several brews in one, and one moment where the notes allow it.

    The brew most tasters named a flavour in (the session's first of equals; none where more of them named none); in it
    `moment` if a quorum tasted it then (or `exactly`), else the moment most tasters did, or none where more named none.
    """
    spots = [f.spot for f in gathered.findings if f.present and not f.fault and f.standing == "own"]
    brews = brews_found(gathered, coffee)
    if brew is None and brews:
        counts = _people((s, s.brew) for s in spots)
        most = max(brews, key=lambda b: (counts[b], -brews.index(b)))
        brew = most if counts[most] >= counts[None] else None
    if exactly:
        return Serving(coffee, brew, moment)
    counts = _people((s, s.moment) for s in spots if brew in (None, s.brew))
    found = [m for m in MOMENTS if counts[m]]
    if not found or counts[moment] >= quorum(len(gathered.session.panel(coffee, brew))):
        return Serving(coffee, brew, moment if found else None)
    best = max(found, key=lambda m: (counts[m], m == moment, MOMENTS.index(m)))
    return Serving(coffee, brew, best if counts[best] >= counts[None] else None)


def _people(named: Iterable[tuple[Spot, str | None]]) -> Counter[str | None]:
    pairs = {(spot.speaker, value) for spot, value in named}
    return Counter(value for _, value in pairs)


def coffee_only(gathered: Gathered, coffee: str) -> Gathered:
    """What was gathered of one coffee (and what names none)."""

    def ours(found: Sequence[SetAside] | Sequence[Unresolved]) -> list[SetAside | Unresolved]:
        known = gathered.session.coffees
        names = {name.casefold(): id for id, c in known.items() for name in (id, c.name)}
        return [f for f in found if not f.spot.coffee or names.get(f.spot.coffee.casefold()) == coffee]

    return replace(
        gathered,
        findings=tuple(f for f in gathered.findings if f.spot.coffee == coffee),
        attributes=tuple(a for a in gathered.attributes if a.spot.coffee == coffee),
        asked=tuple(a for a in gathered.asked if a.spot.coffee in (None, coffee)),
        set_aside=tuple(s for s in ours(gathered.set_aside) if isinstance(s, SetAside)),
        unresolved=tuple(u for u in ours(gathered.unresolved) if isinstance(u, Unresolved)),
    )


def taster_codes(session: Session) -> dict[str, str]:
    """T1, T2, ... for the tasters, in the session's order."""
    return {taster: f"T{i}" for i, taster in enumerate(session.tasters, 1)}


def coded(gathered: Gathered) -> Gathered:
    """The same with codes (T1, T2, ... in the session's order) for tasters, so that no file holds a name."""
    session = gathered.session
    codes = taster_codes(session)

    def names(tasters: Iterable[str]) -> tuple[str, ...]:
        return tuple(codes.get(t, t) for t in tasters)

    def spots(found: Iterable[Found]) -> tuple[Found, ...]:
        return tuple(replace(f, spot=replace(f.spot, speaker=codes.get(f.spot.speaker or "", "?"))) for f in found)

    def spoken(spot: Spot) -> Spot:
        known = {t.casefold(): c for t, c in codes.items()}
        return replace(spot, speaker=known.get((spot.speaker or "").casefold(), "?") if spot.speaker else None)

    return replace(
        gathered,
        session=replace(
            session,
            tasters=names(session.tasters),
            coffees={k: replace(c, tasters=names(c.tasters)) for k, c in session.coffees.items()},
            brews={k: replace(b, tasters=names(b.tasters)) for k, b in session.brews.items()},
        ),
        findings=spots(gathered.findings),
        attributes=spots(gathered.attributes),
        unattributed=spots(gathered.unattributed),
        unattributed_attributes=spots(gathered.unattributed_attributes),
        asked=spots(gathered.asked),
        set_aside=tuple(replace(s, spot=spoken(s.spot)) for s in gathered.set_aside),
        unresolved=tuple(replace(u, spot=spoken(u.spot)) for u in gathered.unresolved),
    )
