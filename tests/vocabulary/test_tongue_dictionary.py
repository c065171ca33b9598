"""Our Spanish and Portuguese names beside simplemma's word lists and lemmas (Barbaresi, MIT; data of several open
dictionaries): words of the right language, and plurals and feminines that lead back as its lemmas do.
"""

from __future__ import annotations

import random

import pytest

from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.vocabulary.words import fold, romance, split_words

simplemma = pytest.importorskip("simplemma", reason="pip install simplemma")


def names(tag: str) -> set[str]:
    """Every word of more than two letters in the names of a language and its regions, but names of places."""
    known = open_vocabulary().descriptors.values()
    listed = [word for d in known for t, words in d.words.items() if t.split("-")[0] == tag for word in words]
    return {word for name in listed for word in split_words(name) if len(word) > 2 and word.islower()}


def known_share(words: set[str], language: str) -> float:
    return sum(simplemma.is_known(word, language) for word in words) / len(words)


@pytest.mark.parametrize(("tag", "other"), [("es", "pt"), ("pt", "es")])
def test_names_are_words_of_their_language(tag: str, other: str) -> None:
    """Of the words that any of three languages has: fruits of one region are in no list (lúcuma)."""
    words = {word for word in names(tag) if any(simplemma.is_known(word, language) for language in (tag, other, "en"))}
    assert len(words) > 0.8 * len(names(tag))
    assert known_share(words, tag) > 0.92
    assert known_share(words, other) < 0.5


def inflected(word: str, language: str) -> list[str]:
    """Plural and feminine of a dictionary form by the plainest rules, where the dictionary lemmatises them to it."""
    forms = [word + "s", word + "es", word[:-1] + "ces", word[:-2] + "ões", word[:-1] + "ns", word[:-1] + "as"]
    return [form for form in forms if simplemma.is_known(form, language) and lemma(form, language) == word]


def lemma(form: str, language: str) -> str:
    return str(simplemma.lemmatize(form, language))


@pytest.mark.parametrize("language", ["es", "pt"])
def test_forms_lead_back_to_the_lemma(language: str) -> None:
    words = sorted(
        w for w in names(language) if w.islower() and simplemma.is_known(w, language) and lemma(w, language) == w
    )
    pairs = [(form, word) for word in words for form in inflected(word, language)]
    random.Random(7).shuffle(pairs)
    lost = [(form, word) for form, word in pairs if fold(word) not in {fold(form), *romance(fold(form))}]
    assert len(pairs) > 300
    assert len(lost) / len(pairs) < 0.01, lost[:20]
