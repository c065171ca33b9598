"""One descriptor's card: all that a person wants to see of it at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from tastevocab.vocabulary.model import Attribute, Descriptor, Level, Reference, TwoFaced, Vocabulary
from tastevocab.vocabulary.things import thing_of
from tastevocab.vocabulary.tongues import order_of


@dataclass(frozen=True, slots=True)
class Card:
    """A descriptor with its surroundings as labels. `way` runs from its category down; pairs are (id, label), those of
    `forms` (all notes of its thing) label and form."""

    id: str
    label: str
    level: Level
    about: str
    way: tuple[str, ...]
    names: Mapping[str, tuple[str, ...]]
    heard: tuple[str, ...]
    neighbours: tuple[tuple[str, str], ...]
    kin: tuple[tuple[str, str], ...]
    parts: tuple[tuple[str, str], ...]
    span: tuple[tuple[str, str], ...]
    thing: tuple[tuple[str, str], ...]
    form: str
    forms: tuple[tuple[str, str], ...]
    below: tuple[tuple[str, str], ...]
    reached_by: tuple[tuple[str, str], ...]
    reference: Reference | None
    state: str
    fault: bool
    hold: bool
    stage: str
    ask: str
    use_instead: str
    two_faced: tuple[TwoFaced, ...]


def card(vocabulary: Vocabulary, id: str, *tongues: str) -> Card:
    """The card of the descriptor with this full id (`KeyError` if there is none), names in `tongues` (tags) first."""
    known = vocabulary.descriptors
    d = known[id]

    def labels(ids: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
        return tuple((i, known[i].print) for i in ids)

    mates = tuple(x.id for x in known.values() if x.home == d.home and x.id != id and x.level == d.level)
    thing = thing_of(vocabulary, id)
    back = (x.id for x in known.values() if id in x.kin and x.id not in d.kin)
    return Card(
        id=id,
        label=d.print,
        level=d.level,
        about=d.about,
        way=way(vocabulary, id),
        names={tag: d.words[tag] for tag in order_of(d.words, tongues) if d.words[tag]},
        heard=d.heard,
        neighbours=labels(mates) if d.home and not d.crosses else (),
        kin=labels((*d.kin, *back)),
        parts=labels(d.parts),
        span=labels(d.span),
        thing=labels((d.thing,) if d.thing else ()),
        form=d.form,
        forms=tuple((known[i].print, known[i].form) for i in (thing.span if thing else ())),
        below=labels(tuple(x.id for x in known.values() if x.home == id and not x.crosses)),
        reached_by=labels(tuple(x.id for x in known.values() if id in x.span or (d.home and d.home in x.span))),
        reference=d.reference,
        state=d.state or (known[d.home].state if d.home else ""),
        fault=d.fault,
        hold=d.hold,
        stage=d.stage,
        ask=d.ask,
        use_instead=d.use_instead,
        two_faced=tuple(t for t in vocabulary.two_faced.values() if id in (t.flavour, t.fault)),
    )


def card_lines(made: Card) -> list[tuple[str, str]]:
    """A card as (heading, text) lines, allergens before the recipe; what is empty is left out."""
    return [(heading, text) for heading, text in _all_lines(made) if text]


def _all_lines(made: Card) -> Iterator[tuple[str, str]]:
    yield "reach word" if made.level == "reach" else made.level, made.label
    yield "id", made.id
    if made.use_instead:
        yield "retired", f"use {made.use_instead}"
    yield "where", " > ".join(made.way)
    yield "thing", ", ".join(f"{label}: {made.form}" for _, label in made.thing)
    yield "forms", ", ".join(f"{label} ({form})" for label, form in made.forms)
    yield "about", made.about
    if made.state:
        yield "state", made.state
    if made.fault:
        yield "fault", "stop, do not swallow, hold the lot" if made.hold else "kept off the wheel, on a list of its own"
        yield "arises at", made.stage
        yield "ask", made.ask
    for language, words in made.names.items():
        yield f"names ({language})", ", ".join(words)
    yield "heard as", ", ".join(made.heard)
    for heading in ("parts", *(("span",) if made.level != "thing" else ()), "below", "neighbours", "kin", "reached_by"):
        pairs: tuple[tuple[str, str], ...] = getattr(made, heading)
        yield heading.replace("_", " "), ", ".join(label for _, label in pairs)
    for pair in made.two_faced:
        yield "two-faced", f"{pair.word}: a flavour ({pair.flavour}) or a fault ({pair.fault})? {pair.ask}"
    yield from _reference_lines(made.reference)


def attribute_lines(a: Attribute) -> list[tuple[str, str]]:
    """An attribute's card as (heading, text) lines: its scale and the words that mean each step."""
    lines = [("attribute", a.print), ("id", a.id), ("about", a.about), ("names", ", ".join(a.names))]
    for step, word in enumerate(a.scale, 1):
        said = ", ".join(w for w, s in a.words.items() if s == step)
        lines.append((f"step {step}", f"{word} ({a.levels[step - 1]})" + (f": {said}" if said else "")))
    return [(heading, text) for heading, text in (*lines, *_reference_lines(a.reference)) if text]


def _reference_lines(reference: Reference | None) -> Iterator[tuple[str, str]]:
    if reference:
        yield "allergens", ", ".join(reference.allergens) or "none listed; read the label"
        yield "to taste it", reference.make
        yield "keeps", reference.keep
        yield "care", reference.care


def branch(vocabulary: Vocabulary, start: str = "") -> Iterator[tuple[int, Descriptor]]:
    """(depth, descriptor) from `start` down, categories in walking order; reach words come last in their category.

    With no `start`, the whole vocabulary: the ring, the fault trays, the reach words without a home.
    """
    known = vocabulary.descriptors
    below: dict[str, list[str]] = {}
    for d in known.values():
        below.setdefault(d.home or "", []).append(d.id)
    place = {id: at for at, id in enumerate(vocabulary.ring)}
    for ids in below.values():
        ids.sort(key=lambda id: (place.get(id, len(place)), known[id].crosses, known[id].fault))

    def walk(id: str, depth: int) -> Iterator[tuple[int, Descriptor]]:
        yield depth, known[id]
        for child in below.get(id, ()):
            yield from walk(child, depth + 1)

    for id in [start] if start else below.get("", []):
        yield from walk(id, 0)


def way(vocabulary: Vocabulary, id: str) -> tuple[str, ...]:
    """The labels from the category down to the descriptor itself."""
    labels: list[str] = []
    step: str | None = id
    while step and len(labels) < len(vocabulary.descriptors):
        labels.append(vocabulary.descriptors[step].print)
        step = vocabulary.descriptors[step].home
    return tuple(reversed(labels))
