"""Guessing at words the vocabulary does not list: length-aware, with a runner-up and a gap, and never at faults."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reading_checks import lexicon, short
from trials import trials

from tastevocab.vocabulary.compose import whole
from tastevocab.vocabulary.guess import CUTOFFS, GAP

# Mis-hearings and misspellings made up for this test from how the words sound, each with what was meant.
MEANT = [
    ("strawbery", "strawberry"), ("nectarene", "nectarine"), ("hazlenut", "hazelnut"), ("bergammot", "bergamot"),
    ("chamomyle", "reach/chamomile"), ("cardamum", "cardamom"), ("butterskotch", "butterscotch"),
    ("marzypan", "marzipan"), ("grapefrut", "grapefruit_kin"), ("lemongras", "lemongrass"),
    ("pinapple", "pineapple"), ("honeysukle", "honeysuckle"), ("tamarand", "tamarind"), ("molassis", "molasses"),
]  # fmt: skip

# A plain ratio scores these 73 to 91 against the flavour beside them; none is one.
INNOCENT = [
    ("stage", "sage"), ("grinds", "gin"), ("cools", "cola"), ("fog", "fig"), ("tome", "thyme"), ("limb", "lime"),
    ("pearl", "ripe_pear"), ("mane", "mace"), ("beach", "peach"), ("plumb", "plums"),
]  # fmt: skip


@pytest.mark.parametrize(("written", "meant"), MEANT)
def test_misspellings_are_guessed(written: str, meant: str) -> None:
    found = whole(lexicon().names, written) or lexicon().guesser().guess(written)
    assert found is not None
    assert short(found.descriptor) == meant


@pytest.mark.parametrize(("word", "near"), INNOCENT)
def test_short_and_ordinary_words_are_not_repaired_in_reading(word: str, near: str) -> None:
    key = lexicon().names.key(word)
    assert key.mark not in ("spelling", "sound"), (word, key)
    assert key.name != near


@pytest.mark.parametrize("word", ["zzzzzz", "qwertyuiop", "a", "", "1234", "blorptig"])
def test_no_match_is_a_value(word: str) -> None:
    assert lexicon().guesser().guess(word) is None


@pytest.mark.parametrize("word", ["pear", "hay", "mint", "fog", "lim", "pea"])
def test_words_shorter_than_the_first_cut_off_are_never_guessed(word: str) -> None:
    assert len(word) < min(rule[0] for rule in CUTOFFS)
    assert lexicon().guesser().guess(word) is None


@given(st.text(alphabet="abcdefghijklmnopqrstuvwxyz", min_size=4, max_size=14))
@trials(50)
def test_a_guess_keeps_its_promises(word: str) -> None:
    found = lexicon().guesser().guess(word)
    if found is not None:
        assert 0 < found.match <= 1
        assert found.via in ("spelling", "sound")
        assert found.gap >= GAP - 1e-9
        assert found.descriptor not in lexicon().names.faults
        assert found.runner_up != found.descriptor
        assert lexicon().guesser().guess(word) == found


@given(st.deferred(lambda: st.sampled_from(sorted(lexicon().names.faults))), st.integers(0, 20))
@trials(20)
def test_a_garbled_fault_is_not_guessed_as_a_fault(fault: str, at: int) -> None:
    word = fault.rsplit("/", 1)[-1].replace("_", "")
    garbled = word[: at % len(word)] + "q" + word[at % len(word) + 1 :]
    found = lexicon().guesser().guess(garbled)
    assert found is None or found.descriptor not in lexicon().names.faults


def test_longer_words_bear_more_edits() -> None:
    lengths = [rule[0] for rule in CUTOFFS]
    edits = [rule[1] for rule in CUTOFFS]
    assert lengths == sorted(lengths, reverse=True)
    assert edits == sorted(edits, reverse=True)


def test_suggestions_are_ranked_and_near() -> None:
    near = lexicon().guesser().nearest("kumquish")
    assert near
    assert [m for _, m in near] == sorted((m for _, m in near), reverse=True)
    assert all(0.6 <= m <= 1 for _, m in near)
    assert len(near) <= 3
