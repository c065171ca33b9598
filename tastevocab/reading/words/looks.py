"""Which language a note looks like, by its small words, its names of flavours and its letters.

A small word ("con", "com", "with") or a letter that not all languages write ("ñ", "ã") counts two for each language
that has it, a flavour's name one. The language of most wins, but the expected one is kept unless another leads by
`LEAD`: a list of bare names stays with the language that was told, and every language knows the names of all. A turn
of talk must lead by `TURN` to be of another language than the rest.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from tastevocab.vocabulary.model import Vocabulary
from tastevocab.vocabulary.tongues import base_of, part, tongue_of
from tastevocab.vocabulary.words import WORD, fold

if TYPE_CHECKING:
    from tastevocab.reading.records import Turn

LEAD, TURN = 2, 6
_SMALL, _NAME = 2, 1


class Looks(NamedTuple):
    """The `languages` that notes are read in; for a word or letter those it speaks for, each as often as it counts."""

    languages: tuple[str, ...]
    words: dict[str, tuple[str, ...]]
    letters: dict[str, tuple[str, ...]]


def looks_of(vocabulary: Vocabulary) -> Looks:
    """What tells the languages of a vocabulary apart; what is alike in all is left out."""
    words: dict[str, Counter[str]] = defaultdict(Counter)
    letters: dict[str, Counter[str]] = defaultdict(Counter)
    languages = (vocabulary.languages[0], *(tag for tag in vocabulary.languages if tongue_of(vocabulary, tag)))
    rules = vocabulary.language.get("rules")
    first = part(rules if isinstance(rules, Mapping) else {}, "small").get("words") or ()
    for language in languages:
        own = tongue_of(vocabulary, language)
        for word in part(own, "small") if own else first:
            _note(words, str(word), language, _SMALL)
        for letter in own.get("letters") or ():
            letters[str(letter)][language] = _SMALL
    for d in vocabulary.descriptors.values():
        for tag, names in d.words.items():
            for name in names if base_of(tag) in languages else ():
                _note(words, name, base_of(tag), _NAME)
    telling = {word: of for word, of in words.items() if len(of) < len(languages) or len(set(of.values())) > 1}
    return Looks(languages, _votes(telling), _votes(letters))


def _note(words: dict[str, Counter[str]], word: str, language: str, count: int) -> None:
    """With and without its accents, as people type it; the shortest are other words without ("la" and "lá")."""
    if " " not in word:
        for form in {word.lower(), fold(word)} if len(word) > 2 else (word.lower(),):
            words[form][language] = max(words[form][language], count)


def _votes(found: Mapping[str, Counter[str]]) -> dict[str, tuple[str, ...]]:
    return {word: tuple(of.elements()) for word, of in found.items()}


def language_of(text: str, looks: Looks, expected: str, lead: int = LEAD) -> str:
    """The language that `text` looks like; `expected` where no other leads by `lead`."""
    return _leading(_told(text, looks), looks, expected, lead)


def languages_of(turns: Iterable[Turn], looks: Looks, expected: str) -> list[str]:
    """The language of each turn of talk: what all of it looks like, unless the turn clearly is of another."""
    told = [_told(t.text, looks) for t in turns]
    main = _leading([vote for votes in told for vote in votes], looks, expected, LEAD)
    return [_leading(votes, looks, main, TURN) for votes in told]


def _leading(told: Sequence[str], looks: Looks, expected: str, lead: int) -> str:
    best = max((expected, *looks.languages), key=told.count) if told else expected
    return best if told.count(best) >= told.count(expected) + lead else expected


def _told(text: str, looks: Looks) -> list[str]:
    """Each vote of a word or letter, which counts once: "ha ha ha" is no Spanish."""
    lower, none = text.lower(), ()
    told = [tag for word in {*WORD.findall(lower)} for tag in looks.words.get(word, none)]
    if not lower.isascii():
        told += [tag for letter in {*lower} if letter >= "\x80" for tag in looks.letters.get(letter, none)]
    return told
