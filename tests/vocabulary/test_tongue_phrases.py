"""Spanish and Portuguese phrases mean what their writer says in English that they mean.

450 of each, many with inflection or an opening ("un toque de ..."), written by somebody who had not seen the program.
When first measured, 91 and 92 of 100 unseen ones were known, and 3 of 100 meant something else. Where the vocabulary
does not know the English, nothing is judged; a phrase may mean a form of the same thing, or a part of a broad word.
"""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tastevocab.reading.report.answers import answer
from tastevocab.reading.words.lexicon import Lexicon, open_lexicon
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.vocabulary.measures import TreeMeasures
from tastevocab.vocabulary.model import Vocabulary

DATA = Path(__file__).with_name("data")
Row = dict[str, Any]


@cache
def lexicon(*tags: str) -> Lexicon:
    return open_lexicon(None, None, *tags)


def in_english(means: str) -> Row | None:
    plain = re.sub(r"\(.*?\)", "", means).strip()
    found = answer(lexicon(), plain, exact=True)
    return found if found["descriptor"] or found["attribute"] else None


def agree(vocabulary: Vocabulary, measures: TreeMeasures, got: Row, wanted: Row) -> bool:
    if (got["descriptor"], got["attribute"]) == (wanted["descriptor"], wanted["attribute"]):
        return True
    if not got["descriptor"] or not wanted["descriptor"]:
        return False
    if got["thing"] and got["thing"] == wanted["thing"]:
        return True
    mine, theirs = (measures.span_notes(row["descriptor"]) for row in (got, wanted))
    return bool(mine) and (mine <= theirs or theirs <= mine)


@pytest.mark.slow
@pytest.mark.parametrize("tag", ["es", "pt"])
def test_phrases_of_tasters(tag: str) -> None:
    vocabulary = open_vocabulary()
    measures = TreeMeasures(vocabulary)
    known, wrong, judged = 0, [], 0
    lines = (DATA / f"means.{tag}.jsonl").read_text("utf-8").splitlines()
    for row in map(json.loads, lines):
        got = answer(lexicon(f"{tag}-{row['region']}" if row["region"] else tag), row["phrase"], exact=True)
        wanted = in_english(row["means"])
        here = bool(got["descriptor"] or got["attribute"])
        known += here
        if here and wanted:
            judged += 1
            if not agree(vocabulary, measures, got, wanted):
                wrong.append((row["phrase"], row["means"], got["descriptor"]))
    assert len(lines) == 450
    assert known / len(lines) > 0.98
    assert len(wrong) / len(lines) < 0.025, wrong
    assert judged / len(lines) > 0.93


# What is done to a thing makes something else of it, and so may what stands after "de".
CHANGED = """cáscara de limón criollo = small_sharp_lime peel; cáscara de lima persa = lime peel
cáscara de piña = pineapple peel; guayaba golpeada = pink_guava overripe
durazno fermentado = peach fermented; cacao fermentado = dark_choc fermented; mango en polvo = ripe_mango ground
fresas borrachas = strawberry spirit; semilla de papaya = -
mango bien maduro = ripe_mango fresh; durazno verde = peach unripe; pan enmohecido = mouldy; cola champán = cream_soda
nance curado = -; chocolate quemado = -; naranja enmohecida = -; galleta mohosa = -
crema de zapatos = -; pan de oro = -; helado de café = -; horchata de morro = -; tuna = prickly_pear; pasta = starch
cáscara de limón mandarina = -; corteza de cerdo = -; albahaca verde = basil; chile verde = chilli"""


@pytest.mark.parametrize("case", [c.strip() for line in CHANGED.splitlines() for c in line.split(";")])
def test_what_changes_a_thing_is_not_passed_over(case: str) -> None:
    phrase, _, wanted = case.partition(" = ")
    found = answer(lexicon("es"), phrase, exact=True)
    said = (found["descriptor"] or "-").rsplit("/", 1)[-1]
    assert (f"{said} {found['form']}" if " " in wanted else said) == wanted
