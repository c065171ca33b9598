"""Fitting what typed notes are judged by: examples from marked talk, each turn read on its own."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from tastevocab.reading.fitting.keyed import KEYED
from tastevocab.reading.fitting.marked import Line, Recording
from tastevocab.reading.fitting.weigh import answer_weights
from tastevocab.reading.language.bind import edges, named_words
from tastevocab.reading.language.features import features_of
from tastevocab.reading.language.mark import Mention, mentions_of
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.reading.words.utterance import Utterance

PRESENT = {"+": "found", "?": "found", "=": "found", "-": "denied"}


@dataclass(frozen=True, slots=True)
class Example:
    """One question with its right answer, the features it was asked with, and whose talk it is from."""

    question: str
    answer: str
    features: list[str]
    author: str


def examples(tables: Iterable[Recording], lexicon: Lexicon) -> Iterator[Example]:
    """The examples of every turn: `outcome`, `doubt` and `degree` of flavours, `level` of qualities."""
    for table in tables:
        for line in table.lines:
            u = Utterance(line.text, lexicon)
            named = named_words(u)
            for m in mentions_of(u):
                features = features_of(u, m, tuple(edges(u, m, named)), named)
                for question, answer in right_answers(u, m, line):
                    yield Example(question, answer, features, table.author)


def right_answers(u: Utterance, m: Mention, line: Line) -> Iterator[tuple[str, str]]:
    """What the marks over a mention answer."""
    start, end = u.span(m.start, m.end)
    over = [mark for mark in line.marks if mark.start < end and start < mark.end]
    if m.quality:
        said = next((k for k in over if k.attribute == m.target), None)
        yield "level", said.level if said else "unsaid"
        return
    mark = next((k for k in over if k.sign in PRESENT), over[0] if over else None)
    outcome = PRESENT.get(mark.sign, "aside") if mark else "aside"
    yield "outcome", outcome
    if mark and outcome == "found":
        yield "doubt", "yes" if mark.sign == "?" else "no"
        yield "degree", mark.degree or "unsaid"
    if mark and mark.sign in "xw":
        yield "reason", mark.reason


DENIED = 5.0  # a denial counts as so many findings: there are few, and to miss one is worse
REAL = 2.0  # a note of real people counts as so many invented ones
RIDGE = {"outcome": 8.0, "level": 4.0, "doubt": 2.0, "degree": 1.0, "reason": 20.0}  # set on authors and notes held out


def learn(
    tables: Sequence[Recording], lexicon: Lexicon, real: Sequence[Recording] = ()
) -> dict[str, dict[str, dict[str, float]]]:
    """Weights for every question of typed notes, from typed notes alone (`real` ones with keys among them): people type
    otherwise than they talk. Only the reasons why a word is set aside are learnt from talk too, where there are many
    more of them."""
    made = {}
    typed = list(examples((t for t in tables if is_typed(t)), lexicon))
    spoken = list(examples((t for t in tables if not is_typed(t)), lexicon))
    people = list(examples(real, lexicon))
    for question, ridge in RIDGE.items():
        found = [*typed, *(spoken if question == "reason" else people)]
        asked = [e for e in found if e.question == question]
        counts = [(DENIED if e.answer == "denied" else 1.0) * (REAL if e.author == KEYED else 1.0) for e in asked]
        weights = answer_weights([(e.features, e.answer) for e in asked], counts, ridge)
        least = 0.3 if question == "reason" else 0.05
        made[question] = {a: {f: w for f, w in of.items() if abs(w) >= least} for a, of in weights.items()}
    return made


def is_typed(table: Recording) -> bool:
    """Whether a file of marked talk holds typed notes."""
    return table.name[3:] == "notes"
