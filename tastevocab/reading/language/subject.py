"""What a sentence is about: a word said of a thing, a person or an order is no finding of the cup's."""

from __future__ import annotations

from tastevocab.reading.language.mention import Mention
from tastevocab.reading.language.utterance import Utterance

_OWNS = ("'s", "’s")


def about_another(u: Utterance, m: Mention) -> str | None:
    """The reason why a word in talk is not said of the cup: its subject is another thing, or it is a name or an order.

    u, m: the turn and one of its mentions. None where nothing speaks against the cup.
    """
    first, last = u.sentence_range(m.start)
    if (
        _capital(u, m)
        or _titled(u, m)
        or (word_of(u, m) in u.lexicon.sets["also_names"] and u.words[m.start][0].isupper())
    ):
        return "name"
    if not m.attribute and m.start == first and m.end < last and u.own[m.end] in u.lexicon.sets["person_verbs"]:
        return "name"  # "Clementine wants it sweeter"
    if _called(u, m, first, last):
        return "address"
    leads = m.end < last and not u.is_break(m.end)
    if (
        m.attribute
        and u.own[m.start] in u.lexicon.sets["plural_nouns"]
        and u.words[m.start].lower() == u.own[m.start] + "s"
    ):
        return "another thing"  # "I've not had any sweets"
    if leads and m.start == first and _ordered(u, m.end):
        return "recipe"
    kit = _kit(u, m.end) and not any(p.start == m.end for p in u.pieces)  # "body's light" is no lamp
    if leads and m.attribute and not m.explicit and (u.is_loose(m.end) or kit) and not _told(u, m):
        return "another thing"  # "a thin excuse", "a heavy bag"
    behind = m.start > first and u.own[m.start - 1] in u.lexicon.sets["determiners"] and not u.is_break(m.start)
    named = leads and u.words[m.end][0].isupper()  # "the anise Ana speaks of"
    if leads and behind and not m.attribute and u.is_loose(m.end) and not (named or _owning(u, m)):
        return "another thing"  # "the lemon curd jars", "a ginger cat"
    if leads and not m.attribute and _owning(u, m) and _busy(u, m, last):
        return "name"
    if leads and m.start == first and u.words[m.start].endswith(_OWNS) and u.is_loose(m.end) and not m.attribute:
        return "name" if sum(map(u.is_loose, range(first, last))) > 1 else None  # "Coco's shift starts at three"
    if _thing(u, _subject(u, m)) or _thing(u, _smelled(u, m, first)):
        return "another thing"
    if _forbidden(u, m, first) or _explained_away(u, m, last) or _on_a_thing(u, m, first):
        return "another thing"
    if not m.attribute and m.end == last and m.start > first and word_of(u, m) in u.lexicon.sets["always_called"]:
        return "address"  # captions without commas: "that's the broth mate"
    if leads and not m.attribute and _owning(u, m) and u.own[m.end] == "like" and u.own[m.start - 1] in ("a", "an"):
        return "general talk"  # "a mandarin's like the little one in the net"
    return "other coffee" if _other_lot(u, m, first) else None


def word_of(u: Utterance, m: Mention) -> str:
    """The words of a mention as compared."""
    return " ".join(u.own[m.start : m.end])


def _explained_away(u: Utterance, m: Mention, last: int) -> bool:
    """ "Sandalwood, but, you know, that's the incense from the hall": where it comes from is another thing."""
    words = [i for i in range(m.end, last) if not u.is_filler(i)][:5]
    said = [u.own[i] for i in words]
    if said[:2] != ["but", "that"] or len(said) < 4 or said[2] not in u.lexicon.sets["determiners"]:
        return False
    return not u.has("mouth", "place", "moment") or u.is_loose(words[3])


def _on_a_thing(u: Utterance, m: Mention, first: int) -> bool:
    """ "Your apron's got, like, turmeric all down it": a thing of the table has it on."""
    at = u.before(m.start, u.lexicon.sets["some"])
    if at <= first or u.own[at] not in ("got", "has", "have"):
        return False
    return _kit(u, at - 1)


def _owning(u: Utterance, m: Mention) -> bool:
    return u.words[m.end - 1].endswith(_OWNS)


def _busy(u: Utterance, m: Mention, last: int) -> bool:
    """ "Clementine's on the bagger", "basil's doing the starters": somebody at work."""
    after = u.own[m.end : m.end + 2]
    placed = after in (["on", "the"], ["on", "a"]) and m.end + 2 < last and u.is_loose(m.end + 2)
    return placed or after[0] in u.lexicon.sets["doing"]


def _forbidden(u: Utterance, m: Mention, first: int) -> bool:
    """ "Don't mention the chocolate", "don't trust me on sugar": a deed is denied, not a taste."""
    for cue in u.of("negation.before"):
        if first <= cue.start and cue.end < m.start <= cue.end + 5 and u.own[cue.end] in u.lexicon.sets["deeds"]:
            return True
    return False


def _other_lot(u: Utterance, m: Mention, first: int) -> bool:
    """ "Lot two-oh-four had salt", "the 2023 crop was walnut": a numbered lot or a year, and how it was."""
    sets = u.lexicon.sets
    past = next((i for i in range(first, m.start) if u.own[i] in sets["had_been"]), -1)
    lot = next((i for i in range(first, past) if u.own[i] in sets["lots"]), -1)
    if lot >= 0 and u.numbers_in(max(first, lot - 2), past):
        return True
    other = next((i for i in range(first, past) if u.own[i] in sets["others_time"]), -1)
    if other >= 0 and lot == other + 1:
        return True  # "last harvest was all grass"
    between = u.own[other + 1 : past]  # "the last training one was all rum", "the stuff off the last importer was"
    return (
        other > first
        and u.own[other - 1] in sets["determiners"]
        and 1 <= len(between) <= 4
        and not sets["not_lots"] & set(between[:1])
    )


def _ordered(u: Utterance, i: int) -> bool:
    """ "Toast your cups", "dry the spoons": an order to do something to what follows."""
    after = u.own[i + 1] if i + 1 < len(u.words) else ""
    return u.own[i] in u.lexicon.sets["order_objects"] or (
        u.own[i] == "the" and (after in u.lexicon.sets["served"] or _kit(u, i + 1))
    )


def _kit(u: Utterance, i: int) -> bool:
    """Whether word i is a thing of the table ("spoon", "bag")."""
    if i >= len(u.words) or u.own[i] in u.lexicon.sets["served"]:
        return False
    return any(c.start <= i < c.end and c.value == "equipment" for c in u.of("decoy.after"))


def _told(u: Utterance, m: Mention) -> bool:
    """ "A sharp taste", "bright and clean cup": the next word is one that is said of cups."""
    if u.own[m.end] in u.lexicon.sets["served"]:
        return True
    return m.end in u.covered("degree.after", "hedge.after", "moment")


def _capital(u: Utterance, m: Mention) -> bool:
    """A capital inside running text is a name ("she's bringing Olive"); a captioned turn in capitals is none."""
    word = u.words[m.start]
    inside = m.start > 0 and not u.stops(m.start) and u.gaps[m.start].strip() in ("", ",")
    if not inside or not word[0].isupper() or word.isupper() or m.end - m.start > 1 or m.attribute:
        return False
    inner = [w for i, w in enumerate(u.words) if i and not u.stops(i) and i != m.start]
    running = inner or u.words  # "That's Ginger. She's management.": sentences may start with capitals
    return sum(w[0].islower() for w in running) > len(running) * (0.6 if inner else 0.0)


def _titled(u: Utterance, m: Mention) -> bool:
    """ "It's called First Light": a quality's word inside a name of capitals."""
    at = m.start
    if not m.attribute or at < 2 or u.stops(at) or u.stops(at - 1) or m.end - at > 1:
        return False
    return all(w[0].isupper() and not w.isupper() for w in u.words[at - 1 : at + 1]) and u.words[at - 2][0].islower()


def _called(u: Utterance, m: Mention, first: int, last: int) -> bool:
    """ "Biscuit, get down!": a word that opens the sentence and is called to."""
    word = word_of(u, m)
    off = m.start == first or "," in u.gaps[m.start]
    if word in u.lexicon.sets["always_called"] and off and (m.end == last or "," in u.gaps[m.end]):
        return True  # "I can't find any liquorice, mate"
    if m.attribute or m.start != first or m.end - m.start > 1 or m.end >= last or "," not in u.gaps[m.end]:
        return False
    return (
        u.own[m.end] in u.lexicon.sets["called_to"] or " ".join(u.own[m.end : m.end + 2]) in u.lexicon.sets["called_to"]
    )


def _subject(u: Utterance, m: Mention) -> int:
    """The word that the mention is said to be ("the scoop's olive wood", "the lights went violet"), or -1."""
    sets = u.lexicon.sets
    between = u.covered("degree.before", "hedge.before", "filler")
    first = u.clause_range(m.start)[0]
    i = m.start - 1
    while i >= first:
        if u.words[i].lower().endswith(_OWNS) and (u.is_loose(i) or _kit(u, i)) and len(u.words[i]) > 3:
            return i
        if u.own[i] in sets["being"]:
            return i - 1 if i > first else -1
        if i not in between and u.own[i] not in sets["articles"]:
            return -1
        i -= 1
    return -1


def _smelled(u: Utterance, m: Mention, first: int) -> int:
    """The word before "smells like" and its kind ("that lid smells of old oil"), or -1."""
    frames = [c for c in u.of("frame") if first < c.start and c.end <= m.start and m.start - c.end <= 3]
    for c in frames:
        if u.own[c.start] in u.lexicon.sets["sensing"]:
            at = c.start - 1
            while at > first and u.own[at] in u.lexicon.sets["before_sensing"]:
                at -= 1
            return at
    return -1


def _thing(u: Utterance, i: int) -> bool:
    """Whether word i is a thing of its own: behind an article or first in its sentence, and no word of tasting."""
    if i < 0 or not (u.is_loose(i) or _kit(u, i)) or len(u.own[i]) == 1:
        return False  # coffees on a table are called A, B and C
    first = u.sentence_range(i)[0]
    points = [j for j in range(max(first, i - 2), i) if u.own[j] in u.lexicon.sets["pointing_at"]]
    if points and points[0] > first and u.own[points[0] - 1] in u.lexicon.sets["at_words"]:
        return False  # "what I have on the spoon is treacle"
    return i == first or bool(points)
