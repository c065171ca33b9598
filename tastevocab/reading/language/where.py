"""Where in the sip, and whether it was smelled or tasted."""

from __future__ import annotations

from tastevocab.reading.language.mention import Mention
from tastevocab.reading.language.utterance import Cue, Utterance


def place(u: Utterance, mentions: list[Mention]) -> None:
    """Set `place` of every mention: front, middle or finish, said in its clause or carried on within the turn."""
    if not u.has("place"):
        return
    cues = [c for c in u.of("place") if not _idle(u, c, mentions)]
    carried: str | None = None
    last = -1
    for m in mentions:
        own = _own_place(u, m, cues, mentions)
        latest = [c for c in cues if last < c.end <= m.start]
        if latest:
            carried = latest[-1].value
            last = latest[-1].end
        m.place = own or (carried if carried and _still(u, m, cues) else None)
        if own and not latest:
            carried = None
    _place_after(u, mentions, cues)


def _place_after(u: Utterance, mentions: list[Mention], cues: list[Cue]) -> None:
    """ "A honey thing. Just a spoonful, in the middle.": a short sentence with a place and no finding of its own."""
    for cue in cues:
        first, last = u.sentence_range(cue.start)
        if (
            last - first > 9
            or any(first <= m.start < last for m in mentions)
            or any(map(u.is_loose, range(first, last)))
        ):
            continue
        before = [m for m in mentions if u.sentence[m.start] == u.sentence[cue.start] - 1]
        if before and before[-1].place is None:
            before[-1].place = cue.value


def _idle(u: Utterance, cue: Cue, mentions: list[Mention]) -> bool:
    """A word that only looks like a place: a longer cue covers it, or it orders talk ("first, the filter")."""
    if any(
        c.start <= cue.start and c.end >= cue.end and c.end - c.start > cue.end - cue.start
        for c in u.of("place", "moment", "decoy.phrases")
    ):
        return True
    if any(m.start <= cue.start and m.end >= cue.end for m in mentions if not m.attribute):
        return True
    word = u.own[cue.start]
    if word == "back" and cue.end < len(u.words) and u.own[cue.end] == "to":
        return True
    if cue.end - cue.start > 1 or word not in u.lexicon.sets["near_places"]:
        return False
    if word in u.lexicon.sets["orders_or_places"]:
        return (
            not any(abs(m.start - cue.start) <= 3 and u.clause[m.start] == u.clause[cue.start] for m in mentions)
            or word in u.lexicon.sets["orders"]
        )
    return False


def _own_place(u: Utterance, m: Mention, cues: list[Cue], mentions: list[Mention]) -> str | None:
    """The place said in the mention's own clause, the nearest one; one after it only with no mention between."""
    best: tuple[int, Cue] | None = None
    for cue in cues:
        if u.sentence[cue.start] != u.sentence[m.start]:
            continue
        if cue.start >= m.end:
            between = [o for o in mentions if m.end <= o.start < cue.start]
            joined = all(u.own[i] in u.lexicon.sets["list_joins"] for o in between for i in range(m.end, o.start))
            if (
                (between and not joined)
                or any(_parted(u, i) for i in range(m.end, cue.start + 1))
                or cue.start - m.end > 7
            ):
                continue
            taken = any(c.start < m.start and c.end <= m.start and u.clause[c.start] == u.clause[m.start] for c in cues)
            if taken:
                continue
            rank = cue.start - m.end
        elif cue.end <= m.start:
            rank = m.start - cue.end + (0 if u.clause[cue.start] == u.clause[m.start] else 3)
        else:
            rank = 0
        if best is None or rank < best[0]:
            best = (rank, cue)
    return best[1].value if best else None


def _parted(u: Utterance, i: int) -> bool:
    """Whether a mark before word i parts a place from what it is said of; hedges and degrees may stand between."""
    if not u.parts(i):
        return False
    loose = u.of("hedge.after", "degree.after", "hedge.before", "degree.before", "place")
    return not any(c.start == i or c.end == i for c in loose)


def _still(u: Utterance, m: Mention, cues: list[Cue]) -> bool:
    """Whether the place said before still holds at the mention (a new moment or brew ends it)."""
    return True


def nose(u: Utterance, mentions: list[Mention]) -> None:
    """Mark the mentions that were smelled, by the nearest word of smelling or tasting before them."""
    if not u.has("nose"):
        return
    smells, tastes = u.of("nose"), u.of("mouth")
    after = {_smelled_last(u, c, mentions) for c in smells}
    for m in mentions:
        if id(m) in after:
            m.nose = True
            continue
        smell = max(
            (
                c.start
                for c in smells
                if c.start <= m.start
                and u.sentence[c.start] == u.sentence[m.start]
                and not _smelled_last(u, c, mentions)
            ),
            default=-1,
        )
        taste = max(
            (c.start for c in tastes if c.start <= m.start and u.sentence[c.start] == u.sentence[m.start]), default=-1
        )
        m.nose = smell > taste


def _smelled_last(u: Utterance, cue: Cue, mentions: list[Mention]) -> int:
    """ "Plum on the nose, toast": a word of smelling that closes a phrase belongs to the mention before it (its id)."""
    closes = cue.end >= len(u.words) or u.is_break(cue.end)
    before = [m for m in mentions if m.end <= cue.start <= m.end + 2 and u.clause[m.start] == u.clause[cue.start]]
    return id(before[-1]) if closes and before else 0
