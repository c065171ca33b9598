"""Phrases looked up: what each means by the vocabulary's names, and how sure that is."""

from __future__ import annotations

from typing import Any

from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.vocabulary.compose import Phrase
from tastevocab.vocabulary.framed import meant
from tastevocab.vocabulary.things import form_said

KEYS = (
    "phrase", "descriptor", "print", "level", "attribute", "state", "parts", "via", "match", "runner_up",
    "runner_up_match", "gap", "thing", "form", "said",
)  # fmt: skip


def answer(lexicon: Lexicon, phrase: str, *, exact: bool = False) -> dict[str, Any]:
    """What `phrase` means, with the keys of `KEYS` (`descriptor` None where it is no flavour that is known).
    `thing` is the id of what it is of, where that is a rung of its own, `form` how it comes, and `said` what it is
    called in the language asked for.

    With `exact` only listed names and the composing rules count; else spelling and sound may guess, and `via`,
    `match` (0..1), the runner-up and the gap between the two say how safe the guess is.
    """
    phrase = phrase.strip()
    if phrase in lexicon.prints and "/" in phrase:
        return _row(lexicon, phrase, Phrase(phrase, None, None, lexicon.names.parts.get(phrase, ()), "id"))
    known = meant(lexicon.names, phrase)
    if known is not None or exact:
        return _row(lexicon, phrase, known)
    return _guessed(lexicon, phrase)


def _row(lexicon: Lexicon, phrase: str, known: Phrase | None, match: float = 1.0) -> dict[str, Any]:
    row: dict[str, Any] = dict.fromkeys(KEYS)
    row["phrase"], row["parts"] = phrase, ()
    if known is None:
        return row
    row["descriptor"], row["attribute"], row["state"], row["parts"] = known[:4]
    if known.descriptor:
        id = known.descriptor
        row["print"], row["level"] = lexicon.prints[id], lexicon.levels_of[id]
        row["thing"], row["said"] = lexicon.things.get(id), lexicon.said.get(id)
        row["form"] = form_said(lexicon.forms, lexicon.form_of.get(id, ""), known.state) or None
    row["via"], row["match"] = known.via, match
    return row


def _guessed(lexicon: Lexicon, phrase: str) -> dict[str, Any]:
    best = lexicon.guesser().guess(phrase)
    if best is None or best.descriptor is None:
        return _row(lexicon, phrase, None)
    parts = lexicon.names.parts.get(best.descriptor, ())
    row = _row(lexicon, phrase, Phrase(best.descriptor, None, None, parts, best.via), round(best.match, 4))
    row["runner_up"] = best.runner_up
    if best.runner_up is not None:
        row["runner_up_match"] = round(best.runner_up_match, 4)
        row["gap"] = round(best.match - best.runner_up_match, 4)
    return row
