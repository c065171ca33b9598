"""Guessing at words the vocabulary does not list: by spelling, then by sound, always with the runner-up and the gap.

Cut-offs follow the length of the word: short words must be exact, since "pear" and "peach" or "hay" and "bay" are a
letter apart. Fault words are never guessed, nor words that are rare in English.
"""

from __future__ import annotations

from collections import defaultdict
from functools import cached_property
from typing import NamedTuple

from tastevocab.vocabulary.lookup import ATTRIBUTE, Names, flavour_sense
from tastevocab.vocabulary.words import fold, split_words

# (word length at least, edits allowed, similarity needed). House values, set on caption errors of our own.
CUTOFFS = ((11, 3, 0.72), (8, 2, 0.74), (6, 2, 0.72), (5, 1, 0.78))
GAP = 0.04
# First letters that sound alike; a misspelling seldom changes the first letter otherwise.
_ALIKE = ({"c", "k"}, {"c", "s"}, {"p", "f"}, {"g", "j"}, {"q", "k"}, {"c", "q"}, {"e", "a"}, {"i", "e"}, {"w", "r"})
# Endings of ordinary derived words that a name only happens to resemble ("smoothly", "mellowed").
_DERIVED = ("ly", "ed", "ing", "ness", "able", "tion")


class Guess(NamedTuple):
    """What an unlisted phrase may mean: the descriptor or None, the route, how near (0..1), and the runner-up."""

    descriptor: str | None
    via: str
    match: float
    runner_up: str | None
    runner_up_match: float

    @property
    def gap(self) -> float:
        """How far the best match stands before the next."""
        return self.match - self.runner_up_match


class Guesser:
    """The single-word and joined names of a vocabulary, ready to be compared with unknown words."""

    def __init__(self, names: Names) -> None:
        self.target: dict[str, str] = {}
        self.one_word: set[str] = set()
        for path, senses in names.book:
            sense = flavour_sense(senses)
            if sense and sense.value not in names.faults and not names.rare.intersection(path):
                word = "".join(path)
                if len(word) >= 4:
                    self.target.setdefault(word, sense.value)
                    if len(path) == 1 and sense.detail == "word":
                        self.one_word.add(word)
            elif any(s.kind == ATTRIBUTE for s in senses) and len(path) == 1 and len(path[0]) >= 5:
                self.target.setdefault(path[0], f"attribute/{path[0]}")
                self.one_word.add(path[0])
        self.single_names: dict[str, list[str]] = defaultdict(list)
        for word in self.one_word:
            self.single_names[self.target[word]].append(word)
        self.words = list(self.target)
        self.longest = max(map(len, self.words), default=0)
        self.sized: dict[tuple[int, int], list[str]] = {}
        self.seen: dict[str, Guess | None] = {}
        self.near: dict[tuple[str, int], list[tuple[str, float]]] = {}

    @cached_property
    def by_sound(self) -> dict[str, list[str]]:
        """The words by how they sound; made when spelling alone has led nowhere."""
        from jellyfish import metaphone

        found: dict[str, list[str]] = defaultdict(list)
        for word in self.words:
            found[metaphone(word)].append(word)
        return found

    def _as_long(self, low: int, high: int) -> list[str]:
        """The words of `low` to `high` characters, in the order of `words`: others cannot be near enough."""
        sizes = min(low, self.longest + 1), min(high, self.longest)
        if sizes not in self.sized:
            self.sized[sizes] = [w for w in self.words if low <= len(w) <= high]
        return self.sized[sizes]

    def guess(self, phrase: str) -> Guess | None:
        """The nearest name to a phrase, or None if none is near enough and clear of the next."""
        found = self._remembered("".join(fold(w).replace("'", "") for w in split_words(phrase)))
        return None if found is None or (found.descriptor or "").startswith("attribute/") else found

    def _remembered(self, word: str) -> Guess | None:
        if word not in self.seen:
            self.seen[word] = self._guess(word)
        return self.seen[word]

    def single(self, word: str) -> tuple[str, str] | None:
        """The one-word name a misspelt word stands for and the route, or None; sound alone is left to a person."""
        found = self._remembered(word)
        if found is None or found.via != "spelling":
            return None
        names = self.single_names.get(found.descriptor or "")
        if not names:
            return None
        from rapidfuzz.distance import OSA

        best = min(names, key=lambda n: (OSA.distance(word, n), n))
        edits = OSA.distance(word, best)
        alike = word[0] == best[0] or {word[0], best[0]} in _ALIKE
        near = alike and (edits == 1 or (edits == 2 and len(word) >= 8)) and not (len(word) == 5 and len(best) < 5)
        return (best, found.via) if near and not word.endswith(_DERIVED) else None

    def nearest(self, phrase: str, count: int = 3) -> list[tuple[str, float]]:
        """Up to `count` (descriptor, match) for a person to choose from, best first, match at least 0.6."""
        from rapidfuzz import process
        from rapidfuzz.distance import OSA

        word = "".join(fold(w).replace("'", "") for w in split_words(phrase))
        if (word, count) in self.near:
            return self.near[word, count]
        found: dict[str, float] = {}
        alike = self._as_long(int(0.6 * len(word)), int(len(word) / 0.6) + 1)
        for name, score, _ in process.extract(
            word, alike, scorer=OSA.normalized_similarity, limit=12, score_cutoff=0.6, processor=None
        ):
            if not self.target[name].startswith("attribute/"):
                found.setdefault(self.target[name], round(float(score), 4))
        self.near[word, count] = list(found.items())[:count]
        return self.near[word, count]

    def _guess(self, word: str) -> Guess | None:
        from rapidfuzz import process
        from rapidfuzz.distance import OSA

        rule = next((r for r in CUTOFFS if len(word) >= r[0]), None)
        if rule is None:
            return None
        _, edits, needed = rule
        ranked: dict[str, float] = {}
        alike = self._as_long(len(word) - edits, len(word) + edits)
        for name, distance, _ in process.extract(
            word, alike, scorer=OSA.distance, limit=12, score_cutoff=edits, processor=None
        ):
            score = 1 - distance / max(len(word), len(name))
            score += 0.04 if name[0] == word[0] else -0.06
            target = self.target[name]
            ranked[target] = max(ranked.get(target, 0.0), min(score, 1.0))
        best = _decide(ranked, needed, "spelling")
        return best or self._by_sound(word)

    def _by_sound(self, word: str) -> Guess | None:
        from jellyfish import metaphone
        from rapidfuzz.distance import OSA

        ranked: dict[str, float] = {}
        for name in self.by_sound.get(metaphone(word), ()):
            score = float(OSA.normalized_similarity(word, name))
            target = self.target[name]
            ranked[target] = max(ranked.get(target, 0.0), score)
        return _decide(ranked, 0.55, "sound") if len(word) >= 5 else None


def _decide(ranked: dict[str, float], needed: float, via: str) -> Guess | None:
    """Best first, ties by id; None below the cut-off or without a clear gap."""
    order = sorted(ranked.items(), key=lambda r: (-r[1], r[0]))
    if not order or order[0][1] < needed:
        return None
    second = order[1] if len(order) > 1 else (None, 0.0)
    if order[0][1] - second[1] < GAP:
        return None
    return Guess(order[0][0], via, round(order[0][1], 4), second[0], round(second[1], 4))
