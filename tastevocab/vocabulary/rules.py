"""The rules a vocabulary must keep: each a code, a severity, a message and a mend, all as data, and a finder.

A finder looks at `Facts` and gives hits; it must survive the faults that other rules look for (ids twice, references
to nothing, loops), so everything is looked up with a guard.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal, NamedTuple

from tastevocab.errors import Place
from tastevocab.vocabulary.draft import Draft, Problem
from tastevocab.vocabulary.model import Attribute, Descriptor
from tastevocab.vocabulary.words import canonical, split_words

Severity = Literal["error", "warning"]


class Hit(NamedTuple):
    """One breach of a rule: where, and the values its message names."""

    place: Place
    values: dict[str, Any]


class Claim(NamedTuple):
    """A name that a descriptor lists: as a word of a language, or as heard."""

    word: str
    owner: Descriptor
    language: str
    heard: bool
    place: Place


@dataclass(frozen=True, slots=True)
class Rule:
    """`what` and `mend` are format strings over a hit's values."""

    code: str
    severity: Severity
    what: str
    mend: str
    find: Callable[[Facts], Iterable[Hit]]

    def problems(self, facts: Facts) -> Iterator[Problem]:
        """Every breach of the rule."""
        for hit in self.find(facts):
            yield Problem(
                self.code, self.severity, hit.place, self.what.format(**hit.values), self.mend.format(**hit.values)
            )


@dataclass
class Facts:
    """Tables over a draft that the rules share, made when first asked for."""

    draft: Draft
    by_id: dict[str, Descriptor] = field(init=False)
    _forms: dict[str, str] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        self.by_id = {}
        for d in self.draft.descriptors:
            self.by_id.setdefault(d.id, d)

    @cached_property
    def by_short(self) -> dict[str, list[str]]:
        """Last part of an id to all ids that end so (reach words are always named in full)."""
        found: dict[str, list[str]] = {}
        for id in self.by_id:
            if not id.startswith("reach/"):
                found.setdefault(id.rsplit("/", 1)[-1], []).append(id)
        return found

    @cached_property
    def children(self) -> dict[str, list[Descriptor]]:
        """What hangs directly from each id (reach words left out)."""
        found: dict[str, list[Descriptor]] = {}
        for d in self.draft.descriptors:
            if d.home and not d.crosses:
                found.setdefault(d.home, []).append(d)
        return found

    @property
    def described(self) -> list[Descriptor | Attribute]:
        """Everything that has a label, a meaning and perhaps a reference."""
        return [*self.draft.descriptors, *self.draft.attributes]

    def targets(self, name: str) -> list[str]:
        """The ids that a reference may mean: one if it is sound, none if unknown, several if unclear."""
        return [name] if name in self.by_id else self.by_short.get(name, [])

    def target(self, name: str) -> Descriptor | None:
        """The one descriptor that a reference means, if there is exactly one."""
        found = self.targets(name)
        return self.by_id[found[0]] if len(found) == 1 else None

    def above(self, descriptor: Descriptor) -> Iterator[Descriptor]:
        """What a descriptor hangs from, nearest first; stops at a loop or at a home that does not exist."""
        seen = {descriptor.id}
        home = self.target(descriptor.home) if descriptor.home else None
        while home and home.id not in seen:
            yield home
            seen.add(home.id)
            home = self.target(home.home) if home.home else None

    @cached_property
    def spellings(self) -> dict[str, str]:
        """Variant spellings to the standard one, as far as the spellings file can be read."""
        file = self.draft.language.get("spellings")
        given = file.get("variants", file) if isinstance(file, dict) else {}
        return {str(k): str(v) for k, v in given.items() if isinstance(v, str)} if isinstance(given, dict) else {}

    def same_form(self, phrase: str) -> str:
        """One form for all spellings, numbers and spacings of a phrase ("Passion fruits", "passionfruit")."""
        if phrase not in self._forms:  # many rules ask for the same names
            self._forms[phrase] = "".join(canonical(word, self.spellings) for word in split_words(phrase))
        return self._forms[phrase]

    @cached_property
    def claims(self) -> list[Claim]:
        """Every name that any descriptor lists. Heard names are compared with the words of the first language."""
        first = self.draft.languages[0]
        found: list[Claim] = []
        places = self.draft.places
        for d in self.draft.descriptors:
            listed = [(language, word, False) for language, words in d.words.items() for word in words]
            listed += [(first, word, True) for word in d.heard]
            for language, word, heard in listed:
                place = places.get((d.id, f"word {word}")) or self.draft.place_of(d, "heard" if heard else "words")
                found.append(Claim(word, d, language, heard, place))
        return found
