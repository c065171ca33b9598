"""Scope: which pattern reaches which name, from which side, how far, and past what."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reading_checks import lexicon
from trials import trials

from tastevocab.reading.language.bind import Edge, edges, named_words
from tastevocab.reading.language.mark import Mention, mentions_of
from tastevocab.reading.words.utterance import Utterance


def reached(text: str, words: str) -> list[Edge]:
    """Every edge of the one mention that stands at these words."""
    u = Utterance(text, lexicon())
    (mention,) = {m for m in mentions_of(u) if text[slice(*u.span(m.start, m.end))] == words and not m.quality}
    return list(edges(u, mention, named_words(u)))


def edge(text: str, words: str, kind: str) -> Edge:
    """The one edge of this kind (the nearest, if it stands there in two lengths)."""
    return min((e for e in reached(text, words) if e.kind == kind), key=lambda e: e.far)


@pytest.mark.parametrize(
    ("text", "side"),
    [("no plum", "before"), ("absolutely no trace of plum", "before"), ("plum, and no acidity", "after")],
)
def test_the_side_a_pattern_stands_on(text: str, side: str) -> None:
    assert edge(text, "plum", "denial.before").side == side


def test_a_phrase_around_a_name_lies_over_it() -> None:
    found = edge("it was a plum job", "plum", "aside.phrase")
    assert (found.value, found.side, found.far, found.comma) == ("idiom", "over", 0, False)


def test_a_phrase_over_a_name_and_the_state_it_took_in_lies_over_it() -> None:
    assert {e.side for e in reached("roast date", "roast date") if e.kind == "aside.phrase"} == {"over"}


def test_a_phrase_that_is_the_name_alone_is_no_edge() -> None:
    assert reached("plum", "plum") == []


@pytest.mark.parametrize(
    ("between", "far"),
    [
        ("", 0),
        ("of the ", 0),  # small words are no distance
        ("wonderful ", 1),
        ("wonderful of the glorious ", 1),
        ("wonderful glorious splendid ", 2),
        ("wonderful glorious splendid marvellous fabulous terrific ", 2),
        ("wonderful glorious splendid marvellous fabulous terrific gorgeous ", 3),
    ],
)
def test_how_far_a_pattern_stands(between: str, far: int) -> None:
    assert edge(f"no {between}plum", "plum", "denial.before").far == far


@pytest.mark.parametrize(
    ("text", "words", "comma"),
    [
        ("no plum", "plum", False),
        ("no plum, rose", "plum", False),
        ("no plum, rose", "rose", True),
        ("plum, no rose", "plum", True),
        ("plum, no rose", "rose", False),
        ("no, um, plum", "plum", False),  # a comma around a filler is none
        ("no, plum", "plum", True),
        ("no (plum)", "plum", True),
        ("plum, no", "plum", True),
    ],
)
def test_whether_a_comma_stands_between(text: str, words: str, comma: bool) -> None:
    assert edge(text, words, "denial.before").comma is comma


@pytest.mark.parametrize(
    ("text", "words", "name"),
    [
        ("no plum", "plum", False),
        ("no plum and rose", "rose", True),
        ("no bright and plum", "plum", True),  # a quality is a name too
        ("no trace of plum", "plum", False),
        ("plum without rose, not fig", "plum", True),
    ],
)
def test_whether_another_name_stands_between(text: str, words: str, name: bool) -> None:
    farthest = max((e for e in reached(text, words) if e.kind == "denial.before"), key=lambda e: e.name)
    assert farthest.name is name


@pytest.mark.parametrize("mark", [". ", "! ", "? ", "; ", "\n", " - "])
def test_nothing_reaches_out_of_its_sentence(mark: str) -> None:
    assert reached(f"no{mark}plum", "plum") == []
    assert reached(f"plum{mark}no", "plum") == []


def test_words_of_names_are_marked() -> None:
    u = Utterance("no lemon peel but bright", lexicon())
    assert named_words(u).named == [False, True, True, False, True, False]


WORDS = [
    "no",
    "not",
    "plum",
    "rose",
    "lemon peel",
    "maybe",
    "bright",
    ",",
    ".",
    "a",
    "hint of",
    "um",
    "wonderful",
    "kettle",
]


@given(st.lists(st.sampled_from(WORDS), max_size=14).map(" ".join))
@trials(50)
def test_every_edge_is_a_pattern_of_the_same_sentence(text: str) -> None:
    u = Utterance(text, lexicon())
    named = named_words(u)
    for m in mentions_of(u):
        first, last = u.sentence_range(m.start)
        inside = [(k, c.value) for k, cues in u.cues.items() for c in cues if first <= c.start and c.end <= last]
        for e in edges(u, m, named):
            assert (e.kind, e.value) in inside
            assert e.side in ("before", "after", "over")
            assert 0 <= e.far <= 3


def test_a_name_moved_to_the_other_side_has_the_other_edge() -> None:
    u = Utterance("plum no rose", lexicon())
    sides = {
        m.target: {e.side for e in edges(u, m, named_words(u)) if e.kind == "denial.before"} for m in mentions_of(u)
    }
    assert list(sides.values()) == [{"after"}, {"before"}]
    assert list(edges(u, Mention(1, 2, "x"), named_words(u))) == []  # what a pattern lies on it does not reach
