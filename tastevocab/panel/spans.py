"""What each descriptor covers: its notes, and which findings count for it as a rung."""

from __future__ import annotations

from collections.abc import Iterator

from tastevocab.vocabulary.model import Descriptor, Vocabulary


class Spans:
    """The vocabulary seen from the panel: walking order, spans and support. Faults are left out of all of it.

    `ids` are the flavour descriptors in walking order (a category, its reach words, its families with their notes;
    reach words without a home last). `leaves[id]` are the notes a descriptor covers; `supports[id]` every descriptor
    whose finding counts a person for it.
    """

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary
        self._children = _children(vocabulary)
        self.leaves: dict[str, frozenset[str]] = {}
        for d in vocabulary.descriptors.values():
            if not d.fault:
                self.leaves[d.id] = frozenset(self._leaves_of(d.id, frozenset()))
        self.ids: tuple[str, ...] = tuple(self._walk())
        self.order: dict[str, int] = {id: i for i, id in enumerate(self.ids)}
        self._reach = tuple(id for id in self.ids if self.descriptor(id).level == "reach")
        self.supports: dict[str, frozenset[str]] = {id: self._support(id) for id in self.ids}

    def descriptor(self, id: str) -> Descriptor:
        return self.vocabulary.descriptors[id]

    def size(self, id: str) -> int:
        """How many notes the descriptor covers."""
        return len(self.leaves[id])

    def parent(self, id: str) -> str:
        """The id it hangs from on the wheel ("" for a category, and for a reach word without a home)."""
        return self.descriptor(id).home or ""

    def below(self, id: str) -> tuple[str, ...]:
        """What hangs directly from it on the wheel: reach words at home there, then families or notes."""
        return tuple(r for r in self._reach if self.parent(r) == id) + self._children.get(id, ())

    def roots(self) -> tuple[str, ...]:
        """Categories in ring order, then reach words without a home."""
        return tuple(id for id in self.ids if not self.parent(id))

    def contains(self, wide: str, narrow: str) -> bool:
        """Whether `narrow` hangs from `wide`, or at least half of its span lies in that no smaller span."""
        if self.parent(narrow) == wide:
            return True
        a, b = self.leaves[wide], self.leaves[narrow]
        return len(a) >= len(b) and bool(b) and 2 * len(a & b) >= len(b)

    def _leaves_of(self, id: str, above: frozenset[str]) -> set[str]:
        d = self.vocabulary.descriptors[id]
        if d.fault or id in above:
            return set()
        if d.level == "note":
            return {id}
        found: set[str] = set()
        for child in d.span if d.level == "reach" else self._children.get(id, ()):
            found |= self._leaves_of(child, above | {id})
        return found

    def _walk(self) -> Iterator[str]:
        descriptors = self.vocabulary.descriptors.values()
        categories = [d.id for d in descriptors if d.level == "category" and not d.fault]
        ring = [c for c in self.vocabulary.ring if c in categories]
        at_home: dict[str, list[str]] = {}
        for d in descriptors:
            if d.level == "reach":
                at_home.setdefault(d.home or "", []).append(d.id)
        for category in [*ring, *(c for c in categories if c not in ring)]:
            for node in (category, *self._children.get(category, ())):
                yield node
                yield from at_home.pop(node, ())
                if node != category:
                    yield from self._children.get(node, ())
        for homeless in at_home.values():
            yield from homeless

    def _support(self, id: str) -> frozenset[str]:
        d = self.descriptor(id)
        if d.level == "note":
            return frozenset((id,))
        if d.level == "family":
            return frozenset((id, *self._children.get(id, ())))
        if d.level == "category":
            return frozenset(self._at_or_below(id))
        span, found = self.leaves[id], {id}
        for other in self.ids:
            leaves = self.leaves[other]
            if not leaves or other == id:
                continue
            if self.descriptor(other).level != "reach":
                if leaves <= span:
                    found.add(other)
            elif len(leaves) < len(span) and 2 * len(leaves & span) >= len(leaves):
                found.add(other)
        return frozenset(found)

    def _at_or_below(self, id: str) -> Iterator[str]:
        yield id
        for child in self.below(id):
            yield from self._at_or_below(child)


def _children(vocabulary: Vocabulary) -> dict[str, tuple[str, ...]]:
    found: dict[str, list[str]] = {}
    for d in vocabulary.descriptors.values():
        if d.level != "reach" and d.home:
            found.setdefault(d.home, []).append(d.id)
    return {home: tuple(ids) for home, ids in found.items()}
