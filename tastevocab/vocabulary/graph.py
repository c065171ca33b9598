"""The vocabulary as a networkx graph, for drawing, exchange and questions of one's own."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from tastevocab.vocabulary.model import Vocabulary

if TYPE_CHECKING:
    import networkx

ROOT = ""
KINDS = ("tree", "kin", "part", "span")


def graph(vocabulary: Vocabulary) -> networkx.DiGraph[str]:
    """All descriptors as nodes (attributes `level`, `print`, `fault`), all links as edges.

    The root (id "") holds the categories and the reach words without a home. An edge says what it is by attributes
    that are True: `tree` (from a node down to what hangs from it), `kin` (both ways), `part` (blend to part), `span`
    (reach word to what it covers). Two nodes tied in two ways have one edge with two of them.
    """
    import networkx

    made: networkx.DiGraph[str] = networkx.DiGraph(name=vocabulary.name, version=vocabulary.version)
    made.add_node(ROOT, level="root", print=vocabulary.name, fault=False)
    for d in vocabulary.descriptors.values():
        made.add_node(d.id, level=d.level, print=d.print, fault=d.fault)
    for source, target, kind in links(vocabulary):
        made.add_edge(source, target, **{kind: True})
    return made


def links(vocabulary: Vocabulary) -> Iterator[tuple[str, str, str]]:
    """Every link as (from, to, kind), in file order; kin is given both ways."""
    for d in vocabulary.descriptors.values():
        yield (d.home or ROOT, d.id, "tree")
        for other in d.kin:
            yield (d.id, other, "kin")
            yield (other, d.id, "kin")
        yield from ((d.id, other, "part") for other in d.parts)
        yield from ((d.id, other, "span") for other in d.span)


def only(whole: networkx.DiGraph[str], kind: str) -> Any:
    """A view of the graph with the edges of one kind ("tree", "kin", "part" or "span") and all nodes."""
    import networkx

    if kind not in KINDS:
        raise ValueError(f"no kind of link {kind!r}; one of {', '.join(KINDS)}")
    return networkx.subgraph_view(whole, filter_edge=lambda a, b: whole.edges[a, b].get(kind, False))
