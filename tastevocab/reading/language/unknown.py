"""Words in the place of a flavour that the vocabulary does not know: kept with suggestions, never forced or lost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tastevocab.reading.language.items import Judged, unresolved
from tastevocab.reading.records import Turn, Unresolved
from tastevocab.reading.words.utterance import Utterance
from tastevocab.vocabulary.words import fold


def unknown_in(u: Utterance, turn: Turn, judged: Sequence[Judged]) -> Iterator[Unresolved]:
    """The unknown words of a typed note: rare ones, and those that stand where a flavour would."""
    loose = {i for i in range(len(u.words)) if _may_be_flavour(u, i)}
    loose.difference_update(*(range(p.start, p.end) for p in u.pieces), *(range(j.start, j.end) for j in judged))
    if loose:
        known = (found for kind, found in u.cues.items() if not kind.startswith("aside.") and kind != "small")
        loose.difference_update(*(range(c.start, c.end) for found in known for c in found))
    for at in sorted(loose):
        if at - 1 in loose and not u.is_break(at):
            continue  # goes on with the word before
        end = at + 1
        while end in loose and not u.is_break(end):
            end += 1
        ours = tuple(u.own[at:end]) not in u.lexicon.names.ignored
        if ours and (any(_rare(u, i) for i in range(at, end)) or _in_flavour_place(u, turn, at, end)):
            yield unresolved(u, turn, at, end, u.lexicon.guesser().nearest(" ".join(u.words[at:end])))


def _may_be_flavour(u: Utterance, i: int) -> bool:
    word, lexicon = u.own[i], u.lexicon
    if len(word) <= 2 or word in lexicon.ordinary or word in lexicon.small:
        return False
    return word.isalpha() and word not in lexicon.names.states.book.words


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
