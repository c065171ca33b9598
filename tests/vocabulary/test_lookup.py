"""Look-up of phrases by the exact rules, and what `find` answers for them."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st
from trials import trials

from tastevocab.reading.report.answers import KEYS, answer
from tastevocab.reading.words.lexicon import Lexicon, open_lexicon
from tastevocab.vocabulary.compose import whole
from tastevocab.vocabulary.lookup import Names
from tastevocab.vocabulary.model import Vocabulary


@cache
def lexicon() -> Lexicon:
    return open_lexicon()


@pytest.mark.parametrize(
    ("phrase", "descriptor"),
    [
        ("bergamot", "citrus_crate/peel_oil/bergamot"),
        ("Bergamots", "citrus_crate/peel_oil/bergamot"),
        ("bergamota", "citrus_crate/peel_oil/bergamot"),
        ("the peel of a lemon", "citrus_crate/peel_oil/lemon_zest"),
        ("lemon peel", "citrus_crate/peel_oil/lemon_zest"),
        ("dark fruit", "reach/dark_fruit"),
        ("blackberries", "hedgerow_vine/dark_berries/blackberry"),
        ("a blackberry", "hedgerow_vine/dark_berries/blackberry"),
        ("coffee", None),
        ("kettle", None),
        ("", None),
    ],
)
def test_exact_answers(phrase: str, descriptor: str | None) -> None:
    assert answer(lexicon(), phrase, exact=True)["descriptor"] == descriptor


def test_an_answer_has_the_keys_of_the_contract_in_order() -> None:
    for phrase in ("bergamot", "nothing at all", "strawbery"):
        assert tuple(answer(lexicon(), phrase)) == KEYS


def test_an_id_is_answered_by_itself() -> None:
    assert answer(lexicon(), "citrus_crate/peel_oil/bergamot")["descriptor"] == "citrus_crate/peel_oil/bergamot"


def test_an_attribute_is_told_from_a_flavour() -> None:
    row = answer(lexicon(), "bright", exact=True)
    assert (row["descriptor"], row["attribute"]) == (None, "acidity")


def test_without_exact_it_may_guess_and_says_how_safe_that_is() -> None:
    row = answer(lexicon(), "gozeberry")
    assert row["descriptor"] == "hedgerow_vine/sharp_hedge/gooseberry"
    assert row["via"] in ("spelling", "sound")
    assert 0 < row["match"] < 1
    if row["runner_up"]:
        assert row["gap"] == pytest.approx(row["match"] - row["runner_up_match"], abs=1e-3)
    assert answer(lexicon(), "gozeberry", exact=True)["descriptor"] is None


@pytest.mark.parametrize("phrase", ["hazzelnut", "elderflouwer", "passionfriut"])
def test_exact_does_not_repair(phrase: str) -> None:
    assert answer(lexicon(), phrase, exact=True)["descriptor"] is None


@pytest.mark.parametrize("phrase", ["hazzelnut", "elderflouwer", "passionfriut"])
def test_a_repair_says_that_it_is_one(phrase: str) -> None:
    row = answer(lexicon(), phrase)
    assert row["via"] in ("spelling", "sound", "heard")
    assert row["match"] < 1


def test_every_print_label_leads_home(coffee: Vocabulary) -> None:
    """A label a customer reads is a name; families and categories with compound labels name several things."""
    names = Names(coffee)
    lost = []
    for d in coffee.descriptors.values():
        if d.level in ("note", "reach"):
            found = whole(names, d.print)
            if found is None or found.descriptor != (d.use_instead or d.id):
                lost.append((d.id, d.print, found))
    assert lost == []


def test_every_listed_word_leads_home_or_to_one_other(coffee: Vocabulary) -> None:
    """Two languages may share a word; in one language a word has one home."""
    names = Names(coffee)
    for d in coffee.descriptors.values():
        for word in d.words.get("en", ()):
            found = whole(names, word)
            assert found is not None, (d.id, word)
            assert found.descriptor == (d.use_instead or d.id), (d.id, word, found)


def test_toy_names_by_hand(toy: Vocabulary) -> None:
    names = Names(toy)
    for d in toy.descriptors.values():
        for word in d.words.get("en", ()):
            found = whole(names, word)
            assert found is not None
            assert found.descriptor == (d.use_instead or d.id)


@pytest.mark.parametrize("phrase", ["lingerring", "hea0er"])
def test_a_misspelt_attribute_word_is_answered(phrase: str) -> None:
    assert answer(lexicon(), phrase)["descriptor"] is None


@given(st.text(max_size=40))
@trials(50)
def test_look_up_takes_anything(phrase: str) -> None:
    row = answer(lexicon(), phrase)
    assert row["descriptor"] is None or row["descriptor"] in lexicon().prints
    assert row["match"] is None or 0 < row["match"] <= 1


@given(
    st.sampled_from(["bergamot", "dark fruit", "lemon peel", "candied lime"]),
    st.sampled_from(["{}", " {} ", "{}.", "“{}”", "{}!"]),
)
@trials(20)
def test_marks_and_case_do_not_matter(phrase: str, frame: str) -> None:
    plain = answer(lexicon(), phrase, exact=True)
    dressed = answer(lexicon(), frame.format(phrase.upper()), exact=True)
    assert {**dressed, "phrase": phrase} == plain


@given(st.text(alphabet="bcdfgjkqvwxz", min_size=5, max_size=10))
@trials(25)
def test_an_unknown_word_has_no_exact_answer(word: str) -> None:
    row = answer(lexicon(), word, exact=True)
    assert row["descriptor"] is row["attribute"] is None
