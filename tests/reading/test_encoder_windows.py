"""Windows over a recording in pieces: every piece answered once, with its context, in the room there is."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from trials import trials

from tastevocab.reading.hearing.windows import (
    ANONYMOUS,
    BREWS,
    COFFEES,
    FLAVOUR,
    LEFT,
    LENGTH,
    MARK,
    MOMENTS,
    PLAIN,
    RIGHT,
    TURN,
    Spoken,
    State,
    pieces_of,
    windows,
)

PREFIX = len(State(count=2, brews=(1, 2, 3, 4)).pieces())  # the longest line of state


@pytest.mark.parametrize("count", [1, 2, 300, LENGTH - 2 - PREFIX, LENGTH - 1 - PREFIX, LENGTH, 1000, 5000])
def test_every_piece_is_answered_once_and_in_order(count: int) -> None:
    answered = [at for w in windows(count, PREFIX) for at in range(w.start, w.end)]
    assert answered == list(range(count))


def test_nothing_said_is_no_window() -> None:
    assert list(windows(0, PREFIX)) == []


def test_a_recording_that_fits_is_one_window() -> None:
    room = LENGTH - 2 - PREFIX
    assert [(w.low, w.high) for w in windows(room, PREFIX)] == [(0, room)]
    assert len(list(windows(room + 1, PREFIX))) == 2


@given(st.integers(0, 3000), st.integers(0, 12))
@trials(50)
def test_windows_keep_their_promises(count: int, prefix: int) -> None:
    found = list(windows(count, prefix))
    assert [at for w in found for at in range(w.start, w.end)] == list(range(count))
    for w in found:
        assert 0 <= w.low <= w.start < w.end <= w.high <= count
        assert w.high - w.low + prefix + 2 <= LENGTH  # what opens and closes a text, and the line of state, have room
        assert w.start - w.low == min(w.start, LEFT)
        assert w.high in (w.end + RIGHT, count)


def test_the_line_of_state_names_each_thing_once_and_apart() -> None:
    full = State(coffee=COFFEES, brew=len(BREWS) - 1, moment=len(MOMENTS) - 1, count=COFFEES, brews=(1, 2))
    assert len(set(full.pieces())) == len(full.pieces()) == 6
    every = {
        *(State(coffee=c).pieces()[-3] for c in range(COFFEES + 1)),
        *(State(brew=b).pieces()[-2] for b in range(len(BREWS))),
        *(State(moment=m).pieces()[-1] for m in range(len(MOMENTS))),
        *(State(count=n).pieces()[0] for n in range(COFFEES + 1)),
        *(State(brews=(b,)).pieces()[1] for b in range(len(BREWS))),
    }
    assert len(every) == 2 * (COFFEES + 1) + 2 * len(BREWS) + len(MOMENTS)
    assert all(ANONYMOUS < piece < 100 for piece in every)
    assert State(coffee=40).pieces() == State(coffee=COFFEES).pieces()


class Letters:
    """A tokenizer whose pieces are two characters each, wherever words end."""

    def encode_batch(self, texts: list[str], add_special_tokens: bool) -> list[SimpleNamespace]:
        assert not add_special_tokens
        cut = [[(n, min(n + 2, len(t))) for n in range(0, len(t), 2)] for t in texts]
        return [SimpleNamespace(ids=list(range(1000, 1000 + len(c))), offsets=c) for c in cut]


def test_pieces_know_their_turn_their_word_and_its_flag() -> None:
    turns = [Spoken("plum,  ok", ((0, 4), (7, 9)), (FLAVOUR, PLAIN), 3), Spoken("ah", ((0, 2),), (PLAIN,))]
    made = pieces_of(turns, Letters())
    assert made.ids == [3, 1000, 1001, 1002, 1003, 1004, ANONYMOUS, 1000]
    assert made.words == [TURN, 0, 0, MARK, 1, 1, TURN, 0]
    assert made.flags == [PLAIN, FLAVOUR, FLAVOUR, PLAIN, PLAIN, PLAIN, PLAIN, PLAIN]
    assert made.turns == [0, 0, 0, 0, 0, 0, 1, 1]


def test_a_turn_without_words_is_its_voice_alone() -> None:
    made = pieces_of([Spoken("", (), ()), Spoken("?!", (), ())], Letters())
    assert made.words == [TURN, TURN, MARK]
    assert made.turns == [0, 1, 1]
