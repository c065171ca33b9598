"""What each descriptor covers: its notes, and which findings count for it as a rung."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from tastevocab.vocabulary.model import Descriptor, Vocabulary
from tastevocab.vocabulary.things import bare_families


def in_text(id: str, label: str) -> str:
    """A label as it stands in a sentence: categories lose their capital there.

    >>> in_text("tea_caddy", "Tea"), in_text("tea_caddy/herbal/earl_grey", "Earl Grey")
    ('tea', 'Earl Grey')
    """
    return label if "/" in id else label[:1].lower() + label[1:]


class Spans:
    """The vocabulary seen from the panel: walking order, spans and support. Faults are left out of all of it.

    `ids` are the flavour descriptors in walking order (a category, its reach words and things, its families with
    their notes; reach words without a home last). `leaves[id]` are the notes a descriptor covers,
    `core[id]` those that its bare word means where a wider word asks (of a thing its plain form: "apple" is an orchard
    fruit, whatever is made of it); `supports[id]` every descriptor
    whose finding counts a person for it.
    """

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary
        self._children = _children(vocabulary)
        self.leaves: dict[str, frozenset[str]] = {}
        for d in vocabulary.descriptors.values():
            if not d.fault:
                self.leaves[d.id] = frozenset(self._leaves_of(d.id, frozenset()))
        self.core: dict[str, frozenset[str]] = {id: self._core(id) for id in self.leaves}
        self._bare = bare_families(vocabulary)
        self.ids: tuple[str, ...] = tuple(self._walk())
        self.order: dict[str, int] = {id: i for i, id in enumerate(self.ids)}
        self._reach = tuple(id for id in self.ids if self.descriptor(id).crosses)
        self._at_home: dict[str, tuple[str, ...]] = {}
        for id in self._reach:
            self._at_home[self.parent(id)] = (*self._at_home.get(self.parent(id), ()), id)
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
        return self._at_home.get(id, ()) + self._children.get(id, ())

    def roots(self) -> tuple[str, ...]:
        """Categories in ring order, then reach words without a home."""
        return tuple(id for id in self.ids if not self.parent(id))

    def contains(self, wide: str, narrow: str) -> bool:
        """Whether `narrow` hangs from `wide`, or at least half of its core lies in that no smaller span."""
        if self.parent(narrow) == wide:
            return True
        a, b = self.leaves[wide], self.core[narrow]
        return len(a) >= len(b) and bool(b) and 2 * len(a & b) >= len(b)

    def things_of(self, found: Iterable[str]) -> set[str]:
        """The things of which several notes (or the bare word) are among the descriptors found."""
        notes = Counter(d.thing or d.id for id in set(found) if (d := self.descriptor(id)).thing or d.level == "thing")
        return {thing for thing, count in notes.items() if count > 1 or thing in found}

    def overlaps(self, wide: str, thing: str) -> bool:
        """Whether `thing` is a thing some of whose forms lie in `wide`, which does not contain it."""
        crosses = self.descriptor(thing).level == "thing" and self.descriptor(wide).level != "thing"
        return crosses and bool(self.leaves[wide] & self.leaves[thing]) and not self.contains(wide, thing)

    def _leaves_of(self, id: str, above: frozenset[str]) -> set[str]:
        d = self.vocabulary.descriptors[id]
        if d.fault or id in above or (d.use_instead and above):  # a retired note counts in no wider span
            return set()
        if d.level == "note":
            return {id}
        found: set[str] = set()
        for child in d.span if d.crosses else self._children.get(id, ()):
            found |= self._leaves_of(child, above | {id})
        return found

    def _is_thing(self, id: str) -> bool:
        return self.descriptor(id).level == "thing"

    def _core(self, id: str) -> frozenset[str]:
        leaves = self.leaves[id]
        if not self._is_thing(id):
            return leaves
        forms = self.vocabulary.forms
        plain = {n for n in leaves if (form := forms.get(self.descriptor(n).form)) and form.plain}
        return frozenset(plain) or leaves

    def _walk(self) -> Iterator[str]:
        descriptors = self.vocabulary.descriptors.values()
        categories = [d.id for d in descriptors if d.level == "category" and not d.fault]
        ring = [c for c in self.vocabulary.ring if c in categories]
        at_home: dict[str, list[str]] = {}
        for d in descriptors:
            if d.crosses:
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
        if d.level == "thing":
            return self.leaves[id] | {id} | self._bare.get(id, frozenset())
        if d.level == "family":
            notes = frozenset(self._children.get(id, ()))
            return notes | {id} | {t for t in self._reach if self._is_thing(t) and self._lies_in(t, notes, d.category)}
        if d.level == "category":
            return frozenset(self._at_or_below(id))
        span, found = self.leaves[id], {id}
        for other in self.ids:
            leaves = self.core[other]
            if not leaves or other == id:
                continue
            if not self.descriptor(other).crosses:
                if leaves <= span:
                    found.add(other)
            elif len(leaves) < len(span) and 2 * len(leaves & span) >= len(leaves):
                found.add(other)
        return frozenset(found)

    def _lies_in(self, thing: str, notes: frozenset[str], category: str) -> bool:
        """Whether a thing told without its form counts for a family of `notes`, which has no more people than its
        category."""
        return self.core[thing] <= notes and self.descriptor(thing).category == category

    def _at_or_below(self, id: str) -> Iterator[str]:
        yield id
        for child in self.below(id):
            yield from self._at_or_below(child)


def _children(vocabulary: Vocabulary) -> dict[str, tuple[str, ...]]:
    found: dict[str, list[str]] = {}
    for d in vocabulary.descriptors.values():
        if not d.crosses and d.home:
            found.setdefault(d.home, []).append(d.id)
    return {home: tuple(ids) for home, ids in found.items()}
