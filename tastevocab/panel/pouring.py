"""A session's blind serving: for every brew who gets which coffees in which order, and the seed that repeats it."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import replace

from tastevocab.errors import InputError
from tastevocab.panel.designs import Design, Plan, plan
from tastevocab.panel.session import Session


def seed_of(session: Session) -> int:
    """The seed of a session that names none: from its id and date, so that no two sessions share codes, orders or the
    place of a hidden duplicate."""
    digest = hashlib.sha256(f"{session.id}\n{session.date}".encode()).digest()
    return int.from_bytes(digest[:6], "big")


def pouring(
    session: Session, design: Design | None = None, *, brews: Iterable[str] = (), seed: int | None = None
) -> Plan:
    """One plan for all brews (those named, else each card): every taster gets the coffees that they are to taste in
    that brew, by the cards' own `tasters`; no code stands for two things.

    Raises `InputError` for an unknown brew, where nobody tastes anything, and as `designs.plan` does.
    """
    design = design or Design()
    chosen = tuple(brews) or tuple(session.brews) or ("",)
    for brew in chosen:
        if brew and brew not in session.brews:
            raise InputError(f"unknown brew {brew!r}", place=session.place, mend=f"known: {', '.join(session.brews)}")
    first = seed_of(session) if seed is None else seed
    taken = set(design.avoid)
    plans: list[Plan] = []
    for number, (brew, tasters, coffees) in enumerate(_groups(session, chosen)):
        own = replace(design, per_sitting=min(design.per_sitting, len(coffees)), avoid=taken)
        made = plan(tasters, coffees, own, seed=first + number)
        plans.append(replace(made, sittings=tuple(replace(s, brew=brew) for s in made.sittings)))
        taken |= {code for s in made.sittings for code, _ in s.order}
    if not plans:
        raise InputError("names no tasters or no coffees", place=session.place, mend="add them, then print sheets")
    notes = dict.fromkeys(made.note for made in plans)
    return Plan(
        sittings=tuple(s for made in plans for s in made.sittings),
        samples=tuple({s.id: s for made in plans for s in made.samples}.values()),
        seed=first,
        note=" ".join(notes),
    )


def _groups(session: Session, brews: Iterable[str]) -> Iterator[tuple[str, tuple[str, ...], tuple[str, ...]]]:
    """Brew by brew the tasters who get the same coffees, with those coffees."""
    coffees = [c.id for c in session.coffees.values() if not c.duplicate_of]
    for brew in brews:
        by_coffees: dict[tuple[str, ...], list[str]] = {}
        for taster in session.tasters:
            theirs = tuple(c for c in coffees if taster in session.panel(c, brew or None))
            if theirs:
                by_coffees.setdefault(theirs, []).append(taster)
        for theirs, tasters in by_coffees.items():
            yield brew, tuple(tasters), theirs
