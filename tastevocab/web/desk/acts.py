"""What a person does at the desk, as changes of the decisions: pure, from the decisions as they are to new ones."""

from __future__ import annotations

from dataclasses import dataclass, replace

from tastevocab.errors import InputError
from tastevocab.reading.records import SetAside, Unresolved
from tastevocab.reading.review.context import Key, Texts, folded
from tastevocab.reading.review.decisions import Decision, Verb, decided
from tastevocab.reading.review.details import NOTHING, Details
from tastevocab.reading.review.said import Said
from tastevocab.web.desk.marks import Mark

Entries = tuple[Decision, ...]
_NO_SUCH = "this is not known to the vocabulary"
_SETS_ASIDE = ("reject", "ignore", "house")


@dataclass(frozen=True, slots=True)
class Meaning:
    """What words are taken for: a descriptor (a `fault` or none), or an attribute at a level; found or denied (None: as
    it was read)."""

    descriptor: str | None = None
    attribute: str | None = None
    level: str | None = None
    present: bool | None = None
    fault: bool = False

    @property
    def empty(self) -> bool:
        """Whether it names nothing."""
        return not self.descriptor and not self.attribute


def keep(entries: Entries, mark: Mark, key: Key, details: Details = NOTHING, present: bool | None = None) -> Entries:
    """The mark counts as it was read, or as it was changed before; `details` are laid over what was said of it.

    Raises `InputError` for an unknown word, which must be something first.
    """
    old = mark.decision
    if old and old.decide not in _SETS_ASIDE:
        new = replace(
            old if mark.added or _of_one(old) else decided(key, old.decide, old.descriptor, fault=old.fault),
            present=old.present if present is None else present,
            details=details.over(old.details),
        )
        return (*_without(entries, mark, key), new)
    if isinstance(mark.was, Unresolved):
        raise InputError(_NO_SUCH, mend="say what it is, or set it aside")
    return _about(entries, mark, key, decided(key, "accept", details=details, present=present))


def wrong(entries: Entries, mark: Mark, key: Key) -> Entries:
    """The mark is no finding. What was added is taken away."""
    if mark.added:
        return _without(entries, mark, key)
    return _about(entries, mark, key, decided(key, "reject"))


def change(entries: Entries, mark: Mark, key: Key, meaning: Meaning) -> Entries:
    """The mark means something else. Raises `InputError` where `meaning` names nothing."""
    if meaning.empty:
        raise InputError("it was not said what it is", mend="type a word of the vocabulary and choose")
    details = Details(attribute=meaning.attribute, level=meaning.level)
    old = mark.decision
    if old and old.decide not in _SETS_ASIDE:
        details = details.over(replace(old.details, attribute=None, level=None))
    what, fault, present = meaning.descriptor, meaning.fault, meaning.present
    if mark.added and old:
        new = replace(old, descriptor=what, fault=fault, present=present, details=details)
        return (*_without(entries, mark, key), new)
    verb: Verb = "change"
    if what and what == key.was and not isinstance(mark.was, SetAside):
        verb = "accept"
    return _about(entries, mark, key, decided(key, verb, what, fault=fault, present=present, details=details))


def forget(entries: Entries, mark: Mark, key: Key) -> Entries:
    """As it was read: whatever was decided about this mark alone is taken back.

    Raises `InputError` where nothing was.
    """
    if mark.decision is None:
        raise InputError("nothing was decided about this", mend="keep it, change it, or say that it is wrong")
    return tuple(d for d in _without(entries, mark, key) if d != mark.decision)


def everywhere(entries: Entries, key: Key, verb: Verb, meaning: Meaning) -> Entries:
    """The same for these words, read as the same, wherever they stand."""
    details = Details(attribute=meaning.attribute, level=meaning.level)
    made = decided(key, verb, meaning.descriptor, fault=meaning.fault, present=meaning.present, details=details).wide()
    return (*(d for d in entries if d.key != made.key or not d.everywhere), made)


def never(entries: Entries, words: str) -> Entries:
    """These words are asked about no more, and are no finding, wherever they stand in this file."""
    made = Decision("ignore", " ".join(words.split()))
    return (*(d for d in entries if d.decide != "ignore" or folded(d.words) != folded(words)), made)


def add(
    entries: Entries, said: Said, texts: Texts, place: tuple[int, int], meaning: Meaning, details: Details
) -> Entries:
    """A finding of words where nothing was read. Raises `InputError` for no words or no meaning."""
    start, end = trimmed(said, *place)
    if meaning.empty:
        raise InputError("it was not said what it is", mend="type a word of the vocabulary and choose")
    where = said.mark(start, end, texts)
    details = Details(attribute=meaning.attribute, level=meaning.level).over(details)
    made = Decision(
        "add", where.words, note=where.note, occurrence=where.occurrence, context=where.context,
        descriptor=meaning.descriptor, fault=meaning.fault, present=meaning.present, details=details,
    )  # fmt: skip
    return (*(d for d in entries if not _same_added(d, made)), made)


def house(entries: Entries, words: str, descriptor: str) -> Entries:
    """These words are a house word from now on."""
    made = Decision("house", " ".join(words.split()), descriptor=descriptor)
    return (*(d for d in entries if d.decide != "house" or folded(d.words) != folded(words)), made)


def trimmed(said: Said, start: int, end: int) -> tuple[int, int]:
    """The words of [start, end) without blanks and marks of speech around. Raises `InputError` where there are none."""
    words = said.text[max(start, 0) : max(end, 0)] if start < end else ""
    bare = words.strip().strip('.,;:!?…"“”()').strip()
    if not bare:
        raise InputError("no words were chosen", mend="choose one word or more in the text")
    at = max(start, 0) + words.index(bare)
    return at, at + len(bare)


def _same_added(d: Decision, made: Decision) -> bool:
    same = (d.decide, folded(d.words), d.note, d.occurrence, d.context) == (
        "add", folded(made.words), made.note, made.occurrence, made.context,
    )  # fmt: skip
    return same and (d.descriptor, d.details.attribute) == (made.descriptor, made.details.attribute)


def _about(entries: Entries, mark: Mark, key: Key, made: Decision) -> Entries:
    """A decision about one item, in place of what was decided about it before."""
    return (*_without(entries, mark, key), made)


def _without(entries: Entries, mark: Mark, key: Key) -> Entries:
    """The entries without those about this very mark."""
    gone = replace(key, words=folded(key.words))
    own = mark.decision if mark.decision and (mark.added or _of_one(mark.decision)) else None
    return tuple(d for d in entries if d != own and (mark.added or d.key != gone))


def _of_one(d: Decision) -> bool:
    """Whether a decision is about one place."""
    return bool(d.occurrence) and not d.everywhere
