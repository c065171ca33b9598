"""What a crowd's wheel needs beside its map: small words folded into "other", and words ranked with intervals.

With hundreds of tasters half of the words are one person's: on the wheel they are thinner than a line. They are folded
by family, counted once a person, and named in the fold's evidence; nothing is dropped.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from tastevocab.panel.flavour_map import FlavourMap
from tastevocab.panel.folding import Folded
from tastevocab.panel.intervals import wilson
from tastevocab.wheel.tree import Printed, Ranked, WheelNode

CROWD = 20
"""From so many tasters on a panel's wheel is folded and ranked."""
LEAST_SHARE = 0.014
"""The part of the map (0..1) below which a word folds: some five degrees of the wheel, a line of lettering."""
RANKED = 20
OTHER = "~other"
"""Ends the id of a fold; no descriptor's id has a tilde."""


def fold_small(
    nodes: Sequence[WheelNode], printed: Sequence[Printed], folded: Folded
) -> tuple[tuple[WheelNode, ...], tuple[Printed, ...]]:
    """The nodes of a crowd's wheel with small notes folded by family, and small families by category.

    Printed words keep their own arc, and count for the folds that lie wholly in them. Sums stay as they were.
    """
    total = sum(n.wedge for n in nodes if not n.parent) or 1.0
    kept = {word.id for word in printed}
    inside: dict[str, tuple[str, ...]] = {}
    for level in (("note",), ("family", "reach")):
        nodes = _folded_level(nodes, level, total * LEAST_SHARE, kept, folded, inside)
    words = tuple(replace(w, over=_over(w, inside)) for w in printed)
    return tuple(nodes), words


def _over(word: Printed, inside: dict[str, tuple[str, ...]]) -> tuple[str, ...]:
    whole = set(word.over)
    return (*word.over, *(fold for fold, ids in inside.items() if whole.issuperset(ids)))


def _folded_level(
    nodes: Sequence[WheelNode],
    levels: tuple[str, ...],
    least: float,
    kept: set[str],
    folded: Folded,
    inside: dict[str, tuple[str, ...]],
) -> list[WheelNode]:
    small: dict[str, list[WheelNode]] = {}
    for node in nodes:
        if node.level in levels and node.parent and node.wedge < least and node.id not in kept:
            small.setdefault(node.parent, []).append(node)
    small = {parent: those for parent, those in small.items() if len(those) > 1}
    gone = {node.id: parent for parent, those in small.items() for node in those}
    out: list[WheelNode] = []
    for node in nodes:
        top = gone.get(node.id) or gone.get(node.parent)
        if top is None:
            out.append(node)
    for parent, those in small.items():
        ids = {n.id for n in those}
        below = [n for n in nodes if n.id in ids or n.parent in ids]
        words = _words(below, inside)
        inside[f"{parent}/{OTHER}"] = words
        last = max(i for i, n in enumerate(out) if n.id == parent or n.parent == parent or _under(n, parent, out))
        out[last + 1 : last + 1] = _fold(parent, those, below, words, folded)
    return out


def _under(node: WheelNode, top: str, nodes: Iterable[WheelNode]) -> bool:
    return any(n.id == node.parent and n.parent == top for n in nodes)


def _words(below: Sequence[WheelNode], inside: dict[str, tuple[str, ...]]) -> tuple[str, ...]:
    """The descriptors that were named themselves, with those of folds inside."""
    own = [n.id for n in below if n.own > 0 and n.id not in inside]
    return (*own, *(id for n in below for id in inside.get(n.id, ())))


def _fold(
    parent: str, those: Sequence[WheelNode], below: Sequence[WheelNode], words: tuple[str, ...], folded: Folded
) -> list[WheelNode]:
    """The fold as a note of its family; of small families, as a family "other" with one note."""
    wedge = sum(n.wedge for n in those)
    people = people_of(folded, words)
    names = [n for n in below if n.own > 0]
    said = ", ".join(f"{n.label} {n.people}" for n in sorted(names, key=lambda n: (-n.people, n.label)))
    first = those[0]
    doubt = sum(n.hedged_share * n.own for n in below) / max(wedge, 1e-12)
    note = WheelNode(
        id=f"{parent}/{OTHER}",
        parent=parent,
        label=f"other ({len(words)} words)",
        level="note",
        wedge=wedge,
        own=wedge,
        people=people,
        of=first.of,
        hedged_share=min(1.0, doubt),
        evidence=(said,),
        own_people=people,
        fold=True,
    )
    if first.level == "note":
        return [note]
    family = replace(note, label="other", level="family", own=0.0, hedged_share=0.0, evidence=())
    return [family, replace(note, id=f"{family.id}/words", parent=family.id)]


def people_of(folded: Folded, ids: Iterable[str]) -> int:
    """How many tasters named at least one of `ids` itself."""
    wanted = np.isin(np.array(folded.descriptors, dtype=object), list(ids))
    return int(np.unique(folded.taster[wanted[folded.descriptor]]).size)


def ranked(made: FlavourMap, printed: Sequence[Printed]) -> tuple[Ranked, ...]:
    """Printed words, then notes and the broad words as they were said, most people first, with Wilson intervals."""
    of = len(made.tasters)
    rows = [(w.label, w.people, True) for w in printed]
    said = {w.id for w in printed}
    rest = [(n.print, n.people if n.level == "note" else n.named) for n in made.nodes if n.descriptor not in said]
    rows += [(label, people, False) for label, people in sorted(rest, key=lambda row: (-row[1], row[0])) if people]
    out = []
    for label, people, bold in rows[:RANKED]:
        low, high = wilson(people, of)
        out.append(Ranked(label, people, of, low * of, high * of, bold))
    return tuple(out)
