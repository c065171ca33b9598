"""The vocabulary searched as one types: names that begin so, then words that do, then what sounds or looks like it."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import accumulate, islice

from tastevocab.reading.hearing.windows import ATTRIBUTES, LEVELS
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.vocabulary.model import Attribute, Vocabulary
from tastevocab.vocabulary.words import fold, split_words

MOST = 12


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing that words may mean: a descriptor, or an attribute at a level. `where` is what it hangs under, `named`
    the other name of it that was found ("" if it was the printed one)."""

    print: str
    where: str
    descriptor: str | None = None
    attribute: str | None = None
    level: str | None = None
    fault: bool = False
    named: str = ""


class Search:
    """The names of a vocabulary made ready to be searched; `attributes` are the qualities' printed names by id."""

    def __init__(self, vocabulary: Vocabulary, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.hits: dict[str, Hit] = {}
        self.broad = frozenset(d.id for d in vocabulary.descriptors.values() if d.level == "thing")
        self.names: list[tuple[str, str]] = []
        self.printed: dict[str, str] = {}
        for d in vocabulary.descriptors.values():
            if d.use_instead:
                continue
            home = vocabulary.descriptors.get(d.home or "")
            where = "in any form" if d.id in self.broad else home.print if home else "fault" if d.fault else d.level
            self._take(
                d.id,
                Hit(d.print, where, descriptor=d.id, fault=d.fault),
                (d.print, *(n for names in d.words.values() for n in names)),
            )
        known = vocabulary.attributes
        # Talk is also heard to speak of some qualities that the vocabulary has no scale for.
        self.attributes = {name: name for name in ATTRIBUTES} | {a.id: a.print for a in known.values()}
        for id, name in self.attributes.items():
            self._take_quality(id, name, known.get(id))
        # All names in one text, a line each: what is asked for is found in it at once.
        self.lines = "".join(f"\n{name}" for name, _ in self.names)
        self.starts = list(accumulate((len(name) + 1 for name, _ in self.names[:-1]), initial=0))

    def _take_quality(self, id: str, name: str, known: Attribute | None) -> None:
        """A quality by its names, alone or with a level ("bitterness none"), and by what people say of it: "bitter" is
        the level that the word stands for, "bitter none" the one that is said."""
        names = (name, id, *(known.names if known else ()))
        words = {word: known.levels[step - 1] for word, step in known.words.items()} if known else {}
        for level in reversed(LEVELS):
            said = tuple(form for n in (*names, *words) for form in (f"{n} {level}", f"{level} {n}"))
            alone = tuple(word for word, stands_for in words.items() if stands_for == level)
            hit = Hit(f"{name}: {level}", "attribute", attribute=id, level=level)
            self._take(f"{id}={level}", hit, (*names, *alone, *said))

    def _take(self, id: str, hit: Hit, names: tuple[str, ...]) -> None:
        self.hits[id], self.printed[id] = hit, _asked(hit.print)
        self.names.extend((name, id) for name in dict.fromkeys(map(_asked, names)))

    def find(self, typed: str, most: int = MOST) -> list[Hit]:
        """What `typed` may mean, likeliest first; nothing for nothing."""
        asked = _asked(typed)
        if not asked:
            return []
        found = self._by_name(asked)
        for id in self._by_likeness(typed):
            found.setdefault(id, "")
        return [replace(self.hits[id], named=name) for id, name in islice(found.items(), most)]

    def _by_name(self, asked: str) -> dict[str, str]:
        """By each thing's nearest name: the name, if it is not the printed one."""
        ranked: dict[str, tuple[int, bool, int, str]] = {}
        for name, id in self._holding(asked):
            rank = 0 if name == asked else 1 if name.startswith(asked) else 2 if f" {asked}" in name else 3
            key = rank, name != self.printed[id], len(name), name
            ranked[id] = min(ranked.get(id, key), key)
        return {
            id: ranked[id][3] * ranked[id][1]
            for id in sorted(ranked, key=lambda id: (*ranked[id], id in self.broad, id))
        }

    def _holding(self, asked: str) -> Iterator[tuple[str, str]]:
        """Every name that what is asked for stands in, with what it names."""
        at = self.lines.find(asked)
        while at >= 0:
            place = bisect_right(self.starts, at) - 1
            yield self.names[place]
            following = self.starts[place + 1 : place + 2]
            at = self.lines.find(asked, following[0]) if following else -1

    def _by_likeness(self, typed: str) -> Iterator[str]:
        from tastevocab.vocabulary.compose import whole

        known = whole(self.lexicon.names, typed)
        if known and known.descriptor in self.hits:
            yield str(known.descriptor)
        if len(typed.strip()) > 3:
            yield from (id for id, _ in self.lexicon.guesser().nearest(typed) if id in self.hits)


def _asked(typed: str) -> str:
    """Words as they are compared: "Bitter -> none" asks for what "bitter none" does."""
    return " ".join(split_words(fold(typed)))
