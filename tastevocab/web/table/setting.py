"""What is set on a live table before anybody sits down: seats, codes in serving order, brews, moments, scales."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from tastevocab.errors import InputError
from tastevocab.panel.designs import Design, Plan, numbers_in, plan
from tastevocab.panel.session import Session
from tastevocab.panel.sheets import ASKED, key_csv
from tastevocab.vocabulary.model import Attribute

SPARE = 4
"""Seats kept for late comers, with codes and an order of their own from the first."""
MOST_SEATS = 250
MOST_OWN_CODES = 400
"""Three-digit codes that differ in two digits run out; from here on all tasters share one code a coffee."""


@dataclass(frozen=True, slots=True)
class Seat:
    """One place at the table: `kind` taster (a name of the session), guest or late; `codes` in serving order."""

    id: str
    kind: str
    name: str
    codes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pour:
    """One thing that is poured: a coffee, a hidden duplicate (`of` its coffee) or the house control; `name` in full."""

    id: str
    kind: str
    of: str
    name: str


@dataclass(frozen=True, slots=True)
class Scale:
    """An attribute to mark: its five words from low to high, and whether the lowest means that there is none of it."""

    id: str
    print: str
    words: tuple[str, ...]
    has_none: bool


@dataclass(frozen=True, slots=True)
class Setting:
    """A table as it is set: nothing here changes while it runs.

    `sealed` maps each seat's codes to what is poured under them: it goes to no page before the reveal. `key` is that as
    the file of `session sheets`, `keep_days` how long the leader said that the notes are kept.
    """

    session: str
    date: str
    seats: tuple[Seat, ...]
    pours: tuple[Pour, ...]
    sealed: Mapping[str, Mapping[str, str]]
    brews: tuple[str, ...]
    moments: tuple[str, ...]
    bowls: int
    scales: tuple[Scale, ...]
    key: str
    note: str
    keep_days: int = 30

    def seat(self, id: str) -> Seat | None:
        """The seat with this id."""
        return next((seat for seat in self.seats if seat.id == id), None)

    def poured(self, seat: str, code: str) -> str:
        """What stands under a code at a seat."""
        return self.sealed[seat][code]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the leader asks for: as `session sheets` takes it, and `guests` seats for a public tasting.

    `shared` gives every coffee one code for all; it is so anyway with guests, who are served from the same pots.
    """

    guests: int = 0
    moments: tuple[str, ...] = ("hot", "warm", "cool")
    duplicate: bool = False
    control: str = ""
    per_sitting: int = 0
    shared: bool = False
    seed: int = 1
    keep_days: int = 30


def set_table(session: Session, text: str, attributes: Mapping[str, Attribute], wanted: Wanted) -> Setting:
    """The table of a session. `text` is the session file as written: no number in it becomes a code.

    Raises `InputError` where nobody could sit, nothing is poured, or there are more seats than one table has.
    """
    coffees = [c.id for c in session.coffees.values() if not c.duplicate_of]
    if not coffees:
        raise InputError("names no coffees", place=session.place, mend="add `coffees: {its_id: {name: Its Name}}`")
    if not session.tasters and not wanted.guests:
        raise InputError("names no tasters", place=session.place, mend="add `tasters: [mira, otto]`, or --guests 20")
    seats = _seats(session.tasters, wanted.guests)
    if len(seats) > MOST_SEATS:
        raise InputError(f"{len(seats)} seats are more than one table has", mend=f"give at most {MOST_SEATS}")
    poured = len(coffees) + wanted.duplicate + bool(wanted.control)
    many = len(seats) * (wanted.per_sitting or poured) > MOST_OWN_CODES
    shared = wanted.shared or wanted.guests > 0 or many
    design = Design(wanted.duplicate, wanted.control, wanted.per_sitting, numbers_in(text), shared)
    made = plan([id for id, _, _ in seats], coffees, design, seed=wanted.seed)
    return _setting(session, made, seats, attributes, wanted)


def _seats(tasters: Sequence[str], guests: int) -> list[tuple[str, str, str]]:
    width = max(2, len(str(guests)))
    people = [("taster", name) for name in tasters]
    people += [("guest", f"G{n:0{width}}") for n in range(1, guests + 1)]
    people += [("late", "")] * SPARE
    return [(f"s{n}", kind, name) for n, (kind, name) in enumerate(people, 1)]


def _setting(
    session: Session,
    made: Plan,
    seats: Sequence[tuple[str, str, str]],
    attributes: Mapping[str, Attribute],
    wanted: Wanted,
) -> Setting:
    orders = {s.taster: s.order for s in made.sittings}
    names = {c.id: c.name for c in session.coffees.values()}
    pours = tuple(Pour(s.id, s.kind, s.of, names.get(s.of, s.of)) for s in made.samples)
    scales = tuple(
        Scale(a, attributes[a].print, attributes[a].scale, attributes[a].levels[0] == "none")
        for a in ASKED
        if a in attributes
    )
    return Setting(
        session=session.id,
        date=session.date,
        seats=tuple(Seat(id, kind, name, tuple(code for code, _ in orders[id])) for id, kind, name in seats),
        pours=pours,
        sealed={id: {code: sample.id for code, sample in order} for id, order in orders.items()},
        brews=tuple(session.brews) or ("",),
        moments=wanted.moments,
        bowls=session.bowls,
        scales=scales,
        key=key_csv(made),
        note=made.note,
        keep_days=wanted.keep_days,
    )


def to_json(setting: Setting) -> dict[str, Any]:
    """The setting as plain values, to be kept with the notes."""
    return asdict(setting)


def from_json(value: Mapping[str, Any]) -> Setting:
    """The setting as it was kept."""
    return Setting(
        **{
            **value,
            "seats": tuple(Seat(**{**s, "codes": tuple(s["codes"])}) for s in value["seats"]),
            "pours": tuple(Pour(**p) for p in value["pours"]),
            "scales": tuple(Scale(**{**s, "words": tuple(s["words"])}) for s in value["scales"]),
            "brews": tuple(value["brews"]),
            "moments": tuple(value["moments"]),
        }
    )
