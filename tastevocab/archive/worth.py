"""What a word is worth here: how often this archive's tables say it, and what makes one coffee distinct among them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from tastevocab.archive.lift import Lift, chance_of, lift
from tastevocab.archive.store import Archive
from tastevocab.archive.tastings import Tasting, counts_of, tastings
from tastevocab.panel.exact import false_discovery
from tastevocab.panel.flavour_map import Serving
from tastevocab.panel.gather import Gathered
from tastevocab.panel.rungs import can_be_rung
from tastevocab.panel.spans import Spans
from tastevocab.panel.summary import Bench, map_of
from tastevocab.reading.review.company import quorum
from tastevocab.vocabulary.model import Vocabulary

ENOUGH = 100
"""Notes from which a house's base rates are worth using. House value: a word that falls in one of ten stands in ten."""

LEAST = 10
"""Other coffees needed before anything is said of a word's worth."""

FALSE = 0.05
"""The share of false ones among the words told to set a coffee apart (Benjamini & Hochberg)."""

COMMON = 0.4
"""From this share of the coffees on a word is called an everyday one here."""


@dataclass(frozen=True, slots=True)
class Base:
    """How often a word is said in the archive: at quorum on `coffees` of `of` coffees, by `people` of `seats`."""

    descriptor: str
    print: str
    coffees: int
    of: int
    people: int
    seats: int


@dataclass(frozen=True, slots=True)
class Worth:
    """A word of one coffee against the other coffees of the archive.

    `people` of `of` found it here. `lift` is how much oftener than elsewhere, shrunk; `p` how often another coffee
    would reach as many, `q` that corrected over all words asked about; `apart` whether the word sets the coffee apart.
    """

    base: Base
    people: int
    of: int
    lift: Lift
    p: float
    q: float
    apart: bool
    sentence: str


def base_rates(archive: Archive, spans: Spans) -> tuple[Base, ...]:
    """Every word the archive's tables said, the commonest first; hidden second pours are not counted twice."""
    with archive.reading() as db:
        all = _distinct(tastings(db, spans.vocabulary))
    said = {word for tasting in all for words in tasting.said.values() for word in words}
    ids = [id for id in spans.ids if _weighed(id, spans) and not said.isdisjoint(spans.supports[id])]
    counted = counts_of(all, ids, spans)
    made = [_base(id, counted[id], spans) for id in ids]
    return tuple(sorted(made, key=lambda b: (-b.coffees, -b.people, spans.order[b.descriptor])))


def rates_here(archive: Archive, vocabulary: Vocabulary) -> tuple[int, dict[str, float]]:
    """How many notes (one taster on one coffee) the archive's tables hold in which a flavour was named, and by
    descriptor the share of them that name it, commonest first; hidden second pours are not counted twice."""
    with archive.reading() as db:
        notes = [words for t in _distinct(tastings(db, vocabulary)) for words in t.said.values() if words]
    counts = Counter(word for words in notes for word in words)
    return len(notes), {id: n / len(notes) for id, n in sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))}


def worth_of(
    archive: Archive, found: Sequence[tuple[str, int]], of: int, spans: Spans, *, session: str, coffee: tuple[str, str]
) -> tuple[Worth, ...]:
    """The words of one coffee (descriptor, people of `of`), in the order given, against all other coffees.

    `coffee` is its id in `session` and its name; its own tastings, earlier ones too, are left out of the comparison.
    Empty with fewer than `LEAST` other coffees.
    """
    with archive.reading() as db:
        all = tastings(db, spans.vocabulary)
    others = [t for t in _distinct(all) if t.said and not _same(t, session, *coffee)]
    if len(others) < LEAST or not found or not of:
        return ()
    counted = counts_of(others, [id for id, _ in found], spans)
    p_values = [chance_of(people, of, counted[id]) for id, people in found]
    made = []
    for (id, people), p, q in zip(found, p_values, false_discovery(p_values), strict=True):
        base = _base(id, counted[id], spans)
        ratio = lift(people, of * base.people / base.seats)
        apart = q <= FALSE and ratio.low > 1
        made.append(Worth(base, people, of, ratio, p, q, apart, _sentence(base, people, of, ratio, apart)))
    return tuple(made)


def _weighed(id: str, spans: Spans) -> bool:
    """Categories, and broad words that cover all of the wheel, set no coffee apart."""
    return spans.descriptor(id).level != "category" and can_be_rung(id, spans)


def _same(tasting: Tasting, session: str, key: str, name: str) -> bool:
    """Whether a tasting is of this coffee: by name over all sessions, one that has none only in its own session."""
    if tasting.session == session and tasting.key == key:
        return True
    return name != key and tasting.name.casefold() == name.casefold()


def _distinct(all: Sequence[Tasting]) -> list[Tasting]:
    return [t for t in all if not t.duplicate_of]


def _base(id: str, counts: Sequence[tuple[int, int]], spans: Spans) -> Base:
    return Base(
        descriptor=id,
        print=spans.descriptor(id).print,
        coffees=sum(people >= quorum(seats) for people, seats in counts),
        of=len(counts),
        people=sum(people for people, _ in counts),
        seats=sum(seats for _, seats in counts),
    )


def _sentence(base: Base, people: int, of: int, ratio: Lift, apart: bool) -> str:
    """Counts first; the verdict only where it stands."""
    agreed = f"this archive's tables agreed on it for {base.coffees} of {base.of} coffees"
    said = f"{base.print}: here {people} of {of}; {agreed}"
    if apart:
        return f"{said}. It sets this coffee apart: {_times(ratio)}."
    if base.coffees >= COMMON * base.of:
        return f"{said}. An everyday word here: it tells little of this coffee."
    return f"{said}. Not shown to set this coffee apart."


def _times(ratio: Lift) -> str:
    return f"{ratio.ratio:.1f} times as often as elsewhere ({ratio.low:.1f} to {ratio.high:.1f})"


def coffee_worth(archive: Archive, gathered: Gathered, coffee: str, tools: Bench) -> tuple[Worth, ...]:
    """The worth of every word that was found of one coffee of a session (brews and moments together), first those that
    set it apart, then by how many found them."""
    made = map_of(gathered, Serving(coffee), tools, pool=True)
    found = [(n.descriptor, n.people) for n in (*made.nodes, *made.wider) if _weighed(n.descriptor, tools.spans)]
    card = gathered.session.coffees[coffee]
    told = worth_of(
        archive, found, len(made.tasters), tools.spans, session=gathered.session.id, coffee=(coffee, card.name)
    )
    return tuple(sorted(told, key=lambda w: (not w.apart, -w.people, w.q, tools.spans.order[w.base.descriptor])))
