"""What a pack is made of: for one coffee, the map that is printed, and all the maps beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from tastevocab.errors import InputError
from tastevocab.feature.anonymous import Anonymous
from tastevocab.feature.house_style import WHOLE, HouseStyle
from tastevocab.feature.recording import heard_from
from tastevocab.feature.wording import as_read
from tastevocab.panel.attendance import served
from tastevocab.panel.flavour_map import Serving
from tastevocab.panel.gather import Gathered
from tastevocab.panel.servings import brews_found, moments_found, printed_serving
from tastevocab.panel.session import Coffee, Session
from tastevocab.panel.summary import Bench, Choices, Report, report_of
from tastevocab.reading.records import SetAside, Unresolved
from tastevocab.reading.review.company import quorum


@dataclass(frozen=True, slots=True)
class Wishes:
    """What was asked for: the coffees (all if none), brew and moment of the printed map (None: the brew most tasted,
    all its moments), and the folder it all is written to (None: not known yet)."""

    coffees: tuple[str, ...] = ()
    brew: str | None = None
    moment: str | None = None
    out: Path | None = None


@dataclass(frozen=True, slots=True)
class Material:
    """One coffee's reports.

    `page` is the map that is printed. `brews` holds the printed map's like for every brew (the page's first), `moments`
    the page's brew from dry to cool, `maps` every brew at every moment. `whole` throws everything together: only faults
    and questions are taken from it, never a picture. `sound` is where the page finds the recording ("": nowhere).
    """

    coffee: Coffee
    gathered: Gathered
    tools: Bench
    page: Report
    brews: tuple[Report, ...]
    moments: tuple[Report, ...]
    maps: tuple[Report, ...]
    whole: Report
    sound: str = ""

    @property
    def session(self) -> Session:
        return self.gathered.session

    def label(self, descriptor: str) -> str:
        """What a customer reads for a descriptor."""
        return self.tools.vocabulary.descriptors[descriptor].print


def materials_of(gathered: Gathered, tools: Bench, style: HouseStyle, wishes: Wishes) -> tuple[Material, ...]:
    """The material of each coffee wished for, with codes for tasters where the style says so.

    Raises `InputError` for an unknown coffee, brew or moment, for a coffee nobody described, and as `heard_from` does.
    """
    sound = heard_from(gathered.session, style, wishes.out)
    if style.tasters == "codes":
        gathered = anonymous(gathered.session, tools).gathered(gathered)
    return tuple(
        replace(material_of(gathered, coffee, tools, style, brew=wishes.brew, moment=wishes.moment), sound=sound)
        for coffee in dict.fromkeys(wishes.coffees or gathered.session.coffees)
    )


def anonymous(session: Session, tools: Bench) -> Anonymous:
    """Codes for a session's tasters; a name that is a flavour word too stays in what was said."""
    return Anonymous(session, lambda name: tools.find(name) is not None)


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
    own = _described(gathered, coffee)
    choices = Choices(style.weighting, style.words, style.order, style.chance)
    page = page_serving(own, coffee, brew, style.moment)
    page = replace(page, moment=moment or page.moment)
    brews = (page.brew, *(b for b in brews_found(own, coffee) if b != page.brew))
    servings = [page, *(page_serving(own, coffee, b, style.moment) for b in brews[1:])]
    moments = [Serving(coffee, page.brew, m) for m in moments_found(own, coffee, page.brew)]
    every = [Serving(coffee, b, m) for b in brews for m in moments_found(own, coffee, b)]
    asked = dict.fromkeys((*servings, *moments, *every, Serving(coffee)))
    made = {serving: report_of(own, serving, tools, choices, pool=True) for serving in asked}
    card = gathered.session.coffees[coffee]
    return Material(
        coffee=replace(card, name=as_read(card.name)) if card.name == card.id else card,
        gathered=own,
        tools=tools,
        page=made[page],
        brews=tuple(made[s] for s in servings),
        moments=tuple(made[s] for s in moments),
        maps=tuple(made[s] for s in every),
        whole=made[Serving(coffee)],
    )


def _described(gathered: Gathered, coffee: str) -> Gathered:
    """What was gathered of one coffee; there must be something."""
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
    return own


def page_serving(gathered: Gathered, coffee: str, brew: str | None, moment: str = WHOLE) -> Serving:
    """The serving that stands for a coffee: the printed brew over its whole tasting, or at `moment` alone where a
    quorum of those served that brew was there then."""
    whole = printed_serving(gathered, coffee, brew)
    if moment == WHOLE or moment not in moments_found(gathered, coffee, whole.brew):
        return whole
    session, present = gathered.session, gathered.present
    then = served(session, present, coffee, whole.brew, moment)
    return (
        replace(whole, moment=moment)
        if len(then) >= quorum(len(served(session, present, coffee, whole.brew)))
        else whole
    )


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
        present={seat: who for seat, who in gathered.present.items() if seat.coffee == coffee},
    )
