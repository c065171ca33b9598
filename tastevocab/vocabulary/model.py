"""The records of a vocabulary: what a descriptor, an attribute and the language data are.

Plain frozen values; links between them are ids. `load.py` makes them from YAML, `graph.py` ties them into a graph.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from tastevocab.errors import Place

Level = Literal["category", "family", "note", "reach", "thing"]
CROSSING = ("reach", "thing")
"""Levels that stand beside the tree and cover a span of it."""


@dataclass(frozen=True, slots=True)
class Reference:
    """How to taste a descriptor in a kitchen.

    `make` says what to buy and how to prepare it, `allergens` names them in plain words ("milk", "tree nuts"),
    `keep` how long it lasts, `care` any further caution.
    """

    make: str
    allergens: tuple[str, ...] = ()
    keep: str = ""
    care: str = ""


@dataclass(frozen=True, slots=True)
class Descriptor:
    """Any node one can point at: a category, a family, a note, a reach word or a thing.

    `id` is a path (`citrus_crate/peel_oil/bergamot`, `reach/dark_fruit`) and never changes; `print` is what a
    customer reads and may. `home` is the id it hangs from (None for a category, and for a reach word with no one
    place). `words` are its names by language tag (BCP 47), `heard` mis-hearings and misspellings (never shown),
    `kin` sideways links, `parts` what a blend is made of, `span` what a reach word or thing covers (all ids). `thing`
    is the id of what a note is of and `form` how it comes ("jam"; see `things.py`).
    `state` is a family's tag (fresh, dried, ...), `hue` a category's own colour angle in degrees (None: the ring's).
    `fault` puts it off the wheel; `stage` and `ask` belong to faults.
    """

    id: str
    level: Level
    print: str
    home: str | None
    about: str = ""
    words: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    heard: tuple[str, ...] = ()
    kin: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    span: tuple[str, ...] = ()
    thing: str = ""
    form: str = ""
    state: str = ""
    fault: bool = False
    hold: bool = False
    stage: str = ""
    ask: str = ""
    reference: Reference | None = None
    use_instead: str = ""
    hue: float | None = None
    place: Place = field(default_factory=lambda: Place(""))

    @property
    def category(self) -> str:
        """The id of the category it hangs in ("" for a reach word without a home)."""
        if self.crosses:
            return (self.home or "").split("/", 1)[0]
        return self.id.split("/", 1)[0]

    @property
    def crosses(self) -> bool:
        """Whether it stands beside the tree and covers a span of it (a reach word or a thing)."""
        return self.level in CROSSING


@dataclass(frozen=True, slots=True)
class Form:
    """How a thing may come: `told` as a customer reads it ("as jam"), `plain` where it needs no telling (fresh).

    `states` are the state words that mean it; `heads` (ids) and `words` make it of the thing named before ("peach
    sorbet", "peach galette"), `before` of the thing named after a link ("mermelada de durazno").
    """

    told: str
    plain: bool
    states: tuple[str, ...]
    heads: tuple[str, ...]
    words: tuple[str, ...] = ()
    before: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Attribute:
    """A basic taste, mouthfeel, finish or whole-cup quality on a word scale (not a flavour).

    `scale` runs low to high (five words). `words` maps each everyday phrase to a step 1..5, `beside` those that mean it
    only next to one of its `names`, the words for the quality itself ("acidity", "acid"); `bare` is the step a name
    alone stands for (0 = naming it says nothing); `denied` the level its denial means ("not balanced" is low).
    `levels` maps steps 1..5 to none, low, medium or high.
    """

    id: str
    print: str
    group: str
    scale: tuple[str, ...]
    names: tuple[str, ...] = ()
    words: Mapping[str, int] = field(default_factory=dict)
    beside: Mapping[str, int] = field(default_factory=dict)
    bare: int = 0
    denied: str = "none"
    levels: tuple[str, ...] = ("none", "low", "medium", "high", "high")
    about: str = ""
    reference: Reference | None = None
    place: Place = field(default_factory=lambda: Place(""))


@dataclass(frozen=True, slots=True)
class TwoFaced:
    """A word that is a flavour or a fault; only the taster knows. `flavour` and `fault` are ids, `ask` the question."""

    word: str
    flavour: str
    fault: str
    ask: str
    place: Place = field(default_factory=lambda: Place(""))


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """A whole vocabulary, checked and resolved: every id in it points at something in it.

    `ring` is the walking order of the categories on the wheel; `language` the cue lists as loaded (see `language.py`);
    `version` and `hash` say which vocabulary a finding was made with. `ignored` are words a house file sets aside.
    """

    name: str
    version: str
    hash: str
    ring: tuple[str, ...]
    languages: tuple[str, ...]
    descriptors: Mapping[str, Descriptor]
    attributes: Mapping[str, Attribute]
    two_faced: Mapping[str, TwoFaced]
    language: Mapping[str, object]
    forms: Mapping[str, Form] = field(default_factory=dict)
    ignored: tuple[str, ...] = ()

    def children(self, id: str) -> tuple[str, ...]:
        """The ids that hang directly from `id` in the tree, in file order (reach words and things are not children)."""
        return self._children().get(id, ())

    def _children(self) -> Mapping[str, tuple[str, ...]]:
        found: dict[str, list[str]] = {}
        for d in self.descriptors.values():
            if not d.crosses and d.home:
                found.setdefault(d.home, []).append(d.id)
        return {k: tuple(v) for k, v in found.items()}
