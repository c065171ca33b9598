"""Flavour words that are no findings: decided by frame, head noun and set phrase, never by a word list alone."""

from __future__ import annotations

from collections.abc import Collection
from itertools import pairwise

from tastevocab.reading.language.asking import asked, asked_level, conditional
from tastevocab.reading.language.beside import decided_beside
from tastevocab.reading.language.evidence import no_tasting
from tastevocab.reading.language.mention import Mention
from tastevocab.reading.language.subject import about_another
from tastevocab.reading.language.utterance import Cue, Utterance

# What these reasons cover stands after them in the sentence, too; the rest is of one clause.
_FAR = ("other coffee", "wish", "prediction", "report", "claim", "question", "process", "taster state")


def set_aside(u: Utterance, mentions: list[Mention], people: Collection[str] = ()) -> None:
    """Give a `reason` to every mention that is no finding. `people` are the known speakers' names, folded."""
    guarded = any(kind.startswith("decoy") for kind in u.cues)
    if not guarded and u.isolated:
        for m in mentions:
            m.reason = m.reason or _name(u, m, people)
        return
    wide = u.has("decoy.sources", "decoy.sentence", "decoy.back", "decoy.far", "decoy.clause")
    for m in mentions:
        if m.reason is None:
            m.reason = (
                _set_phrase(u, m)
                or _doubted(u, m)
                or _the_one(u, m)
                or conditional(u, m)
                or _head_noun(u, m)
                or _listed_kit(u, m)
                or _word_before(u, m)
                or _name(u, m, people)
                or _credited(u, m, people)
                or ((_claimed(u, m) or _clause(u, m, mentions)) if wide else None)
            )
    for m in mentions:
        if m.reason is None:
            m.reason = _address(u, m, mentions) or decided_beside(u, m, mentions)
    if not u.isolated:
        for m in mentions:
            if m.reason is None:
                m.reason = (asked_level(u, m) if m.attribute else asked(u, m)) or about_another(u, m)
                m.reason = m.reason or (None if m.attribute else no_tasting(u, m))
        for before, m in pairwise(mentions):
            if (
                m.reason is None
                and before.reason == "another thing"
                and m.start == before.end
                and not u.is_break(m.start)
            ):
                m.reason = before.reason  # "the scoop's olive wood"


def _set_phrase(u: Utterance, m: Mention) -> str | None:
    for cue in u.of("decoy.phrases"):
        overlap = min(cue.end, m.end) - max(cue.start, m.start)
        longer = cue.end - cue.start > m.end - m.start
        same = overlap == m.end - m.start == cue.end - cue.start
        framed = cue.value in ("idiom", "nearby food") and any(
            f.end in (cue.start, m.start) and f.end > cue.start - 1 for f in u.of("frame") if f.end - f.start > 1
        )
        if overlap > 0 and (longer or same) and not framed:
            m.widen(cue.start, cue.end)
            return cue.value
    return None


def _doubted(u: Utterance, m: Mention) -> str | None:
    """ "Winey, not so sure": neither asserted nor denied."""
    for cue in u.of("decoy.tail"):
        if (
            m.end <= cue.start
            and sum(not u.is_filler(i) for i in range(m.end, cue.start)) <= 2
            and not any(m.end <= p.start < cue.start for p in u.pieces)
            and (cue.end >= len(u.words) or u.is_break(cue.end))
            and u.sentence[cue.start] <= u.sentence[m.start] + 1
        ):
            m.widen(m.start, cue.end)
            return cue.value
    return None


def _credited(u: Utterance, m: Mention, people: Collection[str]) -> str | None:
    """ "Boiled sweets from Chidi, candyfloss from Kiyo": what others said is read back."""
    named = m.end + 1 < len(u.words) and u.own[m.end] == "from" and u.words[m.end + 1][0].isupper()
    return "report" if named and u.words[m.end + 1].lower() in people else None


def _address(u: Utterance, m: Mention, mentions: list[Mention]) -> str | None:
    """A word that is also a way to call somebody, or an everyday word, counts only in a frame or among flavours."""
    if not u.has("decoy.frame_only", "decoy.vocative"):
        return None
    strict = any((c.start, c.end) == (m.start, m.end) for c in u.of("decoy.frame_only"))
    name = any((c.start, c.end) == (m.start, m.end) for c in u.of("decoy.vocative"))
    if not (strict or (name and _set_off(u, m))):
        return None
    first, last = u.sentence_range(m.start)
    if last - first <= 3 or any(
        o is not m and not o.attribute and o.reason is None and first <= o.start < last for o in mentions
    ):
        return None
    near = u.of(
        "frame",
        "degree.before",
        "hedge.before",
        "state",
        "place",
        "negation.before",
        "degree.after",
        "nose",
        "mouth",
        "moment",
        "assent.yes",
    )
    if any(first <= c.start < last and abs(c.start - m.start) <= 5 for c in near):
        return None
    return "address"


def _set_off(u: Utterance, m: Mention) -> bool:
    """Between marks, as a name that is called out stands."""
    first, last = u.sentence_range(m.start)
    return (m.start == first or "," in u.gaps[m.start]) and (m.end == last or "," in u.gaps[m.end])


def _head_noun(u: Utterance, m: Mention) -> str | None:
    """A noun right after the word takes it over: "orange kettle", "honey process"."""
    if m.attribute:
        return None
    for cue in u.of("decoy.after"):
        if cue.start == m.end and not u.is_break(m.end):
            m.widen(m.start, cue.end)
            return cue.value
    return None


def _listed_kit(u: Utterance, m: Mention) -> str | None:
    """ "New mugs: peach, lemon and sage": the colours of a thing named before a colon."""
    first = u.sentence_range(m.start)[0]
    for cue in u.of("decoy.after"):
        if (
            cue.value in ("equipment", "colour")
            and first <= cue.start <= first + 2
            and cue.end <= m.start
            and ":" in u.gaps[cue.end]
        ):
            return cue.value
    return None


def _word_before(u: Utterance, m: Mention) -> str | None:
    if (
        not m.attribute
        and u.own[m.start : m.end] == ["rose"]
        and any(p.end == m.start and p.descriptor is None for p in u.pieces)
    ):
        return "the verb"  # "the acidity rose"
    for cue in u.of("decoy.before"):
        if cue.end > m.start or m.start - cue.end > 2 or u.sentence[cue.start] != u.sentence[m.start]:
            continue
        if any(f.start <= cue.start and f.end == m.start and f.end - f.start > 2 for f in u.of("frame")):
            continue  # "I'd have called that toffee"
        if m.attribute and (cue.end - cue.start < 2 or u.own[cue.end - 1] != "like"):
            continue  # "that grind looks like sea salt"
        between = range(cue.end, m.start)
        if all(
            u.own[i] in u.lexicon.sets["determiners"] or u.lexicon.names.states.kinds.exact((u.own[i],))
            for i in between
        ) and not any(u.is_break(i) and ":" not in u.gaps[i] for i in range(cue.end, m.start + 1)):
            m.widen(cue.start, m.end)
            return cue.value
    return None


def _name(u: Utterance, m: Mention, people: Collection[str]) -> str | None:
    """A capital in running text before a verb or "and" is somebody: "our packers Olive and Rosemary"."""
    if m.attribute or m.end - m.start != 1:
        return None
    word = u.words[m.start]
    if word.lower() in people and word[0].isupper():
        return "name"
    if (
        not word[0].isupper()
        or word.isupper()
        or m.start == 0
        or u.stops(m.start)
        or u.gaps[m.start].strip(" ") not in ("", ",")
    ):
        return None
    before_is_capital = u.words[m.start - 1][0].isupper() and m.start - 1 > 0 and not u.stops(m.start - 1)
    verb = any(c.start == m.end and c.end == m.end + 1 for c in u.of("decoy.verbs"))
    lower_text = sum(w[0].islower() for w in u.words) > len(u.words) * 0.6
    return "name" if lower_text and (verb or before_is_capital) else None


def _the_one(u: Utterance, m: Mention) -> str | None:
    """ "The plum one", "ginger ones": a thing on the table is pointed at."""
    if m.attribute or m.end >= len(u.words) or u.is_break(m.end) or u.own[m.end] != "one":
        return None
    before = u.own[max(0, m.start - 2) : m.start]
    plural = u.words[m.end].lower() == "ones"
    pointed = any(w in u.lexicon.sets["pointers"] for w in before) and not any(
        w in u.lexicon.sets["likening"] for w in before
    )
    return "pointing" if plural or pointed else None


def _claimed(u: Utterance, m: Mention) -> str | None:
    first, last = u.sentence_range(m.start)
    sources = [c for c in u.of("decoy.sources") if first <= c.start < last and c.end <= m.start]
    for source in sources:
        if any(
            v.value == "claim" and v.start - source.end in (0, 1) and v.end <= m.start for v in u.of("decoy.verbs")
        ) and not _countered(u, source, m):
            return source.value
        if any(":" in u.gaps[i] for i in range(source.end, m.start + 1)) and source.start - first <= 2:
            return source.value  # "Importer's slip: lime and tamarind"
    for cue in u.of("decoy.sentence"):
        if cue.start >= m.end and u.follows("negation.before", m.start):
            continue  # "not cardboard, you licked the label"
        if first <= cue.start and cue.end <= last and not _countered(u, cue, m):
            m.widen(cue.start, max(cue.end, m.end)) if cue.end <= m.start and m.start - cue.end < 6 else None
            return cue.value
    return None


def _clause(u: Utterance, m: Mention, mentions: list[Mention]) -> str | None:
    first, last = u.sentence_range(m.start)
    for cue in u.of("decoy.back"):
        if u.sentence[cue.start] == u.sentence[m.start] + 1 and cue.start - last <= 1:
            return cue.value
        if m.end <= cue.start and cue.end == last and not u.follows("negation.before", m.start):
            return cue.value  # "I can smell tomato, and it isn't coming from this cup"
    for cue in u.of("decoy.far"):
        if first <= cue.start and cue.end <= m.start and m.start < last and not _countered(u, cue, m):
            return cue.value
    for cue in u.of("decoy.clause"):
        if cue.start < first or cue.end > last or _inside_name(cue, mentions):
            continue
        if any(m.end <= far.start <= cue.start for far in u.of("decoy.far")):
            continue
        if cue.value in ("report", "prediction") and m.end == cue.start:
            return cue.value  # "treacle, my mum says"
        if m.attribute and cue.value in ("recipe", "nearby food", "colour"):
            continue
        if cue.value == "question" and (not _is_question(u, cue, last) or _hesitates(u, cue)):
            continue
        if cue.value in ("other coffee", "prediction") and "than" in u.own[m.end : cue.start]:
            continue  # "fuller than I expected", "lighter than I thought it'd be"
        if cue.value == "question" and m.end <= cue.start and _lists(u, m, cue):
            return cue.value
        if u.clause[cue.start] == u.clause[m.start] and not _countered(u, cue, m):
            if m.end <= cue.start and (_frame_between(u, m, cue) or _remembered(u, m)):
                continue
            return cue.value
        if cue.value in _FAR and cue.end <= m.start and not _countered(u, cue, m):
            return cue.value
    return None


def _inside_name(cue: Cue, mentions: list[Mention]) -> bool:
    """A cue that is itself part of a flavour's name ("sugar" in "brown sugar") proves nothing."""
    return any(o.start <= cue.start and o.end >= cue.end and o.end - o.start > cue.end - cue.start for o in mentions)


def _is_question(u: Utterance, cue: Cue, last: int) -> bool:
    marks = ".?!," if u.isolated else ".?!"
    return "?" in u.gaps[last] or not any(mark in u.text for mark in marks)


def _sought(u: Utterance, m: Mention) -> bool:
    """Whether a search for the word ends in vain."""
    last = u.sentence_range(m.start)[1]
    return any(m.end <= c.start < last and c.end - c.start > 1 for c in u.of("negation.after"))


def _hesitates(u: Utterance, cue: Cue) -> bool:
    """ "There's, what is it, stewed plum?": a search for the word, not a question."""
    return any(f.start <= cue.start and cue.end < f.end and "?" not in u.gaps[f.end] for f in u.of("filler"))


def _lists(u: Utterance, m: Mention, cue: Cue) -> bool:
    """ "Phenol, onion, anything at all?": the question's words end a list of names."""
    named = u.named()
    return "," in u.gaps[m.end] and all(i in named or u.own[i] in ("or", "and") for i in range(m.end, cue.start))


def _countered(u: Utterance, cue: Cue, m: Mention) -> bool:
    """Words between the cue and the mention that turn to this cup: "..., but this one is all plum"."""
    low, high = (cue.end, m.start) if cue.end <= m.start else (m.end, cue.start)
    if any(u.own[i] in u.lexicon.sets["turning"] for i in range(low, high)):
        return True
    if cue.value == "wish" and _sought(u, m):
        return True  # "I keep hunting for raspberry and coming up short": denied, see `denial`
    there = any(c.start >= m.end and u.own[c.end - 1] in ("is", "are") and "there" in u.own[c.start : c.end]
                for c in u.of("counter") if u.sentence[c.start] == u.sentence[m.start])  # fmt: skip
    if there and cue.value == "wish":
        return True  # "I was looking for the mango, and there it is"
    return any(low <= c.start and c.end <= high for c in u.of("counter")) and cue.end <= m.start


def _remembered(u: Utterance, m: Mention) -> bool:
    """ "Reminded me of the huckleberries behind my house", "quince, like at my nan's": the memory is the likeness."""
    if u.own[m.end : m.end + 1] == ["like"]:
        return True
    near = [f for f in u.of("frame") if 0 <= m.start - f.end <= 3 and u.own[f.start] in u.lexicon.sets["reminding"]]
    return bool(near)


def _frame_between(u: Utterance, m: Mention, cue: Cue) -> bool:
    """ "peach and I'd love more of it": the finding stands before a clause of its own."""
    return any(u.own[i] in u.lexicon.sets["joining"] for i in range(m.end, cue.start)) and cue.start - m.end >= 1
