"""The language data of the vocabulary against published lists: degrees, boosters, triggers of denial.

Sources beside the checks. The tables hold the published words that could occur in talk of taste, not the whole lists.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from itertools import pairwise
from typing import Any

import pytest

from tastevocab.reading.words.lexicon import DEGREES, Lexicon, open_lexicon
from tastevocab.vocabulary.cache import open_vocabulary

# Green BG, Shaffer GS, Gilmore MM (1993), Derivation and evaluation of a semantic scale of oral sensation magnitude
# with apparent ratio properties, Chemical Senses 18:683-702, doi:10.1093/chemse/18.6.683. Two prints differ
# in the decimals
# (35.4 / 34.7, 53.3 / 52.5) and agree in whole numbers; the decimals are from memory.
LMS = {"barely": 1, "weak": 6, "moderate": 17, "strong": 35, "very strong": 53}

# Chapman et al. (2001), J. Biomed. Inform. 34:301-310, and negex_triggers.txt of its Python version:
# kind of trigger to words. PREN denies what follows, POST what precedes, PSEU nothing.
# What ends a denial is no list here: the judge weighs what stands between. Triggers nobody used in 27,000 turns and
# notes of tasting are left out ("free of", "absence of").
NEGEX = {
    "before": ["no", "not", "without", "cannot"],
    "pseudo": ["not only", "not certain"],
}
NOT_NEGEX = {"before": ["but", "however", "not only"], "pseudo": ["no", "without"]}

# Hutto CJ, Gilbert E (2014), VADER: a parsimonious rule-based model for sentiment analysis of social media text,
# ICWSM-14:216-225: booster words raise (+0.293), dampeners lower (-0.293); vaderSentiment 3.3.2 carries the full list.
BOOSTERS = ["absolutely", "extremely", "highly", "incredibly", "intensely", "really", "so", "very", "hugely",
            "enormously", "tremendously", "utterly", "totally", "completely"]  # fmt: skip
DAMPENERS = ["barely", "slightly", "scarcely", "somewhat", "marginally", "little", "less", "slight"]
# Words where tasters' English is known to differ from VADER's signs, and why.
DIFFERENT = {
    "quite": "between moderate and strong in British English",
    "fairly": "moderate amount, not a booster",
    "kind of": "doubt, not degree", "kinda": "doubt, not degree", "sort of": "doubt, not degree",
    "sorta": "doubt, not degree", "almost": "doubt, not degree", "hardly": "a denial of amount",
    "just enough": "no degree", "pure": "strong only beside a flavour",
}  # fmt: skip


@cache
def lexicon() -> Lexicon:
    return open_lexicon()


def _data(name: str) -> Any:
    return open_vocabulary().language[name]


def _senses(kind: str, phrase: str) -> list[str]:
    return [s.value for s in lexicon().cues.exact(lexicon().names.keys(phrase)) if s.kind == kind]


def _degree(word: str) -> str | None:
    return next(iter(_senses("degree.before", word) or _senses("degree.after", word)), None)


def test_degrees_stand_at_their_places_on_the_labelled_magnitude_scale() -> None:
    strength = lexicon().strength
    assert set(strength) == set(LMS)
    for word, value in LMS.items():
        assert strength[word] == pytest.approx(value, abs=1), word


def test_degrees_rise_and_their_gaps_are_quasi_logarithmic() -> None:
    """Each step is more than half as high again as the one below it (a word scale with ratio properties)."""
    values = [lexicon().strength[d] for d in DEGREES]
    assert values == sorted(values)
    assert all(after / before > 1.4 for before, after in pairwise(values))


@pytest.mark.parametrize(("kind", "word"), [(k, w) for k, ws in NEGEX.items() for w in ws if w != "free"])
def test_triggers_of_negex_have_the_same_kind(kind: str, word: str) -> None:
    assert f"denial.{kind}" in {s.kind for s in lexicon().cues.exact(lexicon().names.keys(word))}, word


@pytest.mark.parametrize(("kind", "word"), [(k, w) for k, ws in NOT_NEGEX.items() for w in ws])
def test_triggers_of_negex_have_no_opposite_kind(kind: str, word: str) -> None:
    assert f"denial.{kind}" not in {s.kind for s in lexicon().cues.exact(lexicon().names.keys(word))}, word


@pytest.mark.parametrize("word", BOOSTERS)
def test_boosters_that_both_know_raise(word: str) -> None:
    degree = _degree(word)
    assert degree in (None, "strong", "very strong"), word


@pytest.mark.parametrize("word", DAMPENERS)
def test_dampeners_that_both_know_lower(word: str) -> None:
    degree = _degree(word)
    assert degree in (None, "barely", "weak"), word


def test_most_boosters_are_known() -> None:
    known = [w for w in (*BOOSTERS, *DAMPENERS) if _degree(w)]
    assert len(known) >= 12, known


def test_every_degree_word_that_vader_knows_agrees_in_sign() -> None:
    """The whole published list, where the reference package is there."""
    vader = pytest.importorskip("vaderSentiment.vaderSentiment", reason="vaderSentiment is not installed")
    both = 0
    for word, sign in vader.BOOSTER_DICT.items():
        degree = _degree(word)
        if degree is None or word in DIFFERENT:
            continue
        both += 1
        high = degree in ("strong", "very strong")
        assert high == (sign > 0) or degree == "moderate", (word, degree, sign)
    assert both >= 12


def test_every_negation_that_vader_knows_is_a_denial_or_unknown() -> None:
    vader = pytest.importorskip("vaderSentiment.vaderSentiment", reason="vaderSentiment is not installed")
    both = 0
    for word in vader.NEGATE:
        if word in ("hadnt", "hadn't"):  # "hadn't expected plum": tasted after all
            continue
        kinds = {s.kind for s in lexicon().cues.exact(lexicon().names.keys(word))}
        negations = {k for k in kinds if k.startswith("denial.")}
        if negations:
            both += 1
            assert negations & {"denial.before", "denial.after", "denial.little"}, (word, negations)
    assert both >= 20


@pytest.mark.parametrize("name", ["rules", "states", "spellings", "mishearings", "ordinary"])
def test_every_list_of_language_data_holds_words(name: str) -> None:
    data = _data(name)
    assert data
    for path, words in _lists(data):
        assert all(isinstance(w, str) and w.strip() for w in words), (
            path,
            [w for w in words if not isinstance(w, str)],
        )


def _lists(data: object, path: str = "") -> list[tuple[str, list[object]]]:
    if isinstance(data, list | tuple):
        return [(path, list(data))]
    if isinstance(data, Mapping):
        return [found for key, value in data.items() for found in _lists(value, f"{path}/{key}")]
    return []


def test_no_word_has_two_degrees_before_what_it_measures() -> None:
    homes: dict[str, set[str]] = {}
    for pattern in lexicon().patterns:
        for word in pattern.words if pattern.kind == "degree.before" else ():
            homes.setdefault(" ".join(lexicon().names.keys(word)), set()).add(pattern.value)
    assert {w: d for w, d in homes.items() if len(d) > 1} == {}


def test_two_faced_words_have_a_flavour_a_fault_and_a_question() -> None:
    vocabulary = open_vocabulary()
    assert len(vocabulary.two_faced) >= 10
    for word, two in vocabulary.two_faced.items():
        assert not vocabulary.descriptors[two.flavour].fault, word
        assert vocabulary.descriptors[two.fault].fault, word
        assert two.ask.endswith(("?", ".")), word
