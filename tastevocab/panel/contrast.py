"""Two maps against each other: who gained and lost what, and whether the change may be told or is proved."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from tastevocab.errors import StatisticsError
from tastevocab.panel.distances import jensen_shannon, tree_movers
from tastevocab.panel.exact import least_correct
from tastevocab.panel.flavour_map import FlavourMap
from tastevocab.panel.folding import Booleans, Floats, Integers, found_by
from tastevocab.panel.permutation import Shuffled, shuffle
from tastevocab.panel.spans import Spans
from tastevocab.panel.sums import own_weights
from tastevocab.panel.tried import Tried, pairs
from tastevocab.reading.records import MOMENTS
from tastevocab.reading.review.company import quorum

PROOF = 0.05


@dataclass(frozen=True, slots=True)
class Change:
    """One family (broad word, or thing) from the first map to the second, over the tasters of both.

    `before` and `after` people of `of`; `gained` found it only after, `lost` only before (of a crowd without names).
    `p` comes from shuffling the servings within each taster, adjusted for all that was asked. `told` says whether the
    net move (gained less lost, or the other way) is more than half of them; `proved` whether `p` is at most 0.05 too.
    """

    descriptor: str
    print: str
    before: int
    after: int
    of: int
    gained: Sequence[str]
    lost: Sequence[str]
    p: float
    told: bool
    proved: bool
    verdict: str


@dataclass(frozen=True, slots=True)
class Contrast:
    """Two serving sets compared. `distance` is Jensen-Shannon's (0..1), `steps` the earth mover's along the tree (both
    None where one map is empty). `test` is the shuffling that all contrasts asked together share. `sentence` is what
    may be said; `proof` what would prove a difference.
    """

    first: str
    second: str
    tasters: Sequence[str]
    changes: tuple[Change, ...]
    distance: float | None
    steps: float | None
    test: Shuffled
    sentence: str
    proof: str


def contrast(
    first: FlavourMap, second: FlavourMap, spans: Spans, labels: tuple[str, str], *, shows: str = ""
) -> Contrast:
    """Compare two maps family by family, over the tasters who are on both panels; biggest moves first.

    `shows` names what gives the two servings away whatever is done ("the temperature"; "": they can be hidden).
    """
    return contrasts((first, second), [(0, 1)], spans, labels, shows=shows)[0]


def contrasts(
    maps: Sequence[FlavourMap],
    asked: Sequence[tuple[int, int]],
    spans: Spans,
    labels: Sequence[str],
    *,
    shows: str = "",
) -> tuple[Contrast, ...]:
    """A contrast for each pair of maps `asked` (by their places), all proved together by one test over all of them."""
    ids = families(*maps, spans=spans)
    everyone, had, found = who_found(maps, ids, spans)
    test = shuffle(found, had, pairs(asked), names=everyone)
    weights = [_weights(made) for made in maps]
    made = []
    for question, (a, b) in enumerate(asked):
        both = np.flatnonzero(had[:, a] & had[:, b])
        moves = _named_moves(ids, tuple(everyone[i] for i in both), found[both, a], found[both, b])
        two = ((labels[a], weights[a]), (labels[b], weights[b]))
        made.append(told(two, moves, test, question, spans, shows))
    return tuple(made)


@dataclass(frozen=True, slots=True)
class Moves:
    """Of the `tasters` of two maps: how many found each of the `words` before and after, who gained and who lost it."""

    words: Sequence[str]
    tasters: Sequence[str]
    before: Sequence[int]
    after: Sequence[int]
    gained: Sequence[Sequence[str]]
    lost: Sequence[Sequence[str]]


def _named_moves(words: Sequence[str], names: Sequence[str], before: Booleans, after: Booleans) -> Moves:
    def who(found: Booleans) -> list[tuple[str, ...]]:
        return [tuple(t for t, yes in zip(names, word, strict=True) if yes) for word in found.T]

    counts = (before.sum(axis=0).tolist(), after.sum(axis=0).tolist())
    return Moves(words, names, *counts, who(after & ~before), who(before & ~after))


def told(
    maps: tuple[tuple[str, Mapping[str, float]], tuple[str, Mapping[str, float]]],
    moves: Moves,
    test: Shuffled,
    question: int,
    spans: Spans,
    shows: str,
) -> Contrast:
    """The contrast of two maps, each its label and what every descriptor weighs in it; `question` is its row of the
    test."""
    (first, a), (second, b) = maps
    changes = _changes(moves, test.p[question], spans)
    distance, steps = _distances(a, b, spans)
    sentence = _sentence((first, second), changes, len(moves.tasters), (bool(a), bool(b)))
    proof = _proof(len(moves.tasters), (first, second), shows)
    return Contrast(first, second, moves.tasters, changes, distance, steps, test, sentence, proof)


def counted_moves(tried: Tried, asked: Sequence[tuple[int, int]], words: int) -> Integers:
    """Of some tasters what adds up, for each pair of servings and word (4 x pairs x words): who found it before, after,
    and both times; last, in its first column alone, how many tasters had both."""
    reach = pairs(asked)(tried)
    made = np.zeros((4, len(asked), max(words, 1)), dtype=np.int64)
    servings = int(tried.serving.max(initial=0)) + 1
    first = np.array([first for first, _ in asked], dtype=np.int64)
    found = (tried.taster[tried.row] * servings + tried.serving[tried.row]) * words + tried.word
    for way in range(reach.weight.shape[1]):
        side, question = reach.weight[:, way], reach.question[:, way]
        np.add.at(made[3, :, 0], question[side > 0], 1)
        for place, kept in ((0, side[tried.row] < 0), (1, side[tried.row] > 0)):
            np.add.at(made[place], (question[tried.row[kept]], tried.word[kept]), 1)
        row, word = tried.row[side[tried.row] > 0], tried.word[side[tried.row] > 0]
        earlier = (tried.taster[row] * servings + first[question[row]]) * words + word
        twice = np.isin(earlier, found)
        np.add.at(made[2], (question[row[twice]], word[twice]), 1)
    return made


def who_found(
    maps: Sequence[FlavourMap], ids: Sequence[str], spans: Spans
) -> tuple[tuple[str, ...], Booleans, Booleans]:
    """All tasters of the maps; who had which (tasters x maps); who found which `ids` in it (tasters x maps x ids)."""
    everyone = tuple(sorted({t for made in maps for t in made.tasters}))
    place = {t: i for i, t in enumerate(everyone)}
    had = np.zeros((len(everyone), len(maps)), dtype=bool)
    found = np.zeros((len(everyone), len(maps), len(ids)), dtype=bool)
    for column, made in enumerate(maps):
        rows = [place[t] for t in made.tasters]
        had[rows, column] = True
        found[rows, column] = found_by(made.folded, spans, ids)
    return everyone, had, found


def _distances(
    first: Mapping[str, float], second: Mapping[str, float], spans: Spans
) -> tuple[float | None, float | None]:
    try:
        return jensen_shannon(first, second), tree_movers(first, second, spans.parent)
    except StatisticsError:
        return None, None


def families(*maps: FlavourMap, spans: Spans) -> list[str]:
    """The families found in any of the maps, the broad words said, and the things found in several forms, in walking
    order."""
    found = {n.descriptor for made in maps for n in made.nodes if n.level in ("family", "reach")}
    found |= spans.things_of([id for made in maps for id in made.folded.descriptors])
    return sorted(found, key=spans.order.__getitem__)


def _weights(made: FlavourMap) -> dict[str, float]:
    return dict(zip(made.folded.descriptors, own_weights(made.folded, made.weighting).tolist(), strict=True))


def _changes(moves: Moves, p: Floats, spans: Spans) -> tuple[Change, ...]:
    of, made = len(moves.tasters), []
    for column, id in enumerate(moves.words):
        plus, minus = moves.gained[column], moves.lost[column]
        # Told is what a majority did more than the others undid, not what a majority holds now.
        told = abs(len(plus) - len(minus)) >= quorum(of)
        proved = told and bool(p[column] <= PROOF)
        made.append(
            Change(
                descriptor=id,
                print=spans.descriptor(id).print,
                before=moves.before[column],
                after=moves.after[column],
                of=of,
                gained=plus,
                lost=minus,
                p=float(p[column]),
                told=told,
                proved=proved,
                verdict=_verdict(told, proved, float(p[column])),
            )
        )
    return tuple(sorted(made, key=lambda c: (-abs(len(c.gained) - len(c.lost)), spans.order[c.descriptor])))


def _verdict(told: bool, proved: bool, p: float) -> str:
    if proved:
        return "may be told, and stands the test"
    if told:
        return "may be told, is not proved"
    return "no majority, though the test stands: look again" if p <= PROOF else "not to be told"


def moved(change: Change) -> str:
    """ "4 of 5 lost it, 1 gained it": both ways, the bigger first."""
    ways = sorted(((len(change.gained), "gained it"), (len(change.lost), "lost it")), key=lambda w: -w[0])
    return ", ".join(
        f"{count} of {change.of} {way}" if not place else f"{count} {way}"
        for place, (count, way) in enumerate(ways)
        if count or not place
    )


def _sentence(labels: tuple[str, str], changes: Sequence[Change], of: int, said: tuple[bool, bool]) -> str:
    if not of:
        return f"{labels[0]} and {labels[1]} have no taster in common: their maps cannot be compared person by person."
    for label, anything in zip(labels, said, strict=True):
        if not anything:
            return f"Nothing was found in {label}: there is no change to tell."
    drops = [c for c in changes if c.told and len(c.lost) > len(c.gained)]
    rises = [c for c in changes if c.told and len(c.gained) > len(c.lost)]
    cooling = set(labels) <= set(MOMENTS)  # one cup over time; between cups nothing fades or comes
    which = f"From {labels[0]} to {labels[1]}" if cooling else f"{labels[0]} beside {labels[1]}"
    if not drops and not rises:
        nothing = (
            "majority changed in one direction: tell no change"
            if cooling
            else "majority parts them: tell no difference"
        )
        return f"{which}{'' if cooling else ':'} no {nothing}."
    parts = [f"{c.print} fades ({moved(c)})" if cooling else _only(c, labels[0]) for c in drops]
    parts += [f"{c.print} comes ({moved(c)})" if cooling else _only(c, labels[1]) for c in rises]
    proved = all(c.proved for c in (*drops, *rises))
    standing = "may be told, and stands the test" if proved else "may be told, is not proved"
    return f"{which}: {'; '.join(parts)}. This {standing}."


def _only(change: Change, label: str) -> str:
    """ "jasmine in Vale Alto (3 of 4 found it there alone, 1 in the other alone)"."""
    less, more = sorted((len(change.gained), len(change.lost)))
    other = f", {less} in the other alone" if less else ""
    return f"{change.print} in {label} ({more} of {change.of} found it there alone{other})"


def _proof(tasters: int, labels: tuple[str, str], shows: str) -> str:
    if shows:
        return (
            f"An odd-one-out test cannot prove it: {labels[0]} and {labels[1]} cannot be hidden from a taster "
            f"({shows} shows). Serve both again on another day and count again."
        )
    least = least_correct(tasters)
    if least is None:
        return f"With {tasters} tasters no odd-one-out test can show a difference: ask more people."
    right = f"at least {least} of {tasters} right (5 % risk)"
    return f"To show that there is a difference at all: an odd-one-out test, blind, {right}."


def together(test: Shuffled) -> str:
    """What the test says of all servings at once, with its method."""
    if not test.tasters:
        return "No taster's words differ between them: there is nothing to test."
    verdict = "differ" if test.overall <= PROOF else "may be alike for all that the words show"
    p = f"p {test.overall:.3g}" if test.overall >= 0.001 else "p below 0.001"
    return f"Taken together they {verdict}: {p} ({test.method()})."
