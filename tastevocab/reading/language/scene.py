"""Which moment and which brew: the running scene of a table's talk that later turns inherit."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise

from tastevocab.reading.intake.spoken_number import number_at, tokens
from tastevocab.reading.language.mention import Mention
from tastevocab.reading.language.utterance import Cue, Utterance


@dataclass(slots=True)
class Scene:
    """What later turns inherit: the moment and the brew in the mouth, and whether claims are known by now."""

    moment: str | None = None
    brew: str | None = None
    revealed: bool = False
    smelling: bool = False


def follow(u: Utterance, scene: Scene, mentions: list[Mention], *, heading: bool = False) -> None:
    """Move the scene on by what the turn announces, and set moment and brew of its mentions."""
    _smelling(u, scene, mentions)
    if not u.has("brew", "moment", "reveal") and (heading or u.isolated or not _POURED.search(u.text)):
        _assign(mentions, scene, 0, len(u.words) + 1)
        return
    poured = None if heading else _poured(u)
    if poured:
        _move(scene, "brew", poured if scene.brew is None or _fits(scene.brew, poured) else scene.brew)
    changes = sorted([*_brews(u, mentions, heading), *_moments(u, mentions, heading)], key=lambda c: c[1].start)
    position = 0
    for index, (kind, cue) in enumerate(changes):
        if (
            kind == "brew"
            and index
            and changes[index - 1][0] == "moment"
            and cue.start - changes[index - 1][1].end <= 8
        ):
            scene.brew = cue.value  # "hot. first sip of the filter": the moment was of this brew
            _assign(mentions, scene, _reach_start(u, changes[index - 1][1]), len(u.words) + 1)
            continue
        _assign(mentions, scene, position, _reach_start(u, cue))
        position = max(position, _reach_start(u, cue))
        _move(scene, kind, cue.value)
        if scene.brew is None and u.lexicon.sets["crust_words"] & set(u.own[cue.start : cue.end]):
            scene.brew = "cupping"  # only grounds steeped in a bowl have a crust to break
    _assign(mentions, scene, position, len(u.words) + 1)
    if u.has("reveal"):
        scene.revealed = True


def _smelling(u: Utterance, scene: Scene, mentions: list[Mention]) -> None:
    """A new brew that is first smelled ("smells like ...") is at its aroma until something is tasted."""
    if u.isolated:
        return
    tasted = u.has("mouth") or any(m.attribute for m in mentions)
    if scene.smelling and tasted:
        scene.smelling, scene.moment = False, None
    if scene.moment is not None or tasted:
        return
    if _asked_to_smell(u, mentions):
        scene.smelling, scene.moment = True, "aroma" if scene.brew else "dry"
    elif scene.brew and any(m.nose for m in mentions):
        scene.smelling, scene.moment = True, "aroma"


def _asked_to_smell(u: Utterance, mentions: list[Mention]) -> bool:
    """ "Okay, smell.", "can I smell it now?", "lid off, what's the smell?" """
    for cue in u.of("nose"):
        first, last = u.sentence_range(cue.start)
        words = [i for i in range(first, last) if not u.is_filler(i)]
        order = len(words) <= 3 and u.words[cue.start].lower() in u.lexicon.sets["smell_orders"]
        if not mentions and last - first <= 6 and (order or "?" in u.gaps[last]):
            return True
    return False


_POURED = re.compile(r"\b(?:in|to|out|into|grams?|water)\b", re.IGNORECASE)


def _poured(u: Utterance) -> str | None:
    """The brew a recipe's weights tell of: "eighteen in, forty out" is espresso, "fifteen to two fifty" poured."""
    data = u.lexicon.numbers
    if not data or u.isolated:
        return None
    words = tokens(u.text)
    found = []
    at = 0
    while at < len(words):
        number = number_at(words, at, data)
        if number is None:
            at += 1
            continue
        after = words[number.end].text if number.end < len(words) else ""
        if after not in data["not_weight"] and 5 <= number.value <= 1200:
            found.append((at, number))
        at = number.end
    for (_, a), (start, b) in pairwise(found):
        between = [w.text for w in words[a.end : start]] + [w.text for w in words[b.end : b.end + 1]]
        if {"out", "of"} <= set(between):
            continue  # "nine out of ten": a mark
        if len(between) > 7 or not set(between) & set(data["recipe_links"]) or not 5 <= a.value <= 90:
            continue
        ratio = b.value / a.value
        if 1 < ratio <= data["brew_ratio"]["espresso"]:
            return "espresso"
        if data["brew_ratio"]["filter"] <= ratio <= 25:
            return "filter"
    return None


def _fits(brew: str | None, poured: str) -> bool:
    """Whether a recipe changes the brew: what was announced stands, unless its weights cannot be its own."""
    return (
        brew is None
        or (poured == "espresso" and brew not in ("espresso", "milk"))
        or (poured == "filter" and brew in ("espresso", "milk"))
    )


def _reach_start(u: Utterance, cue: Cue) -> int:
    """A moment said at the end of its sentence ("chocolate as it cools") holds for the whole of it."""
    start, end = u.sentence_range(cue.start)
    return start if cue.end >= end - 1 else min(start, cue.start) if cue.start - start <= 3 else cue.start


def _assign(mentions: list[Mention], scene: Scene, start: int, end: int) -> None:
    for m in mentions:
        if start <= m.start < end:
            m.moment, m.brew = scene.moment, None if scene.moment == "dry" else scene.brew


def _move(scene: Scene, kind: str, value: str) -> None:
    if kind == "brew" and value == "cupping" and scene.moment == "dry":
        scene.brew = value  # the grounds are smelled in their bowls
    elif kind == "brew":
        if scene.brew != value or scene.moment == "dry":  # a brew in hand ends the smelling of the grounds
            scene.brew, scene.moment = value, None
    elif kind == "moment":
        scene.moment, scene.smelling = value, False


def _brews(u: Utterance, mentions: list[Mention], heading: bool) -> list[tuple[str, Cue]]:
    found: list[tuple[str, Cue]] = []
    for cue in u.of("brew"):
        if _in_mention(cue, mentions) or (not heading and _decoyed(u, cue)):
            continue
        if heading or _announced(u, cue):
            found.append(("brew", cue))
    return [(kind, cue) for kind, cue in found if not _under_milk(u, cue, [c for _, c in found])]


def _under_milk(u: Utterance, cue: Cue, brews: list[Cue]) -> bool:
    """ "Cortado, milk drink. Double shot.": what a drink with milk is made of is no other brew."""
    return cue.value != "milk" and any(
        c.value == "milk"
        and c.end <= cue.start
        and not any(c.end <= t.start < cue.start for t in u.of("turn_to"))
        and u.sentence[cue.start] - u.sentence[c.start] <= 1
        for c in brews
    )


def _announced(u: Utterance, cue: Cue) -> bool:
    """Whether a brew's word opens its sentence, stands alone, or follows a turning word ("right, the press")."""
    first, last = u.sentence_range(cue.start)
    before = u.own[max(first, cue.start - 4) : cue.start]
    if any(w in u.lexicon.sets["brew_in_passing"] for w in before[-3:]):
        sips = u.lexicon.sets["sips"]
        return bool(before and "of" in before[-3:] and sips & set(before))
    if cue.value == "milk" and cue.end - cue.start > 1 and u.own[cue.start] in u.lexicon.sets["into"]:
        return True
    if cue.value == "cupping" and u.words[cue.end - 1].lower() == "bowls" and u.numbers_in(first, last):
        return True
    if last - first <= 4:
        return True
    if any(w in ("?",) for w in u.gaps[last]):
        return False
    after = u.own[cue.end] if cue.end < last else ""
    turns = u.of("turn_to")
    small = u.covered("turn_to", "moment", "filler")
    if cue.start - first <= 4 and all(
        i in small or u.own[i] in u.lexicon.sets["opens_brew"] for i in range(first, cue.start)
    ):
        return True
    if after in u.lexicon.sets["announces"] or any(
        t.start - first <= 1 and t.end <= cue.start and cue.start - first <= 5 for t in turns
    ):
        return True
    if any(
        t.end == cue.start or (t.end == cue.start - 1 and u.own[cue.start - 1] in u.lexicon.sets["brew_articles"])
        for t in turns
    ):
        return True
    return cue.start == first or (cue.start == first + 1 and u.own[first] in u.lexicon.sets["opens_brew"])


def header_brew(u: Utterance, scene: Scene) -> None:
    """What a sheet's head says of the brew: of "press pot, then one espresso" the first; counted bowls are cupped.

    u: a line of the head. Nothing is changed where a brew is known.
    """
    brews = u.of("brew")
    if scene.brew is not None or not brews:
        return
    named = bool(u.words) and u.own[0] in u.lexicon.sets["brew_labels"]
    first = min(brews, key=lambda c: (c.start, -c.end))
    if named and first.start > 0:
        scene.brew = first.value
    elif u.numbers_in(0, len(u.words)) and any(c.value == "cupping" for c in brews):
        scene.brew = "cupping"


def brew_words(u: Utterance, scene: Scene, mentions: list[Mention]) -> None:
    """ "Milk" that names the drink in the mouth, or a moment's word ("dry"), is no finding."""
    if (not u.has("brew", "moment") and "dry" not in u.own) or (len(u.words) == 1 and u.isolated):
        return
    brews = {(c.start, c.end): c.value for c in u.of("brew")}
    frames = u.of("frame", "degree.before") if brews else []
    for m in mentions if brews else ():
        cover = next((k for k in brews if k[0] <= m.start and k[1] >= m.end), None)
        if m.reason is None and cover and m.state is None:
            framed = any(f.end == m.start and u.own[f.start] not in u.lexicon.sets["into"] for f in frames)
            listed = u.isolated and u.is_break(m.end) and (m.start == 0 or u.is_break(m.start))  # "chocolate, milk"
            if not (framed or listed) or scene.brew == brews[cover]:
                m.reason = "brew"
    milky = [c for c in u.of("brew") if c.value == "milk" and not _in_mention(c, mentions) and _announced(u, c)]
    for m in mentions:
        near = any(0 <= u.sentence[m.start] - u.sentence[c.start] <= 1 for c in milky)
        if near and m.reason is None and " ".join(u.own[m.start : m.end]) in u.lexicon.sets["milk_kinds"]:
            m.reason = "recipe"
    moments = {(c.start, c.end) for _, c in _moments(u, [], False)}
    for m in mentions:
        inside = any(a <= m.start and m.end <= b and (m.attribute or b - a > m.end - m.start) for a, b in moments)
        if inside and m.reason is None:
            m.reason = "moment"
        if (
            m.attribute
            and m.start
            and u.own[m.start - 1] in u.lexicon.sets["pointing_small"]
            and u.own[m.start] == "dry"
            and m.end - m.start == 1
        ):
            m.reason = "moment"


def _in_mention(cue: Cue, mentions: list[Mention]) -> bool:
    return any(m.start <= cue.start and m.end >= cue.end and m.reason != "brew" for m in mentions)


def _decoyed(u: Utterance, cue: Cue) -> bool:
    number = u.sentence[cue.start]
    if any(
        c.start <= cue.start and c.end >= cue.end and c.end - c.start > cue.end - cue.start
        for c in u.of("decoy.phrases")
    ):
        return True
    return any(
        (u.sentence[c.start] == number and c.value in ("wish", "advice", "prediction"))
        or (u.clause[c.start] == u.clause[cue.start] and c.value == "other coffee")
        for c in u.of("decoy.clause")
    )


def _moments(u: Utterance, mentions: list[Mention], heading: bool) -> list[tuple[str, Cue]]:
    found = []
    for cue in u.of("moment"):
        if any(c.start <= cue.start and c.end >= cue.end for c in u.of("decoy.phrases")):
            continue
        longer = [
            c
            for c in u.of("moment")
            if c.start <= cue.start and c.end >= cue.end and c.end - c.start > cue.end - cue.start
        ]
        if longer or any(
            m.start <= cue.start and m.end >= cue.end and not heading for m in mentions if m.end - m.start > 1
        ):
            continue
        if any(
            c.start <= cue.start and c.end >= cue.end and c.end - c.start > cue.end - cue.start for c in u.of("brew")
        ):
            continue
        if u.own[cue.start] in u.lexicon.sets["plural_moments"] and u.words[cue.end - 1].lower() == u.own[cue.start]:
            continue  # "ground like raw sugar"
        if u.own[cue.start] in u.lexicon.sets["smelling"] and cue.end - cue.start == 1 and not heading:
            continue
        if (
            heading
            or cue.end - cue.start > 1
            or u.own[cue.start] not in u.lexicon.sets["loose_moments"]
            or _stands_alone(u, cue)
        ):
            if not heading and cue.end - cue.start > 1 and (_far(u, cue) or _past(u, cue)):
                continue
            found.append(("moment", cue))
    return found


def _past(u: Utterance, cue: Cue) -> bool:
    """ "Odd after the dry": another moment is compared with."""
    before = u.own[max(0, cue.start - 2) : cue.start]
    return before[-1:] != [] and (
        before[-1] in u.lexicon.sets["compared_with"]
        or (before[-1] == "the" and before[0] in u.lexicon.sets["compared_with"])
    )


def _far(u: Utterance, cue: Cue) -> bool:
    """ "liked it more when it was hot last week": another time is meant."""
    number = u.sentence[cue.start]
    return any(
        u.sentence[c.start] == number and c.value in ("wish", "prediction", "other coffee")
        for c in u.of("decoy.clause")
    )


def _stands_alone(u: Utterance, cue: Cue) -> bool:
    first, last = u.sentence_range(cue.start)
    clause_first, clause_last = u.clause_range(cue.start)
    word = u.own[cue.start]
    if (
        word in u.lexicon.sets["temperatures"]
        and cue.start > first
        and u.own[cue.start - 1] in u.lexicon.sets["plain_no"]
    ):
        return False  # "it's getting warm, not hot"
    opens = word == "dry" and cue.start == first and cue.end < last and "," in u.gaps[cue.end] and not u.isolated
    if (
        opens
        or last - first <= 2
        or (clause_last - clause_first <= 2 and word not in u.lexicon.sets["moment_only_alone"])
    ):
        return True
    before = u.own[cue.start - 1] if cue.start > first else ""
    after = u.own[cue.end] if cue.end < last else ""
    if word == "dry" and cue.end == last and any(first <= c.start < cue.start for c in u.of("nose")):
        return True  # "now smell it, dry"
    if word in u.lexicon.sets["temperatures"] and u.follows("brew", cue.start):
        return True  # "filter's hot"
    if word in u.lexicon.sets["temperatures"] and (
        before in u.lexicon.sets["leads_moment"] or (after and after in u.lexicon.sets["served"])
    ):
        return not (before in u.lexicon.sets["not_served"] and after and after not in u.lexicon.sets["served"])
    if before in u.lexicon.sets["not_now"]:
        return False
    if word in u.lexicon.sets["plain_moments"]:
        return True
    if word == "dry":
        return before in u.lexicon.sets["pointing_small"] and (not after or after in u.lexicon.sets["dry_of"])
    return False
