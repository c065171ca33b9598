"""Flavour words that the words or the sentence beside them decide: carried over, joined, weighed or explained."""

from __future__ import annotations

from tastevocab.reading.language.mention import Mention
from tastevocab.reading.language.utterance import Utterance

# A word joined to one with these reasons by "and" is named in the same breath.
_LISTED = ("claim", "process", "recipe", "advice", "wish")


def decided_beside(u: Utterance, m: Mention, mentions: list[Mention]) -> str | None:
    """The reason why a mention is no finding, as far as its neighbours in the turn give one."""
    return (
        _carried(u, m, mentions)
        or _trailed(u, m, mentions)
        or _joined(u, m, mentions)
        or _weighed(u, m, mentions)
        or _describes(u, m, mentions)
        or _steered(u, m, mentions)
        or _outweighed(u, m, mentions)
    )


def _carried(u: Utterance, m: Mention, mentions: list[Mention]) -> str | None:
    """What the sentence before was about: "I had the washed one in spring. All lemon." """
    first, _ = u.sentence_range(m.start)
    if first == 0 or u.isolated:
        return None
    before, end = u.sentence_range(first - 1)
    opening = " ".join(u.own[first : first + 2])
    if u.own[first] in u.lexicon.sets["fragment_starts"] or opening in u.lexicon.sets["carried_subjects"]:
        other = any(before <= c.start < end and c.value == "other coffee" for c in u.of("decoy.clause", "decoy.far"))
        if other and not any(before <= c.start < end for c in u.of("counter")):
            return "other coffee"
    asked = "?" in u.gaps[end]
    if asked and u.lexicon.sets["possessives"] & set(u.own[before:end]) and u.own[first] == "it":
        return "nearby food"
    if u.own[first] in ("it", "its") and _room(u, mentions, before, end, asked=asked):
        return "nearby food"
    if u.own[first] in ("it", "its") and _coloured(u, mentions, before, end):
        return "colour"
    talk = asked and any(" ".join(u.own[before : before + n]) in u.lexicon.sets["room_talk"] for n in (1, 2, 3))
    smelled = any(" ".join(u.own[first : first + n]) in u.lexicon.sets["room_smells"] for n in (1, 2, 3, 5))
    found = any(before <= o.start < end and o.reason is None for o in mentions)
    if talk and smelled and not found:
        return "nearby food"  # "Who's eating? I can smell vinegar."
    return None


def _room(u: Utterance, mentions: list[Mention], before: int, end: int, *, asked: bool) -> bool:
    """ "Is that hand cream? It's all coconut.": a thing in the room was asked about."""
    things = any(u.is_loose(i) for i in range(before, end)) or any(
        before <= o.start < end and o.reason == "nearby food" for o in mentions
    )
    cup = u.of("frame", "mouth", "place", "moment", "brew", "nose")
    of_the_cup = any(before <= c.start < end for c in cup) or any(
        before <= o.start < end and o.reason is None for o in mentions
    )
    opens = u.own[before : before + 2] == ["is", "that"] or u.own[before] in u.lexicon.sets["auxiliary"]
    return asked and opens and things and not of_the_cup


def _coloured(u: Utterance, mentions: list[Mention], before: int, end: int) -> bool:
    """ "The colour's nice. It's proper chestnut.": the colour is still meant."""
    said = any(before <= o.start < end and o.reason != "colour" for o in mentions)
    return not said and any(before <= c.start < end and c.value == "colour" for c in u.of("decoy.clause"))


def _trailed(u: Utterance, m: Mention, mentions: list[Mention]) -> str | None:
    """ "We're out of the vanilla. The syrup.": a fragment goes with the sentence that it ends."""
    first, last = u.sentence_range(m.start)
    if m.attribute or u.isolated or first == 0 or u.own[first] != "the" or m.start > first + 1 or last > m.end:
        return None
    before, end = u.sentence_range(first - 1)
    reasons = [o.reason for o in mentions if before <= o.start < end]
    return reasons[-1] if reasons and reasons[-1] not in (None, "withdrawn", "question", "comparison") else None


def _joined(u: Utterance, m: Mention, mentions: list[Mention]) -> str | None:
    """ "Billed as peach and rose": the second of two joined words goes with the first."""
    before = next((o for o in mentions if o.reason in _LISTED and o.end < m.start <= o.end + 2), None)
    joined = before and u.own[before.end : m.start] in (["and"], ["or"]) and not u.is_break(before.end)
    return before.reason if before and joined else None


def _weighed(u: Utterance, m: Mention, mentions: list[Mention]) -> str | None:
    """ "More choc than orange": the two halves of a likeness just named are weighed, nothing new is found."""
    if m.attribute or "than" not in u.own:
        return None
    first, last = u.sentence_range(m.start)
    whole = next((o for o in mentions if o.parts and o.end <= first), None)
    words = u.own[first:last]
    return "comparison" if whole and "more" in words and "than" in words else None


def _outweighed(u: Utterance, m: Mention, mentions: list[Mention]) -> str | None:
    """ "Not so much lemon. More of a plum.", "not so much lemon as lime": neither found nor denied."""
    if m.attribute or u.isolated:
        return None
    small = any(c.end == m.start and u.own[c.start : c.end] == ["not", "so", "much"] for c in u.of("negation.little"))
    after = next((o for o in mentions if o.start >= m.end), None)
    if not small or after is None or after.start - m.end > 4:
        return None
    between = u.own[m.end : after.start]
    return "comparison" if between and between[0] in ("as", "more") else None


def _steered(u: Utterance, m: Mention, mentions: list[Mention]) -> str | None:
    """ "Allspice, hm, more like clove.": the first word is let go."""
    if m.attribute or u.isolated:
        return None
    if u.follows("negation.before", m.start):
        return None  # "not jasmine, more rosehip"
    first, last = u.sentence_range(m.start)
    if m.start - first > 1 or (not u.parts(m.end) and "," not in u.gaps[m.end]):
        return None
    nxt = next((o for o in mentions if o.start >= m.end and not o.attribute and o.start < last), None)
    between = " ".join(u.own[i] for i in range(m.end, nxt.start) if not u.is_filler(i)) if nxt else ""
    return "comparison" if between in u.lexicon.sets["steering"] else None


def _describes(u: Utterance, m: Mention, mentions: list[Mention]) -> str | None:
    """ "Rosehip. The dusty sort.", "pomegranate, the juice", "clove? like the spice": more about what was named."""
    if u.isolated:
        return None
    kinds = u.lexicon.names.states.kinds
    if m.start and u.own[m.start - 1] == "the" and "(" in u.gaps[m.start - 1]:
        return "describes another" if any(o.end <= m.start for o in mentions) else None  # "clove (the spice)"
    explaining = " ".join(u.own[m.start : m.end]) in u.lexicon.sets["explaining"]
    if explaining and m.start > 1 and u.own[m.start - 2 : m.start] == ["like", "the"] and "," in u.gaps[m.start - 2]:
        return "describes another"  # "maybe clove, like the spice"
    at = m.start - 1
    while at >= 0 and m.start - at <= 2 and kinds.exact((u.own[at],)):
        at -= 1
    if at < 0 or u.own[at] != "the":
        return None
    first = u.sentence_range(m.start)[0]
    if at == first + 1 and u.own[first] == "like" and any(o.end <= first and o.reason is None for o in mentions):
        return "describes another"
    if explaining and "," in u.gaps[at] and any(o.end <= at for o in mentions):
        return "describes another"
    opens = all(u.is_filler(i) for i in range(first, at))
    sort = opens and m.end < len(u.words) and u.own[m.end] in u.lexicon.sets["sorts"]
    form = not m.attribute and m.end - m.start == 1 and u.own[m.start] in u.lexicon.names.states.forms
    earlier = any(o is not m and o.end <= m.start and not o.attribute for o in mentions)
    return "describes another" if (sort or form) and (earlier or sort) else None
