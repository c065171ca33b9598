"""Typed notes and sheets to judged findings: each note on its own, weighed by what stands beside each name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from typing import Any

from tastevocab.reading.language.bind import Edge, edges, named_words
from tastevocab.reading.language.features import features_of
from tastevocab.reading.language.items import STEP_OF_LEVEL, Judged, Scene
from tastevocab.reading.language.judge import Question
from tastevocab.reading.language.mark import Mention, mentions_of
from tastevocab.reading.language.marks import SCORE, level_of_step, score_level
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.reading.words.utterance import Utterance

DEGREE_OF_STEP = ("barely", "weak", "moderate", "strong", "very strong")
_BESIDE = ("place", "moment", "nose")


@lru_cache(maxsize=16)
def questions(lexicon: Lexicon) -> dict[str, Question]:
    """The questions asked of each name in a typed note."""
    return {name: Question(of) for name, of in lexicon.weights["typed"].items() if name != "bounds"}


def judge_note(u: Utterance, topic: str | None, scene: Scene) -> list[Judged]:
    """What a typed note says. `topic` is the attribute its column or label is about, `scene` the brew and moment that
    its headings name."""
    if not u.pieces and not topic:
        return []
    ground = named_words(u)
    judged = []
    for m in mentions_of(u):
        around = list(edges(u, m, ground))
        features = features_of(u, m, around, ground)
        judged.append((_quality if m.quality else _flavour)(u, m, features, _beside(around, scene)))
    if topic and not any(j.level and j.target == topic and j.reason is None for j in judged):
        judged.extend(_under(u, topic, scene))
    return _settled(u, judged)


def _flavour(u: Utterance, m: Mention, features: Sequence[str], more: dict[str, Any]) -> Judged:
    """A flavour that is found with or without doubt and in some degree, denied, or set aside."""
    asked = questions(u.lexicon)
    shares = asked["outcome"].shares(features)
    outcome = max(shares, key=lambda name: (shares[name], name))
    if m.via == "heard" and m.target in u.lexicon.names.faults:  # a fault is never taken by ear
        more |= {"sure": 0.0, "reason": "talk about the word"}
    elif shares["aside"] > max(shares["found"], shares["denied"]):
        more |= {"sure": 1 - shares["aside"], "reason": asked["reason"].likeliest(features)}
    elif shares["denied"] > shares["found"]:
        more |= {"sure": shares["denied"], "present": False}
    else:
        degree = _degree_by_mark(u, m) or asked["degree"].likeliest(features)
        doubted = "?" in u.gaps[m.end]  # right behind the name: of this name, whatever stands before it in the list
        more["sure"], more["hedged"] = shares["found"], doubted or asked["doubt"].likeliest(features) == "yes"
        more["degree"] = None if degree == "unsaid" else degree
    signs = asked["outcome"].signs(outcome, features)
    known: dict[str, Any] = {"via": m.via, "match": m.match, "state": m.state, "parts": m.parts}
    return Judged(m.start, m.end, m.target, **known, signs=signs, **more)


def _quality(u: Utterance, m: Mention, features: Sequence[str], more: dict[str, Any]) -> Judged:
    asked = questions(u.lexicon)["level"]
    levels = asked.shares(features)
    signs = asked.signs(max(levels, key=lambda name: (levels[name], name)), features)
    unsaid = levels.pop("unsaid")
    level = max(levels, key=lambda name: (levels[name], name))
    step = float(m.step) if m.step and level != "none" else STEP_OF_LEVEL[level]
    reason = "quality" if unsaid > 0.5 else None
    return Judged(m.start, m.end, m.target, 1 - unsaid, level=level, step=step, signs=signs, reason=reason, **more)


def _degree_by_mark(u: Utterance, m: Mention) -> str | None:
    """Signs of a sheet right behind a word: "++", "!!", "4/5"."""
    gap = u.gaps[m.end].strip()
    for mark in u.lexicon.marks_longest if gap else ():
        alone = len(mark) > 1 or gap[1:2] in ("", ",", ".", ";", "|", ")")
        if gap.startswith(mark) and alone and not (mark == "-" or mark == "!"):
            return u.lexicon.marks[mark]
    if m.end < len(u.words) and u.sentence[m.end] == u.sentence[m.start] and "," not in u.gaps[m.end]:
        match = SCORE.match(u.text, u.starts[m.end])
        level = score_level(match) if match else None
        if level:
            return DEGREE_OF_STEP[min(4, max(0, round(level[1]) - 1))]
    return None


def _beside(around: Iterable[Edge], scene: Scene) -> dict[str, Any]:
    """What is in hand, with place in the sip and moment said in the same clause."""
    made: dict[str, Any] = {}
    for edge in around:
        if edge.comma or edge.kind not in _BESIDE:
            continue
        if edge.kind == "nose":
            made["nose"] = True
        elif edge.far <= 1:
            made.setdefault(edge.kind, edge.value)
    moment = made.pop("moment", None)
    return {"scene": {**scene, "moment": moment} if moment else scene, **made}


def _under(u: Utterance, topic: str, scene: Scene) -> Iterator[Judged]:
    """A cell under an attribute's heading: a level word, a mark or a bare number is that attribute's."""
    score = SCORE.search(u.text)
    level = score_level(score) if score else None
    bare = u.text.strip().rstrip(".")
    if level is None and bare.replace(".", "", 1).isdecimal() and float(bare) <= 5:
        level = level_of_step(float(bare))
    cues = sorted((c for c in u.of("level")), key=lambda c: (c.start, c.start - c.end))
    if level is None and cues:
        level = cues[0].value, STEP_OF_LEVEL[cues[0].value]
    book = u.lexicon.beside[topic]
    for at in range(len(u.own)) if level is None else ():
        _, senses = book.longest(u.own, at)
        if senses:
            step = int(senses[0].value)
            level = u.lexicon.attribute_levels[topic][step - 1], float(step)
            break
    if level and u.words:
        yield Judged(0, len(u.words), topic, 0.9, level=level[0], step=level[1], scene=scene)


def _settled(u: Utterance, judged: Sequence[Judged]) -> list[Judged]:
    """One level an attribute and sentence, the surest; and of words that may be flavour or quality the surer."""
    kept: list[Judged] = []
    for j in sorted(judged, key=lambda j: (j.reason is not None, -j.sure, not j.level)):
        rival = any(k.reason is None and k.start < j.end and j.start < k.end for k in kept)
        double = j.level and any(
            k.level and k.target == j.target and u.sentence[k.start] == u.sentence[j.start] for k in kept
        )
        if not rival and not double:
            kept.append(j)
    return kept
