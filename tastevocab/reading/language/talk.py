"""Whose finding it is: self-correction inside a turn, assent, answers and questions between turns."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

from tastevocab.reading.language.levels import only_level
from tastevocab.reading.language.mention import Mention
from tastevocab.reading.language.utterance import Cue, Utterance
from tastevocab.vocabulary.words import roots


@dataclass(slots=True)
class Said:
    """What a turn left for the next speaker: its mentions, who spoke, whether it asked, how many turns ago,
    whether it went on to ask something else (an answer is then to that),
    and from which word on its last sentence with a finding runs."""

    mentions: list[Mention]
    speaker: str | None
    asked: bool
    age: int = 0
    other_question: bool = False
    last: int = 0


def correct(u: Utterance, mentions: list[Mention], said: Said | None = None) -> None:
    """ "peach, no, apricot": the first is withdrawn. "scrap the toast": withdrawn wherever it stood in the turn."""
    flavours = [m for m in mentions if not m.attribute]
    theirs = {m.target for m in said.mentions} if said else set()  # another's word is denied, not withdrawn
    swaps = u.of("correction.swap")
    for a, b in pairwise(flavours):
        if swaps or (a.present and not b.present):
            _corrected(u, swaps, a, b, theirs)
    for a, b in pairwise(flavours) if "?" in u.text else ():
        if a.target not in theirs and _asked_and_answered(u, a, b):
            a.reason = "withdrawn"
    for cue in u.of("correction.back"):
        _taken_back(flavours, cue)
    for cue in u.of("correction.drop"):
        _dropped(flavours, cue)


def _corrected(u: Utterance, swaps: list[Cue], a: Mention, b: Mention, theirs: set[str]) -> None:
    """The first of two words withdrawn, where the second takes its place."""
    if a.target == b.target and a.present and not b.present and not a.reason and b.start - a.end <= 6:
        a.reason = "withdrawn"  # "ash... no, not ash"
    live = not (a.reason or b.reason)
    if live and a.target not in theirs and not a.present and b.present and _hung_on(u, swaps, a, b):
        a.reason = "withdrawn"  # "orange, no, hang on, tangerine"
    if a.reason or b.reason or not b.present or not a.present or a.target == b.target:
        return
    for cue in swaps:
        if cue.start < a.end or cue.end > b.start or b.start - cue.end > 6 or not _right_after(u, a, cue):
            continue
        if _swaps(u, cue, a, b):
            a.reason = "withdrawn"
            a.widen(a.start, cue.end)
            return


def _asked_and_answered(u: Utterance, a: Mention, b: Mention) -> bool:
    """ "Is it melon? No. Star fruit.": asked and answered by the same mouth, with another word in its place."""
    gap = u.gaps[a.end]
    asked = "?" in gap and "??" not in gap and u.own[a.end : a.end + 1] == ["no"]
    apart = u.sentence[b.start] > u.sentence[a.start] and b.start - a.end <= 8
    return asked and apart and not a.present and a.reason is None and b.present and b.reason is None


def _dropped(flavours: list[Mention], cue: Cue) -> None:
    """ "Scrap the toast": the word that follows goes, and where it stood before in the turn."""
    for m in flavours:
        if m.start == cue.end and m.reason is None:
            m.reason = "withdrawn"
            m.widen(cue.start, m.end)
            for earlier in flavours:
                if earlier.start < m.start and earlier.target == m.target:
                    earlier.reason = "withdrawn"


def _hung_on(u: Utterance, swaps: list[Cue], a: Mention, b: Mention) -> bool:
    """Whether a "no" behind the first word is only the start of a correction that the second word ends."""
    between = [c for c in swaps if a.end <= c.start <= a.end + 3 and c.end <= b.start and b.start - a.end <= 6]
    return any(u.own[c.start] not in u.lexicon.sets["bare_no"] for c in between) and "?" not in u.gaps[a.end]


def _taken_back(flavours: list[Mention], cue: Cue) -> None:
    """ "Ginger? Nah, forget I said it.": the word right before goes, denied or not."""
    before = [m for m in flavours if m.end <= cue.start <= m.end + 10]
    if before and before[-1].reason is None:
        before[-1].reason = "withdrawn"
        before[-1].widen(before[-1].start, cue.end)


def _right_after(u: Utterance, a: Mention, cue: Cue) -> bool:
    """At most two words between, or only words that place the first ("toast at the back? no, sorry, malt")."""
    placed = u.covered("place", "filler", "hedge.after")
    return cue.start - a.end <= 2 or (cue.start - a.end <= 5 and all(i in placed for i in range(a.end, cue.start)))


def fold(u: Utterance, mentions: list[Mention]) -> list[Mention]:
    """Repeats in one turn are one finding: "lime. So much lime." keeps the strongest; a word narrowed in one
    breath ("strawberry. Like, strawberry jam") is the narrow one."""
    kept: list[Mention] = []
    for m in mentions:
        if kept and m.reason is None and not m.attribute:
            same = next((k for k in reversed(kept) if _same(k, m)), None)
            if same:
                _merge(same, m, u)
                continue
            before = next((k for k in reversed(kept) if not k.attribute), None)
            if before and _narrows(u, before, m):
                kept.remove(before)
                m.degree = m.degree or before.degree
                m.place = m.place or before.place
                m.widen(before.quote[0], m.end)
        kept.append(m)
    return kept


def _same(k: Mention, m: Mention) -> bool:
    """Whether two mentions of a turn are one finding: one word of one serving at one place."""
    if k.target != m.target:
        return False
    placed = k.place is None or m.place is None or k.place == m.place
    served = (k.moment, k.brew, k.speaker) == (m.moment, m.brew, m.speaker)
    word = (k.present, k.state) == (m.present, m.state)
    return k.reason is None and word and served and placed


def _merge(first: Mention, again: Mention, u: Utterance) -> None:
    order = u.lexicon.degree_order
    if again.degree and (first.degree is None or order.index(again.degree) > order.index(first.degree)):
        first.degree = again.degree
    if again.hedged and not first.hedged:
        first.hedged, first.certainty = True, again.certainty
    elif first.hedged and not again.hedged and _firm(u, again):
        first.hedged, first.certainty = False, again.certainty
    first.place = first.place or again.place
    if again.start - first.end <= 12:
        first.widen(first.start, again.quote[1])


def _firm(u: Utterance, again: Mention) -> bool:
    """ "Plum, maybe. Yes, definitely plum.": a repeat that is sure of itself."""
    near = [c for c in u.of("assent.yes", "degree.before", "degree.after") if c.end <= again.end + 3]
    return any(abs(c.end - again.start) <= 3 or abs(c.start - again.end) <= 1 for c in near)


def _roots(u: Utterance, start: int, end: int) -> set[str]:
    """The words of a mention and what they are adjectives of ("jammy": jam)."""
    found = set(u.own[start:end])
    for word in list(found):
        found.update(root for root, _ in roots(word))
    return found


def _narrows(u: Utterance, before: Mention, m: Mention) -> bool:
    """The later phrase holds all words of the earlier one and more, close by, both said to be there."""
    if before.reason or not (before.present and m.present) or m.start - before.end > 6:
        return False
    old, new = u.own[before.start : before.end], u.own[m.start : m.end]
    if len(new) == 1 and not u.has("narrow"):
        return False
    if (before.moment, before.brew) != (m.moment, m.brew):
        return False
    exactly = any(before.end <= c.start and c.end <= m.start and c.end - c.start > 1 for c in u.of("narrow"))
    if exactly and m.target.count("/") == 2 and before.target.count("/") < 2:
        return True  # "stone fruit, more exactly nectarine"
    longer = len(new) > len(old) and set(old) <= set(new)
    broad = before.target.startswith("reach/") and not m.target.startswith("reach/") and len(old) == 1
    broad = broad and not u.isolated  # in a typed list "nutty, macadamia nut" are two entries
    return longer or (broad and bool(_roots(u, before.start, before.end) & set(new)) and len(new) > 1)


def _swaps(u: Utterance, cue: Cue, a: Mention, b: Mention) -> bool:
    """A bare "no" needs marks around it, and nothing but small words before the new word."""
    word = u.own[cue.start]
    if "?" in u.gaps[cue.start] and cue.end - cue.start == 1 and u.stops(cue.end):
        return False  # "Strawberry? No. Citrus": asked and answered
    single = cue.end - cue.start == 1
    if single and word in u.lexicon.sets["bare_swaps"]:
        return u.gaps[cue.start].strip() != "" and (u.gaps[cue.end].strip() != "" or word != "no")
    return True


def echo(
    u: Utterance, said: Said | None, speaker: str | None, mentions: list[Mention], *, named: bool = False
) -> list[Mention]:
    """The findings a turn takes over from the one before by assent ("same", "me neither") or by denying it.

    Weak assent ("yeah") counts only when it is all that is said, and then only as the answer it is.
    """
    if (
        said is None
        or not said.mentions
        or said.other_question
        or said.age > 2
        or (speaker is not None and speaker == said.speaker)
    ):
        return []
    busy = {u.sentence[m.start] for m in mentions if m.reason is None}
    opens = any(_opens(u, c) for c in u.of("assent.yes"))
    if busy and (u.isolated or (len(busy) == u.sentence[-1] + 1 and not opens)):
        return []
    yes, no = (
        _assent(u, busy, "assent.yes", "assent.no", asked=said.asked),
        _assent(u, busy, "assent.deny", "negation.after", asked=said.asked),
    )
    targets = _last_breath(said, whole=bool(u.lexicon.sets["both"] & set(u.own)))
    single = no is not None and no.end - no.start == 1
    if busy and single and not said.asked and not any(not m.present for m in targets):
        no = None
    own = {m.target for m in mentions if m.reason is None}
    if named and own & {m.target for m in targets}:
        return []
    if only_level(u):
        targets = [m for m in targets if not m.attribute]
    targets = [m for m in targets if m.target not in own]
    if yes in u.of("assent.no") and not any(not m.present for m in targets):
        yes, no = None, yes  # "Neither.": what was named is not there
    elif yes in u.of("assent.no"):
        targets = [m for m in targets if not m.present]
    if yes and not (no and no.end - no.start > yes.end - yes.start):
        standing = "led" if said.asked else "echo"
        return [_copy(m, yes, m.present, standing, degree=_degree(u, yes, mentions)) for m in targets]
    if no and any(not m.present for m in targets):
        return [_copy(m, no, False, "echo") for m in targets if not m.present]
    if no and said.age <= 1:
        return [_copy(m, no, False, "own") for m in targets if m.present]
    return []


def _assent(u: Utterance, busy: set[int], *kinds: str, asked: bool = False) -> Cue | None:
    for cue in sorted(u.of(*kinds), key=lambda c: (c.start, -c.end)):
        if "?" in u.gaps[cue.end] and cue.end - cue.start == 1:
            continue  # "yeah?" asks
        if u.sentence[cue.start] in busy and not _opens(u, cue, denies="negation.after" in kinds):
            continue
        phrase = " ".join(u.own[cue.start : cue.end])
        first, last = u.sentence_range(cue.start)
        if phrase in u.lexicon.sets["turn_openers"] and last < len(u.words):
            continue  # "Right. First sip."
        alone = _only_small(u, cue)
        weak_denial = "assent.deny" in kinds and cue.end - cue.start == 1 and phrase not in u.lexicon.sets["faded"]
        if phrase in u.lexicon.sets["weak_assent"] or weak_denial:
            short = len(u.words) <= 6 and _only_small(u, cue, first, last)
            hearty = phrase in u.lexicon.sets["hearty_assent"] and first == 0 and _only_small(u, cue, first, last)
            if hearty and "assent.deny" not in kinds and last < len(u.words):
                return cue
            if (asked and _only_small(u, cue, first, last)) or (short and not busy):
                return cue
            if alone and (not busy or "assent.deny" in kinds):
                return cue
        elif alone or (last - first <= 7 and _only_small(u, cue, first, last)) or u.sentence[cue.start] in busy:
            return cue
    return None


def _opens(u: Utterance, cue: Cue, *, denies: bool = False) -> bool:
    """ "Agreed, and it's syrupy": a plain assent or a phrase of denial, then a comma and one's own finding."""
    if cue.start != u.sentence_range(cue.start)[0] or "," not in u.gaps[cue.end]:
        return False
    if denies:
        return cue.end - cue.start >= 2
    return " ".join(u.own[cue.start : cue.end]) in u.lexicon.sets["opening_assent"]


def _only_small(u: Utterance, cue: Cue, first: int = 0, last: int | None = None) -> bool:
    """Whether everything beside the cue is assent, filler or a small word."""
    last = len(u.words) if last is None else last
    small = [
        c
        for kind in ("assent.yes", "assent.no", "assent.deny", "filler", "hedge.after", "degree.after")
        for c in u.of(kind)
    ]
    for i in range(first, last):
        if cue.start <= i < cue.end or any(c.start <= i < c.end for c in small):
            continue
        if u.own[i] not in u.lexicon.sets["assent_fillers"] and not u.words[i][0].isupper():
            return False
    return True


def _last_breath(said: Said, *, whole: bool) -> list[Mention]:
    """The findings of the last sentence that had any; of the whole turn where "both" or "all" is said."""
    return [m for m in said.mentions if m.reason is None and (whole or m.start >= said.last)]


def _degree(u: Utterance, cue: Cue, mentions: list[Mention]) -> str | None:
    """ "Same, a lot.", "massive, yes": the degree an assent adds, if no finding of its own follows."""
    first, last = u.sentence_range(cue.start)
    if any(cue.end <= m.start < last for m in mentions):
        return None
    opening = first if _only_small(u, cue, first, cue.end) else cue.end
    found = [c for c in u.of("degree.after") if opening <= c.start < last]
    return max(found, key=lambda c: c.end - c.start).value if found else None


def _copy(m: Mention, cue: Cue, present: bool, standing: str, degree: str | None = None) -> Mention:
    made = replace(m, start=cue.start, end=cue.end, present=present, standing=standing, echo=True, reason=None)
    made.first, made.last = -1, -1
    made.degree = degree
    made.hedged, made.certainty, made.via, made.match = False, 1.0, "word", 1.0
    if m.attribute and not present:
        made.level, made.step = "none", 1.0
    return made


def asks(u: Utterance) -> bool:
    """Whether the turn asks the table for a flavour ("do you get the jasmine?")."""
    return bool(u.of("question")) and "?" in u.text
