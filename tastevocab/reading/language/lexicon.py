"""The language of tasting talk, compiled: a vocabulary's names and its cue lists as phrase books."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from tastevocab.vocabulary.cache import open_vocabulary, remembered
from tastevocab.vocabulary.guess import Guesser
from tastevocab.vocabulary.lookup import Names
from tastevocab.vocabulary.model import Vocabulary
from tastevocab.vocabulary.phrases import PhraseBook, Sense

DEGREES = ("barely", "weak", "moderate", "strong", "very strong")


class Sets(dict[str, frozenset[str]]):
    """Sets of small words by name; a vocabulary without a set has an empty one."""

    def __missing__(self, name: str) -> frozenset[str]:
        return frozenset()


class Lexicon:
    """Everything reading needs of a vocabulary; plain data, so that it can be remembered between runs.

    `cues` holds the small words by kind ("negation.before", "degree.after", "moment", ...), `heard` mis-hearings that
    need a context, `strength` the number of each degree word on the Labelled Magnitude Scale (0..100).
    """

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.names = Names(vocabulary)
        self.cues = PhraseBook()
        language = vocabulary.language
        degrees = _map(language.get("degrees"))
        self.strength = {str(k): float(v) for k, v in _map(degrees.get("strength")).items()}
        self.doubled = {str(k): str(v) for k, v in _map(degrees.get("doubled")).items()}
        self.degree_order = DEGREES
        self.marks = {str(k): str(v) for k, v in _map(degrees.get("marks")).items()}
        self.mark_starts = frozenset(mark[:1] for mark in self.marks)
        self.marks_longest = tuple(sorted(self.marks, key=len, reverse=True))
        self.sets = Sets(
            (str(name), frozenset(" ".join(self.names.keys(str(w))) for w in words))
            for name, words in _map(language.get("small_words")).items()
            if isinstance(words, list)
        )
        self.function = self.sets["function"]
        self.numbers = _map(language.get("numbers"))
        self.evidence = {str(k): float(v) for k, v in _map(_map(language.get("evidence")).get("points")).items()}
        self.set_off = frozenset(k for w in degrees.get("set_off") or () for k in self.names.keys(str(w)))
        self.set_off_notes = frozenset(k for w in degrees.get("set_off_notes") or () for k in self.names.keys(str(w)))
        self._add_degrees(degrees)
        self._add_cues(_map(language.get("cues")))
        self._add_decoys(_map(language.get("decoys")))
        self._add_states()
        self.heard: dict[tuple[str, ...], Mapping[str, Any]] = {}
        self._add_heard(_map(language.get("mishearings")), vocabulary)
        ordinary = _map(language.get("ordinary"))
        self.small = frozenset(
            k for w in _map(language.get("cues")).get("small") or () for k in self.names.keys(str(w))
        )
        self.ordinary = frozenset(
            key
            for words in ordinary.values()
            if isinstance(words, list)
            for w in words
            for key in self.names.keys(str(w))
        )
        self.attribute_levels = {a.id: a.levels for a in vocabulary.attributes.values()}
        self.attribute_denied = {a.id: a.denied for a in vocabulary.attributes.values()}
        self.attribute_bare = {a.id: a.bare for a in vocabulary.attributes.values()}
        self.beside: dict[str, PhraseBook] = {}
        for a in vocabulary.attributes.values():
            book = self.beside[a.id] = PhraseBook()
            for word, step in a.beside.items():
                book.add(self.names.keys(word), Sense("beside", str(step)))
        self.two_faced_words = frozenset(" ".join(self.names.keys(t.word)) for t in vocabulary.two_faced.values())
        self.two_faced = frozenset(t.flavour for t in vocabulary.two_faced.values())
        self.levels_of = {d.id: d.level for d in vocabulary.descriptors.values()}
        self.prints = {d.id: d.print for d in vocabulary.descriptors.values()}
        self.homes = {d.id: d.home for d in vocabulary.descriptors.values() if d.level == "reach" and d.home}
        self.kin = {d.id: d.kin for d in vocabulary.descriptors.values() if d.kin}
        self.spans = {d.id: d.span for d in vocabulary.descriptors.values() if d.span}
        self.english = _english()
        self._guesser: Guesser | None = None
        self.names.english = self.english

    def ready(self) -> Lexicon:
        """This lexicon with its repair of misspelt words switched on (a function cannot be remembered)."""
        self.names.repair = self._repair
        return self

    def _repair(self, word: str) -> tuple[str, str] | None:
        return self.guesser().single(word)

    def guesser(self) -> Guesser:
        """What compares unknown words with names; made when first needed."""
        if self._guesser is None:
            self._guesser = Guesser(self.names)
        return self._guesser

    def _add(self, phrase: Any, kind: str, value: str = "") -> None:
        self.cues.add(self.names.keys(str(phrase)), Sense(kind, value))

    def _add_degrees(self, data: Mapping[str, Any]) -> None:
        for where in ("before", "after"):
            for degree, word in _flat(data.get(where)):
                self._add(word, f"degree.{where}", degree)
        for level, word in _flat(data.get("levels")):
            self._add(word, "level", level)

    def _add_cues(self, data: Mapping[str, Any]) -> None:
        for kind, value in data.items():
            if isinstance(value, list):
                for word in value:
                    self._add(word, kind)
            else:
                for sub, word in _flat(value):
                    if kind in ("moment", "place", "brew"):
                        self._add(word, kind, sub)
                    else:
                        self._add(word, f"{kind}.{sub}")

    def _add_decoys(self, data: Mapping[str, Any]) -> None:
        for reason, rules in data.items():
            for how, word in _flat(rules):
                self._add(word, f"decoy.{how}", reason)
        for word in data.get("counter") or []:
            self._add(word, "counter")

    def _add_states(self) -> None:
        for path, senses in self.names.states.book:
            for sense in senses:
                self.cues.add(path, sense)

    def _add_heard(self, data: Mapping[str, Any], vocabulary: Vocabulary) -> None:
        short: dict[str, str] = {}
        for id in vocabulary.descriptors:
            short[id] = id
            if not id.startswith("reach/"):
                short.setdefault(id.rsplit("/", 1)[-1], id)
        for phrase, rule in data.items():
            means = str(rule.get("means", ""))
            target = short.get(means) or (means if means.startswith("attribute/") else None)
            if target:
                near = tuple(short.get(str(n), str(n)) for n in rule.get("near") or ())
                beside = frozenset(k for w in rule.get("beside") or () for k in self.names.keys(str(w)))
                keys = tuple(self.names.keys(str(phrase)))
                self.heard[keys] = {**rule, "means": target, "near": near, "beside": beside}
                self.cues.add(keys, Sense("heard", " ".join(keys)))
        framed = [(keys, rule["means"]) for keys, rule in self.heard.items() if rule.get("frame") or rule.get("alone")]
        self.names.add_mistaken(vocabulary, framed)


def open_lexicon(folder: Path | None = None, house: Path | None = None) -> Lexicon:
    """The compiled language of a vocabulary, remembered by content between runs."""
    vocabulary = open_vocabulary(folder, house)
    return remembered(f"lexicon\0{vocabulary.hash}\0{folder}\0{house}", lambda: Lexicon(vocabulary)).ready()


def _english(count: int = 30000) -> frozenset[str]:
    """The commonest English words: what is among them is never taken for a misspelt flavour."""
    from wordfreq import top_n_list

    return frozenset(w for w in top_n_list("en", count) if w.isalpha())


def _map(value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, Mapping) else {}


def _flat(value: Any) -> Iterator[tuple[str, str]]:
    for key, words in _map(value).items():
        if isinstance(words, list):
            for word in words:
                yield str(key), str(word)
