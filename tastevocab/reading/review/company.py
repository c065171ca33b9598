"""Who tasted what, and who of them found a word: what an answer would change."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from tastevocab.reading.records import Finding, Reading, Spot, Table
from tastevocab.reading.report.contract import Item


@dataclass(frozen=True, slots=True)
class Company:
    """Who tasted what, as far as it is known: the panel's `tasters` (none: everyone who speaks), their other names
    (`voices`, by the name as spoken), and the table with its coffees, brews and claims."""

    tasters: tuple[str, ...] = ()
    voices: Mapping[str, str] = field(default_factory=dict)
    table: Table = field(default_factory=Table)

    def who(self, spot: Spot) -> str:
        """Whose mouth, in the panel's names."""
        name = voice(spot)
        return self.voices.get(name) or self.voices.get(name.casefold()) or name

    def called(self, coffee: str) -> str:
        """What a coffee is called, by its id."""
        return next((c.names[0] for c in self.table.coffees if c.id == coffee and c.names), coffee)

    def coffee(self, spot: Spot) -> str | None:
        """Which coffee, by the table's id where it is named otherwise; a single one on the table is meant unsaid."""
        poured = self.table.coffees
        if not spot.coffee:
            return poured[0].id if len(poured) == 1 else None
        said = spot.coffee.casefold()
        return next((c.id for c in poured if said in (n.casefold() for n in (c.id, *c.names))), spot.coffee)


NOBODY = Company()


@dataclass(frozen=True, slots=True)
class Effect:
    """People who found a descriptor in this coffee: now, then, and of how many."""

    now: int
    then: int
    of: int

    def crosses(self) -> bool:
        """Whether the quorum lies between now and then."""
        return (self.now < quorum(self.of)) != (self.then < quorum(self.of))

    def __str__(self) -> str:
        change = f"stays {self.now}" if self.now == self.then else f"{self.now} -> {self.then}"
        return f"{change} of {self.of}"


class People:
    """Who found what: distinct tasters with an own finding at a descriptor or below it, by coffee; `maybe` counts those
    of whom it is asked."""

    def __init__(self, readings: Iterable[Reading], company: Company = NOBODY) -> None:
        self.company = company
        self.found: dict[tuple[str | None, str], Counter[str]] = {}
        self.maybe: dict[tuple[str | None, str], set[str]] = {}
        speakers: set[str] = set()
        for reading in readings:
            speakers |= {company.who(Spot("", (0, 0), "", speaker=name)) for name in reading.speakers}
            for f in reading.findings:
                speakers.add(company.who(f.spot))
                if counts(f):
                    for at in _above(company.coffee(f.spot), f.descriptor):
                        self.found.setdefault(at, Counter())[company.who(f.spot)] += 1
            for a in reading.asked:
                if isinstance(a, Finding) and a.standing == "own":
                    for at in _above(company.coffee(a.spot), a.descriptor):
                        self.maybe.setdefault(at, set()).add(company.who(a.spot))
        self.of = len(set(company.tasters) or speakers)

    def with_item(self, id: str, item: Item, present: bool = True) -> Effect:
        """How many found `id` so far, and how many if the item means it (`present`) or denies it."""
        if not present:
            counted = self.without_item(item) if isinstance(item, Finding) and item.descriptor == id else None
            return counted or self._stays(id, item)
        now = self.found.get((self.company.coffee(item.spot), id), Counter())
        joins = not isinstance(item, Finding) or item.standing == "own"
        then = len({*now, self.company.who(item.spot)}) if joins else len(now)
        return Effect(len(now), then, max(self.of, then))

    def _stays(self, id: str, item: Item) -> Effect:
        now = len(self.found.get((self.company.coffee(item.spot), id), ()))
        return Effect(now, now, max(self.of, now))

    def without_item(self, item: Item) -> Effect | None:
        """How many found what a finding was read as, and how many without it; None where it is not counted."""
        if not isinstance(item, Finding) or not counts(item):
            return None
        now = self.found.get((self.company.coffee(item.spot), item.descriptor), Counter())
        return Effect(len(now), len(now) - (now[self.company.who(item.spot)] == 1), max(self.of, len(now)))

    def gap(self, descriptor: str, effect: Effect, spot: Spot) -> int | None:
        """How many people a descriptor lacks to its quorum, if what stands at `spot` (its effect) and all else that is
        asked can make them up; None where they cannot, or where it is reached without them."""
        if effect.now == effect.then:
            return None
        at = self.company.coffee(spot), descriptor
        most = {*self.found.get(at, ()), *self.maybe.get(at, ()), self.company.who(spot)}
        needed = quorum(effect.of)
        if effect.then < effect.now:
            return 0 if effect.crosses() else None
        return needed - effect.now if effect.now < needed <= len(most) else None


def _above(coffee: str | None, descriptor: str) -> Iterator[tuple[str | None, str]]:
    steps = descriptor.split("/")
    for depth in range(1, len(steps) + 1):
        yield coffee, "/".join(steps[:depth])


def quorum(tasters: int) -> int:
    """The least people a printed word needs: more than half of the tasters, and at least two."""
    return max(2, tasters // 2 + 1)


def counts(f: Finding) -> bool:
    """Whether a finding counts a person: said of oneself, not denied, and not only asked about."""
    return f.present and f.standing == "own" and not f.asked


def voice(spot: Spot) -> str:
    """Whose mouth: the speaker, else the row of the table, else somebody unknown in this file."""
    return spot.speaker or spot.note or f"? in {spot.source}"
