"""Typed notes and sheets to judged findings: each note on its own, weighed by what stands beside each name."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from tastevocab.reading.language.bind import Edge, edges, named_words
from tastevocab.reading.language.features import features_of
from tastevocab.reading.language.items import STEP_OF_LEVEL, Judged, Scene
from tastevocab.reading.language.judge import answers
from tastevocab.reading.language.mark import Mention, mentions_of
from tastevocab.reading.language.marks import SCORE, level_of_step, score_level
from tastevocab.reading.language.utterance import Utterance

DEGREE_OF_STEP = ("barely", "weak", "moderate", "strong", "very strong")


def judge_note(u: Utterance, topic: str | None, scene: Scene) -> list[Judged]:
    """What a typed note says. `topic` is the attribute its column or label is about, `scene` the brew and moment that
    its headings name."""
    weights = u.lexicon.weights["typed"]
    named = named_words(u)
    mentions = mentions_of(u)
    judged = []
    for m in mentions:
        around = tuple(edges(u, m, named))
        features = features_of(u, m, around, named, topic or "")
        made = _quality(weights, m, features) if m.quality else _flavour(u, weights, m, features)
        more = {**scene, **_beside(around)}
        judged.append(replace(made, **more) if more else made)
    if topic and not any(j.level and j.target == topic and j.reason is None for j in judged):
        judged.extend(replace(j, **scene) for j in _under(u, topic))
    return _settled(u, judged)


def _flavour(u: Utterance, weights: Mapping[str, Any], m: Mention, features: Sequence[str]) -> Judged:
    outcome = answers(weights["outcome"], features)
    return Judged(
        m.start,
        m.end,
        m.target,
        via=m.via,
        match=m.match,
        state=m.state,
        parts=m.parts,
        signs=_signs(weights["outcome"], outcome, features),
        **_outcome(u, weights, m, features, outcome),
    )


def _outcome(
    u: Utterance, weights: Mapping[str, Any], m: Mention, features: Sequence[str], outcome: Mapping[str, float]
) -> dict[str, Any]:
    """How sure it is, and whether it is denied, set aside, or found with doubt and in which degree."""
    if m.via == "heard" and m.target in u.lexicon.names.faults:  # a fault is never taken by ear
        return {"sure": 0.0, "reason": "talk about the word"}
    if outcome["aside"] > max(outcome["found"], outcome["denied"]):
        return {"sure": 1 - outcome["aside"], "reason": _likeliest(answers(weights["reason"], features))}
    if outcome["denied"] > outcome["found"]:
        return {"sure": outcome["denied"], "present": False}
    doubt = answers(weights["doubt"], features)["yes"] > 0.5
    degree = _degree_by_mark(u, m) or _likeliest(answers(weights["degree"], features))
    return {"sure": outcome["found"], "hedged": doubt, "degree": None if degree == "unsaid" else degree}


def _quality(weights: Mapping[str, Any], m: Mention, features: Sequence[str]) -> Judged:
    levels = answers(weights["level"], features)
    unsaid = levels.pop("unsaid")
    level = _likeliest(levels)
    step = float(m.step) if m.step and level != "none" else STEP_OF_LEVEL[level]
    signs = _signs(weights["level"], {**levels, "unsaid": unsaid}, features)
    reason = "quality" if unsaid > 0.5 else None
    return Judged(m.start, m.end, m.target, 1 - unsaid, level=level, step=step, signs=signs, reason=reason)


def _likeliest(shares: Mapping[str, float]) -> str:
    return max(shares, key=lambda name: (shares[name], name))


def _signs(
    weights: Mapping[str, Mapping[str, float]], shares: Mapping[str, float], features: Sequence[str]
) -> tuple[str, ...]:
    """The features that spoke most for the answer, strongest first."""
    mine = weights[_likeliest(shares)]
    spoke = [(-abs(by), f, by) for f in features if (by := mine.get(f, 0.0)) and abs(by) > 0.05 and f != "always"]
    return tuple(f"{'+' if by > 0 else '-'} {f}" for _, f, by in sorted(spoke)[:3])


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


def _beside(around: Sequence[Edge]) -> dict[str, Any]:
    """Place in the sip and moment said in the same clause."""
    made: dict[str, Any] = {}
    for edge in around:
        if edge.kind == "nose" and not edge.comma:
            made["nose"] = True
        if edge.kind in ("place", "moment") and not edge.comma and edge.far <= 1:
            made.setdefault(edge.kind, edge.value)
    return made


def _under(u: Utterance, topic: str) -> Iterator[Judged]:
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
        yield Judged(0, len(u.words), topic, 0.9, level=level[0], step=level[1])


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
