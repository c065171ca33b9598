"""Scope: which pattern reaches which name, from which side, over what. The one such rule; all else asks for edges."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import accumulate
from typing import NamedTuple

from tastevocab.reading.language.mark import Mention
from tastevocab.reading.words.utterance import Cue, Utterance

NEAR, FAR = 2, 6  # words that are not small between a pattern and what it reaches
# Kinds of patterns that say nothing of a name beside them.
QUIET = frozenset(("small", "filler", "turn_to", "brew", "compared", "other_cup", "planned", "put_off"))


class Edge(NamedTuple):
    """A pattern in the sentence of a mention: its kind and value, the side it stands on ("before", "after", "over"),
    how far (0 right beside, over small words at most; 1 near; 2 far; 3 beyond), and whether another name or a comma
    stands between."""

    kind: str
    value: str
    side: str
    far: int
    name: bool
    comma: bool


class Ground(NamedTuple):
    """What edges of a turn are told by: whether word i stands in a name, how many words before it do, how many are
    neither small nor in a name, and the patterns of each sentence."""

    named: list[bool]
    names: list[int]
    loose: list[int]
    cues: dict[int, list[tuple[str, Cue]]]


def named_words(u: Utterance) -> Ground:
    """What is known of a turn before any of its mentions."""
    named = [False] * (len(u.words) + 1)
    for piece in u.pieces:
        named[piece.start : piece.end] = [True] * (piece.end - piece.start)
    small, cues = u.lexicon.small, dict[int, list[tuple[str, Cue]]]()
    loose = [not (name or own in small) for name, own in zip(named, u.own, strict=False)]
    for kind, found in u.cues.items():
        if kind not in QUIET:
            for cue in found:
                cues.setdefault(u.sentence[cue.start], []).append((kind, cue))
    return Ground(named, list(accumulate(named, initial=0)), list(accumulate(loose, initial=0)), cues)


def edges(u: Utterance, m: Mention, ground: Ground) -> Iterator[Edge]:
    """Every pattern that stands in the sentence of `m`, but those that say nothing of a name."""
    end = len(u.words)
    if u.lexicon.afterthoughts and (answer := afterthought(u, m)):
        end = answer[0].start
        kinds = dict.fromkeys((answer[1], *u.lexicon.afterthoughts[answer[1]]))
        yield from (Edge(kind, answer[0].value, "before", 0, False, False) for kind in kinds)
    _, names, loose, cues = ground
    start, stop, clause = m.start, m.end, u.clause
    for kind, cue in cues.get(u.sentence[start], ()):
        first, last, value = cue
        if last > end:
            continue
        if last <= start:
            side, low, high = "before", last, start
        elif first >= stop:
            side, low, high = "after", stop, first
        elif first <= start and stop <= last and (last - first > stop - start or m.state):
            yield Edge(kind, value, "over", 0, False, False)
            continue
        else:  # what is no longer than a name says nothing of it, unless it takes a state in: "roast date"
            continue
        between = loose[high] - loose[low]
        far = 0 if between == 0 else 1 if between <= NEAR else 2 if between <= FAR else 3
        yield Edge(kind, value, side, far, names[high] > names[low], clause[low - 1] != clause[high])


def afterthought(u: Utterance, m: Mention) -> tuple[Cue, str] | None:
    """A pattern right after the name that ends its clause, even over a comma or the name's own question mark, with its
    kind: "coco, para nada" is "no coco" where a language says so."""
    for kind in u.lexicon.afterthoughts:
        for cue in u.cues.get(kind, ()):
            if cue.start == m.end and cue.end == u.clause_range(cue.start)[1] and _answers(u, cue.start):
                return cue, kind
    return None


def _answers(u: Utterance, i: int) -> bool:
    """Whether word i goes on with what stands before it, or answers it."""
    return u.sentence[i - 1] == u.sentence[i] or "?" in u.gaps[i]
