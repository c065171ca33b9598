"""How strong a mention is: degree words before and after, marks on sheets, and the level an attribute gets by them.

Degrees lie on the Labelled Magnitude Scale (Green, Shaffer and Gilmore 1993, Chemical Senses 18:683-702).
"""

from __future__ import annotations

import re
from itertools import pairwise

from tastevocab.reading.language.marks import LEVEL_OF_DEGREE, SCORE, STEP_OF_LEVEL, may_score, score_level
from tastevocab.reading.language.mention import Mention
from tastevocab.reading.language.utterance import Cue, Utterance

_MARKED = re.compile(r"[+!]|\d")


def weigh(u: Utterance, mentions: list[Mention]) -> None:
    """Set `degree` of flavours, and the level of attributes, from the degree words and marks beside them."""
    if (
        not u.has("degree.before", "degree.after")
        and not (u.has("level") and any(m.attribute for m in mentions))
        and not _MARKED.search(u.text)
        and not any(m.little or m.mark == "forward" or (m.attribute and not m.present) for m in mentions)
    ):
        return
    before = u.of("degree.before")
    whole = [c for c in before if _alone(u, c)]  # "rosemary. Tiny bit."
    after = sorted({*u.of("degree.after"), *whole}, key=lambda c: (c.start, -(c.end - c.start)))
    for index, m in enumerate(mentions):
        degree = (
            _scored(u, m)
            or _mark_after(u, m)
            or _degree_after(u, after, m, mentions)
            or _degree_before(u, before, m, mentions)
        )
        if degree is None and m.mark == "forward":
            degree = "strong"
        if degree is None and index:
            degree = _shared(u, mentions[index - 1], m)
        if degree is None and m.attribute and not m.explicit:
            degree = _level_before(u, m)
        if m.little and degree != "barely":
            degree = "weak"
        m.degree = degree
    _share_back(u, mentions)
    for m in mentions:
        if m.attribute:
            _apply(u, m)


def _share_back(u: Utterance, mentions: list[Mention]) -> None:
    """ "bread or yeast hints": a degree after the last of two joined words is both's."""
    for before, m in pairwise(mentions):
        if m.degree is None or before.degree is not None:
            continue
        between = u.own[before.end : m.start]
        joined = (
            between in (["and"], ["or"]) or (not between and u.gaps[m.start].strip() in ("/", "&"))
        ) and "," not in u.gaps[before.end]
        if joined and m.quote[1] > m.end and not before.attribute:
            before.degree = m.degree


def _denied_level(u: Utterance, m: Mention) -> None:
    """ "The bitterness isn't strong" is little of it; "not balanced" is a low one, not none."""
    if m.explicit and m.level == "high":
        m.present, m.level, m.step = True, "low", 2.0
    elif u.lexicon.attribute_denied[m.target] != "none":
        m.present, m.level, m.step = True, u.lexicon.attribute_denied[m.target], 2.0


def _degree_before(u: Utterance, cues: list[Cue], m: Mention, mentions: list[Mention]) -> str | None:
    """The degree word that stands before the mention with only small words between."""
    first = u.sentence_range(m.start)[0]
    best: Cue | None = None
    for cue in cues:
        if cue.start < first or cue.end > m.start or m.start - cue.end > 4:
            continue
        if "," in u.gaps[cue.end] and u.is_filler(cue.start):
            continue  # "so, milk chocolate"
        if any(o is not m and o.start < m.start and o.end > cue.end for o in mentions):
            continue
        if any(
            o is not m and o.start <= cue.start and o.end >= cue.end and not _light_before(u, o, m) for o in mentions
        ):
            continue
        if any(u.parts(i) for i in range(cue.end, m.start + 1)):
            continue
        if not _bridges(u, cue.end, m.start):
            continue
        if best is None or (cue.end, cue.end - cue.start) > (best.end, best.end - best.start):
            best = cue
    if best is None:
        return None
    wider = [
        c
        for c in cues
        if first <= c.start < best.start <= c.end < best.end + 1
        and c.end - c.start >= best.end - best.start
        and c is not best
    ]
    if wider:
        best = max(wider, key=lambda c: c.end - c.start)
    m.widen(best.start, m.end)
    return _stepped(u, best, cues)


def _level_before(u: Utterance, m: Mention) -> str | None:
    """A level word right before an attribute's word: "less sour", "almost sweet"."""
    for cue in u.of("level"):
        if m.step >= 5 and u.own[cue.start : cue.end] == ["almost"]:
            continue  # "almost syrupy" is still heavy
        if cue.value in ("low", "medium") and cue.end == m.start and not u.is_break(m.start):
            m.widen(cue.start, m.end)
            return "weak" if cue.value == "low" else "moderate"
    return None


def _light_before(u: Utterance, o: Mention, m: Mention) -> bool:
    return o.attribute and o.end == m.start


def _bridges(u: Utterance, start: int, end: int) -> bool:
    """Small words, other degrees, states and kinds may stand between a degree and what it measures."""
    words = u.own[start:end]
    if not words:
        return True
    kinds = u.lexicon.names.states
    degree_words = u.covered("degree.before", "filler")
    loose = 0
    for offset, word in enumerate(words):
        i = start + offset
        if word in u.lexicon.sets["articles"] or i in degree_words or word in u.lexicon.sets["degree_bridges"]:
            continue
        if kinds.kinds.exact((word,)) or kinds.book.exact((word,)):
            continue
        loose += 1
        if loose > 1 or word in u.lexicon.sets["degree_stops"]:
            return False
    return True


def _stepped(u: Utterance, cue: Cue, cues: list[Cue]) -> str:
    """Doubling a degree word ("loads and loads", "very very") moves it one step out."""
    words = [w for w in u.own[cue.start : cue.end] if w != "of"]
    previous = u.own[max(0, cue.start - len(words) - 1) : cue.start]
    if words and (previous[-len(words) :] == words or (previous and previous[-1] == "and" and previous[:-1] == words)):
        return u.lexicon.doubled.get(cue.value, cue.value)
    other = next((c for c in cues if c.end == cue.start and c.value != cue.value), None)
    if other and cue.value == "weak" and other.value == "strong" and u.own[other.start] in u.lexicon.sets["boosters"]:
        return "barely" if u.own[cue.start] in u.lexicon.sets["faint_words"] else "weak"
    if other and cue.value == "strong" and other.value in ("strong", "very strong"):
        sets = u.lexicon.sets
        very = u.own[other.start] in sets["strong_boosters"] and u.own[cue.start] in sets["strong_words"]
        return "very strong" if very else "strong"
    return cue.value


def _degree_after(u: Utterance, cues: list[Cue], m: Mention, mentions: list[Mention]) -> str | None:
    """A degree word after the mention that closes its phrase: "strawberry, yeah, massive", "date syrup, lots of it"."""
    for cue in cues:
        if cue.start < m.end or cue.start - m.end > 4:
            continue
        if u.sentence[cue.start] != u.sentence[m.start] and not _own_sentence(u, cue, m):
            continue
        if any(o is not m and m.end <= o.start <= cue.start for o in mentions):
            continue
        middle = list(range(m.end, cue.start))
        if u.sentence[cue.start] != u.sentence[m.start] and len(middle) <= 3:
            middle = []
        fillers = u.of("filler", "assent.yes", "place")
        if not all(
            u.own[i] in u.lexicon.sets["articles"]
            or u.own[i] in u.lexicon.sets["links"]
            or any(f.start <= i < f.end for f in fillers)
            for i in middle
        ):
            continue
        if not _closed(u, cue):
            continue
        if (
            cue.end - cue.start == 1
            and any("," in u.gaps[i] for i in range(m.end, cue.start + 1))
            and (u.own[cue.start] not in (u.lexicon.set_off_notes if u.isolated else u.lexicon.set_off))
        ):
            continue  # "citrus, light": a word of its own
        m.widen(m.start, cue.end)
        return _stepped(u, cue, cues)
    return None


def _own_sentence(u: Utterance, cue: Cue, m: Mention) -> bool:
    """ "Black pepper. Lots.", "green pepper, at the end. A touch.": the next sentence is the degree and no more."""
    last = u.sentence_range(cue.start)[1]
    first = u.sentence_range(m.start)[1]
    if u.sentence[cue.start] > u.sentence[m.start] + 2 or cue.start - first > 2:
        return False
    beside = u.covered("assent.yes", "place")
    return all(
        i in beside or u.own[i] in u.lexicon.sets["degree_only"] or u.is_filler(i)
        for i in [*range(first, cue.start), *range(cue.end, last)]
    )


def _alone(u: Utterance, cue: Cue) -> bool:
    first, last = u.sentence_range(cue.start)
    return cue.end == last and all(u.own[i] in u.lexicon.sets["degree_only"] for i in range(first, cue.start))


def _closed(u: Utterance, cue: Cue) -> bool:
    """Whether a phrase ends at this cue: nothing it could belong to follows."""
    if cue.end >= len(u.words):
        return True
    gap = u.gaps[cue.end]
    if gap.strip() and gap.strip() not in ("-", "'"):
        return True
    return u.own[cue.end] in u.lexicon.sets["closes_degree"]


def _scored(u: Utterance, m: Mention) -> str | None:
    """ "Plum 4/5": a mark out of five right after a flavour is its degree."""
    if not may_score(u.text) or m.attribute or m.end >= len(u.words) or u.sentence[m.end] != u.sentence[m.start]:
        return None
    match = SCORE.match(u.text, u.starts[m.end])
    level = score_level(match) if match else None
    if level is None or "," in u.gaps[m.end]:
        return None
    return u.lexicon.degree_order[min(4, max(0, round(level[1]) - 1))]


def _mark_after(u: Utterance, m: Mention) -> str | None:
    """Sheet marks right after a word: ++, !!, (+)."""
    gap = u.gaps[m.end].strip()
    if not gap or gap[0] not in u.lexicon.mark_starts:
        return None
    for mark in u.lexicon.marks_longest:
        if gap.startswith(mark) and (set(mark) != {"!"} or len(mark) > 1) and mark not in ("-", "+"):
            return u.lexicon.marks[mark]
    if (
        gap.startswith("+")
        and (len(gap) == 1 or gap[1] in ",.;|)")
        and u.gaps[m.end].startswith(("+", " +"))
        and not u.gaps[m.end].endswith("+ ")
    ):
        return u.lexicon.marks.get("+")
    return None


def _shared(u: Utterance, before: Mention, m: Mention) -> str | None:
    """ "subtle chocolate and blackberry notes", "very funky/floral": joined without a comma, the degree is shared."""
    if before.degree is None or before.attribute != m.attribute or u.sentence[before.start] != u.sentence[m.start]:
        return None
    between = u.own[before.end : m.start]
    joined = between in (["and"], ["or"]) or (not between and u.gaps[m.start].strip() in ("/", "&", "+", "-"))
    if joined and "," not in u.gaps[before.end] and before.quote[0] < before.start:
        return before.degree
    return None


def _apply(u: Utterance, m: Mention) -> None:
    """An attribute's level from denial and degree; poles on the low side ("thin", "short") stay low."""
    if not m.present:
        _denied_level(u, m)
        return
    if m.degree is None or m.explicit:
        return
    level = LEVEL_OF_DEGREE[m.degree]
    if m.level in ("high",) and m.step >= 3:
        m.level, m.step = level, STEP_OF_LEVEL[level] + (1 if m.degree == "very strong" else 0)
    elif m.level in ("low", "none") and m.little:
        m.level, m.step = "medium", 3.0
