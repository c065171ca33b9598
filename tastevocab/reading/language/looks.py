"""Which language a note looks like, by its small words, its names of flavours and its letters.

A small word ("con", "com", "with") or a letter that not all languages write ("ñ", "ã") counts two for each language
that has it, a flavour's name one. The language of most wins, but the expected one is kept unless another leads by
`LEAD`: a list of bare names stays with the language that was told, and every language knows the names of all.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from tastevocab.reading.records import Turn
from tastevocab.vocabulary.model import Vocabulary
from tastevocab.vocabulary.tongues import base_of, part, tongue_of
from tastevocab.vocabulary.words import WORD, fold

LEAD = 2
_SMALL, _NAME = 2, 1


class Looks(NamedTuple):
    """The `languages` that notes are read in; for a word or letter those it speaks for, each as often as it counts."""

    languages: tuple[str, ...]
    words: dict[str, tuple[str, ...]]


def looks_of(vocabulary: Vocabulary) -> Looks:
    """What tells the languages of a vocabulary apart; what is alike in all is left out."""
    found: dict[str, Counter[str]] = defaultdict(Counter)
    languages = (vocabulary.languages[0], *(tag for tag in vocabulary.languages if tongue_of(vocabulary, tag)))
    rules = vocabulary.language.get("rules")
    first = part(rules if isinstance(rules, Mapping) else {}, "small").get("words") or ()
    for language in languages:
        own = tongue_of(vocabulary, language)
        for word in (*part(own, "small"), *(own.get("letters") or ())) if own else first:
            _note(found, str(word), language, _SMALL)
    for d in vocabulary.descriptors.values():
        for tag, names in d.words.items():
            for name in names if base_of(tag) in languages else ():
                _note(found, name, base_of(tag), _NAME)
    telling = {word: of for word, of in found.items() if len(of) < len(languages) or len(set(of.values())) > 1}
    return Looks(languages, {word: tuple(of.elements()) for word, of in telling.items()})


def _note(found: dict[str, Counter[str]], word: str, language: str, count: int) -> None:
    """With and without its accents, as people type it."""
    if " " not in word:
        for form in {word.lower(), fold(word)} if len(word) > 1 else (word,):
            found[form][language] = max(found[form][language], count)


def language_of(text: str, looks: Looks, expected: str) -> str:
    """The language that `text` looks like; `expected` where it shows none clearly."""
    told = _told(text, looks.words)
    if not told:
        return expected
    best = max((expected, *looks.languages), key=told.__getitem__)
    return best if told[best] >= told[expected] + LEAD else expected


def languages_of(turns: Iterable[Turn], looks: Looks, expected: str) -> list[str]:
    """The language of each turn of talk: what all of it looks like, unless the turn clearly is of another."""
    turns = list(turns)
    main = language_of(" ".join(t.text for t in turns), looks, expected)
    return [language_of(t.text, looks, main) for t in turns]


def _told(text: str, words: Mapping[str, tuple[str, ...]]) -> Counter[str]:
    lower = text.lower()
    told: Counter[str] = Counter()
    for word in WORD.findall(lower):
        if word in words:
            told.update(words[word])
    if not lower.isascii():
        for letter in lower:
            if letter >= "\x80" and letter in words:
                told.update(words[letter])
    return told
