"""Lessons for the encoder: marked talk as plain JSON, each word with its flag and its right answers."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict
from typing import Any

from tastevocab.reading.fitting.heard import Kept, said_in, table_of
from tastevocab.reading.fitting.marked import Line, Recording
from tastevocab.reading.fitting.talk import FINDS, stretches
from tastevocab.reading.hand.clues import clues_of
from tastevocab.reading.hand.situation import Known, brew_of, known_of
from tastevocab.reading.hearing.encoder import SCENE
from tastevocab.reading.hearing.windows import ATTRIBUTES, COFFEES, DEGREES, HEADS, LEVELS, MOMENTS, PLACES, REASONS
from tastevocab.reading.language.judge import choice
from tastevocab.reading.language.meant import likeliest, shares_of
from tastevocab.reading.language.sounds import mentions_heard
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.reading.words.utterance import Utterance

LIKELIEST = 8  # descriptors that a stretch is learnt with, of which a few are asked about at a time
_CLASS = {"+": 1, "?": 2, "-": 3, "=": 4, "x": 5, "w": 5, "a": 6}


def lesson(recording: Recording, lexicon: Lexicon, id_of: Callable[[str], str | None]) -> dict[str, Any]:
    """One recording as the encoder learns it. `id_of` gives a concept's descriptor."""
    known = known_of(table_of(recording), lexicon)
    us = [Utterance(line.text, lexicon) for line in recording.lines]
    named = [mentions_heard(u) for u in us]
    said = said_in(recording, known, lexicon)
    rows = []
    for line, u, mentions, turn in zip(recording.lines, us, named, said, strict=True):
        scene = _scene(line, known, lexicon)
        rows.append(
            {
                "speaker": line.speaker,
                "text": line.text,
                "words": turn.words,
                "flag": turn.flags,
                "lab": {head: [-1] * len(u.words) for head in HEADS}
                if recording.only_meaning
                else _labels(u, line, scene, known, lexicon),
                "scene": scene,
                "cands": [(m.start, m.end, m.target) for m in mentions if not m.quality],
                "refs": list(_references(u, line, id_of)),
            }
        )
    return {
        "author": recording.author,
        "file": recording.name,
        "coffees": len(known.coffees),
        "brews": known.brews,
        "turns": rows,
    }


def cuts(
    recording: Recording, hears: Kept, lexicon: Lexicon, id_of: Callable[[str], str | None]
) -> Iterator[tuple[int, int, int, list[str], str | None]]:
    """How a recording was cut, as the second hearing learns it: the turn, words [start, end) of it, the likeliest
    descriptors, and the one that is meant (None where nothing is found there)."""
    weights = lexicon.weights["talk"]["means"]
    for number, (*_, found) in enumerate(stretches(recording, hears, lexicon)):
        for s in (s for s in found if s.options):
            right = id_of(s.mark.concept) if s.mark else None
            if right or not s.mark:
                shares = shares_of(s.options, choice(weights, [o.features for o in s.options]))
                yield number, s.span.start, s.span.end, likeliest(shares, LIKELIEST), right


def clues(recording: Recording, hears: Kept, lexicon: Lexicon) -> dict[str, Any]:
    """What one recording gives away of what is in hand, with the right answers, as `fitting/scene.py` learns it."""
    import numpy as np

    known = known_of(table_of(recording), lexicon)
    us = [Utterance(line.text, lexicon) for line in recording.lines]
    speakers = [line.speaker for line in recording.lines]
    made: dict[str, Any] = asdict(clues_of(us, hears.heard, speakers, known.names, known.brews))
    right: dict[str, list[int]] = {name: [] for name in SCENE}
    for line in recording.lines:
        brew = brew_of(line.brew, lexicon) if line.brew else 0
        right["coffee"].append(known.coffees.index(line.coffee) if line.coffee else -1)
        right["brew"].append(known.brews.index(brew) if brew in known.brews else -1)
        right["moment"].append(MOMENTS.index(line.moment) - 1 if line.moment in MOMENTS[1:] else -1)
    made |= {f"right_{name}": np.array(answers) for name, answers in right.items()}
    return made | {"kinds": np.array(known.brews, int)}


def _scene(line: Line, known: Known, lexicon: Lexicon) -> dict[str, int]:
    coffee = known.coffees.index(line.coffee) if line.coffee else -1
    return {
        "coffee": coffee if coffee < COFFEES else -1,
        "brew": (brew_of(line.brew, lexicon) or -1) if line.brew else -1,
        "moment": MOMENTS.index(line.moment) if line.moment in MOMENTS[1:] else -1,
    }


def _labels(u: Utterance, line: Line, scene: dict[str, int], known: Known, lexicon: Lexicon) -> dict[str, list[int]]:
    """For each question the right answer a word, -1 where it is not asked."""
    labels = {head: [scene.get(head, -1)] * len(u.words) for head in HEADS}
    labels["main"] = [0] * len(u.words)
    for mark in line.marks:
        for number, i in enumerate(_words(u, mark.start, mark.end)):
            labels["main"][i] = _CLASS[mark.sign]
            labels["begin"][i] = int(number == 0)
            if mark.sign in "xw":
                labels["reason"][i] = REASONS.index(mark.reason)
            elif mark.sign == "a" and mark.attribute in ATTRIBUTES:
                labels["attribute"][i] = ATTRIBUTES.index(mark.attribute)
                labels["level"][i] = LEVELS.index(mark.level)
            elif mark.sign in FINDS:
                labels["degree"][i] = DEGREES.index(mark.degree)
                labels["place"][i] = PLACES.index(mark.place)
                own = Line(None, "", (), mark.coffee, mark.brew, mark.moment)
                if mark.coffee is None or mark.coffee in known.coffees:
                    labels |= {
                        k: [*labels[k][:i], v, *labels[k][i + 1 :]]
                        for k, v in _scene(own, known, lexicon).items()
                        if v >= 0
                    }
    return labels


def _words(u: Utterance, start: int, end: int) -> Sequence[int]:
    return [i for i in range(len(u.words)) if u.starts[i] < end and start < u.ends[i]]


def _references(u: Utterance, line: Line, id_of: Callable[[str], str | None]) -> Iterator[tuple[int, int, str]]:
    for mark in line.marks:
        words = _words(u, mark.start, mark.end) if mark.sign in FINDS else ()
        descriptor = id_of(mark.concept) if words else None
        if words and descriptor:
            yield words[0], words[-1] + 1, descriptor
