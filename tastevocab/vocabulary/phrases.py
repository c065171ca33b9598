"""A phrase book: word sequences to what they mean, longest first.

One nested mapping from canonical word to the next; reading and look-up walk the same one, so that they always agree.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple


class Sense(NamedTuple):
    """One meaning of a phrase: its `kind` (flavour, attribute, negation, ...), its `value` and how it was listed."""

    kind: str
    value: str
    detail: str = ""


END = ""
Node = dict[str, Any]


@dataclass(slots=True, eq=False)
class PhraseBook:
    """Phrases and their senses. `words` counts in how many phrases each canonical word occurs."""

    root: Node = field(default_factory=dict)
    words: dict[str, int] = field(default_factory=dict)

    def add(self, tokens: Sequence[str], sense: Sense) -> None:
        """List a phrase (canonical words) with one more sense; the same sense twice is kept once."""
        if not tokens:
            return
        node = self.root
        for token in tokens:
            self.words[token] = self.words.get(token, 0) + 1
            node = node.setdefault(token, {})
        senses = node.setdefault(END, ())
        if sense not in senses:
            node[END] = (*senses, sense)

    def exact(self, tokens: Sequence[str]) -> tuple[Sense, ...]:
        """The senses of exactly this phrase (empty if it is not listed)."""
        node = self.root
        for token in tokens:
            node = node.get(token, {})
        found: tuple[Sense, ...] = node.get(END, ())
        return found

    def longest(self, tokens: Sequence[str], start: int) -> tuple[int, tuple[Sense, ...]]:
        """The end (exclusive) and senses of the longest listed phrase at `start`; (start, ()) if there is none."""
        node: Node | None = self.root
        best, senses = start, ()
        for position in range(start, len(tokens)):
            node = node.get(tokens[position]) if node else None
            if node is None:
                break
            if END in node:
                best, senses = position + 1, node[END]
        return best, senses

    def __iter__(self) -> Iterator[tuple[tuple[str, ...], tuple[Sense, ...]]]:
        stack: list[tuple[tuple[str, ...], Node]] = [((), self.root)]
        while stack:
            path, node = stack.pop()
            for token, below in node.items():
                if token == END:
                    yield path, below
                else:
                    stack.append(((*path, token), below))


def joined_forms(tokens: Sequence[str], joins: Mapping[str, str] | Iterable[str]) -> Iterator[tuple[str, ...]]:
    """Other ways to space a name ("passion fruit", "passionfruit"), by the second halves in `joins`."""
    ends = tuple(joins)
    for i in range(len(tokens) - 1):
        if tokens[i + 1] in ends:
            yield (*tokens[:i], tokens[i] + tokens[i + 1], *tokens[i + 2 :])
    for i, token in enumerate(tokens):
        for end in ends:
            if len(token) > len(end) + 2 and token.endswith(end):
                yield (*tokens[:i], token[: -len(end)], end, *tokens[i + 1 :])
