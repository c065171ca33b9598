"""Fitting what talk is judged by: examples from marked talk as the encoder heard it before it had learnt it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from tastevocab.reading.fitting.heard import Kept
from tastevocab.reading.fitting.marked import Line, Marked, Recording
from tastevocab.reading.fitting.weigh import chance_weights, choice_weights
from tastevocab.reading.hearing.encoder import Heard
from tastevocab.reading.language.judge import choice
from tastevocab.reading.language.mark import Mention
from tastevocab.reading.language.meant import (
    Hear,
    Meant,
    Shares,
    at_first,
    by_both,
    heard_again,
    hearing,
    in_doubt,
    shares_of,
)
from tastevocab.reading.language.reference import Candidate, Named, candidates, latest, named_in
from tastevocab.reading.language.sounds import mentions_heard
from tastevocab.reading.language.spans import QUALITY, Span, spans_of
from tastevocab.reading.language.talk import quality_features, quality_parts, runs
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.reading.words.utterance import Utterance

FINDS = "+?-="
T = TypeVar("T")
IdOf = Callable[[str], str | None]
Weights = Mapping[str, Any]
Choice = tuple[Sequence[Mapping[str, float]], Sequence[bool]]  # what there is to choose from, and what is right


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch the encoder cut, what it may mean, the mark it lies over, and what hears it again."""

    span: Span
    options: list[Candidate]
    mark: Marked | None
    over: tuple[Marked, ...]
    hear: Hear


Lines = Sequence[Sequence[Stretch]]


def stretches(
    recording: Recording, hears: Kept, lexicon: Lexicon
) -> Iterator[tuple[Line, Utterance, Heard, list[Mention], list[Stretch]]]:
    """Each line of a recording with the stretches that were cut from it."""
    before: list[Named] = []
    for number, (line, h) in enumerate(zip(recording.lines, hears.heard, strict=True)):
        u = Utterance(line.text, lexicon)
        mentions = mentions_heard(u)
        here = named_in(u, h, mentions, line.speaker)
        found = []
        for span in spans_of(u, h):
            over = _over(u, span.start, span.end, line)
            mark = max((m for m in over if m.sign in FINDS), key=lambda m: _shared(u, span, m), default=None)
            options = candidates(u, span, h, before, here, hears.bearings)
            found.append(Stretch(span, options, mark, over, hearing(hears.ask, number, span, lexicon)))
        yield line, u, h, mentions, found
        before = latest([*before, *here])


def _over(u: Utterance, start: int, end: int, line: Line) -> tuple[Marked, ...]:
    a, b = u.span(start, end)
    return tuple(m for m in line.marks if m.start < b and a < m.end)


def _shared(u: Utterance, span: Span, m: Marked) -> int:
    a, b = u.span(span.start, span.end)
    return min(b, m.end) - max(a, m.start)


def learn(tables: Sequence[tuple[Recording, Kept]], lexicon: Lexicon, id_of: IdOf) -> dict[str, Any]:
    """Weights for what stretches of talk mean and how sure that is, fitted on these recordings."""
    by_author: dict[str, list[list[Stretch]]] = {}
    quality: list[Any] = []
    for r, hears in tables:
        for line, u, h, mentions, found in stretches(r, hears, lexicon):
            by_author.setdefault(r.author, []).append(found)
            quality.extend(_qualities(line, u, h, mentions))
    return {"talk": _weighed(by_author, id_of) | {"quality": chance_weights(quality)}}


def _weighed(by_author: Mapping[str, Lines], id_of: IdOf) -> dict[str, Any]:
    """What a stretch means is fitted first, then how sure that makes a finding, then both once more for what is heard
    again; each on what the one before gives for authors it was not fitted on."""
    held = list(_folds(by_author))
    before: list[dict[str, Any]] = [{"means": choice_weights(_all(_meanings, rest, id_of))} for _, rest in held]

    def given(examples: Callable[..., Iterator[T]], *more: Any) -> list[list[T]]:
        """The examples that each fold gives by the weights of the others."""
        return [_all(examples, own, id_of, w, *more) for (own, _), w in zip(held, before, strict=True)]

    right = given(_rights, _first)
    for n, weights in enumerate(before):
        weights["right"] = chance_weights(_others(right, n))
    again = given(_doubts)
    for n, weights in enumerate(before):
        weights["again"] = choice_weights(_others(again, n))
    return {
        "means": choice_weights(_all(_meanings, by_author, id_of)),
        "right": chance_weights(_joined(right)),
        "again": choice_weights(_joined(again)),
        "right again": chance_weights(_joined(given(_rights, _again))),
    }


def _folds(by_author: Mapping[str, Lines]) -> Iterator[tuple[Mapping[str, Lines], Mapping[str, Lines]]]:
    """Every third author beside the others; a single one beside itself."""
    authors = sorted(by_author)
    for own in (authors[i::3] for i in range(min(3, len(authors)))):
        others = [a for a in authors if a not in own] or authors
        yield {a: by_author[a] for a in own}, {a: by_author[a] for a in others}


def _others(folds: Sequence[list[T]], n: int) -> list[T]:
    """The examples of all folds but one; of a single one its own."""
    return _joined([fold for m, fold in enumerate(folds) if m != n or len(folds) == 1])


def _joined(folds: Iterable[list[T]]) -> list[T]:
    return [e for fold in folds for e in fold]


def _all(examples: Callable[..., Iterator[T]], by_author: Mapping[str, Lines], *more: Any) -> list[T]:
    return [e for lines in by_author.values() for e in examples(lines, *more)]


def _meanings(lines: Lines, id_of: IdOf) -> Iterator[Choice]:
    """What each stretch may mean, and which of it is right."""
    for s in (s for found in lines for s in found):
        right = id_of(s.mark.concept) if s.mark else None
        hits = [o.descriptor == right for o in s.options]
        if right and any(hits) and not all(hits):
            yield [o.features for o in s.options], hits


def _heard_once(s: Stretch, weights: Weights) -> tuple[Shares, Meant]:
    """How likely each descriptor is meant, and what a stretch is taken to mean at first."""
    shares = shares_of(s.options, choice(weights["means"], [o.features for o in s.options]))
    return shares, at_first(s.span, shares, len(s.options), {"right": {}, **weights})


def _first(s: Stretch, weights: Weights) -> Meant:
    return _heard_once(s, weights)[1]


def _again(s: Stretch, weights: Weights) -> Meant | None:
    """What a stretch in doubt is taken to mean once it was heard again."""
    shares, first = _heard_once(s, weights)
    again = heard_again(shares, s.hear) if in_doubt(first) else None
    return by_both(s.span, shares, again, {"right again": {}, **weights}) if again else None


def _doubts(lines: Lines, id_of: IdOf, weights: Weights) -> Iterator[Choice]:
    """The few that a stretch in doubt may mean, as it is heard again."""
    for s in (s for found in lines for s in found if s.options):
        if s.mark is None:
            continue
        right, (shares, first) = id_of(s.mark.concept), _heard_once(s, weights)
        again = heard_again(shares, s.hear) if right in shares and in_doubt(first) else None
        hits = [d == right for d in again.few] if again else []
        if again and any(hits) and not all(hits):
            yield again.features(shares), hits


def _rights(
    lines: Lines, id_of: IdOf, weights: Weights, take: Callable[[Stretch, Weights], Meant | None]
) -> Iterator[tuple[Mapping[str, float], bool]]:
    """Whether what stretches would be read as is right; nothing of those that are neither right nor wrong (a broader
    word), or that `take` takes for nothing."""
    for found in lines:
        taken = [(s, meant) for s in found if s.options and (meant := take(s, weights))]
        again = runs(taken, lambda t: (t[0].span.start, t[0].span.end, (t[1].best.descriptor, t[0].span.denied)))
        for s, meant in (max(run, key=lambda t: t[0].span.said) for run in again):
            target = meant.best.descriptor
            ids = [id_of(m.concept) for m in s.over if m.sign in FINDS and (m.sign == "-") == s.span.denied]
            if target in ids:
                yield meant.features, True
            elif not any(i and related(target, i) for i in ids):
                yield meant.features, False


def related(a: str, b: str) -> bool:
    """Whether one descriptor holds the other, or both are notes of one family."""
    x, y = a.split("/"), b.split("/")
    return a.startswith(b + "/") or b.startswith(a + "/") or (len(x) == len(y) == 3 and x[:2] == y[:2])


def _qualities(
    line: Line, u: Utterance, h: Heard, mentions: Sequence[Mention]
) -> Iterator[tuple[Mapping[str, float], bool]]:
    for span in spans_of(u, h, QUALITY, QUALITY):
        for target, start, end, own in quality_parts(h, span, mentions):
            level, features = quality_features(h, target, span, start, end, own)
            marks = [m for m in _over(u, start, end, line) if m.sign == "a"]
            yield features, any(m.attribute == target and m.level == level for m in marks)
