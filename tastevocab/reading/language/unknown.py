"""Words in the place of a flavour that the vocabulary does not know: kept with suggestions, never forced or lost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tastevocab.reading.language.items import Judged, unresolved
from tastevocab.reading.language.utterance import Utterance
from tastevocab.reading.records import Turn, Unresolved
from tastevocab.vocabulary.words import fold


def unknown_in(u: Utterance, turn: Turn, judged: Sequence[Judged]) -> Iterator[Unresolved]:
    """The unknown words of a typed note: rare ones, and those that stand where a flavour would."""
    taken = u.named() | {i for j in judged for i in range(j.start, j.end)}
    taken |= {i for i, word in enumerate(u.own) if word in u.lexicon.names.states.book.words}
    taken |= u.covered(*(kind for kind in u.cues if not kind.startswith("aside.") and kind != "small"))
    loose = [i not in taken and _may_be_flavour(u, i) for i in range(len(u.words))]
    at = 0
    while at < len(loose):
        end = at + 1
        if loose[at]:
            while end < len(loose) and loose[end] and not u.is_break(end):
                end += 1
            ours = tuple(u.own[at:end]) not in u.lexicon.names.ignored
            if ours and (any(_rare(u, i) for i in range(at, end)) or _in_flavour_place(u, turn, at, end)):
                phrase = " ".join(u.words[at:end])
                yield unresolved(u, turn, at, end, u.lexicon.guesser().nearest(phrase))
        at = end


def _may_be_flavour(u: Utterance, i: int) -> bool:
    word = u.own[i]
    return len(word) > 2 and word.isalpha() and word not in u.lexicon.ordinary and word not in u.lexicon.small


def _rare(u: Utterance, i: int) -> bool:
    """Neither in the vocabulary nor among everyday words, and no name inside a sentence."""
    word = u.words[i]
    name = word[0].isupper() and i > 0 and not u.is_break(i) and any(w[0].islower() for w in u.words)
    common = u.lexicon.common
    return not name and len(word) > 3 and fold(word) not in common and u.own[i] not in common


def _in_flavour_place(u: Utterance, turn: Turn, start: int, end: int) -> bool:
    """Right after a tasting frame, or a short item of a typed list."""
    if any(frame.end == start for frame in u.of("frame")):
        return True
    first, last = u.clause_range(start)
    return turn.kind == "note" and last - first <= 3 and start == first and end == last and end - start <= 2
