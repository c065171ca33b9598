"""Fitting what talk is judged by: examples from marked talk as the encoder heard it before it had learnt it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tastevocab.reading.fitting.heard import Stored
from tastevocab.reading.fitting.marked import Line, Marked, Recording
from tastevocab.reading.fitting.weigh import chance_weights, choice_weights
from tastevocab.reading.hearing.encoder import Bearings, Heard
from tastevocab.reading.language.judge import choice
from tastevocab.reading.language.mark import Mention
from tastevocab.reading.language.reference import Candidate, Named, candidates, latest, named_in
from tastevocab.reading.language.sounds import mentions_heard
from tastevocab.reading.language.spans import QUALITY, Span, spans_of
from tastevocab.reading.language.talk import best_of, finding_features, quality_features, quality_parts, runs
from tastevocab.reading.records import Poured, Table
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.reading.words.utterance import Utterance

FINDS = "+?-="


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch the encoder cut, what it may mean, and the mark it lies over."""

    span: Span
    options: list[Candidate]
    mark: Marked | None
    over: tuple[Marked, ...]


def table_of(recording: Recording) -> Table:
    """What a leader would have written down before: who tasted, which coffees, which brews."""

    def named(key: str) -> list[str]:
        return list(dict.fromkeys(v for line in recording.lines if (v := getattr(line, key))))

    return Table(
        tuple(named("speaker")),
        tuple(Poured(c, (c,)) for c in named("coffee")),
        tuple((b, b) for b in named("brew")),
    )


def stretches(
    recording: Recording, heard: Sequence[Heard], bearings: Bearings, lexicon: Lexicon
) -> Iterator[tuple[Line, Utterance, Heard, list[Mention], list[Stretch]]]:
    """Each line of a recording with the stretches that were cut from it."""
    before: list[Named] = []
    for line, h in zip(recording.lines, heard, strict=True):
        u = Utterance(line.text, lexicon)
        mentions = mentions_heard(u)
        here = named_in(u, h, mentions, line.speaker)
        found = []
        for span in spans_of(u, h):
            over = _over(u, span.start, span.end, line)
            mark = max((m for m in over if m.sign in FINDS), key=lambda m: _shared(u, span, m), default=None)
            found.append(Stretch(span, candidates(u, span, h, before, here, bearings), mark, over))
        yield line, u, h, mentions, found
        before = latest([*before, *here])


def _over(u: Utterance, start: int, end: int, line: Line) -> tuple[Marked, ...]:
    a, b = u.span(start, end)
    return tuple(m for m in line.marks if m.start < b and a < m.end)


def _shared(u: Utterance, span: Span, m: Marked) -> int:
    a, b = u.span(span.start, span.end)
    return min(b, m.end) - max(a, m.start)


def learn(
    tables: Sequence[tuple[Recording, Stored]],
    lexicon: Lexicon,
    id_of: Callable[[str], str | None],
) -> dict[str, Any]:
    """Weights for what stretches of talk mean and how sure that is, fitted on these recordings.

    What a stretch means is fitted first; how sure a finding is, on what that gives for authors it was not fitted on.
    """
    cut = {id(r): list(stretches(r, s.heard, s.bearings, lexicon)) for r, s in tables}
    by_author: dict[str, list[list[Stretch]]] = {}
    for r, _ in tables:
        by_author.setdefault(r.author, []).extend(found for *_, found in cut[id(r)])
    right = [
        example
        for held, weights in _chosen_by(by_author, id_of)
        for author in held
        for found in by_author[author]
        for example in _rights(found, weights, id_of)
    ]
    quality = [e for r, _ in tables for line, u, h, ms, _ in cut[id(r)] for e in _qualities(line, u, h, ms)]
    means = [e for lines in by_author.values() for e in _meanings(lines, id_of)]
    fitted = {"means": choice_weights(means), "right": chance_weights(right), "quality": chance_weights(quality)}
    return {"talk": fitted}


def _chosen_by(
    by_author: Mapping[str, Sequence[Sequence[Stretch]]], id_of: Callable[[str], str | None]
) -> Iterator[tuple[Sequence[str], Mapping[str, float]]]:
    """Authors, with weights for what their stretches mean that were not fitted on them."""
    authors = sorted(by_author)
    for held in (authors[i::3] for i in range(3)):
        others = [a for a in authors if a not in held] or authors  # of a single author there are no others
        yield held, choice_weights([e for a in others for e in _meanings(by_author[a], id_of)])


def _meanings(
    lines: Sequence[Sequence[Stretch]], id_of: Callable[[str], str | None]
) -> Iterator[tuple[list[Mapping[str, float]], list[bool]]]:
    for s in (s for found in lines for s in found):
        right = id_of(s.mark.concept) if s.mark else None
        hits = [o.descriptor == right for o in s.options]
        if right and any(hits) and not all(hits):
            yield [o.features for o in s.options], hits


def _rights(
    found: Sequence[Stretch], weights: Mapping[str, float], id_of: Callable[[str], str | None]
) -> Iterator[tuple[Mapping[str, float], bool]]:
    """Whether what the stretches of one line would be read as is right; nothing of those that are neither right nor
    wrong (a broader word)."""
    taken = [(s, *best_of(s.options, choice(weights, [o.features for o in s.options]))) for s in found if s.options]
    again = runs(taken, lambda t: (t[0].span.start, t[0].span.end, (t[1].descriptor, t[0].span.denied)))
    for s, best, share in (max(run, key=lambda t: t[0].span.said) for run in again):
        features = finding_features(s.span, best, share, len(s.options))
        ids = [id_of(m.concept) for m in s.over if m.sign in FINDS and (m.sign == "-") == s.span.denied]
        if best.descriptor in ids:
            yield features, True
        elif not any(i and related(best.descriptor, i) for i in ids):
            yield features, False


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
