"""What is said of a mention in its own sentence: denied, doubted, how strong.

The kinds of trigger (before, after, pseudo, ending) follow NegEx (Chapman et al. 2001, J. Biomed. Inform. 34:301-310).
"""

from __future__ import annotations

import re

from tastevocab.reading.lexicon import Lexicon
from tastevocab.reading.mention import Mention
from tastevocab.reading.qualities import LEVEL_OF_DEGREE, STEP_OF_LEVEL
from tastevocab.reading.utterance import Cue, Utterance

# How many words a denial or doubt reaches without a mark between (house value; longer reaches catch other clauses).
REACH = 7
_MARKED = re.compile(r"[+!]")


def deny(u: Utterance, mentions: list[Mention]) -> None:
    """Set `present` false where a denial covers a mention, `little` where only its amount is denied."""
    if not u.has("negation.before", "negation.after", "negation.little") and "✗" not in u.text and "✘" not in u.text:
        return
    pseudo = u.of("negation.pseudo")
    little = u.of("negation.little")
    before = [c for c in u.of("negation.before") if not _covered(c, pseudo) and not _starts(c, little)]
    for m in mentions:
        hits = [c for c in before if _reaches(u, c, m, mentions)]
        small = [c for c in little if not _covered(c, pseudo) and _reaches(u, c, m, mentions)]
        if len(hits) >= 2 and _apart(hits) and not _repeated(u, hits):
            m.little, m.hedged = True, True  # "I wouldn't say there's no spice": a weak presence, to be asked
            m.widen(hits[0].start, hits[-1].end)
        elif hits:
            m.present = False
            m.widen(hits[-1].start, hits[-1].end)
        elif small:
            m.little = True
            m.widen(small[-1].start, small[-1].end)
        else:
            after = _denied_after(u, m, mentions, pseudo)
            if any(mark in u.gaps[m.end] for mark in "✗✘❌"):
                m.present = False
            elif after:
                m.present = False
                m.widen(after.start, after.end)
    _carry(u, mentions)


def says_absent(heading: str, lexicon: Lexicon) -> bool:
    """Whether a column's heading says that what stands in it was not found ("looked for, absent")."""
    u = Utterance(heading, lexicon)
    return any(
        c.end == len(u.words) and u.own[c.start] not in u.lexicon.sets["bare_no"] for c in u.of("negation.after")
    ) or (bool(u.words) and u.own[0] in u.lexicon.sets["opens_absent"])


def _covered(cue: Cue, others: list[Cue]) -> bool:
    return any(o.start <= cue.start and o.end >= cue.end for o in others)


def _starts(cue: Cue, others: list[Cue]) -> bool:
    """A longer phrase of another kind at the same place wins ("not very" over "not")."""
    return any(o.start <= cue.start < o.end and o.end > cue.end for o in others)


def _apart(hits: list[Cue]) -> bool:
    return hits[0].end <= hits[-1].start and hits[-1].start - hits[0].start <= 4


def _repeated(u: Utterance, hits: list[Cue]) -> bool:
    """ "No, no vinegar", "not lemon, not lime": the same small word again is no double denial."""
    words = {u.own[h.start] for h in hits}
    return bool(words <= u.lexicon.sets["plain_denials"]) or any(
        "," in u.gaps[i] or "." in u.gaps[i] for i in range(hits[0].end, hits[-1].start + 1)
    )


def _reaches(u: Utterance, cue: Cue, m: Mention, mentions: list[Mention]) -> bool:
    if cue.end > m.start or u.sentence[cue.start] != u.sentence[m.start]:
        return False
    if m.start - cue.end > REACH:
        return False
    for i in range(cue.end, m.start + 1):
        gap = u.gaps[i]
        if gap not in (" ", "-") and i > cue.end and _closes(u, gap, cue, i, m, mentions):
            return False
        if i == cue.end and ("," in gap or ":" in gap or "?" in gap) and not _only_fillers(u, cue.end, m.start):
            return False
        if i == cue.end and "," in gap and u.own[cue.start] == "no" and cue.end - cue.start == 1:
            return False  # "no, floral": an answer, then a finding
    ends = [c for c in u.of("negation.end") if cue.end <= c.start and c.end <= m.start]
    ends = [c for c in ends if not (c.start == cue.end and u.own[c.start] in u.lexicon.sets["never_ends"])]
    if any(not _inside_mention(c, mentions) for c in ends):
        return False
    return not _and_closes(u, cue, m, mentions)


def _inside_mention(cue: Cue, mentions: list[Mention]) -> bool:
    return any(m.start <= cue.start < m.end for m in mentions)


def _only_fillers(u: Utterance, start: int, end: int) -> bool:
    fillers = u.of("filler")
    return all(
        any(f.start <= i < f.end for f in fillers) or u.own[i] in u.lexicon.sets["plain_no"] for i in range(start, end)
    )


def _closes(u: Utterance, gap: str, cue: Cue, i: int, m: Mention, mentions: list[Mention]) -> bool:
    """A comma ends a denial unless the list goes on with or/nor, or only fillers stand around it."""
    if "(" in gap or ")" in gap or ":" in gap:
        return True
    if "/" in gap:
        return False
    if "," not in gap:
        return False
    if not any(cue.end <= o.start < i for o in mentions):
        return not _only_fillers(u, cue.end, i)
    return not _joined_list(u, i, m.start)


def _joined_list(u: Utterance, start: int, target: int) -> bool:
    """Whether "or"/"nor" joins the list at or after word `start` within its sentence."""
    stop = u.sentence_range(target)[1]
    for c in u.of("negation.join"):
        if start <= c.start < stop and u.own[c.start] in u.lexicon.sets["alternatives"] and c.start - start <= 8:
            between = [x for x in u.of("negation.end") if start <= x.start < c.start]
            return not between
    return False


def _and_closes(u: Utterance, cue: Cue, m: Mention, mentions: list[Mention]) -> bool:
    """ "not sour and fruity" denies the first only; "without sugar and milk" both."""
    ands = [i for i in range(cue.end, m.start) if u.own[i] in u.lexicon.sets["additions"]]
    if not ands or not any(cue.end <= o.start and o.end <= ands[-1] for o in mentions):
        return False
    if u.own[cue.start] in u.lexicon.sets["list_denials"]:
        return not all(u.own[i] in u.lexicon.sets["articles"] for i in range(ands[-1] + 1, m.start))
    return True


def _denied_after(u: Utterance, m: Mention, mentions: list[Mention], pseudo: list[Cue]) -> Cue | None:
    """A denial that stands after the mention: "rose isn't there", "savoury no", "strawberry?? no."."""
    limit = u.sentence_range(m.start)[1]
    for cue in u.of("negation.after"):
        if cue.start < m.end or cue.start - m.end > 4:
            continue
        if _covered(cue, pseudo):
            continue
        same = cue.end <= limit
        if not same and not _question_then(u, m, cue):
            continue
        if any(m.end <= o.start < cue.start for o in mentions):
            continue
        single = cue.end - cue.start == 1
        if single and u.own[cue.start] in u.lexicon.sets["bare_no"]:
            if not _ends_here(u, cue) or (u.gaps[cue.start] not in (" ", "") and not _sets_off(u, cue, m)):
                continue
            return cue
        if all(
            u.own[i] in u.lexicon.sets["articles"]
            or any(f.start <= i < f.end for f in u.of("filler"))
            or u.own[i] in u.lexicon.sets["links"]
            for i in range(m.end, cue.start)
        ):
            if _goes_on(u, cue, mentions):
                continue
            return cue
    return None


def _sets_off(u: Utterance, cue: Cue, m: Mention) -> bool:
    """ "strawberry?? no", "savoury: no", "mango - no" deny; "Jasmine, no." as a whole also does."""
    return True


def _question_then(u: Utterance, m: Mention, cue: Cue) -> bool:
    """ "Strawberry?? No.": the answer in the next sentence of the same turn."""
    return "?" in u.gaps[m.end] and cue.start == m.end and (_ends_here(u, cue) or cue.end - cue.start >= 2)


def _ends_here(u: Utterance, cue: Cue) -> bool:
    if cue.end < len(u.words) and "," in u.gaps[cue.end] and "," in u.gaps[cue.start]:
        last = u.sentence_range(cue.start)[1]
        return not any(
            cue.end <= p.start < min(last, cue.end + 6) for p in u.pieces
        )  # "blackcurrant, no, I don't find it"
    if cue.end < len(u.words) and "," in u.gaps[cue.end] and u.gaps[cue.start] == " ":
        return True  # "maple syrup no, molasses"
    return cue.end >= len(u.words) or u.stops(cue.end) or ")" in u.gaps[cue.end] or ";" in u.gaps[cue.end]


def _goes_on(u: Utterance, cue: Cue, mentions: list[Mention]) -> bool:
    """ "chocolate, not really caramel": the phrase denies what follows it, not what it follows."""
    if cue.end >= len(u.words) or u.stops(cue.end) or u.gaps[cue.end].strip() in (",", ")", ";", ":"):
        return False
    return any(cue.end <= m.start <= cue.end + 3 and u.sentence[m.start] == u.sentence[cue.start] for m in mentions)


def _carry(u: Utterance, mentions: list[Mention]) -> None:
    """ "no ash or smoke", "neither rose nor violet": or/nor carries a denial to the next of the list."""
    for before, m in zip(mentions, mentions[1:], strict=False):
        if before.present or not m.present or u.sentence[before.start] != u.sentence[m.start]:
            continue
        between = u.own[before.end : m.start]
        if (
            between
            and between[0] in u.lexicon.sets["alternatives"]
            and len(between) <= 4
            and "," not in u.gaps[before.end]
        ):
            m.present = False
            m.widen(before.end, m.start)


def doubt(u: Utterance, mentions: list[Mention]) -> None:
    """Set `hedged` and `certainty` (0.5 leaning, 0.25 guess) from hedges before, after and question marks."""
    if (
        not u.has("hedge.before", "hedge.after")
        and "?" not in u.text
        and "or" not in u.own
        and not any(m.mark == "ish" for m in mentions)
    ):
        return
    before, after = u.of("hedge.before"), u.of("hedge.after")
    guesses = u.of("hedge.guess")
    for m in mentions:
        hit = next((c for c in before if _doubts(u, c, m, mentions)), None) or next(
            (c for c in after if _doubted_after(u, c, m, mentions)), None
        )
        if hit:
            m.hedged = True
            m.widen(min(hit.start, m.start), max(hit.end, m.end))
        if _questioned(u, m, mentions) or m.mark == "ish":
            m.hedged = True
        if m.hedged:
            m.certainty = 0.25 if "??" in u.gaps[m.end] or any(abs(g.start - m.start) <= 6 for g in guesses) else 0.5
    _alternatives(u, mentions)


def _doubts(u: Utterance, cue: Cue, m: Mention, mentions: list[Mention]) -> bool:
    if cue.end > m.start or u.sentence[cue.start] != u.sentence[m.start] or m.start - cue.end > 5:
        return False
    for i in range(cue.end, m.start + 1):
        gap = u.gaps[i]
        if ("," in gap or "(" in gap) and not _only_fillers(u, cue.end, i):
            return False
    crossed = [o for o in mentions if cue.end <= o.start < m.start and o.attribute == m.attribute]
    if crossed:
        between = u.own[crossed[-1].end : m.start]
        return bool(between) and between[0] in ("or",) and len(between) <= 3
    return not any(u.own[i] in u.lexicon.sets["turns_off"] for i in range(cue.end, m.start))


def _doubted_after(u: Utterance, cue: Cue, m: Mention, mentions: list[Mention]) -> bool:
    if cue.start < m.end or cue.start - m.end > 6 or any(m.end <= o.start < cue.start for o in mentions):
        return False
    if u.sentence[cue.start] != u.sentence[m.start]:
        return False
    placed = {i for c in u.of("place", "degree.after") for i in range(c.start, c.end)}
    if any(
        u.own[i] not in u.lexicon.sets["articles"] and u.own[i] not in u.lexicon.sets["links"] and i not in placed
        for i in range(m.end, cue.start)
    ):
        return False
    follows = (
        cue.end < len(u.words) and u.sentence[cue.end] == u.sentence[cue.start] if cue.end < len(u.words) else False
    )
    if follows and u.gaps[cue.end].strip() == "":
        nxt = next((o for o in mentions if o.start >= cue.end), None)
        return nxt is None or nxt.start - cue.end > 3  # "chocolate, maybe caramel" doubts the caramel
    return True


def _questioned(u: Utterance, m: Mention, mentions: list[Mention]) -> bool:
    """A question mark right after it, or at the end of a short list it stands in."""
    end = u.sentence_range(m.start)[1]
    if "?" in u.gaps[m.end]:
        return True
    if "?" not in u.gaps[end]:
        return False
    return end - m.end <= 6 and not any(o.start >= m.end and o.start < end and "," in u.gaps[o.start] for o in mentions)


def _alternatives(u: Utterance, mentions: list[Mention]) -> None:
    """ "cherry or plum": both leaning."""
    for a, b in zip(mentions, mentions[1:], strict=False):
        if a.attribute or b.attribute or not (a.present and b.present):
            continue
        between = u.own[a.end : b.start]
        if between and between[0] == "or" and len(between) <= 4 and u.sentence[a.start] == u.sentence[b.start]:
            for m in (a, b):
                if not m.hedged:
                    m.hedged, m.certainty = True, 0.5


def weigh(u: Utterance, mentions: list[Mention]) -> None:
    """Set `degree` of flavours, and the level of attributes, from the degree words and marks beside them."""
    if (
        not u.has("degree.before", "degree.after", "level")
        and not _MARKED.search(u.text)
        and not any(m.little or m.mark == "forward" or (m.attribute and not m.present) for m in mentions)
    ):
        return
    before, after = u.of("degree.before"), u.of("degree.after")
    for index, m in enumerate(mentions):
        degree = _mark_after(u, m) or _degree_after(u, after, m, mentions) or _degree_before(u, before, m, mentions)
        if degree is None and m.mark == "forward":
            degree = "strong"
        if degree is None and index:
            degree = _shared(u, mentions[index - 1], m)
        if degree is None and m.attribute and not m.explicit:
            degree = _level_before(u, m)
        if m.little and degree is None or (m.little and m.attribute):
            degree = "weak"
        m.degree = degree
    _share_back(u, mentions)
    for m in mentions:
        if m.attribute:
            _apply(u, m)


def _share_back(u: Utterance, mentions: list[Mention]) -> None:
    """ "bread or yeast hints": a degree after the last of two joined words is both's."""
    for before, m in zip(mentions, mentions[1:], strict=False):
        between = u.own[before.end : m.start]
        joined = (
            between in (["and"], ["or"]) or (not between and u.gaps[m.start].strip() in ("/", "&"))
        ) and "," not in u.gaps[before.end]
        if joined and before.degree is None and m.degree and m.quote[1] > m.end and not before.attribute:
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
        if c.start < best.start <= c.end < best.end + 1 and c.end - c.start >= best.end - best.start and c is not best
    ]
    if wider:
        best = max(wider, key=lambda c: c.end - c.start)
    m.widen(best.start, m.end)
    return _stepped(u, best, cues)


def _level_before(u: Utterance, m: Mention) -> str | None:
    """A level word right before an attribute's word: "less sour", "almost sweet"."""
    for cue in u.of("level"):
        if cue.value in ("low", "medium") and cue.end == m.start and not u.is_break(m.start):
            m.widen(cue.start, m.end)
            return "weak" if cue.value == "low" else "moderate"
    return None


def _light_before(u: Utterance, o: Mention, m: Mention) -> bool:
    return o.attribute and o.end == m.start


def _bridges(u: Utterance, start: int, end: int) -> bool:
    """Small words, other degrees, states and kinds may stand between a degree and what it measures."""
    words = u.own[start:end]
    kinds = u.lexicon.names.states
    degree_words = {i for c in u.of("degree.before", "filler") for i in range(c.start, c.end)}
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
    words = u.own[cue.start : cue.end]
    previous = u.own[max(0, cue.start - len(words) - 1) : cue.start]
    if words and (previous[-len(words) :] == words or (previous and previous[-1] == "and" and previous[:-1] == words)):
        return u.lexicon.doubled.get(cue.value, cue.value)
    other = next((c for c in cues if c.end == cue.start and c.value != cue.value), None)
    if other and cue.value == "weak" and other.value == "strong" and u.own[other.start] in u.lexicon.sets["boosters"]:
        return "barely" if u.own[cue.start] in u.lexicon.sets["faint_words"] else "weak"
    if other and cue.value == "strong" and other.value in ("strong", "very strong"):
        return "very strong" if u.own[other.start] in u.lexicon.sets["strong_boosters"] and u.own[cue.start] in u.lexicon.sets["strong_words"] else "strong"  # fmt: skip
    return cue.value


def _degree_after(u: Utterance, cues: list[Cue], m: Mention, mentions: list[Mention]) -> str | None:
    """A degree word after the mention that closes its phrase: "strawberry, yeah, massive", "date syrup, lots of it"."""
    for cue in sorted(cues, key=lambda c: (c.start, -(c.end - c.start))):
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
            and (u.own[cue.start] not in u.lexicon.set_off or u.isolated)
        ):
            continue  # "citrus, light": a word of its own
        m.widen(m.start, cue.end)
        return _stepped(u, cue, cues)
    return None


def _own_sentence(u: Utterance, cue: Cue, m: Mention) -> bool:
    """ "Black pepper. Lots.", "green pepper, at the end. A touch.": the next sentence is the degree and no more."""
    first, last = u.sentence_range(cue.start)
    if u.sentence[cue.start] != u.sentence[m.start] + 1 or last - cue.end > 2 or cue.start - first > 2:
        return False
    return all(
        u.own[i] in u.lexicon.sets["degree_only"] or u.is_filler(i)
        for i in [*range(first, cue.start), *range(cue.end, last)]
    )


def _closed(u: Utterance, cue: Cue) -> bool:
    """Whether a phrase ends at this cue: nothing it could belong to follows."""
    if cue.end >= len(u.words):
        return True
    gap = u.gaps[cue.end]
    if gap.strip() and gap.strip() not in ("-", "'"):
        return True
    return u.own[cue.end] in u.lexicon.sets["closes_degree"]


def _mark_after(u: Utterance, m: Mention) -> str | None:
    """Sheet marks right after a word: ++, !!, (+)."""
    gap = u.gaps[m.end].strip()
    if not gap:
        return None
    for mark in sorted(u.lexicon.marks, key=len, reverse=True):
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
