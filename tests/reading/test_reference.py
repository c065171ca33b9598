"""Which descriptor a stretch may mean: names in it, names its words make up, names said before."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest
from heard_checks import ASSENT, DENIED, FOUND, bearings, heard
from reading_checks import lexicon, short

from tastevocab.reading.hearing.encoder import Heard
from tastevocab.reading.language.mark import mentions_of
from tastevocab.reading.language.reference import REACH, Candidate, Named, candidates, named_in
from tastevocab.reading.language.spans import Span
from tastevocab.reading.words.utterance import Utterance

FAR = bearings([0.0] * (REACH + 1))
MANY = [
    "plum", "rose", "peach", "lemon", "honey", "caramel", "almond", "jasmine", "raisin", "fig", "walnut", "vanilla",
    "malt", "leather", "cedar", "basil", "mint", "clove", "cinnamon", "nutmeg", "ginger", "coconut", "banana", "mango",
    "papaya", "lychee", "guava", "kiwi",
]  # fmt: skip


def listened(
    text: str, points: Sequence[int] | None = None, speaker: str = "Ana", links: Sequence[int] = ()
) -> tuple[Utterance, Heard, list[Named]]:
    u = Utterance(text, lexicon())
    h = heard(u, points=points, links=links)
    return u, h, named_in(u, h, mentions_of(u), speaker)


def span(start: int, end: int, kind: int = FOUND) -> Span:
    return Span(start, end, tuple(0.9 if c == kind else 0.0 for c in range(7)), 0.9)


def meant(text: str, start: int, end: int, *before: str, kind: int = FOUND) -> list[Candidate]:
    u, h, here = listened(text)
    past = [n for said in before for n in listened(said)[2]]
    return candidates(u, span(start, end, kind), h, past, here, FAR)


def kinds(found: Sequence[Candidate]) -> list[tuple[str, str]]:
    """(which kind of candidate, what it means) of each."""
    known = ("own", "composed", "misheard", "sounds like", "past", "linked")
    return [(next(k for k in known if k in c.features), short(c.descriptor)) for c in found]


def test_named_in_keeps_flavours_with_their_words_and_speaker() -> None:
    _, _, found = listened("bright plum and lemon peel")
    assert [(short(n.mention.target), n.words, n.speaker) for n in found] == [
        ("plums", frozenset({"plum"}), "Ana"),
        ("lemon_zest", frozenset({"lemon", "peel"}), "Ana"),
    ]


def test_a_name_in_the_stretch_is_its_own() -> None:
    (only,) = meant("I get plum", 0, 3)
    assert kinds([only]) == [("own", "plums")]
    assert only.mention is not None
    assert only.features["own share of words"] == pytest.approx(1 / 3)
    assert only.features["one of several"] == 0


def test_several_names_in_a_stretch_are_each_a_candidate() -> None:
    found = meant("plum and rose", 0, 3)
    assert kinds(found) == [("own", "plums"), ("own", "rose")]
    assert [c.features["one of several"] for c in found] == [1, 1]
    assert [c.features["first of several"] for c in found] == [1, 0]


def test_a_name_outside_the_stretch_and_after_it_is_none() -> None:
    assert kinds(meant("the same here and rose", 0, 3)) == []


def test_names_said_before_are_candidates_nearest_last() -> None:
    found = meant("same here", 0, 2, "plum", "rose")
    assert kinds(found) == [("past", "plums"), ("past", "rose")]
    assert [c.features["last name"] for c in found] == [0, 1]
    assert [c.features["past distance"] for c in found] == [2 / 8, 1 / 8]
    assert all(c.features["wordless"] for c in found)


def test_a_name_earlier_in_the_same_turn_is_said_before() -> None:
    assert kinds(meant("plum well it stays", 1, 4)) == [("past", "plums")]


def test_no_more_names_are_looked_back_on_than_the_reach() -> None:
    found = meant("same here", 0, 2, *MANY)
    assert len(MANY) > REACH
    assert [d for _, d in kinds(found)] == [d for _, d in kinds(meant("same here", 0, 2, *MANY[-REACH:]))]


def test_a_name_said_twice_is_looked_back_on_once_where_it_was_said_last() -> None:
    assert kinds(meant("same here", 0, 2, "plum", "rose", "plum")) == [("past", "rose"), ("past", "plums")]


def test_words_without_a_name_are_linked_to_what_they_are_likeliest_to_mean() -> None:
    u, h, here = listened("the purple one", links=[1, 1, 1])
    ids = ("orchard/plums", "reach/apple", "not/in/this_vocabulary")
    first = candidates(u, span(0, 3), h, [], here, bearings(FAR.far, *ids))
    assert kinds(first) == [("linked", "reach/apple"), ("linked", "plums")]
    assert [c.features["linked first"] for c in first] == [1, 0]
    assert first[0].features["link"] == pytest.approx(-2 / math.e**8, abs=1e-3)  # softmax of (0, 8, 0)
    u, h, here = listened("plum", links=[1])
    named = candidates(u, span(0, 1), h, [], here, bearings(FAR.far, *ids))
    assert kinds(named) == [("own", "plums"), ("linked", "reach/apple")]
    assert named[0].features["link"] == pytest.approx(-8, abs=1e-2)


def test_words_of_a_name_in_any_order_make_it_up() -> None:
    assert ("composed", "coconut_milk") in kinds(meant("coconut the milk of it", 0, 5))


def test_a_narrower_name_said_before_with_a_word_of_this_one() -> None:
    broad, narrow = meant("the apple", 0, 2, "green apple")
    assert kinds([broad, narrow]) == [("own", "reach/apple"), ("past", "green_apple")]
    assert broad.features["a narrower one was said"] == 1
    assert narrow.features["narrower than said"] == 1
    assert narrow.features["shares a word"] == 1
    (plain,) = meant("the apple", 0, 2)
    assert plain.features["a narrower one was said"] == 0


def test_what_a_candidate_leaves_unsaid() -> None:
    whole, part = meant("plum", 0, 1)[0], meant("wonderful gorgeous plum", 0, 3)[0]
    assert [whole.features[f"own leaves {n}"] for n in ("nothing", "one word", "more")] == [1, 0, 0]
    assert [part.features[f"own leaves {n}"] for n in ("nothing", "one word", "more")] == [0, 0, 1]


@pytest.mark.parametrize(("kind", "told"), [(FOUND, []), (DENIED, ["own of a denied"]), (ASSENT, ["own of a assent"])])
def test_a_denial_and_an_assent_are_told_apart(kind: int, told: list[str]) -> None:
    (only,) = meant("plum", 0, 1, kind=kind)
    assert [name for name in only.features if name.startswith("own of a")] == told


def test_pointers_that_agree_score_higher_and_steps_back_cost() -> None:
    u, h, here = listened("same here", points=[5, 5])
    past = [*listened("plum", points=[5])[2], *listened("rose", points=[6])[2]]
    plain = candidates(u, span(0, 2), h, past, here, FAR)
    assert [c.features["past points"] for c in plain] == [8.0, 0.0]  # 8 x 8 / 8: the scale of the dot product
    far = bearings([0.0, -1.0, -3.0, *[0.0] * REACH])
    assert [c.features["past points"] for c in candidates(u, span(0, 2), h, past, here, far)] == [5.0, -1.0]


def test_a_longer_name_that_holds_the_one_said_and_other_words_of_it() -> None:
    named = {short(c.descriptor): c.features for c in meant("butter browned in the pan", 0, 5, "brown butter", "rose")}
    assert named["browned_butter"]["past holds the name said"] == 1
    assert named["browned_butter"]["past shares words beside it"] == 1
    assert named["rose"]["past holds the name said"] == 0
    bitter = {short(c.descriptor): c.features for c in meant("orange marmalade", 0, 2)}["bitter_orange"]
    assert bitter["composed holds the name said"] == 0  # "marmalade orange" is no longer than what is said
