"""Longer names with a mis-heard word inside: who hears "quints" for quince hears "quints paste" for quince paste."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator

from tastevocab.vocabulary.model import Vocabulary

Words = tuple[str, ...]


def mistaken_names(
    vocabulary: Vocabulary, keys: Callable[[str], list[str]], heard: Iterable[tuple[Words, str]]
) -> Iterator[tuple[Words, str]]:
    """Every longer name of the first language in which a one-word name stands, with what is `heard` in its place.

    `keys` gives the canonical words of a phrase; `heard` pairs canonical words with the id of what they are taken for.
    Yields canonical words and the id of the longer name's descriptor. Neighbours in a name are context enough, so that
    no other is asked for.
    """
    short: dict[str, list[str]] = defaultdict(list)
    longer: dict[str, list[tuple[Words, str]]] = defaultdict(list)
    for d in vocabulary.descriptors.values():
        for word in d.words.get(vocabulary.languages[0], ()):
            name = tuple(keys(word))
            if len(name) == 1:
                short[d.id].append(name[0])
            else:
                for part in dict.fromkeys(name):
                    longer[part].append((name, d.use_instead or d.id))
    for mistaken, meant in heard:
        for word in short[meant]:
            for name, id in longer[word]:
                at = name.index(word)
                yield (*name[:at], *mistaken, *name[at + 1 :]), id
