"""The weighted tree: all the wheel sees of a panel (or of a vocabulary)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class WheelNode:
    """One descriptor on the wheel.

    `parent` is the id of the node it hangs from ("" for a category); `wedge` its own weight plus those below it (any
    unit; only ratios are drawn), `own` the part of it found exactly here. `people` of `of` tasters found it;
    `hedged_share` 0..1 is the part of its certainty given with doubt; `denials` people who said no.
    `open` marks an unspecified node (a reach word): outline only. `evidence` are lines a person can read:
    who, where, when and the very words; `heard` is the second of the recording at which each was said (None: not
    known). `own_people` counts those who found it exactly here, broadly, and nothing narrower below (None: not known,
    `people` stands for it). A `fold` stands for many small words of a crowd.
    """

    id: str
    parent: str
    label: str
    level: Literal["category", "family", "note", "reach"]
    wedge: float
    own: float
    people: int = 0
    of: int = 0
    hedged_share: float = 0.0
    denials: int = 0
    open: bool = False
    evidence: tuple[str, ...] = ()
    own_people: int | None = None
    fold: bool = False
    heard: tuple[float | None, ...] = ()


@dataclass(frozen=True, slots=True)
class Printed:
    """One printed word: `people` of `of` tasters stand behind it.

    `over` are the ids of the nodes that count for it; their arcs may lie together or in several places (a thing in
    all its forms), and are marked as one. `leaning` is what it mostly came as ("mostly as jam"), "" where nothing is.
    """

    id: str
    label: str
    people: int
    of: int
    over: tuple[str, ...]
    leaning: str = ""


@dataclass(frozen=True, slots=True)
class Ranked:
    """One row of a crowd's dot plot: `people` of `of`, their 95 % interval in people, and if printed."""

    label: str
    people: int
    of: int
    low: float
    high: float
    printed: bool = False


@dataclass(frozen=True, slots=True)
class Strip:
    """One attribute under the wheel: its five scale words low to high, every taster's mark (1..5), the median."""

    label: str
    scale: tuple[str, ...]
    marks: tuple[tuple[str, float], ...] = ()
    median: float | None = None


@dataclass(frozen=True, slots=True)
class WheelTree:
    """A whole wheel: nodes in walking order, the full ring of category ids (for colours), and the words around it.

    `title` is the coffee's name, `subtitle` how it was served and by whom, `footer` the lines below. `tasters` is the
    panel size, `quorum` how many of them print a word (0: nobody counts). `printed` are the words of the notes line, in
    its order; `headline` says in words what stands in their place where there are none, or what they are ("one
    person's notes"). `hold` is what is printed across every picture of a coffee on hold ("" for others), `method` how
    it was counted: for a page or the back, never on the sheet. `ranked` are a crowd's words, most people first.
    """

    nodes: tuple[WheelNode, ...]
    ring: tuple[str, ...]
    title: str
    subtitle: tuple[str, ...] = ()
    footer: tuple[str, ...] = ()
    tasters: int = 0
    strips: tuple[Strip, ...] = ()
    printed: tuple[Printed, ...] = ()
    quorum: int = 0
    headline: str = ""
    hold: str = ""
    method: tuple[str, ...] = ()
    ranked: tuple[Ranked, ...] = ()
