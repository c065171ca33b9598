"""Words to expect, as a hint to a recogniser: names at the table, the house's words, flavours that sound like what
was heard plainly.

A hint holds some sixty words, a vocabulary ten times as many. So the plain hearing is asked first: whatever it has that
is like the name of a flavour ("burger mottat", "leechy") brings that flavour into the hint.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain

from tastevocab.captioning.recogniser import Word
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.reading.words.utterance import Utterance
from tastevocab.vocabulary.model import Vocabulary

LONGEST = 600
"""Characters of a hint: a recogniser of Whisper's kind takes some 220 pieces of words and cuts off the rest."""

SHORTEST = 5
"""Letters from which on what was heard is compared with names: shorter ones are like too many."""


def hint_of(given: Iterable[str], plain: Sequence[Word], lexicon: Lexicon) -> str:
    """The words `given` (names, house words), then the flavours that are like plain words, the likest first."""
    words: dict[str, None] = {}
    length = 0
    for word in chain(given, alike(plain, lexicon)):
        tidy = " ".join(word.split())
        if tidy and tidy not in words:
            length += len(tidy) + 2
            if length > LONGEST:
                break
            words[tidy] = None
    return ", ".join(words)


def alike(plain: Sequence[Word], lexicon: Lexicon) -> Iterator[str]:
    """Names of flavours that are like a plain word, or two in a row, that name none themselves; the likest first."""
    u = Utterance(" ".join(w.text for w in plain), lexicon)
    named = u.named()
    found: dict[str, float] = {}
    for i in range(len(u.words)):
        for end in (i + 1, i + 2):
            rest = set(range(i, min(end, len(u.words)))) - named
            phrase = "".join(u.own[n] for n in sorted(rest))
            if len(rest) < end - i or len(phrase) < SHORTEST or any(u.own[n] in lexicon.small for n in rest):
                continue
            for descriptor, match in lexicon.guesser().nearest(phrase):
                found[descriptor] = max(found.get(descriptor, 0.0), match)
    for descriptor in sorted(found, key=lambda d: (-found[d], d)):
        yield lexicon.prints[descriptor]


def house_words(own: Vocabulary, shipped: Vocabulary) -> tuple[str, ...]:
    """The words that a house file adds to the vocabulary that ships: its notes, and other names for what was there."""
    made: dict[str, None] = {}
    for d in own.descriptors.values():
        before = shipped.descriptors.get(d.id)
        known = {word for words in before.words.values() for word in words} if before else set()
        for word in (*(() if before else (d.print,)), *(w for words in d.words.values() for w in words)):
            if word not in known:
                made[word] = None
    return tuple(made)
