"""Rules about words, the ring, attributes and mis-hearings."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tastevocab.errors import Place
from tastevocab.vocabulary.model import Descriptor
from tastevocab.vocabulary.rules import Claim, Facts, Hit, Rule
from tastevocab.vocabulary.sources import Lines
from tastevocab.vocabulary.words import everyday, fold, split_words

CONTEXTS = ("frame", "near", "beside", "alone")
LEVELS = ("none", "low", "medium", "high")


def is_ordinary(phrase: str) -> bool:
    """Whether a phrase is one everyday English word."""
    word = fold(phrase.strip())
    return word.isalpha() and word in everyday("en")


def word_twice(facts: Facts) -> Iterator[Hit]:
    """A name that two descriptors claim in one language (spelling, number and spacing do not tell them apart)."""
    first: dict[tuple[str, str], Claim] = {}
    told: set[tuple[str, str, str]] = set()
    for claim in facts.claims:
        form = facts.same_form(claim.word)
        if not form:
            continue
        other = first.setdefault((claim.language, form), claim)
        key = (claim.language, form, claim.owner.id)
        if other.owner.id != claim.owner.id and key not in told:
            told.add(key)
            as_ = "heard as " if claim.heard or other.heard else ""
            values = {"word": claim.word, "language": claim.language, "here": claim.owner.id, "there": other.owner.id}
            yield Hit(claim.place, values | {"where": other.place, "as_": as_})


def label_taken(facts: Facts) -> Iterator[Hit]:
    """A print label that is the name or label of another descriptor: customers would read one and mean the other."""
    read = facts.draft.languages[0]  # the language of labels: "pomelo" is also the Spanish for grapefruit
    names = [c for c in reversed(facts.claims) if c.language == read and not c.heard and _prints_apart(c.owner)]
    first = {facts.same_form(c.word): c.owner for c in names}
    for d in facts.draft.descriptors:
        form = facts.same_form(d.print)
        if form and _prints_apart(d):
            other = first.setdefault(form, d)
            if other.id != d.id:
                yield Hit(facts.draft.place_of(d, "print"), {"id": d.id, "label": d.print, "other": other.id})


def _prints_apart(d: Descriptor) -> bool:
    """A category may be called what its broad word is called, a thing what its plain note is, and a retired id what its
    successor is called."""
    return d.level not in ("category", "thing") and not d.use_instead


def word_also_heard(facts: Facts) -> Iterator[Hit]:
    """A name listed twice by one descriptor: as a word and as heard (SKOS S13), or twice in a list."""
    seen: dict[tuple[str, str, str], Claim] = {}
    for claim in facts.claims:
        key = (claim.owner.id, claim.language, claim.word.lower())
        other = seen.setdefault(key, claim)
        if other is not claim and other.owner is claim.owner:
            how = "as a word and as heard" if other.heard != claim.heard else "twice"
            yield Hit(claim.place, {"id": claim.owner.id, "word": claim.word, "how": how})


def ordinary_heard(facts: Facts) -> Iterator[Hit]:
    """A mis-hearing of a descriptor that is an everyday word: it would turn plain talk into flavours."""
    for claim in facts.claims:
        if claim.heard and is_ordinary(claim.word):
            yield Hit(claim.place, {"id": claim.owner.id, "word": claim.word})


def heard_without_context(facts: Facts) -> Iterator[Hit]:
    """An entry of the mis-hearings file that is an everyday word and asks for no context."""
    for phrase, entry in _mishearings(facts):
        if is_ordinary(phrase) and not any(entry.get(key) for key in CONTEXTS):
            yield Hit(entry.place(), {"word": phrase})


def unknown_meaning(facts: Facts) -> Iterator[Hit]:
    """An entry of the mis-hearings file that means, or stands near, no one descriptor or attribute."""
    attributes = {f"attribute/{a.id}" for a in facts.draft.attributes} | {"attribute"}
    for phrase, entry in _mishearings(facts):
        near = entry.get("near")
        for name in (entry.get("means", ""), *(near if isinstance(near, list) else ())):
            if str(name) not in attributes and facts.target(str(name)) is None:
                yield Hit(entry.place(), {"word": phrase, "name": name})


def _mishearings(facts: Facts) -> Iterator[tuple[str, Lines]]:
    file = facts.draft.language.get("mishearings")
    if not isinstance(file, Lines):
        return
    for key, value in file.items():
        if isinstance(value, Lines):
            value.line = file.lines[key]
            yield str(key), value


def odd_phrase(facts: Facts) -> Iterator[Hit]:
    """A list in a language file that holds something else than phrases."""
    for name, file in _phrase_files(facts):
        for key, phrase, place in _phrases(file):
            if not (isinstance(phrase, (str, int, float)) and str(phrase).strip()):
                yield Hit(place, {"name": name, "key": key, "phrase": phrase})


def phrase_twice(facts: Facts) -> Iterator[Hit]:
    """A phrase that stands twice in one list of a language file."""
    for name, file in _phrase_files(facts):
        seen: set[tuple[int, str, str]] = set()
        for key, phrase, place in _phrases(file):
            this = (place.line, key, str(phrase).lower())
            if this in seen:
                yield Hit(place, {"name": name, "key": key, "phrase": phrase})
            seen.add(this)


def _phrase_files(facts: Facts) -> Iterator[tuple[str, Any]]:
    """The language files that people write: the fitted weights are numbers under names of features."""
    return ((name, file) for name, file in facts.draft.language.items() if name != "weights")


def _phrases(value: Any) -> Iterator[tuple[str, Any, Place]]:
    """(key, phrase, place) of every list below a mapping."""
    for key, held in value.items() if isinstance(value, Lines) else ():
        if isinstance(held, list):
            yield from ((str(key), phrase, value.place(key)) for phrase in held)
        else:
            yield from _phrases(held)


def empty_word(facts: Facts) -> Iterator[Hit]:
    """A name without a letter or digit in it."""
    for claim in facts.claims:
        if not split_words(claim.word):
            yield Hit(claim.place, {"id": claim.owner.id, "word": claim.word})


def ring_clash(facts: Facts) -> Iterator[Hit]:
    """The ring gives every category its hue: each flavour category once, nothing else."""
    ring, place = facts.draft.ring, facts.draft.places.get(("", "ring"), facts.draft.about_place)
    categories = [d for d in facts.by_id.values() if d.level == "category" and not d.fault]
    for id in dict.fromkeys(ring):
        if ring.count(id) > 1:
            yield Hit(place, {"id": id, "wrong": "stands in it twice", "mend": "keep it once"})
        if id not in {d.id for d in categories}:
            yield Hit(place, {"id": id, "wrong": "is no flavour category", "mend": "take it out"})
    for d in categories:
        if d.id not in ring:
            yield Hit(d.place, {"id": d.id, "wrong": "is missing from it", "mend": "put it in its walking order"})


def hue_clash(facts: Facts) -> Iterator[Hit]:
    """Two categories that were given the same colour."""
    first: dict[float, str] = {}
    for d in facts.by_id.values():
        if d.hue is not None:
            other = first.setdefault(d.hue, d.id)
            if other != d.id:
                yield Hit(facts.draft.place_of(d, "hue"), {"id": d.id, "hue": f"{d.hue:g}", "other": other})


def odd_scale(facts: Facts) -> Iterator[Hit]:
    """An attribute whose scale is no five words, or whose levels are not none, low, medium, high in order."""
    for a in facts.draft.attributes:
        if len(a.scale) != 5:
            yield Hit(a.place, {"id": a.id, "wrong": f"has {len(a.scale)} scale words"})
        if len(a.levels) != 5 or any(level not in LEVELS for level in a.levels):
            yield Hit(a.place, {"id": a.id, "wrong": f"has levels {', '.join(a.levels)}"})
        elif list(a.levels) != sorted(a.levels, key=LEVELS.index):
            yield Hit(a.place, {"id": a.id, "wrong": "has levels that do not rise"})
        if a.denied not in LEVELS:
            yield Hit(a.place, {"id": a.id, "wrong": f"says {a.denied!r} when denied"})


def attribute_word_twice(facts: Facts) -> Iterator[Hit]:
    """A word that two attributes claim as meaning a step of theirs wherever it stands."""
    first: dict[str, str] = {}
    for a in facts.draft.attributes:
        for word in (*a.names, *a.words):
            other = first.setdefault(facts.same_form(word), a.id)
            if other != a.id:
                yield Hit(a.place, {"id": a.id, "word": word, "other": other})


WORD_RULES = (
    Rule(
        "word-twice",
        "error",
        "{word!r} ({as_}{language}) of {here} belongs to {there} at {where}",
        "keep it at one of the two",
        word_twice,
    ),
    Rule(
        "label-taken",
        "warning",
        "{id} prints as {label!r}, which means {other}",
        "give it a label of its own",
        label_taken,
    ),
    Rule("word-also-heard", "warning", "{id} lists {word!r} {how}", "keep it once", word_also_heard),
    Rule(
        "ordinary-heard",
        "error",
        "{id}: heard {word!r} is an everyday word",
        "move it to mishearings.yaml with a context",
        ordinary_heard,
    ),
    Rule(
        "heard-without-context",
        "error",
        "{word!r} is an everyday word and needs no context here",
        "say when it may be repaired: frame, near, beside or alone",
        heard_without_context,
    ),
    Rule(
        "unknown-meaning",
        "error",
        "mis-hearing {word!r} names {name!r}, which is no one descriptor",
        "name an id, or attribute/its_id",
        unknown_meaning,
    ),
    Rule("odd-phrase", "error", "{name}: {key} holds {phrase!r}", "a list holds words and phrases only", odd_phrase),
    Rule("phrase-twice", "warning", "{name}: {key} lists {phrase!r} twice", "keep it once", phrase_twice),
    Rule("empty-word", "error", "{id}: {word!r} holds no letter", "take it out", empty_word),
    Rule("ring-clash", "error", "ring: {id} {wrong}", "{mend}", ring_clash),
    Rule("hue-clash", "error", "{id} has the hue {hue} of {other}", "leave `hue:` out, or give it another", hue_clash),
    Rule(
        "odd-scale",
        "error",
        "attribute {id} {wrong}",
        "five scale words, five rising levels of none, low, medium, high",
        odd_scale,
    ),
    Rule(
        "attribute-word-twice",
        "error",
        "attribute {id}: {word!r} belongs to {other} too",
        "keep it at one, or under `beside:`",
        attribute_word_twice,
    ),
)
