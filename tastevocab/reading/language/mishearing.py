"""Ordinary words that captions write for flavour words: taken only in the context their rule names."""

from __future__ import annotations

from tastevocab.reading.language.marks import STEP_OF_LEVEL
from tastevocab.reading.language.mention import Mention
from tastevocab.reading.language.utterance import Cue, Utterance


def heard(u: Utterance, flavours: list[Mention]) -> list[Mention]:
    """The mis-heard flavours of a turn: "pair" beside "ripe", "clothes" among spices, "great fruit" after "getting"."""
    found: list[Mention] = []
    if not u.has("heard"):
        return found
    for cue in sorted(u.of("heard"), key=lambda c: (c.start, -c.end)):
        rule = u.lexicon.heard[tuple(cue.value.split(" "))]
        target = str(rule["means"])
        if target.startswith("attribute/") or any(m.start < cue.end and cue.start < m.end for m in found):
            continue
        crossed = [m for m in flavours if m.start < cue.end and cue.start < m.end]
        if any(m.end - m.start >= cue.end - cue.start for m in crossed):
            continue
        if (
            _beside(u, cue, rule)
            or _explained(u, cue)
            or (rule.get("frame") and _framed(u, cue))
            or (rule.get("alone") and _alone(u, cue))
            or _near(u, cue, rule, [*flavours, *found])
        ):
            found.append(Mention(cue.start, cue.end, target, via="heard", match=0.8))
            for m in crossed:
                flavours.remove(m)
    return found


def heard_attributes(u: Utterance) -> list[Mention]:
    """The mis-heard qualities of a turn ("a stringent", "a city"), with the level said right beside, else high."""
    found: list[Mention] = []
    for cue in u.of("heard"):
        rule = u.lexicon.heard[tuple(cue.value.split(" "))]
        id = str(rule["means"]).removeprefix("attribute/")
        if id == rule["means"] or not (
            _beside(u, cue, rule) or (rule.get("frame") and _framed(u, cue)) or _last(u, cue)
        ):
            continue
        level = next((c for c in u.of("level") if c.end == cue.start or c.start == cue.end), None)
        value = level.value if level else u.lexicon.attribute_levels[id][3]
        made = Mention(cue.start, cue.end, id, attribute=True, level=value, step=STEP_OF_LEVEL[value], via="heard")
        if level:
            made.widen(level.start, level.end)
        found.append(made)
    return found


def _last(u: Utterance, cue: Cue) -> bool:
    """ "It's grassy, and it's, um, a stringent.": said of it, and nothing after."""
    before = u.before(cue.start)
    return cue.end == u.sentence_range(cue.start)[1] and before >= 0 and u.own[before] in ("it", "its", "is", "bit")


def _beside(u: Utterance, cue: Cue, rule: object) -> bool:
    words = rule["beside"]  # type: ignore[index]
    before = u.own[cue.start - 1] if cue.start else ""
    after = u.own[cue.end] if cue.end < len(u.own) else ""
    return before in words or after in words


def _framed(u: Utterance, cue: Cue) -> bool:
    """A tasting frame or a degree right before, and nothing that makes it an ordinary noun phrase after."""
    frames = u.of("frame", "degree.before", "hedge.before")
    last = u.before(cue.start)
    article = last >= 0 and u.own[last] in u.lexicon.sets["some"]
    ends = (last, last + 1) if article else (last + 1, last + 1)
    before = any(f.end in ends for f in frames)
    return before and (cue.end >= len(u.words) or u.is_break(cue.end) or u.own[cue.end] in u.lexicon.sets["noun_ends"])


def _alone(u: Utterance, cue: Cue) -> bool:
    first, last = u.clause_range(cue.start)
    said = u.covered("place", "moment", "filler", "hedge.before", "degree.before")
    return all(
        cue.start <= i < cue.end or i in said or u.own[i] in u.lexicon.sets["alone_with"] for i in range(first, last)
    )


def _explained(u: Utterance, cue: Cue) -> bool:
    """ "Pair, the fruit", "clothes, like the spice": the speaker says what is meant."""
    after = [u.own[i] for i in range(cue.end, min(cue.end + 5, len(u.own))) if not u.is_filler(i)]
    return "the" in after[:2] and any(w in u.lexicon.sets["explaining"] for w in after[1:4])


def _near(u: Utterance, cue: Cue, rule: object, flavours: list[Mention]) -> bool:
    near = rule["near"]  # type: ignore[index]
    first, last = u.sentence_range(cue.start)
    return (
        any(
            (m.target.startswith(tuple(near)) or u.lexicon.homes.get(m.target, "-").startswith(tuple(near)))
            and (first <= m.start < last or abs(m.start - cue.start) <= 8)
            for m in flavours
        )
        if near
        else False
    )
