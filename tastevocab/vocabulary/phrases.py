"""A phrase book: word sequences to what they mean, longest first.

One nested mapping from canonical word to the next; reading and look-up walk the same one, so that they always agree.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, NamedTuple


class Sense(NamedTuple):
    """One meaning of a phrase: its `kind` (flavour, attribute, negation, ...), its `value` and how it was listed."""

    kind: str
    value: str
    detail: str = ""


END = ""
Node = dict[str, Any]


@dataclass(eq=False)
class PhraseBook:
    """Phrases and their senses. `words` counts in how many phrases each canonical word occurs.

    What a phrase means stands once in `table`, and the node where it ends names its place there: read back fast.
    """

    root: Node = field(default_factory=dict)
    words: dict[str, int] = field(default_factory=dict)
    table: tuple[tuple[Sense, ...], ...] = ()

    @cached_property
    def _places(self) -> dict[tuple[Sense, ...], int]:
        return {senses: place for place, senses in enumerate(self.table)}

    def add(self, tokens: Sequence[str], sense: Sense) -> None:
        """List a phrase (canonical words) with one more sense; the same sense twice is kept once."""
        if not tokens:
            return
        node, words = self.root, self.words
        for token in tokens:
            words[token] = words.get(token, 0) + 1
            below = node.get(token)
            if below is None:
                below = node[token] = {}
            node = below
        senses = self.senses(node)
        if sense not in senses:
            node[END] = self._place((*senses, sense))

    def _place(self, senses: tuple[Sense, ...]) -> int:
        place = self._places.setdefault(senses, len(self.table))
        if place == len(self.table):
            self.table = (*self.table, senses)
        return place

    def senses(self, node: Node) -> tuple[Sense, ...]:
        """What a phrase that ends at `node` means (empty if none does)."""
        place = node.get(END)
        return () if place is None else self.table[place]

    def exact(self, tokens: Sequence[str]) -> tuple[Sense, ...]:
        """The senses of exactly this phrase (empty if it is not listed)."""
        node = self.root
        for token in tokens:
            node = node.get(token, {})
        return self.senses(node)

    def longest(self, tokens: Sequence[str], start: int) -> tuple[int, tuple[Sense, ...]]:
        """The end (exclusive) and senses of the longest listed phrase at `start`; (start, ()) if there is none."""
        node: Node | None = self.root
        best, senses = start, ()
        for position in range(start, len(tokens)):
            node = node.get(tokens[position]) if node else None
            if node is None:
                break
            if END in node:
                best, senses = position + 1, self.table[node[END]]
        return best, senses

    def __iter__(self) -> Iterator[tuple[tuple[str, ...], tuple[Sense, ...]]]:
        stack: list[tuple[tuple[str, ...], Node]] = [((), self.root)]
        while stack:
            path, node = stack.pop()
            for token, below in node.items():
                if token == END:
                    yield path, self.table[below]
                else:
                    stack.append(((*path, token), below))


def joined_forms(tokens: Sequence[str], joins: Mapping[str, str] | Iterable[str]) -> Iterator[tuple[str, ...]]:
    """Other ways to space a name ("passion fruit", "passionfruit"), by the second halves in `joins`."""
    ends = tuple(joins)
    for i in range(len(tokens) - 1):
        if tokens[i + 1] in ends:
            yield (*tokens[:i], tokens[i] + tokens[i + 1], *tokens[i + 2 :])
    for i, token in enumerate(tokens):
        for end in ends if token.endswith(ends) else ():
            if len(token) > len(end) + 2 and token.endswith(end):
                yield (*tokens[:i], token[: -len(end)], end, *tokens[i + 1 :])
