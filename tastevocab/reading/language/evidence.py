"""Whether a flavour word in talk is said of the cup: signs for and against, each with its points from `evidence.yaml`.

The points are those of a logistic regression on invented talk of many tables, each word marked as a finding or not. No
sign decides alone: "the plum tree" has two against it, "it's all plum, the finish" two for it.
"""

from __future__ import annotations

from collections.abc import Iterator

from tastevocab.reading.language.mention import Mention
from tastevocab.reading.language.utterance import Utterance


def no_tasting(u: Utterance, m: Mention) -> str | None:
    """The reason "no tasting in it" where the signs speak against the cup; None where they do not, or a denial stands.

    u, m: a turn of talk and one of its flavours. A vocabulary without points decides nothing.
    """
    points = u.lexicon.evidence
    listed = u.typed and u.is_break(m.end) and (m.start == 0 or u.is_break(m.start))  # an entry of a typed list
    if not points or listed or _denied_near(u, m):
        return None
    score = points["base"] + sum(points.get(sign, 0.0) * much for sign, much in signs(u, m))
    return "no tasting in it" if score < points["least"] else None


def signs(u: Utterance, m: Mention) -> Iterator[tuple[str, float]]:
    """What speaks for or against a mention, by name, each with how much of it there is."""
    first, last = u.sentence_range(m.start)
    yield "words of the name", m.end - m.start
    yield "length of the turn", min(len(u.words), 40) / 10
    yield "question", "?" in u.gaps[last]
    yield "plural", _plural(u, m)
    yield "number", u.numbers_in(first, last)
    yield from _strange_words(u, m, first, last)
    yield from _small_words(u, m, first, last)
    yield from _next_to_it(u, m, first, last)
    yield from _cues(u, m, first, last)


def _denied_near(u: Utterance, m: Mention) -> bool:
    first, last = u.sentence_range(m.start)
    before = any(first <= c.start and c.end <= m.start for c in u.of("negation.before"))
    return before or any(m.end <= c.start < last for c in u.of("negation.after"))


def _strange_words(u: Utterance, m: Mention, first: int, last: int) -> Iterator[tuple[str, float]]:
    """Words that are neither cue nor name nor everyday words of tasting."""
    strange = [i for i in range(first, last) if u.is_loose(i)]
    yield "strange words", min(len(strange), 6)
    yield "strange words near", sum(abs(i - m.start) <= 3 for i in strange)
    yield "strange word first", u.is_loose(first)


def _small_words(u: Utterance, m: Mention, first: int, last: int) -> Iterator[tuple[str, float]]:
    """Whom and when the sentence is about."""
    sets, own = u.lexicon.sets, u.own
    before, after = set(own[first : m.start]), set(own[m.end : last])
    for sign in ("i", "you", "we", "past", "will"):
        yield f"{sign} before", bool(sets[f"talk_{sign}"] & before)
    yield "they after", bool(sets["talk_they"] & after)
    yield "day after", bool(sets["talk_days"] & after)


def _next_to_it(u: Utterance, m: Mention, first: int, last: int) -> Iterator[tuple[str, float]]:
    """The words right before and after, where no mark parts them from it."""
    sets = u.lexicon.sets
    bare = m.start == first or u.is_break(m.start)
    before = "" if bare else u.own[m.start - 1]
    after = "" if m.end >= last or u.is_break(m.end) else u.own[m.end]
    yield "nothing before", bare
    yield "is before", before in sets["talk_is"] or before in sets["talk_it"]
    yield "the before", before == "the"
    yield "like before", before == "like"
    yield "is after", after in sets["talk_is"]
    yield "and after", after in sets["list_joins"]


def _cues(u: Utterance, m: Mention, first: int, last: int) -> Iterator[tuple[str, float]]:
    """Words of tasting in its sentence, and right before it."""
    for sign, kind in _IN_SENTENCE:
        yield sign, min(sum(first <= c.start < last and not _within(c.start, c.end, m) for c in u.of(kind)), 3)
    for sign, kind in _RIGHT_BEFORE:
        yield sign, any(c.end <= m.start <= c.end + 2 and u.clause[c.start] == u.clause[m.start] for c in u.of(kind))


_IN_SENTENCE = (("word of tasting", "mouth"), ("assent", "assent.yes"), ("turn to this cup", "counter"),
                ("place", "place"), ("level", "level"))  # fmt: skip
_RIGHT_BEFORE = (("frame before", "frame"), ("amount before", "degree.before"), ("doubt before", "hedge.before"))


def _within(start: int, end: int, m: Mention) -> bool:
    return start < m.end and m.start < end


def _plural(u: Utterance, m: Mention) -> bool:
    word = u.words[m.end - 1].lower()
    return word.endswith("s") and not word.endswith(("ss", "'s", "’s"))
