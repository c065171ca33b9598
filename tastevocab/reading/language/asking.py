"""Talk that asks, orders, supposes or wanders off: flavour words in it are no findings."""

from __future__ import annotations

from tastevocab.reading.language.mention import Mention
from tastevocab.reading.language.utterance import Utterance


def conditional(u: Utterance, m: Mention) -> str | None:
    """ "If you ground it finer it'd turn into plum": what would be, not what is."""
    first, last = u.sentence_range(m.start)
    words = u.own[first:last]
    if "if" not in words or u.isolated:
        return None
    at = first + words.index("if")
    subject = u.own[at + 1] if at + 1 < last else ""
    would = any(w in u.lexicon.sets["would"] for w in u.own[at:last]) or any(
        w in u.lexicon.sets["would"] for w in u.own[first:at]
    )
    return "prediction" if subject in u.lexicon.sets["subjects"] and would else None


def asked(u: Utterance, m: Mention) -> str | None:
    """A sentence that opens with a question word asks about a thing; a whole turn "Caramel?" asks the table."""
    first, last = u.sentence_range(m.start)
    opening = next((i for i in range(first, last) if not u.is_filler(i) and not _called(u, i, last)), first)
    framed = any(first <= c.start < last for c in u.of("frame"))
    if _ordered(u, first, last, opening, framed=framed):
        return "recipe"
    if _to_the_table(u, m, last, opening, framed=framed):
        return "question"
    if _asked_of_a_thing(u, m, first, last):
        return "question"
    if _inverted(u, opening, last):
        said = any(p.descriptor and p.end <= first for p in u.pieces)
        return None if said and "?" in u.gaps[last] else "question"  # "Something floral. Is it jasmine?": of oneself
    if _question_word(u, m, last, opening, framed=framed) or _alone_with_mark(u, m, first, last):
        return "question"
    return _asked_back(u, m, first, last)


def _called(u: Utterance, i: int, last: int) -> bool:
    """ "Marisol, do you have hazelnut?": a name called first opens no question by itself."""
    return i + 1 < last and u.is_loose(i) and u.words[i][0].isupper() and "," in u.gaps[i + 1]


def _asked_of_a_thing(u: Utterance, m: Mention, first: int, last: int) -> bool:
    """ "And that apron, is it, like, tangerine?": a thing is named, and what it is asked."""
    at = u.before(m.start, u.lexicon.sets["some"])
    turned = (
        "?" in u.gaps[last] and at - 1 > first and u.own[at] == "it" and u.own[at - 1] in u.lexicon.sets["be_words"]
    )
    return turned and any(u.is_loose(i) for i in range(first, at - 1))


def _ordered(u: Utterance, first: int, last: int, opening: int, *, framed: bool) -> bool:
    """ "Pass the vanilla", "two flat whites and a mint tea": an order to do something, or from the bar."""
    if framed:
        return False
    sets = u.lexicon.sets
    if u.own[opening] in sets["orders_to_do"] and not any(first <= c.start < last for c in u.of("assent.yes", "level")):
        return True
    drinks = [c for c in u.of("brew") if opening < c.start <= opening + 2 and c.value in ("milk", "espresso", "filter")]
    if not drinks or not u.numbers_in(opening, drinks[0].start) or drinks[0].end >= last:
        return False
    return u.own[drinks[0].end] == "and" or "," in u.gaps[drinks[0].end]


def _to_the_table(u: Utterance, m: Mention, last: int, opening: int, *, framed: bool) -> bool:
    """ "Any chocolate, anyone", "did you get plum?", "is that the lemon?": put to the others."""
    sets, words = u.lexicon.sets, u.own[opening:last]
    if words[0] in ("any", "anything") and not framed and u.own[last - 1] in sets["table_ends"] and m.end < last:
        return True  # captions without marks: "any chocolate you two"
    if "?" not in u.gaps[last]:
        return False
    others = words[0] in sets["auxiliary"] and bool(sets["the_table"] & set(words))
    return others or words[0] in ("any", "anything") or " ".join(words[:3]) in sets["pointing"]


def _question_word(u: Utterance, m: Mention, last: int, opening: int, *, framed: bool) -> bool:
    """ "Where did the plum go", "what's molasses?": a question word opens the sentence."""
    word = u.own[opening]
    asks = word in u.lexicon.sets["asking"] and (not framed or word in ("where", "why"))
    return asks and m.start - opening <= 6 and (word != "what" or "?" in u.gaps[last])


def _alone_with_mark(u: Utterance, m: Mention, first: int, last: int) -> bool:
    """ "Caramel?" as a whole turn of talk; "Better. Fruit?" with a broad word at its end."""
    if "?" not in u.gaps[last] or "??" in u.gaps[last]:
        return False
    broad = m.target.startswith("reach/") and last == len(u.words) and first > 0
    if broad and last - first == m.end - m.start and u.gaps[last].strip() == "?":
        return True
    if last - first < len(u.words) or u.typed or m.via != "word":
        return False
    return all(
        m.start <= i < m.end or u.is_filler(i) or u.own[i] in u.lexicon.sets["question_ends"]
        for i in range(first, last)
    )


def asks_else(u: Utterance) -> bool:
    """ "Who's picking up the van on Friday?": a question about another thing, so that the answer is to that."""
    opening = next((i for i in range(len(u.words)) if not u.is_filler(i)), 0)
    loose = any(u.is_loose(i) for i in range(len(u.words)))
    return loose and (u.own[opening] in u.lexicon.sets["asking"] or u.gaps[len(u.words)].lstrip().startswith("?"))


def asks_of_things(u: Utterance, mentions: list[Mention]) -> bool:
    """Whether a turn ends in a question about a thing of the room, with no word of tasting in the turn."""
    first, last = u.sentence_range(len(u.words) - 1)
    if "?" not in u.gaps[last] or last - first < 3 or any(m.reason in (None, "question") for m in mentions):
        return False
    if any(first <= p.start < last and p.descriptor is None for p in u.pieces):
        return False  # "What are we giving bitterness?"
    cup = u.of("frame", "mouth", "place", "moment", "brew", "nose", "counter")
    strange = sum(u.is_loose(i) for i in range(first, last)) + sum(m.reason == "equipment" for m in mentions)
    return strange > 0 and not any(first <= c.start < last for c in cup)


def _asked_back(u: Utterance, m: Mention, first: int, last: int) -> str | None:
    """ "Musty, though? You sort of brace for it.": a word alone with a question mark, then other talk."""
    if "?" not in u.gaps[last] or "??" in u.gaps[last] or last - first - (m.end - m.start) > 1 or last >= len(u.words):
        return None
    next_first, next_last = u.sentence_range(last)
    answers = u.of("negation.after", "negation.before", "degree.after", "degree.before", "assent.yes", "assent.deny",
                   "hedge.after",
                   "hedge.before", "correction.swap", "frame")  # fmt: skip
    if any(next_first <= c.start < next_last and c.start - next_first <= 2 for c in answers):
        return None
    return None if any(p.start >= next_first for p in u.pieces) else "question"


def _inverted(u: Utterance, opening: int, last: int) -> bool:
    """ "Is it papery, that one?": turned round, it asks; without any mark in the turn the order alone decides."""
    turned = u.own[opening : opening + 1] and u.own[opening] in u.lexicon.sets["be_words"]
    subject = u.own[opening + 1] if opening + 1 < last else ""
    marked = "?" in u.gaps[last] or not any(mark in u.text for mark in ".,?!")
    return bool(turned) and subject in u.lexicon.sets["subjects"] and marked


def asked_level(u: Utterance, m: Mention) -> str | None:
    """ "Is it bitter?" asks; "not bitter, is it?" says."""
    first, last = u.sentence_range(m.start)
    small = u.lexicon.sets["additions"]
    opening = next((i for i in range(first, last) if not u.is_filler(i) and u.own[i] not in small), first)
    if u.own[opening] in u.lexicon.sets["asking_who"] and "?" in u.gaps[last]:
        return "question"
    tag = u.lexicon.sets["tags"] & set(u.own[m.end : last])
    if tag:
        return None
    if "?" in u.gaps[last] and last - first <= 3 and last < len(u.words):
        answers = u.of("negation.after", "assent.yes", "assent.deny")
        return None if any(c.start == last for c in answers) else "question"
    asked = (
        u.own[opening] in u.lexicon.sets["auxiliary"]
        and m.start - opening <= 4
        and last - first <= 7
        and opening == first
    )
    return "question" if asked and ("?" in u.gaps[last] or len(u.words) == last - first) else None
