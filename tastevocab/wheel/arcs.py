"""A weighted tree to arcs, once, for every renderer.

Angle is share of the map; the outer petal's length is people of the tasters; what was said broadly stays open.
Nothing here knows of millimetres, colours or files.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from tastevocab.errors import InputError
from tastevocab.wheel.tree import Printed, WheelNode, WheelTree

Ring = Literal["category", "family", "petal"]

RINGS: tuple[Ring, ...] = ("category", "family", "petal")
SUM_TOLERANCE = 1e-6
SHORTEST_PETAL = 0.12


@dataclass(frozen=True, slots=True)
class Arc:
    """One piece of the wheel.

    `start` and `end` are radians clockwise from twelve o'clock. `length` 0..1 is how much of its ring it fills outward
    (below 1 for petals only). `own` marks the open petal of a category's or family's own mass; its `node` is that one.
    `reach` marks a reach word, whose very name is broad. `hedged` 0..1 is the part of its angle that is hatched.
    `category` gives the colour ("" = none). `printed` are the places in the tree's `printed` of the words that this
    petal counts for. `base` is the ring that a petal's outline starts in: further in than the petals' own where
    nothing lies below it. `behind` are the people of its whole node, of whom `people` said just a broad word.
    A `fold` stands for many small words.
    """

    node: str
    ring: Ring
    label: str
    category: str
    start: float
    end: float
    length: float
    people: int
    of: int
    hedged: float
    open: bool
    own: bool = False
    reach: bool = False
    printed: tuple[int, ...] = ()
    base: Ring = "petal"
    behind: int = 0
    fold: bool = False

    @property
    def name(self) -> str:
        """A name for this arc that no other arc of its wheel has, and that a later wheel of the coffee has again."""
        return f"{self.ring}.{self.node.replace('/', '.')}"

    @property
    def middle(self) -> float:
        """The angle half way."""
        return (self.start + self.end) / 2

    @property
    def span(self) -> float:
        """The angle it covers."""
        return self.end - self.start


def check_tree(tree: WheelTree) -> None:
    """Raise `InputError` unless ids are unique, every parent is there, nothing hangs in a loop and sums agree.

    A drawing library would draw nonsense, or nothing, without a word.
    """
    by_id: dict[str, WheelNode] = {}
    for node in tree.nodes:
        if node.id in by_id:
            raise _wrong(f"{node.id!r} is there twice")
        if not node.id:
            raise _wrong("a node has no id")
        by_id[node.id] = node
    for node in tree.nodes:
        _check_figures(node)
        _check_parent(node, by_id)
    below = _children(tree.nodes)
    for node in tree.nodes:
        total = node.own + math.fsum(child.wedge for child in below.get(node.id, ()))
        if not math.isclose(total, node.wedge, rel_tol=SUM_TOLERANCE, abs_tol=1e-9):
            raise _wrong(
                f"{node.id!r} has wedge {node.wedge:g} but its own part and those below it add up to {total:g}"
            )


def _wrong(what: str) -> InputError:
    return InputError(f"the wheel's tree is wrong: {what}", mend="make the tree from a flavour map or a vocabulary")


def _check_figures(node: WheelNode) -> None:
    for name, value in (("wedge", node.wedge), ("own", node.own), ("hedged share", node.hedged_share)):
        if not math.isfinite(value) or value < 0:
            raise _wrong(f"{node.id!r} has {name} {value}")
    if node.hedged_share > 1 + SUM_TOLERANCE:
        raise _wrong(f"{node.id!r} has hedged share {node.hedged_share:g}, above 1")
    if node.people < 0 or node.of < 0 or (node.of and node.people > node.of):
        raise _wrong(f"{node.id!r} was found by {node.people} of {node.of} tasters")


_ABOVE = {"category": (), "family": ("category",), "note": ("family",), "reach": ("category", "family")}


def _check_parent(node: WheelNode, by_id: Mapping[str, WheelNode]) -> None:
    if not node.parent:
        if node.level not in ("category", "reach"):
            raise _wrong(f"{node.id!r} is a {node.level} that hangs from nothing")
        return
    parent = by_id.get(node.parent)
    if parent is None:
        raise _wrong(f"{node.id!r} hangs from {node.parent!r}, which is not there")
    if parent.level not in _ABOVE[node.level]:
        raise _wrong(f"{node.id!r} ({node.level}) hangs from {parent.id!r} ({parent.level})")


def _children(nodes: Sequence[WheelNode]) -> dict[str, list[WheelNode]]:
    below: dict[str, list[WheelNode]] = {}
    for node in nodes:
        below.setdefault(node.parent, []).append(node)
    return below


def arcs(tree: WheelTree) -> tuple[Arc, ...]:
    """All arcs of a tree, categories in the walking order of its ring, each followed by what lies on it.

    Nodes of no weight are left out. Raises `InputError` when the tree contradicts itself (see `check_tree`).
    """
    check_tree(tree)
    below = _children(tree.nodes)
    order = {id: i for i, id in enumerate(tree.ring)}
    roots = sorted((n for n in below.get("", ()) if n.wedge > 0), key=lambda n: order.get(n.id, len(order)))
    total = math.fsum(n.wedge for n in roots)
    out: list[Arc] = []
    at = 0.0
    for i, root in enumerate(roots):
        end = math.tau if i == len(roots) - 1 else at + root.wedge / total * math.tau
        out.extend(_arcs_of(root, below, root.id if root.level == "category" else "", at, end, 0))
        at = end
    return tuple(_marked(arc, tree.printed) for arc in out)


def _marked(arc: Arc, printed: Sequence[Printed]) -> Arc:
    if arc.ring != "petal":
        return arc
    return replace(arc, printed=tuple(i for i, word in enumerate(printed) if arc.node in word.over))


def _is_open(node: WheelNode) -> bool:
    return node.open or node.level == "reach"


def _arcs_of(
    node: WheelNode, below: Mapping[str, Sequence[WheelNode]], category: str, start: float, end: float, depth: int
) -> Iterator[Arc]:
    children = [n for n in below.get(node.id, ()) if n.wedge > 0]
    if node.level == "note" or depth == 2:
        yield _petal(node, category, start, end, "petal", own=False)
        return
    yield Arc(
        node.id,
        RINGS[depth],
        node.label,
        category,
        start,
        end,
        1.0,
        node.people,
        node.of,
        0.0,
        _is_open(node),
        False,
        node.level == "reach",
    )
    at = start
    per_weight = (end - start) / node.wedge
    for i, child in enumerate(children):
        last = i == len(children) - 1 and not node.own
        stop = end if last else at + child.wedge * per_weight
        yield from _arcs_of(child, below, category, at, stop, depth + 1)
        at = stop
    if node.own > 0:
        base = RINGS[depth] if node.level == "reach" else RINGS[depth + 1]
        yield _petal(node, category, at, end, base, own=True)


def _petal(node: WheelNode, category: str, start: float, end: float, base: Ring, *, own: bool) -> Arc:
    """The petal of a node, or of what was said of just it (`own`): that is said broadly, whatever the node is."""
    people = node.own_people if own and node.own_people is not None else node.people
    length = max(SHORTEST_PETAL, people / node.of) if node.of else 1.0
    return Arc(
        node=node.id,
        ring="petal",
        label=node.label,
        category=category,
        start=start,
        end=end,
        length=length,
        people=people,
        of=node.of,
        hedged=node.hedged_share,
        open=own or _is_open(node),
        own=own,
        reach=node.level == "reach",
        base=base,
        behind=node.people,
        fold=node.fold,
    )


CROWD = 20
"""From so many tasters on, petals are measured against the longest of them: hardly any word is found by all."""


@dataclass(frozen=True, slots=True)
class Picture:
    """All that one wheel draws: its `arcs`, the `printed` words over them, and the scale of its petals.

    `of` people tasted, `full` people reach the rim, `quorum` print a word (0: nobody counts), `most` found one note.
    """

    arcs: tuple[Arc, ...]
    printed: tuple[Printed, ...]
    of: int
    full: int
    quorum: int
    most: int

    @property
    def crowd(self) -> bool:
        """Whether the panel is so large that taster by taster cannot be drawn."""
        return self.of >= CROWD

    def loud(self, arc: Arc) -> bool:
        """Whether a petal stands out: it counts for a printed word, or there is nobody to agree with.

        In a crowd without a printed word those do that at least half as many people found as the note most found.
        """
        often = self.crowd and not self.printed and not arc.fold and 2 * arc.people >= self.most
        return bool(arc.printed) or self.of <= 1 or often


def picture(tree: WheelTree, full: int = 0) -> Picture:
    """What the wheel of a tree draws; `full` people reach the rim (0: all who tasted, or in a crowd the longest petal).

    Raises `InputError` when the tree contradicts itself.
    """
    found = arcs(tree)
    of = max((arc.of for arc in found), default=tree.tasters)
    longest = max((*(arc.people for arc in found if arc.ring == "petal"), *(w.people for w in tree.printed)), default=0)
    full = full or (longest if of >= CROWD else of)
    if full:
        found = tuple(
            replace(arc, length=min(1.0, max(SHORTEST_PETAL, arc.people / full)))
            if arc.ring == "petal" and arc.of
            else arc
            for arc in found
        )
    most = max((arc.people for arc in found if arc.ring == "petal" and not arc.open and not arc.fold), default=full)
    return Picture(found, tree.printed, of, full, tree.quorum, most)
