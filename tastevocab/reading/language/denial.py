"""What is denied: "not lemon", "rose isn't there", "savoury no", and how far a denial reaches.

The kinds of trigger (before, after, pseudo, ending) follow NegEx (Chapman et al. 2001, J. Biomed. Inform. 34:301-310).
"""

from __future__ import annotations

import re
from itertools import pairwise

from tastevocab.reading.language.lexicon import Lexicon
from tastevocab.reading.language.mention import Mention
from tastevocab.reading.language.utterance import Cue, Utterance

# How many words a denial or doubt reaches without a mark between (house value; longer reaches catch other clauses).
REACH = 7
CROSSES = "✗✘❌"
_CROSSED = re.compile(f"[{CROSSES}]")


def deny(u: Utterance, mentions: list[Mention]) -> None:
    """Set `present` false where a denial covers a mention, `little` where only its amount is denied."""
    if not u.has("negation.before", "negation.after", "negation.little") and not _CROSSED.search(u.text):
        return
    pseudo = u.of("negation.pseudo")
    little = u.of("negation.little")
    before = [c for c in u.of("negation.before") if not _covered(c, pseudo) and not _starts(c, little)]
    for m in mentions:
        hits = [c for c in before if _reaches(u, c, m, mentions)]
        small = [c for c in little if not _covered(c, pseudo) and _reaches(u, c, m, mentions)]
        if len(hits) >= 2 and _apart(hits) and not _repeated(u, hits) and not _concord(u, hits):
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
            if any(mark in u.gaps[m.end] for mark in CROSSES):
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


def _concord(u: Utterance, hits: list[Cue]) -> bool:
    """ "I ain't getting no cola": the second denial right behind the verb only repeats the first."""
    behind = u.own[hits[-1].start] == "no" and hits[0].end == hits[-1].start
    return behind and u.own[hits[0].end - 1] in u.lexicon.sets["getting"]


def _reaches(u: Utterance, cue: Cue, m: Mention, mentions: list[Mention]) -> bool:
    if cue.end > m.start or u.sentence[cue.start] != u.sentence[m.start]:
        return False
    if m.start - cue.end > REACH:
        return False
    for i in range(cue.end, m.start + 1):
        gap = u.gaps[i]
        if gap not in (" ", "-") and i > cue.end and _closes(u, gap, cue, i, m, mentions):
            return False
        if i == cue.end and ("," in gap or ":" in gap or "?" in gap) and not only_fillers(u, cue.end, m.start):
            return False
        if i == cue.end and "," in gap and u.own[cue.start : cue.end] == ["no"] and not _and_no(u, cue, m):
            return False  # "no, floral": an answer, then a finding
    ends = [c for c in u.of("negation.end") if cue.end <= c.start and c.end <= m.start]
    ends = [c for c in ends if not (c.start == cue.end and u.own[c.start] in u.lexicon.sets["never_ends"])]
    if any(not _inside_mention(c, mentions) for c in ends):
        return False
    return not _and_closes(u, cue, m, mentions)


def _and_no(u: Utterance, cue: Cue, m: Mention) -> bool:
    """ "No vinegar, and no, um, varnish": the list goes on after a hesitation."""
    joined = cue.start > 0 and u.own[cue.start - 1] == "and"
    return joined and cue.end < m.start and only_fillers(u, cue.end, m.start)


def _inside_mention(cue: Cue, mentions: list[Mention]) -> bool:
    return any(m.start <= cue.start < m.end for m in mentions)


def only_fillers(u: Utterance, start: int, end: int) -> bool:
    """Whether nothing but fillers and a repeated denial stands at words [start, end)."""
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
        return not only_fillers(u, cue.end, i)
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
        if m.attribute and any(c.start == cue.end for c in u.of("level")):
            continue  # "the acidity's gone low"
        single = cue.end - cue.start == 1
        if single and u.gaps[cue.end].lstrip().startswith("?") and "," in u.gaps[cue.start]:
            continue  # "higher, no?": a tag
        if single and u.own[cue.start] in u.lexicon.sets["bare_no"]:
            if cue.start > m.end and u.own[cue.start - 1] in u.lexicon.sets["list_joins"]:
                continue  # "hazelnut, and no, nobody brought a snack", "salty, or no?"
            if not _ends_here(u, cue):
                continue
            return cue
        if all(
            u.own[i] in u.lexicon.sets["articles"]
            or (u.own[i] in u.lexicon.sets["additions"] and not single)
            or any(f.start <= i < f.end for f in u.of("filler"))
            or u.own[i] in u.lexicon.sets["links"]
            for i in range(m.end, cue.start)
        ):
            if _goes_on(u, cue, mentions):
                continue
            return cue
    return None


def _question_then(u: Utterance, m: Mention, cue: Cue) -> bool:
    """ "Strawberry?? No.": the answer in the next sentence of the same turn."""
    between = all(u.own[i] in u.lexicon.sets["bare_no"] or u.is_filler(i) for i in range(m.end, cue.start))
    return "?" in u.gaps[m.end] and between and (_ends_here(u, cue) or cue.end - cue.start >= 2)


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
    for before, m in pairwise(mentions):
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
