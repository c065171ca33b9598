"""A recording, or one a seat, heard twice and put together: plain, and with the house's words as a hint."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from tastevocab.captioning.compare import Compared, Offer, compare, flavours_in
from tastevocab.captioning.hint import hint_of
from tastevocab.captioning.recogniser import Recogniser, Word
from tastevocab.captioning.write import webvtt
from tastevocab.errors import InputError, Place
from tastevocab.reading.language.mark import mentions_of
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.reading.words.utterance import Utterance


@dataclass(frozen=True, slots=True)
class Listened:
    """What was heard: the captions as text, how many words and seconds, the offers in them, and what was heard with
    the house's words alone where there are no words to write it over."""

    captions: str
    words: int
    seconds: float
    offers: tuple[Offer, ...]
    nowhere: tuple[str, ...]


def listen(
    recogniser: Recogniser,
    sounds: Sequence[tuple[str, Path]],
    lexicon: Lexicon,
    given: Sequence[str] | None,
    *,
    step: Callable[[float], object] = lambda seconds: None,
) -> Listened:
    """Hear each of `sounds` (whose voice, "" where it is not known, and the file); several count the same seconds.

    Every sound is heard plainly, then with a hint: the words `given` (names, the house's words) and flavours like what
    was heard (`hint`); only plainly where `given` is None. `step` is called with the seconds done. Raises `InputError`
    where a file holds no sound or nobody speaks in any.
    """
    heard: list[tuple[list[Word], Compared]] = []
    for voice, sound in sounds:
        plain = [replace(w, voice=voice) for w in recogniser.words(sound, "", step)]
        hint = "" if given is None else hint_of(given, plain, lexicon)
        biased = list(recogniser.words(sound, hint, step)) if hint else []
        heard.append((plain, compare(plain, biased, _flavours(lexicon))))
    if not any(plain for plain, _ in heard):
        files = ", ".join(str(sound) for _, sound in sounds)
        raise InputError("nobody was heard to speak", place=Place(files), mend="listen to it: is it the recording?")
    words, offers = _together(heard)
    return Listened(
        captions=webvtt(words, offers),
        words=len(words),
        seconds=max(recogniser.seconds(sound) for _, sound in sounds),
        offers=tuple(offers),
        nowhere=tuple(phrase for _, compared in heard for phrase in compared.nowhere),
    )


def _flavours(lexicon: Lexicon) -> Callable[[Sequence[str]], list[tuple[int, int, str]]]:
    def mentions(text: str) -> list[tuple[int, int, str]]:
        u = Utterance(text, lexicon)
        return [(*u.span(m.start, m.end), m.target) for m in mentions_of(u) if not m.quality]

    return lambda words: list(flavours_in(words, mentions))


def _together(heard: Sequence[tuple[list[Word], Compared]]) -> tuple[list[Word], list[Offer]]:
    """The words of all voices by phrases in the order of their seconds, and the offers at their new places."""
    phrases: list[tuple[float, int, int, int]] = []
    for number, (words, compared) in enumerate(heard):
        inside = {i for offer in compared.offers for i in range(offer.start + 1, offer.end)}
        first = 0
        for i in range(1, len(words) + 1):
            if i == len(words) or (words[i - 1].last and i not in inside):
                phrases.append((words[first].start, number, first, i))
                first = i
    made: list[Word] = []
    moved: dict[tuple[int, int], int] = {}
    for _, number, first, end in sorted(phrases):
        for i in range(first, end):
            moved[number, i] = len(made)
            made.append(heard[number][0][i])
    offers = [
        Offer(moved[number, o.start], moved[number, o.end - 1] + 1, o.heard)
        for number, (_, compared) in enumerate(heard)
        for o in compared.offers
    ]
    return made, sorted(offers, key=lambda o: o.start)
