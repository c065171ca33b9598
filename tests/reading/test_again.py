"""The second hearing: what is asked of a stretch, and that every answer is one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reading_checks import lexicon

from tastevocab.reading.hearing.again import (
    AFTER,
    BEFORE,
    CLOSE,
    EACH,
    NAMED,
    NOTHING,
    OPEN,
    Ask,
    pieces_named,
    question,
)
from tastevocab.reading.hearing.encoder import open_encoder
from tastevocab.reading.hearing.windows import FLAVOUR, PLAIN, START, STOP, Spoken

talk = st.lists(st.tuples(st.integers(200, 900), st.sampled_from((PLAIN, FLAVOUR))), min_size=1, max_size=200)
names = st.lists(st.lists(st.integers(1000, 2000), min_size=1, max_size=NAMED), min_size=1, max_size=4)


@given(talk, names, st.data())
def test_a_question_holds_the_stretch_what_stands_around_it_and_a_mark_before_each_name(
    said: list[tuple[int, int]], named: list[list[int]], data: st.DataObject
) -> None:
    ids, flags = map(list, zip(*said, strict=True))
    start = data.draw(st.integers(0, len(ids) - 1))
    end = data.draw(st.integers(start + 1, len(ids)))
    asked = question(ids, flags, start, end, named)
    assert len(asked.ids) == len(asked.flags)
    low, high = asked.ids.index(OPEN), asked.ids.index(CLOSE)
    assert asked.ids[low + 1 : high] == ids[start:end]
    assert asked.flags[low + 1 : high] == flags[start:end]
    assert asked.ids[1:low] == ids[max(0, start - BEFORE) : start]
    assert asked.ids[high + 1 : asked.ids.index(STOP)] == ids[end : end + AFTER]
    assert (asked.ids[0], asked.ids[-1]) == (START, STOP)
    assert [asked.ids[at] for at in asked.marks] == [EACH] * len(named) + [NOTHING]
    for at, name in zip(asked.marks, named, strict=False):
        assert asked.ids[at + 1 : at + 1 + len(name)] == name
        assert not any(asked.flags[at : at + 1 + len(name)])


def test_as_many_names_are_read_as_there_is_room_for_the_printed_one_first() -> None:
    tokenizer = open_encoder().tokenizer
    read = tokenizer.decode(pieces_named(("black plum", "dark plum", "damson of the market"), tokenizer))
    assert read == "black plum, dark plum"
    assert (
        len(pieces_named(("a very long name of something that nobody would ever say of coffee",), tokenizer)) == NAMED
    )


def asks(*said: str) -> Ask:
    turns = []
    for text in said:
        starts = [at for at in range(len(text)) if text[at] != " " and (at == 0 or text[at - 1] == " ")]
        words = tuple((at, (text + " ").index(" ", at)) for at in starts)
        turns.append(Spoken(text, words, (PLAIN,) * len(words), 1))
    return open_encoder().again(turns)


def called(*ids: str) -> list[tuple[str, ...]]:
    return [lexicon().called[id] for id in ids]


def test_what_is_said_without_its_name_is_the_likeliest_of_a_few() -> None:
    """Sentences of our own; which descriptor each means anybody would say."""
    few = {short: next(id for id in lexicon().called if id.endswith(f"/{short}")) for short in ("jasmine", "walnut")}
    flower, nut, nothing = asks("honestly it tastes like those white blossoms at dusk")(0, 4, 9, called(*few.values()))
    assert flower > nut
    assert flower + nut + nothing == pytest.approx(1)


def test_the_order_of_what_is_asked_about_hardly_matters() -> None:
    ask = asks("what do you get", "something like the inside of a walnut shell, dry")
    some = called("orchard/plums", *(id for id in lexicon().called if id.endswith("/walnut")))
    there, back = ask(1, 0, 8, some), ask(1, 0, 8, some[::-1])
    assert there[-1] == pytest.approx(back[-1], abs=0.1)
    assert there[0] == pytest.approx(back[-2], abs=0.1)


def test_words_that_nobody_said_are_not_heard() -> None:
    assert asks("mm")(0, 3, 4, called("orchard/plums")) == []
    assert asks("mm", "")(1, 0, 1, called("orchard/plums")) == []
