"""Words in the place of a flavour that the vocabulary does not know: kept with suggestions, never forced or lost."""

from __future__ import annotations

from collections.abc import Callable, Collection

from tastevocab.reading.language.mention import Mention
from tastevocab.reading.language.utterance import Utterance
from tastevocab.reading.records import Spot, Suggestion, Turn, Unresolved


def unresolved(
    u: Utterance,
    turn: Turn,
    mentions: list[Mention],
    spot: Callable[[Utterance, Turn, int, int], Spot],
    people: Collection[str] = (),
) -> list[Unresolved]:
    """The unknown words of a turn that stand where a flavour would; names of `people` are none."""
    ordinary = u.lexicon.ordinary
    loose = [i for i, word in enumerate(u.own) if word not in ordinary]
    if loose:
        named = u.named()
        loose = [i for i in loose if i not in named and _may_be_flavour(u, i)]
    if not loose:
        return []
    taken = _taken(u, mentions)
    found = []
    position = 0
    while position < len(u.words):
        if taken[position] or not _may_be_flavour(u, position) or u.words[position].lower() in people:
            position += 1
            continue
        end = position + 1
        while end < len(u.words) and not u.is_break(end) and not taken[end] and _may_be_flavour(u, end):
            end += 1
        if any(_rare(u, i) for i in range(position, end)) or _in_flavour_place(u, turn, position, end):
            found.append(Unresolved(spot(u, turn, position, end), _suggestions(u, position, end)))
        position = end
    return found


def _taken(u: Utterance, mentions: list[Mention]) -> list[bool]:
    taken = [False] * len(u.words)
    for start, end in [*(m.quote for m in mentions), *((p.start, p.end) for p in u.pieces)]:
        taken[start:end] = [True] * (end - start)
    for kind, cues in u.cues.items():
        if kind in ("heard", "counter") or kind.startswith("decoy.after") or kind.startswith("decoy.before"):
            continue
        for c in cues:
            taken[c.start : c.end] = [True] * (c.end - c.start)
    return taken


def _may_be_flavour(u: Utterance, i: int) -> bool:
    word = u.own[i]
    return word not in u.lexicon.ordinary and len(word) > 2 and word.isalpha() and word not in u.lexicon.function


def _rare(u: Utterance, i: int) -> bool:
    """Neither in the vocabulary nor among everyday English words, and no name or number."""
    word = u.words[i]
    if (
        word[0].isupper()
        and i
        and not u.stops(i)
        and u.gaps[i].strip() == ""
        and sum(w[0].islower() for w in u.words) > len(u.words) / 2
    ):
        return False
    return len(word) > 3 and word.lower() not in u.lexicon.english and u.own[i] not in u.lexicon.english


def _in_flavour_place(u: Utterance, turn: Turn, start: int, end: int) -> bool:
    """After a tasting frame, before "notes" or "flavour", or a short item of a typed list."""
    frames = u.of("frame")
    if any(f.end == start or (f.end == start - 1 and u.own[start - 1] in u.lexicon.sets["some"]) for f in frames):
        return True
    if end < len(u.words) and u.own[end] in u.lexicon.sets["flavour_nouns"] and not u.is_break(end):
        return True
    first, last = u.clause_range(start)
    return turn.kind == "note" and last - first <= 3 and start == first and end == last and end - start <= 2


def _suggestions(u: Utterance, start: int, end: int) -> tuple[Suggestion, ...]:
    guesser = u.lexicon.guesser()
    phrase = " ".join(u.words[start:end])
    return tuple(Suggestion(d, m) for d, m in guesser.nearest(phrase))
