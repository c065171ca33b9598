"""One turn cut into words, with the cues and names found in it: what every later step looks at."""

from __future__ import annotations

import re
from collections import defaultdict
from functools import lru_cache
from itertools import accumulate, pairwise
from typing import NamedTuple

from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.vocabulary.compose import Piece, pieces
from tastevocab.vocabulary.phrases import Node
from tastevocab.vocabulary.words import WORD

_STOP = re.compile(r"[.!?;\n…|•·‣]|\s[-–—]+\s|—|–|-{2,}|>{2,}")
_ABBREVIATIONS = frozenset(
    ("v", "med", "Med", "e", "g", "eg", "approx", "c", "ca", "vs", "Dr", "Mr", "Mrs", "Ms", "St")
)
# Cues that people set off inside by commas ("no, none"); all others hold together without a mark.
_LOOSE_CUES = ("assent",)
_COMMA = re.compile(r"[,:()\[\]/\\\"“”+&*=<>~→]")

_SOFT = frozenset((" ", "-", "", "&", "‑", "  ", "' ", " '", "’ "))
_CUT = re.compile(f"({WORD.pattern})")


@lru_cache(maxsize=1024)  # a run of notes has few different gaps
def _ends_sentence(gap: str) -> bool:
    return _STOP.search(gap) is not None


@lru_cache(maxsize=1024)
def _has_comma(gap: str) -> bool:
    return _COMMA.search(gap) is not None


class Cue(NamedTuple):
    """A cue phrase: word range [start, end) and its value (a degree, a moment, a reason, or "")."""

    start: int
    end: int
    value: str


_NONE: list[Cue] = []


def _numbered(starts: list[int]) -> list[int]:
    """For each word the number of the stretch it stands in; `starts` ends with the number of words."""
    numbers: list[int] = []
    for number, (first, last) in enumerate(pairwise(starts)):
        numbers += [number] * (last - first)
    return numbers


class Utterance:
    """A turn's words and what stands between them.

    `gaps[i]` is the text between word i-1 and word i (what follows the last word at the end). `sentence[i]` and
    `clause[i]` number the sentence and clause word i stands in; `cues` lists cue phrases by kind, in order.
    """

    __slots__ = (
        "_breaks", "_clause_starts", "_marked", "_sentence_starts", "clause", "cues", "ends",
        "gaps", "keys", "lexicon", "own", "pieces", "sentence", "starts", "text", "words",
    )  # fmt: skip

    def __init__(self, text: str, lexicon: Lexicon) -> None:
        self.text = text
        self.lexicon = lexicon
        self._cut()
        self._marks()
        self._sentences()
        self._cues()
        self._clauses()
        self.pieces: list[Piece] = pieces(lexicon.names, self.keys, breaks=self._breaks) if self.words else []

    def _cut(self) -> None:
        parts = _CUT.split(self.text)
        self.gaps: list[str] = parts[::2]
        self.words: list[str] = parts[1::2]
        # Where word i starts and ends: running sums over gaps and words.
        edges = list(accumulate(map(len, parts)))
        self.starts: list[int] = edges[:-1:2]
        self.ends: list[int] = edges[1::2]
        memo = self.lexicon.names.memo
        self.keys = [memo[w] for w in self.words]
        self.own = [k.own for k in self.keys]

    def _marks(self) -> None:
        """Where more than a space stands between two words, and where that parts what is said."""
        gaps, words = self.gaps, self.words
        self._breaks = [False] * len(gaps)
        self._marked: list[int] = []  # inner places only: a turn's ends part nothing
        for i, gap in enumerate(gaps):
            if gap != " ":
                if gap not in _SOFT:
                    self._breaks[i] = not (gap in (". ", ".") and i and words[i - 1] in _ABBREVIATIONS)
                if 0 < i < len(words):
                    self._marked.append(i)

    def _sentences(self) -> None:
        self._sentence_starts = [0, *(i for i in self._marked if self.stops(i)), len(self.words)]
        self.sentence = _numbered(self._sentence_starts)

    def _clauses(self) -> None:
        """Clauses end at sentence ends and commas; a comma around a filler is none."""
        starts = [0]
        for i in self._marked:
            gap, same = self.gaps[i], self.sentence[i] == self.sentence[i - 1]
            bare = same and gap.strip() == "," and (self.is_filler(i) or self.is_filler(i - 1))
            if (not same or _has_comma(gap)) and not bare:
                starts.append(i)
        self._clause_starts = [*starts, len(self.words)]
        self.clause = _numbered(self._clause_starts)

    def stops(self, i: int) -> bool:
        """Whether a sentence ends between word i-1 and word i."""
        gap = self.gaps[i]
        if gap == " " or not _ends_sentence(gap):
            return False
        before = self.words[i - 1]
        return not (gap.startswith(".") and (before in _ABBREVIATIONS or (gap == "." and before.isdigit())))

    def is_break(self, i: int) -> bool:
        """Whether more than a space, a hyphen or a tight "&" stands before word i."""
        return self._breaks[i]

    def is_filler(self, i: int) -> bool:
        """Whether word i is a filler ("um", "like"): commas around one mean nothing."""
        return self.own[i] in self.lexicon.fillers

    def _cues(self) -> None:
        """The longest phrase of every kind at every word."""
        found: dict[str, list[Cue]] = defaultdict(list)
        root, own = self.lexicon.cues.root, self.own
        last = len(own) - 1
        for start, word in enumerate(own):
            node = root.get(word)
            if node is None:
                continue
            if start < last and own[start + 1] in node:
                for (kind, value), end in self._phrases(start, node).items():
                    found[kind].append(Cue(start, end, value))
            else:
                for kind, value, _ in self.lexicon.cues.senses(node):
                    found[kind].append(Cue(start, start + 1, value))
        self.cues = found

    def _phrases(self, start: int, node: Node) -> dict[tuple[str, str], int]:
        """Where the longest phrase of each kind and value ends that begins at word `start`; `node` is that word's."""
        own, count = self.own, len(self.own)
        best: dict[tuple[str, str], int] = {}
        position = start + 1
        broken = False
        while True:
            for sense in self.lexicon.cues.senses(node):
                if not broken or sense.kind.startswith(_LOOSE_CUES):
                    best[(sense.kind, sense.value)] = position
            if position >= count or self.stops(position) or own[position] not in node:
                return best
            broken = broken or self._breaks[position]
            node = node[own[position]]
            position += 1

    def of(self, kind: str, *more: str) -> list[Cue]:
        """All cues of these kinds, in order of their start."""
        if not more:
            return self.cues.get(kind, _NONE)
        return sorted(c for kind in (kind, *more) for c in self.cues.get(kind, _NONE))

    def covered(self, *kinds: str) -> set[int]:
        """The words that stand in cues of these kinds."""
        return {i for kind in kinds for c in self.cues.get(kind, _NONE) for i in range(c.start, c.end)}

    def named(self) -> set[int]:
        """The words that stand in names of flavours, attributes and qualities."""
        return {i for p in self.pieces for i in range(p.start, p.end)}

    def sentence_range(self, i: int) -> tuple[int, int]:
        """The word range of the sentence word i stands in."""
        number = self.sentence[i]
        return self._sentence_starts[number], self._sentence_starts[number + 1]

    def clause_range(self, i: int) -> tuple[int, int]:
        """The word range of the clause word i stands in."""
        number = self.clause[i]
        return self._clause_starts[number], self._clause_starts[number + 1]

    def span(self, start: int, end: int) -> tuple[int, int]:
        """The character range of words [start, end) in the turn's text."""
        return self.starts[start], self.ends[end - 1]
