"""How sure a mention is: hedges before and after, question marks, alternatives."""

from __future__ import annotations

from itertools import pairwise

from tastevocab.reading.language.mention import Mention
from tastevocab.reading.language.utterance import Cue, Utterance


def doubt(u: Utterance, mentions: list[Mention]) -> None:
    """Set `hedged` and `certainty` (0.5 leaning, 0.25 guess) from hedges before, after and question marks."""
    if (
        not u.has("hedge.before", "hedge.after")
        and "?" not in u.text
        and "or" not in u.own
        and "ish" not in [m.mark for m in mentions]
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
        if ("," in gap or "(" in gap) and not _started_again(u, cue.end, i):
            return False
    crossed = [o for o in mentions if cue.end <= o.start < m.start and o.attribute == m.attribute]
    if crossed:
        between = u.own[crossed[-1].end : m.start]
        return bool(between) and between[0] in ("or",) and len(between) <= 3
    return not any(u.own[i] in u.lexicon.sets["turns_off"] for i in range(cue.end, m.start))


def _started_again(u: Utterance, start: int, end: int) -> bool:
    """ "Almost a, um, a balsamic thing": nothing but fillers and articles between."""
    return all(u.is_filler(i) or u.own[i] in u.lexicon.sets["some"] for i in range(start, end))


def _doubted_after(u: Utterance, cue: Cue, m: Mention, mentions: list[Mention]) -> bool:
    if cue.start < m.end or cue.start - m.end > 6 or any(m.end <= o.start < cue.start for o in mentions):
        return False
    if u.sentence[cue.start] != u.sentence[m.start]:
        return False
    placed = u.covered("place", "degree.after")
    if any(
        u.own[i] not in u.lexicon.sets["articles"]
        and u.own[i] not in u.lexicon.sets["links"]
        and u.own[i] not in u.lexicon.sets["thing_words"]
        and i not in placed
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
    for a, b in pairwise(mentions):
        if a.attribute or b.attribute or not (a.present and b.present):
            continue
        between = u.own[a.end : b.start]
        if between and between[0] == "or" and len(between) <= 4 and u.sentence[a.start] == u.sentence[b.start]:
            for m in (a, b):
                if not m.hedged:
                    m.hedged, m.certainty = True, 0.5
