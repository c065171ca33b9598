"""How a turn is cut: words, sentences, clauses, and the cues and names in them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reading_checks import expect, lexicon, note, short
from trials import trials

from tastevocab.reading.language.mark import mentions_of
from tastevocab.reading.words.utterance import Utterance


def _sentences(text: str) -> list[str]:
    u = Utterance(text, lexicon())
    return [
        " ".join(w for w, n in zip(u.words, u.sentence, strict=True) if n == number)
        for number in sorted(set(u.sentence))
    ]


@pytest.mark.parametrize(
    ("text", "sentences"),
    [
        ("Plum. Fig! Rose? Malt", ["Plum", "Fig", "Rose", "Malt"]),
        ("Plum, fig, rose", ["Plum fig rose"]),
        ("v. faint plum", ["v faint plum"]),
        ("about 92.5 degrees", ["about 92 5 degrees"]),
        ("plum - no fig", ["plum", "no fig"]),
        ("plum—fig", ["plum", "fig"]),
        ("plum\nfig", ["plum", "fig"]),
        ("plum; fig", ["plum", "fig"]),
        ("a well-made cup", ["a well made cup"]),
        ("plum… fig", ["plum", "fig"]),
        ("• plum • fig", ["plum", "fig"]),
        (">> plum >> fig", ["plum", "fig"]),
    ],
)
def test_where_sentences_end(text: str, sentences: list[str]) -> None:
    assert _sentences(text) == sentences


@pytest.mark.parametrize("mark", [".", ";", "!", "\n", " - ", " — "])
def test_a_stop_parts_what_stands_on_its_two_sides(mark: str) -> None:
    u = Utterance(f"no plum{mark} fig", lexicon())
    assert u.sentence == [0, 0, 1]


@pytest.mark.parametrize("apostrophe", ["'", "’", "ʼ"])
def test_apostrophes_of_any_kind_deny(apostrophe: str) -> None:
    u = Utterance(f"I don{apostrophe}t get plum", lexicon())
    assert u.of("denial.before") == Utterance("I don't get plum", lexicon()).of("denial.before") != []


@pytest.mark.parametrize("text", ["“plum” and ‘fig’", "plum and fig", "PLUM & FIG", "plum + fig", "(plum) [fig]"])
def test_pasted_punctuation_changes_no_name(text: str) -> None:
    assert [short(m.target) for m in mentions_of(Utterance(text, lexicon()))] == ["plums", "reach/fig"]


@pytest.mark.parametrize(
    ("text", "clauses"),
    [
        ("not, um, plum", [0, 0, 0]),  # commas around a filler part nothing
        ("not, plum", [0, 1]),
        ("plum (red) fig", [0, 1, 2]),
        ("plum. fig, rose", [0, 1, 2]),
        ("a hint of, like, plum", [0, 0, 0, 0, 0]),
    ],
)
def test_where_clauses_end(text: str, clauses: list[int]) -> None:
    assert Utterance(text, lexicon()).clause == clauses


def test_a_cue_is_the_longest_of_its_kind_and_crosses_no_mark() -> None:
    def levels(text: str) -> list[tuple[int, int]]:
        return [(c.start, c.end) for c in Utterance(text, lexicon()).of("level")]

    assert levels("a hint of plum") == [(1, 3)]
    assert levels("a hint, of plum") == [(1, 2)]


@pytest.mark.parametrize("text", ["", " ", "...", "?!", "🙂🙂", "123", "\u200b"])
def test_nothing_said_is_nothing_found(text: str) -> None:
    expect(note(text))


@given(st.text(max_size=80))
@trials(50)
def test_words_and_gaps_put_together_are_the_text(text: str) -> None:
    u = Utterance(text, lexicon())
    again = "".join(gap + word for gap, word in zip(u.gaps, u.words, strict=False)) + u.gaps[-1]
    assert again == text
    assert [text[a:b] for a, b in zip(u.starts, u.ends, strict=True)] == u.words
    assert len(u.sentence) == len(u.clause) == len(u.words)
    assert u.sentence == sorted(u.sentence)
    assert u.clause == sorted(u.clause)


@given(
    st.lists(st.sampled_from(["no", "not", "plum", "maybe", ",", ".", "hint", "of", "like", "um", "rose"]), max_size=12)
)
@trials(50)
def test_ranges_hold_their_word(tokens: list[str]) -> None:
    u = Utterance(" ".join(tokens), lexicon())
    for i in range(len(u.words)):
        first, last = u.sentence_range(i)
        clause_first, clause_last = u.clause_range(i)
        assert first <= clause_first <= i < clause_last <= last
    for cues in u.cues.values():
        assert all(0 <= c.start < c.end <= len(u.words) for c in cues)
