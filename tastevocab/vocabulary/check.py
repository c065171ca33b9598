"""Everything that is wrong with a vocabulary, all at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tastevocab.vocabulary.draft import Draft, Problem
from tastevocab.vocabulary.load import default_folder, read_draft
from tastevocab.vocabulary.rules import Facts, Rule
from tastevocab.vocabulary.rules_kitchen import KITCHEN_RULES
from tastevocab.vocabulary.rules_languages import LANGUAGE_RULES
from tastevocab.vocabulary.rules_things import THING_RULES
from tastevocab.vocabulary.rules_tree import TREE_RULES
from tastevocab.vocabulary.rules_words import WORD_RULES
from tastevocab.vocabulary.words import fold

RULES: tuple[Rule, ...] = (*TREE_RULES, *THING_RULES, *WORD_RULES, *LANGUAGE_RULES, *KITCHEN_RULES)

LOOKALIKE = 75


def check(draft: Draft) -> list[Problem]:
    """Every problem of a draft, structural ones first met in reading included, by file and line."""
    facts = Facts(draft)
    found = [*draft.problems]
    for rule in RULES:
        found.extend(rule.problems(facts))
    return sorted(set(found), key=lambda p: (p.place.file, p.place.line, p.code, p.what))


def over(folder: Path | None = None, house: Path | None = None) -> Draft:
    """The draft of a vocabulary folder (the one that ships if None) with a house file laid over it."""
    draft = read_draft(folder or default_folder())
    if house is not None:
        from tastevocab.vocabulary.house import lay_house

        draft = lay_house(draft, house)
    return draft


def errors(problems: Sequence[Problem]) -> list[Problem]:
    """Those that must be mended (warnings left out)."""
    return [p for p in problems if p.severity == "error"]


def lacks(problems: Sequence[Problem]) -> list[str]:
    """Problems summed up, a sentence for each rule: how many, and the first of them."""
    by_code: dict[str, list[Problem]] = {}
    for problem in problems:
        by_code.setdefault(problem.code, []).append(problem)
    return [
        f"{len(found)} x {code}: {found[0].what}" + (" ..." if len(found) > 1 else "")
        for code, found in by_code.items()
    ]


@dataclass(frozen=True, slots=True)
class Lookalikes:
    """Two words of different descriptors that spelling alone can confuse; `ratio` is out of 100."""

    ratio: float
    word: str
    other: str
    owner: str
    other_owner: str


def lookalikes(draft: Draft, least: float = LOOKALIKE) -> list[Lookalikes]:
    """Pairs of single words of different descriptors whose plain character ratio is at least `least` (0-100).

    A loose spelling threshold would cross these (the ratio is 200 x shared / total length, by edits of insertion and
    deletion); most alike first.
    """
    import numpy as np
    from rapidfuzz import fuzz, process

    owners: dict[str, str] = {}
    for d in draft.descriptors:
        for word in d.words.get(draft.languages[0], ()):
            if word.isalpha() and d.level != "category":
                owners.setdefault(fold(word), d.id)
    words = list(owners)
    scores = process.cdist(words, words, scorer=fuzz.ratio, processor=None, score_cutoff=least, dtype=np.float32)
    rows, columns = np.nonzero(np.triu(scores, 1))
    pairs = [
        Lookalikes(round(float(scores[i, j]), 1), words[i], words[j], owners[words[i]], owners[words[j]])
        for i, j in zip(rows.tolist(), columns.tolist(), strict=True)
        if owners[words[i]] != owners[words[j]]
    ]
    return sorted(pairs, key=lambda p: (-p.ratio, p.word, p.other))
