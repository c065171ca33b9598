"""Rules about languages and regions: which are spoken, where one name means two things, what their files hold."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from itertools import combinations
from pathlib import Path

from tastevocab.vocabulary.rules import Claim, Facts, Hit, Rule
from tastevocab.vocabulary.sources import Lines
from tastevocab.vocabulary.tongues import PARTS, TAG, TONGUE, base_of
from tastevocab.vocabulary.words import fold


def unknown_language(facts: Facts) -> Iterator[Hit]:
    """Words in a language that the vocabulary does not say it speaks, or a tag that is none."""
    spoken = set(facts.draft.languages)
    for d in facts.draft.descriptors:
        for language in d.words:
            if language not in spoken:
                place = facts.draft.place_of(d, "words")
                yield Hit(place, {"id": d.id, "tag": language, "spoken": ", ".join(sorted(spoken))})
    for tag in facts.draft.languages:
        if not TAG.fullmatch(tag):
            place = facts.draft.places.get(("", "languages"), facts.draft.about_place)
            yield Hit(place, {"id": "languages", "tag": tag, "spoken": "tags such as en, es or pt-BR"})


def two_meanings(facts: Facts) -> Iterator[Hit]:
    """A name that means one thing in one language or region and another in a second, where a text need not say which:
    two languages (unless they are known false friends), two regions without a meaning for the whole language, or a
    region within a region."""
    friends = {facts.same_form(word) for word in facts.draft.false_friends}
    names: dict[str, list[Claim]] = defaultdict(list)
    for claim in facts.claims:
        if not claim.heard:
            names[facts.same_form(claim.word)].append(claim)
    for form, claims in names.items():
        whole = {c.language for c in claims}
        for a, b in combinations(claims, 2):
            if _means(a) != _means(b) and _unsaid(a.language, b.language, whole, friend=form in friends):
                values = {"word": b.word, "here": b.owner.id, "language": b.language}
                yield Hit(b.place, values | {"there": a.owner.id, "other": a.language, "where": a.place})


def _means(claim: Claim) -> str:
    return claim.owner.use_instead or claim.owner.id


def _unsaid(a: str, b: str, claimed: set[str], *, friend: bool) -> bool:
    """Whether a text may be in both languages, and nothing says which of them has the say."""
    if a == b:
        return False  # told as a name of two descriptors
    if base_of(a) != base_of(b):
        return "-" not in a and "-" not in b and not friend
    regions = "-" in a and "-" in b
    return regions and (base_of(a) not in claimed or any(tag.rsplit("-", 1)[1].isdigit() for tag in (a, b)))


def odd_tongue(facts: Facts) -> Iterator[Hit]:
    """A part, pattern or quality of a language's file that nothing reads."""
    rules = facts.draft.language.get("rules") or {}
    beginnings, ends = ({str(id).rpartition(".")[at] for id in rules} for at in (0, 2))
    home = Path(facts.draft.about_place.file).parent
    for name, top in facts.draft.language.items():
        if not name.startswith(TONGUE) or not isinstance(top, Lines) or Path(top.file).parent != home:
            continue
        yield from _odd(top, name, "part", lambda key: key in PARTS)
        yield from _odd(
            top.get("rules"),
            name,
            "pattern",
            lambda id: id in rules or (id.rpartition(".")[0] in beginnings and id.rpartition(".")[2] in ends),
        )
        yield from _odd(top.get("qualities"), name, "quality", {a.id for a in facts.draft.attributes}.__contains__)


def _odd(held: object, file: str, what: str, known: Callable[[str], bool]) -> Iterator[Hit]:
    if isinstance(held, Lines):
        yield from (
            Hit(held.place(key), {"file": file, "what": what, "key": key}) for key in held if not known(str(key))
        )


def reserved_word(facts: Facts) -> Iterator[Hit]:
    """A name that denies, doubts, agrees or corrects: the reading needs it for that."""
    rules = facts.draft.language.get("rules") or {}
    kinds = ("denial.before", "denial.after", "doubt.before", "doubt.after", "assent.yes", "assent.no")
    taken = {fold(str(word)): kind for kind in kinds for word in rules.get(kind, {}).get("words", ())}
    for claim in facts.claims:
        if not claim.heard and fold(claim.word) in taken and claim.language == facts.draft.languages[0]:
            yield Hit(claim.place, {"id": claim.owner.id, "word": claim.word, "kind": taken[fold(claim.word)]})


LANGUAGE_RULES = (
    Rule(
        "unknown-language",
        "error",
        "{id}: {tag!r} is no language of this vocabulary ({spoken})",
        "mend the tag, or add it to `languages:`",
        unknown_language,
    ),
    Rule(
        "two-meanings",
        "warning",
        "{word!r} means {here} ({language}) and {there} ({other}, {where}): nothing says which",
        "give it one meaning, or a region (es-MX) beside one for the whole language, or list it under `false_friends:`",
        two_meanings,
    ),
    Rule(
        "odd-tongue",
        "error",
        "{file}: {key!r} is no {what} that is read",
        "name it as rules.yaml and attributes.yaml do",
        odd_tongue,
    ),
    Rule("reserved-word", "error", "{id}: {word!r} is a {kind} cue", "use a longer phrase", reserved_word),
)
