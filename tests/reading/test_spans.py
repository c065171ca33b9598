"""Stretches of talk cut from what is heard of each word."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import pytest
from heard_checks import ASIDE, ASSENT, DENIED, DOUBTED, FOUND, QUALITY, heard
from hypothesis import given
from hypothesis import strategies as st
from reading_checks import lexicon
from trials import trials

from tastevocab.reading.language.judge import log_of, logit
from tastevocab.reading.language.spans import AFRESH, LEAST, Span, spans_of
from tastevocab.reading.words.utterance import Utterance

U = Utterance("well some plum and a rose", lexicon())
QUIET: dict[int, float] = {}


def cut(*main: dict[int, float], opens: tuple[int, ...] = ()) -> list[tuple[int, int]]:
    return [(s.start, s.end) for s in spans_of(U, heard(U, main, opens=opens))]


def test_words_likely_enough_are_one_stretch() -> None:
    sure = {FOUND: 0.9}
    assert cut(QUIET, sure, sure, QUIET, sure, sure) == [(1, 3), (4, 6)]
    assert cut(*[QUIET] * 6) == []
    assert cut(*[sure] * 6) == [(0, 6)]


def test_a_word_that_opens_a_finding_ends_the_one_before() -> None:
    sure = {FOUND: 0.9}
    assert cut(QUIET, sure, sure, sure, sure, sure, opens=(1, 3)) == [(1, 3), (3, 6)]
    assert cut(QUIET, sure, sure, QUIET, sure, sure, opens=(0, 3)) == [(1, 3), (4, 6)]  # it must be a finding itself


@pytest.mark.parametrize(("share", "found"), [(LEAST - 0.01, []), (LEAST + 0.01, [(2, 3)])])
def test_the_least_that_counts_where_a_word_opens_a_stretch(share: float, found: list[tuple[int, int]]) -> None:
    assert cut(QUIET, QUIET, {FOUND: share / 2, DENIED: share / 2}, QUIET, QUIET, QUIET, opens=(2,)) == found


def test_a_weak_word_holds_a_stretch_together_where_the_next_opens_none() -> None:
    sure, weak = {FOUND: 0.9}, {FOUND: 0.15}
    assert cut(QUIET, sure, weak, sure, QUIET, QUIET, opens=(1,)) == [(1, 4)]
    assert cut(QUIET, sure, weak, sure, QUIET, QUIET, opens=(1, 3)) == [(1, 2), (3, 4)]


def test_asides_and_qualities_are_cut_only_where_asked_for() -> None:
    h = heard(U, [{QUALITY: 0.9}, QUIET, {ASIDE: 0.9}, QUIET, QUIET, {FOUND: 0.8}], opens=(0, 2, 5))
    assert [(s.start, s.end) for s in spans_of(U, h)] == [(5, 6)]
    assert [(s.start, s.end) for s in spans_of(U, h, QUALITY, QUALITY)] == [(0, 1)]


def test_classes_are_means_weighed_by_what_is_said() -> None:
    (span,) = spans_of(U, heard(U, [QUIET, {FOUND: 0.6}, {FOUND: 0.2, DENIED: 0.1}, QUIET, QUIET, QUIET], opens=(1,)))
    a, b = 0.6 / 0.9, 0.3 / 0.9  # the words' shares of all that is said
    assert span.classes[FOUND] == pytest.approx(a * 0.6 + b * 0.2)
    assert span.classes[DENIED] == pytest.approx(b * 0.1)
    assert span.peak == pytest.approx(0.6)
    assert span.said == pytest.approx(a * 0.6 + b * 0.3)


@pytest.mark.parametrize(
    ("shares", "kind"),
    [
        ({FOUND: 0.6, DENIED: 0.3}, ""),
        ({FOUND: 0.3, DENIED: 0.6}, "denied"),
        ({FOUND: 0.2, DOUBTED: 0.2, DENIED: 0.3, ASSENT: 0.2}, ""),  # all that finds it stands against the denial
        ({ASSENT: 0.6, FOUND: 0.2}, "assent"),
        ({ASSENT: 0.3, FOUND: 0.2, DOUBTED: 0.2}, ""),
        ({DOUBTED: 0.6, FOUND: 0.3}, "doubted"),
        ({DOUBTED: 0.3, FOUND: 0.6}, ""),
        ({DENIED: 0.5, DOUBTED: 0.4}, "denied"),
    ],
)
def test_what_a_stretch_is(shares: dict[int, float], kind: str) -> None:
    span = Span(0, 1, tuple(shares.get(c, 0.0) for c in range(7)), 1.0)
    assert [k for k in ("denied", "assent", "doubted") if getattr(span, k)] == ([kind] if kind else [])


def _every_cut(count: int, start: int = 0) -> Iterator[list[tuple[int, int]]]:
    yield []
    for first in range(start, count):
        for end in range(first + 1, count + 1):
            yield from ([(first, end), *more] for more in _every_cut(count, end))


def _odds(found: list[tuple[int, int]], shares: Sequence[float], opens: Sequence[float]) -> float:
    """How likely a cut is, told from its stretches."""
    ends = {end for _, end in found}
    total = sum(logit(shares[i]) - logit(LEAST) for start, end in found for i in range(start, end))
    for start, end in found:
        total += log_of(opens[start]) * (1 if start in ends else AFRESH)
        total += sum(log_of(1 - opens[i]) for i in range(start + 1, end))
    return total


@given(st.lists(st.tuples(st.floats(0, 1, width=16), st.floats(0, 1, width=16)), min_size=6, max_size=6))
@trials(35)
def test_no_other_cut_is_likelier(words: list[tuple[float, float]]) -> None:
    shares, opens = zip(*words, strict=True)
    h = heard(U, [{FOUND: share} for share in shares])
    h.words["begin"][:, 1] = opens
    found = [(s.start, s.end) for s in spans_of(U, h)]
    likeliest = max(_odds(other, shares, opens) for other in _every_cut(6))
    assert _odds(found, shares, opens) == pytest.approx(likeliest, abs=1e-3)


def test_a_turn_without_words_has_none() -> None:
    nobody = Utterance("", lexicon())
    assert spans_of(nobody, heard(nobody)) == []
