"""What a vocabulary knows of its other languages: the words in which a quality and its steps are said there.

The language of `rules.yaml` and `attributes.yaml` is the vocabulary's first; each other one has a file of its own
(`tongue.es.yaml`) with the same kinds of patterns.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from tastevocab.vocabulary.model import Descriptor, Vocabulary

TONGUE = "tongue."
PARTS = ("letters", "turned", "afterthoughts", "stand_for", "small", "ordinary", "rules", "qualities")
# A language tag as BCP 47 forms it for our needs: language, optional script, optional region.
TAG = re.compile(r"[a-z]{2,3}(-[A-Z][a-z]{3})?(-([A-Z]{2}|[0-9]{3}))?")


@dataclass(frozen=True, slots=True)
class Quality:
    """How an attribute is spoken of in one language: as `Attribute` has it."""

    id: str
    names: tuple[str, ...] = ()
    words: Mapping[str, int] = field(default_factory=dict)
    beside: Mapping[str, int] = field(default_factory=dict)


def base_of(tag: str) -> str:
    """The language of a tag ("es" of "es-MX")."""
    return tag.split("-", 1)[0]


def order_of(languages: Iterable[str], told: Sequence[str]) -> tuple[str, ...]:
    """The languages in the order in which they have a say: a told region, its language, the vocabulary's own order,
    then other regions ("limón" is lime in es-MX)."""
    known = tuple(languages)
    chosen = [tag for said in told for tag in (said, base_of(said)) if tag in known]
    whole = [tag for tag in known if "-" not in tag]
    return tuple(dict.fromkeys((*chosen, *whole, *known)))


def said_in(d: Descriptor, tongues: Sequence[str]) -> str:
    """What a table of these language tags calls a descriptor; "" where none was told or none of them has a name."""
    mine = (tag for told in tongues for tag in (told, base_of(told)) if d.words.get(tag))
    return next((d.words[tag][0] for tag in mine), "")


def tongue_of(vocabulary: Vocabulary, language: str) -> Mapping[str, Any]:
    """What the file of `language` holds; empty for the first language and for one without a file."""
    held = vocabulary.language.get(f"{TONGUE}{language}")
    return held if isinstance(held, Mapping) else {}


def qualities_of(vocabulary: Vocabulary, language: str) -> Iterator[Quality]:
    """How every attribute is spoken of in `language`, then in the first one (loan words: "body cremoso")."""
    given = part(tongue_of(vocabulary, language), "qualities")
    for id, held in given.items():
        if id in vocabulary.attributes:
            names, beside = tuple(str(name) for name in held.get("names") or ()), _steps(held, "beside")
            # The word for the step follows the name: "acidez alta", "final muy largo".
            joined = {f"{name} {way}": step for name in names for way, step in beside.items()}
            yield Quality(str(id), names, {**joined, **_steps(held, "words")}, beside)
    for a in vocabulary.attributes.values():
        yield Quality(a.id, a.names, a.words, a.beside)


def part(held: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    """One part of a language's file, empty where it has none."""
    value = held.get(name)
    return value if isinstance(value, Mapping) else {}


def ordinary_in(held: Mapping[str, Any]) -> Iterator[str]:
    """The small and ordinary words of a language's file: they are no names of another language."""
    yield from map(str, part(held, "small"))
    yield from (str(word) for words in part(held, "ordinary").values() for word in words or ())


def _steps(held: Mapping[str, Any], name: str) -> dict[str, int]:
    return {str(word): int(step) for step, words in part(held, name).items() for word in words or ()}
