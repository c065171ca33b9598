"""Rules about kitchen references: each its own, and no allergen that it speaks of left untold."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tastevocab.vocabulary.phrases import PhraseBook, Sense
from tastevocab.vocabulary.rules import Facts, Hit, Rule
from tastevocab.vocabulary.words import canonical, fold, split_words


def unknown_allergen(facts: Facts) -> Iterator[Hit]:
    """An allergen that is not in the vocabulary's list (checked where 00-about.yaml gives one)."""
    known = set(facts.draft.allergens)
    for d in facts.described:
        for allergen in d.reference.allergens if d.reference and known else ():
            if allergen not in known:
                yield Hit(d.place, {"id": d.id, "allergen": allergen, "known": ", ".join(facts.draft.allergens)})


def care_untold(facts: Facts) -> Iterator[Hit]:
    """An allergen that a reference's caution names (by kitchen.yaml) and its allergens do not list."""
    words = {allergen: set(names) for allergen, names in _named(facts, "allergen_words").items()}
    for d in facts.described:
        said = {fold(word) for word in split_words(d.reference.care)} if d.reference else set()
        for allergen, names in words.items():
            if d.reference and said & names and allergen not in d.reference.allergens:
                yield Hit(d.place, {"id": d.id, "allergen": allergen, "word": min(said & names)})


def make_untold(facts: Facts) -> Iterator[Hit]:
    """An allergen that a reference is made of (by kitchen.yaml) and its allergens do not list."""
    foods = PhraseBook()
    for allergen, names in _named(facts, "allergen_foods").items():
        for name in names:
            foods.add([canonical(word, {}) for word in split_words(name)], Sense("allergen", allergen, name))
    for d in facts.described:
        reference = d.reference
        if reference is None or getattr(d, "hold", False):
            continue  # what is never made holds nothing
        for sense in _held(foods, reference.make):
            if sense.value not in (*reference.allergens, "none"):
                yield Hit(d.place, {"id": d.id, "allergen": sense.value, "word": sense.detail})


def _held(foods: PhraseBook, make: str) -> Iterator[Sense]:
    """The foods named in a text, the longest name at each place."""
    words, at = [canonical(word, {}) for word in split_words(make)], 0
    while at < len(words):
        end, senses = foods.longest(words, at)
        yield from senses
        at = max(end, at + 1)


def reference_twice(facts: Facts) -> Iterator[Hit]:
    """Two descriptors that are taught by the same reference: whoever tastes it learns neither."""
    first: dict[tuple[str, ...], str] = {}
    for d in facts.described:
        made = tuple(fold(word) for word in split_words(d.reference.make)) if d.reference else ()
        other = first.setdefault(made, d.id) if made else d.id
        if other != d.id:
            yield Hit(d.place, {"id": d.id, "other": other})


def _named(facts: Facts, key: str) -> Mapping[str, list[str]]:
    """A part of kitchen.yaml: names by allergen (empty where it has none)."""
    kitchen: Any = facts.draft.language.get("kitchen")
    given = kitchen.get(key) if isinstance(kitchen, dict) else None
    return {str(a): n for a, n in given.items() if isinstance(n, list)} if isinstance(given, dict) else {}


KITCHEN_RULES = (
    Rule(
        "care-untold",
        "error",
        "{id}: its care speaks of {word} and its allergens do not list {allergen}",
        "add {allergen!r} under `allergens`",
        care_untold,
    ),
    Rule(
        "make-untold",
        "error",
        "{id}: it is made of {word} and its allergens do not list {allergen}",
        "add {allergen!r} under `allergens`, or {word!r} in longer words under `none` of kitchen.yaml",
        make_untold,
    ),
    Rule(
        "reference-twice",
        "warning",
        "{id} is taught by the reference of {other}",
        "write a reference of its own",
        reference_twice,
    ),
    Rule(
        "unknown-allergen", "error", "{id}: {allergen!r} is no listed allergen", "use one of {known}", unknown_allergen
    ),
)
