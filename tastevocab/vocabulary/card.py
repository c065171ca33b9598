"""One descriptor's card: all that a person wants to see of it at once."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from tastevocab.errors import VocabularyError
from tastevocab.vocabulary.load import short_names
from tastevocab.vocabulary.model import Descriptor, Level, Reference, Vocabulary


@dataclass(frozen=True, slots=True)
class Card:
    """A descriptor with its surroundings as labels. `way` runs from its category down; pairs are (id, label)."""

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
    below: tuple[tuple[str, str], ...]
    reached_by: tuple[tuple[str, str], ...]
    reference: Reference | None
    state: str
    fault: bool
    hold: bool
    stage: str
    ask: str
    use_instead: str


def card(vocabulary: Vocabulary, id: str) -> Card:
    """The card of the descriptor with this full id (`KeyError` if there is none)."""
    known = vocabulary.descriptors
    d = known[id]

    def labels(ids: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
        return tuple((i, known[i].print) for i in ids)

    mates = tuple(x.id for x in known.values() if x.home == d.home and x.id != id and x.level == d.level)
    back = (x.id for x in known.values() if id in x.kin and x.id not in d.kin)
    return Card(
        id=id,
        label=d.print,
        level=d.level,
        about=d.about,
        way=way(vocabulary, id),
        names={language: words for language, words in d.words.items() if words},
        heard=d.heard,
        neighbours=labels(mates) if d.home and d.level != "reach" else (),
        kin=labels((*d.kin, *back)),
        parts=labels(d.parts),
        span=labels(d.span),
        below=labels(tuple(x.id for x in known.values() if x.home == id and x.level != "reach")),
        reached_by=labels(tuple(x.id for x in known.values() if id in x.span or (d.home and d.home in x.span))),
        reference=d.reference,
        state=d.state or (known[d.home].state if d.home else ""),
        fault=d.fault,
        hold=d.hold,
        stage=d.stage,
        ask=d.ask,
        use_instead=d.use_instead,
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
    for heading in ("parts", "span", "below", "neighbours", "kin", "reached_by"):
        pairs: tuple[tuple[str, str], ...] = getattr(made, heading)
        yield heading.replace("_", " "), ", ".join(label for _, label in pairs)
    if made.reference:
        yield "allergens", ", ".join(made.reference.allergens) or "none listed; read the label"
        yield "to taste it", made.reference.make
        yield "keeps", made.reference.keep
        yield "care", made.reference.care


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
        ids.sort(key=lambda id: (place.get(id, len(place)), known[id].level == "reach", known[id].fault))

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


def point_at(vocabulary: Vocabulary, text: str) -> Descriptor:
    """The descriptor that a person means by an id, the last part of an id, a label or a name.

    Raises `VocabularyError` with near choices if there is none, or if the text could mean several.
    """
    return point_at_each(vocabulary, [text])[0]


def point_at_each(vocabulary: Vocabulary, texts: Sequence[str]) -> list[Descriptor]:
    """As `point_at`, for several texts at once."""
    known = vocabulary.descriptors
    shorts = short_names(list(known))
    by_id = {text: shorts.get(text.strip()) or shorts.get(f"reach/{text.strip()}") for text in texts}
    named = _by_name(vocabulary, [text for text, id in by_id.items() if id is None])
    found: list[Descriptor] = []
    for text in texts:
        id = by_id[text] or named[text]
        if id is None:
            raise _nothing(vocabulary, text.strip())
        found.append(known[id])
    return found


def _by_name(vocabulary: Vocabulary, texts: Sequence[str]) -> dict[str, str | None]:
    if not texts:
        return {}
    from tastevocab.vocabulary.lookup import Names, flavour_sense

    names = Names(vocabulary)
    senses = {text: flavour_sense(names.book.exact(names.keys(text))) for text in texts}
    return {text: sense.value if sense else None for text, sense in senses.items()}


def _nothing(vocabulary: Vocabulary, text: str) -> VocabularyError:
    twice = [id for id in vocabulary.descriptors if id.rsplit("/", 1)[-1] == text]
    choices = twice or difflib.get_close_matches(text, _everything(vocabulary), n=4, cutoff=0.6)
    mend = f"did you mean {', '.join(choices)}?" if choices else "see `tastevocab vocab tree`"
    return VocabularyError(f"the vocabulary has no {text!r}", mend=mend)


def _everything(vocabulary: Vocabulary) -> list[str]:
    names = [w for d in vocabulary.descriptors.values() for words in d.words.values() for w in words]
    return list(dict.fromkeys([*names, *(d.print for d in vocabulary.descriptors.values()), *vocabulary.descriptors]))
