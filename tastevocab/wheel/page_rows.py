"""The rows of the interactive wheel, made and checked by a pure function before any drawing library sees them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from tastevocab.errors import InputError
from tastevocab.wheel.arcs import arcs
from tastevocab.wheel.colour import Theme, theme
from tastevocab.wheel.tree import WheelTree
from tastevocab.wheel.typeface import clean
from tastevocab.wheel.words import UNSPECIFIED, counted, title_text

ROOT = "wheel"
WHOLE = 1_000_000_000
"""The root's value: shares are whole billionths, so that sums agree to the last digit."""


@dataclass(frozen=True, slots=True)
class PageRow:
    """One piece of the interactive wheel, and one row of its table.

    `value` is its share in billionths; `depth` 0 is the centre. `people`, `of`, `denials`, `hedged` (0..1) and
    `evidence` are for the reader; `open` marks what was said broadly. `category` gives the colour.
    """

    id: str
    parent: str
    label: str
    value: int
    depth: int
    category: str
    people: int
    of: int
    denials: int
    hedged: float
    open: bool
    evidence: tuple[str, ...]

    @property
    def count(self) -> str:
        """ "3 of 5"."""
        return counted(self.people, self.of)

    @property
    def share(self) -> float:
        """Part of the whole map, 0 to 1."""
        return self.value / WHOLE


def page_rows(tree: WheelTree) -> tuple[PageRow, ...]:
    """The rows of a tree: the centre, then every arc in walking order, each after what it lies on.

    Raises `InputError` when the tree contradicts itself.
    """
    found = arcs(tree)
    nodes = {node.id: node for node in tree.nodes}
    rows = [PageRow(ROOT, "", title_text(tree), 0, 0, "", 0, 0, 0, 0.0, False, ())]
    last = {0: ROOT}
    for arc in found:
        node = nodes[arc.node]
        depth = {"category": 1, "family": 2, "petal": 3}[arc.ring]
        same_as_below = arc.ring == "petal" and arc.own
        row = PageRow(
            id=f"{arc.node}#own" if same_as_below else arc.node,
            parent=last[max(d for d in last if d < depth)],
            label=UNSPECIFIED if same_as_below else clean(arc.label),
            value=round(arc.span * WHOLE) if arc.ring == "petal" else 0,
            depth=depth,
            category=arc.category,
            people=arc.people,
            of=node.of,
            denials=node.denials,
            hedged=node.hedged_share,
            open=arc.open,
            evidence=tuple(clean(line) for line in node.evidence),
        )
        last = {d: i for d, i in last.items() if d < depth} | {depth: row.id}
        rows.append(row)
    return check_rows(_summed(_without_echoes(rows)))


def _without_echoes(rows: Sequence[PageRow]) -> list[PageRow]:
    """Say each thing once: an "unspecified" child with no sibling goes, others keep the words."""
    children: dict[str, int] = {}
    for row in rows:
        children[row.parent] = children.get(row.parent, 0) + 1
    only = {row.parent: row for row in rows if row.id == f"{row.parent}#own" and children[row.parent] == 1}
    kept = [row for row in rows if row.parent not in only]
    whose = {row.id.removesuffix("#own") for row in rows if row.id.endswith("#own")} - set(only)
    kept = [replace(row, evidence=()) if row.id in whose else row for row in kept]
    return [replace(row, value=only[row.id].value, open=True) if row.id in only else row for row in kept]


def outermost(rows: Sequence[PageRow]) -> set[str]:
    """The ids of the rows that nothing lies on: what was said itself."""
    return {row.id for row in rows} - {row.parent for row in rows}


def _summed(rows: Sequence[PageRow]) -> tuple[PageRow, ...]:
    """Values of what has children, from the outside in; shares of the whole in billionths."""
    parents = {row.id: row.parent for row in rows}
    leaves = outermost(rows)
    total = sum(row.value for row in rows if row.id in leaves) or 1
    values = dict.fromkeys(parents, 0)
    for row in rows:
        share = round(row.value / total * WHOLE) if row.id in leaves else 0
        id = row.id
        while share and id:
            values[id] += share
            id = parents[id]
    return tuple(replace(row, value=values[row.id]) for row in rows)


def check_rows(rows: Sequence[PageRow]) -> tuple[PageRow, ...]:
    """The rows again, if there is one root, ids are unique, parents stand before children and sums are equal.

    A sunburst takes wrong rows without a word and draws an empty page. Raises `InputError`.
    """
    seen: dict[str, PageRow] = {}
    sums: dict[str, int] = {}
    for row in rows:
        if row.id in seen:
            raise _wrong(f"{row.id!r} is there twice")
        if row.parent and row.parent not in seen:
            raise _wrong(f"{row.id!r} hangs from {row.parent!r}, which is not before it")
        if not row.parent and seen:
            raise _wrong(f"{row.id!r} is a second root")
        seen[row.id] = row
        sums[row.parent] = sums.get(row.parent, 0) + row.value
    for id, total in sums.items():
        if id and total != seen[id].value:
            raise _wrong(f"{id!r} has {seen[id].value} but those on it add up to {total}")
    return tuple(rows)


def _wrong(what: str) -> InputError:
    return InputError(f"the wheel's rows are wrong: {what}", mend="make them with page_rows")


def row_colours(rows: Sequence[PageRow], theme_name: str, ring: tuple[str, ...]) -> Mapping[str, list[str]]:
    """Colours of the rows in a theme: "fill", "line", "text" and "hatch", each a list as long as `rows`."""
    colours = theme(theme_name, ring)
    out: dict[str, list[str]] = {"fill": [], "line": [], "text": [], "hatch": []}
    for row in rows:
        for key, value in zip(out, _colours(row, colours), strict=True):
            out[key].append(value)
    return out


def _colours(row: PageRow, colours: Theme) -> tuple[str, str, str, str]:
    tints = colours.tints.get(row.category, colours.neutral)
    if row.depth == 0:
        return colours.paper, colours.paper, colours.ink, colours.paper
    if row.open:
        return colours.paper, tints.edge, colours.ink, tints.edge
    ring = {1: "category", 2: "family", 3: "petal"}[row.depth]
    return tints.fill(ring), tints.edge if row.depth == 3 else colours.paper, tints.letters(ring), tints.edge
