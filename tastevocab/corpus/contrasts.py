"""A crowd's servings against each other: tasters in partitions add up to what the panel's tests need."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from tastevocab.corpus.tallies import PERSON, Ask, at_or_below, fold_frame, present_people
from tastevocab.errors import StatisticsError
from tastevocab.panel.contrast import Contrast, Moves, counted_moves, told
from tastevocab.panel.crowd import Standing, require_two, rest_of, standing
from tastevocab.panel.folding import Floats, Integers, Unnamed
from tastevocab.panel.permutation import Shuffled, Tallied, drawn, every, judged, tallied, telling_of
from tastevocab.panel.spans import Spans
from tastevocab.panel.tried import Question, Tried, against_rest, joined, keys_of, pairs

if TYPE_CHECKING:
    from distributed import Client

HELD = 64_000_000
"""Bytes of shuffled statistics that a partition hands over at a time."""


class Asked(NamedTuple):
    """What one test is of: the servings, the words, and the pairs of servings (none: each against the rest)."""

    servings: tuple[str, ...]
    words: tuple[str, ...]
    pairs: tuple[tuple[int, int], ...] = ()

    def question(self) -> Question:
        """As the panel asks it."""
        return pairs(self.pairs) if self.pairs else against_rest(len(self.servings))

    @property
    def cells(self) -> int:
        """Figures of one shuffle."""
        return (len(self.pairs) or len(self.servings)) * len(self.words)


@lru_cache(maxsize=2)
def tried_in(path: str, ask: Ask, asked: Asked) -> Tried:
    """Who of a partition's tasters had which serving and found what in it."""
    import pandas as pd

    df = pd.read_parquet(path)
    tools = ask.tools()
    serving, word = ({name: i for i, name in enumerate(names)} for names in (asked.servings, asked.words))
    own = df[(df["kind"] == "flavour") & (df["standing"] == "own") & df["serving"].isin(serving)]
    own = own[own["present"].astype(bool) & ~own["fault"].astype(bool) & own["descriptor"].isin(tools.spans.order)]
    people = present_people(df[df["serving"].isin(serving)])
    people = people.assign(place=people["serving"].map(serving).astype("int64")).sort_values(["taster", "place"])
    taster = pd.factorize(people["taster"])[0].astype(np.int64)
    place = people["place"].to_numpy(np.int64)
    rows = people[PERSON].assign(row=np.arange(len(people)))
    found = at_or_below(fold_frame(own), tools)
    found = found[found["id"].isin(word)].merge(rows, on=PERSON).sort_values("row", kind="stable")
    return Tried(
        taster,
        place,
        keys_of(people["taster"].astype(object).tolist(), place),
        found["row"].to_numpy(np.int64),
        found["id"].map(word).to_numpy(np.int64),
    )


def _tallied_in(path: str, ask: Ask, asked: Asked) -> tuple[Tallied, Any]:
    tried, words = tried_in(path, ask, asked), len(asked.words)
    counted = counted_moves(tried, asked.pairs, words) if asked.pairs else rest_of(tried, len(asked.servings), words)
    return tallied(tried, asked.question(), words), counted


def _telling_in(path: str, ask: Ask, asked: Asked) -> Tried:
    return telling_of(tried_in(path, ask, asked), asked.question(), len(asked.words))


def _drawn_in(path: str, ask: Ask, asked: Asked, shuffles: range) -> Floats:
    made = list(drawn(_telling_in(path, ask, asked), asked.question(), len(asked.words), shuffles))
    return np.concatenate(made)


class Crowd(NamedTuple):
    """The partitions of tasters, what they are counted by, and who counts them."""

    paths: tuple[str, ...]
    ask: Ask
    client: Client

    def summed(self, work: Callable[..., Any], *args: Any) -> Iterator[Any]:
        """What `work` gives of each partition, in their order."""
        futures = [self.client.submit(work, path, self.ask, *args, pure=False) for path in self.paths]
        for future in futures:
            yield future.result()
            future.release()


def tested(crowd: Crowd, asked: Asked) -> tuple[Shuffled, Any]:
    """The test of all that is asked, and what adds up beside it (`Rest`, or moves)."""
    parts = crowd.summed(_tallied_in, asked)
    whole, counted = next(parts)
    for more, others in parts:
        whole, counted = whole + more, counted + others
    if whole.exact():
        telling = joined(crowd.summed(_telling_in, asked))
        return judged(whole, every(telling, asked.question(), len(asked.words)), exact=True), counted
    return judged(whole, _blocks(crowd, asked, whole.shuffles()), exact=False), counted


def _blocks(crowd: Crowd, asked: Asked, shuffles: int) -> Iterator[Floats]:
    step = max(1, HELD // (8 * max(asked.cells, 1)))
    for start in range(0, shuffles, step):
        parts = crowd.summed(_drawn_in, asked, range(start, min(start + step, shuffles)))
        block = next(parts)
        for more in parts:
            block += more
        yield block


def pairs_of(servings: int) -> tuple[tuple[int, int], ...]:
    """Neighbours in order, then first against last where there are three or more."""
    neighbours = tuple(pairwise(range(servings)))
    return (*neighbours, (0, servings - 1)) if servings > 2 else neighbours


def contrasts(crowd: Crowd, asked: Asked, weights: Sequence[dict[str, float]], spans: Spans) -> tuple[Contrast, ...]:
    """The contrasts of neighbouring servings, all proved by one test; `weights` are those of each one's map."""
    test, moves = tested(crowd, asked)
    made = []
    for question, (a, b) in enumerate(asked.pairs):
        two = ((asked.servings[a], weights[a]), (asked.servings[b], weights[b]))
        made.append(told(two, _unnamed(asked.words, moves[:, question]), test, question, spans, ""))
    return tuple(made)


def _unnamed(words: Sequence[str], moves: Integers) -> Moves:
    before, after, twice = (row[: len(words)].tolist() for row in moves[:3])
    gained = [Unnamed(n - both) for n, both in zip(after, twice, strict=True)]
    lost = [Unnamed(n - both) for n, both in zip(before, twice, strict=True)]
    return Moves(words, Unnamed(int(moves[3, 0])), before, after, gained, lost)


def apart(crowd: Crowd, asked: Asked, spans: Spans) -> Standing | None:
    """Each serving against all others; None where nobody had two."""
    test, rest = tested(crowd, asked)
    try:
        require_two(rest)
    except StatisticsError:
        return None
    return standing(asked.servings, asked.words, rest, test, spans)
