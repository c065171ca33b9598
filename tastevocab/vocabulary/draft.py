"""What vocabulary and house files say before anything is checked, and how one entry of them is read.

A draft may be wrong in any way: a value of the wrong kind is noted and left out, a reference may point nowhere.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from tastevocab.errors import Place, VocabularyError
from tastevocab.vocabulary.model import Attribute, Descriptor, Level, Reference, TwoFaced
from tastevocab.vocabulary.sources import Lines

_COMMON = {"print", "about", "words", "heard", "kin", "reference", "use_instead"}
_OF_FAULTS = {"stage", "ask", "hold"}
DESCRIPTOR_KEYS: dict[Level, set[str]] = {
    "category": _COMMON | {"category", "families", "hue"},
    "family": _COMMON | _OF_FAULTS | {"notes", "state"},
    "note": _COMMON | _OF_FAULTS | {"parts", "state", "thing", "form"},
    "reach": _COMMON | {"home", "span"},
    "thing": _COMMON | {"home", "span"},
}
REFERENCE_KEYS = {"make", "allergens", "keep", "care"}
ATTRIBUTE_KEYS = {
    "print", "group", "about", "scale", "levels", "names", "bare", "words", "beside", "denied", "reference",
}  # fmt: skip
TWO_FACED_KEYS = {"flavour", "fault", "ask"}


@dataclass(frozen=True, slots=True)
class Problem:
    """Something wrong with a vocabulary: a rule's `code`, what and where, how to mend it."""

    code: str
    severity: str
    place: Place
    what: str
    mend: str

    def __str__(self) -> str:
        return f"{self.place}: {self.severity} {self.code}: {self.what}\n  mend: {self.mend}"


@dataclass(frozen=True, slots=True)
class OddKey:
    """A key that no reader asks for, and the keys it could have been."""

    key: str
    place: Place
    known: tuple[str, ...]


@dataclass(slots=True)
class Draft:
    """The entries of all files, as they stand. `places` remembers where a key of a descriptor stands."""

    name: str = ""
    version: str = ""
    hash: str = ""
    ring: tuple[str, ...] = ()
    languages: tuple[str, ...] = ("en",)
    allergens: tuple[str, ...] = ()
    false_friends: tuple[str, ...] = ()
    about_place: Place = field(default_factory=lambda: Place("00-about.yaml"))
    descriptors: list[Descriptor] = field(default_factory=list)
    attributes: list[Attribute] = field(default_factory=list)
    two_faced: list[TwoFaced] = field(default_factory=list)
    language: dict[str, Any] = field(default_factory=dict)
    ignored: tuple[str, ...] = ()
    problems: list[Problem] = field(default_factory=list)
    places: dict[tuple[str, str], Place] = field(default_factory=dict)
    odd_keys: list[OddKey] = field(default_factory=list)

    def fault(self, place: Place, what: str, mend: str, code: str = "type") -> None:
        """Note a structural problem and go on."""
        self.problems.append(Problem(code, "error", place, what, mend))

    def unreadable(self, problem: VocabularyError) -> None:
        """Note that a file is no readable YAML and go on without it."""
        self.fault(problem.place or Place(""), problem.what, problem.mend, "yaml")

    def place_of(self, descriptor: Descriptor, key: str) -> Place:
        """Where a key of a descriptor stands (the descriptor's own line if the key is not given)."""
        return self.places.get((descriptor.id, key), descriptor.place)

    def know_keys(self, entry: Lines, known: set[str]) -> None:
        """Note keys of `entry` that are not in `known`."""
        if not known.issuperset(entry):
            odd = [OddKey(str(key), entry.place(key), tuple(sorted(known))) for key in entry if key not in known]
            self.odd_keys.extend(odd)


# --- entries ---


def descriptor(
    draft: Draft, id: str, level: Level, home: str | None, entry: Lines, *, fault: bool = False
) -> Descriptor:
    """One descriptor from its mapping; wrong types and unknown keys are noted in the draft."""
    draft.know_keys(entry, DESCRIPTOR_KEYS[level])
    draft.places.update(((id, key), entry.place(key)) for key in entry)
    return Descriptor(
        id=id,
        level=level,
        print=text_of(draft, entry, "print"),
        home=home,
        about=text_of(draft, entry, "about"),
        words=words_of(draft, entry),
        heard=names_of(draft, entry, "heard"),
        kin=names_of(draft, entry, "kin"),
        parts=names_of(draft, entry, "parts"),
        span=names_of(draft, entry, "span"),
        thing=f"reach/{thing}" if (thing := text_of(draft, entry, "thing")) not in ("", "none") else "",
        form=text_of(draft, entry, "form"),
        state=text_of(draft, entry, "state"),
        fault=fault,
        hold=flag_of(draft, entry, "hold"),
        stage=text_of(draft, entry, "stage"),
        ask=text_of(draft, entry, "ask"),
        reference=reference_of(draft, entry),
        use_instead=text_of(draft, entry, "use_instead"),
        hue=_hue(draft, entry),
        place=entry.place(),
    )


def _hue(draft: Draft, entry: Lines) -> float | None:
    value = entry.get("hue")
    if value is None:
        return None
    if isinstance(value, (int, float)) and not isinstance(value, bool) and 0 <= value < 360:
        return float(value)
    draft.fault(entry.place("hue"), "hue should be a number of degrees", "write 0 to 359, or leave it out")
    return None


def attribute(draft: Draft, id: str, entry: Lines) -> Attribute:
    """One attribute from its mapping."""
    draft.know_keys(entry, ATTRIBUTE_KEYS)
    bare = entry.get("bare", 0)
    if not isinstance(bare, int) or isinstance(bare, bool) or not 0 <= bare <= 5:
        draft.fault(entry.place("bare"), f"bare {bare!r} is no step", "use 1 to 5, or 0 for none")
        bare = 0
    return Attribute(
        id=id,
        print=text_of(draft, entry, "print"),
        group=text_of(draft, entry, "group"),
        scale=names_of(draft, entry, "scale"),
        names=names_of(draft, entry, "names"),
        words=_steps(draft, mapping_of(draft, entry, "words")),
        beside=_steps(draft, mapping_of(draft, entry, "beside")),
        bare=bare,
        levels=names_of(draft, entry, "levels") or ("none", "low", "medium", "high", "high"),
        about=text_of(draft, entry, "about"),
        denied=text_of(draft, entry, "denied") or "none",
        reference=reference_of(draft, entry),
        place=entry.place(),
    )


def _steps(draft: Draft, steps: Lines) -> dict[str, int]:
    words: dict[str, int] = {}
    for step in steps:
        if not str(step).isdigit() or not 1 <= int(step) <= 5:
            draft.fault(steps.place(step), f"step {step!r} is not 1 to 5", "use 1 (lowest) to 5 (highest)")
            continue
        for word in names_of(draft, steps, step):
            if words.setdefault(word, int(step)) != int(step):
                draft.fault(
                    steps.place(step), f"{word!r} stands at step {words[word]} and at step {step}", "keep one of them"
                )
    return words


def two_faced(draft: Draft, word: str, entry: Lines) -> TwoFaced:
    """One two-faced word from its mapping."""
    draft.know_keys(entry, TWO_FACED_KEYS)
    flavour, fault, ask = (text_of(draft, entry, key) for key in ("flavour", "fault", "ask"))
    return TwoFaced(word, flavour, fault, ask, entry.place())


def reference_of(draft: Draft, entry: Lines) -> Reference | None:
    """The kitchen reference of an entry, or None."""
    given = entry.get("reference")
    if given is None:
        return None
    if not isinstance(given, Lines):
        draft.fault(entry.place("reference"), "reference is no mapping", "write {make: ..., allergens: [], keep: ...}")
        return None
    draft.know_keys(given, REFERENCE_KEYS)
    return Reference(
        make=text_of(draft, given, "make"),
        allergens=names_of(draft, given, "allergens"),
        keep=text_of(draft, given, "keep"),
        care=text_of(draft, given, "care"),
    )


# --- values of the right kind, or a note of what is wrong ---


def entries_of(draft: Draft, mapping: Lines) -> Iterator[tuple[str, Lines]]:
    """The (id, mapping) pairs of a mapping of mappings; an entry's place is the line of its id."""
    for key, value in mapping.items():
        if isinstance(value, Lines):
            value.line = mapping.lines[key]
            yield str(key), value
        else:
            draft.fault(mapping.place(key), f"{key!r} should hold a mapping", "indent its lines below it")


def mapping_of(draft: Draft, entry: Lines, key: Any) -> Lines:
    """The mapping under `key` (empty if there is none)."""
    value = entry.get(key)
    if isinstance(value, Lines):
        return value
    if value is not None:
        draft.fault(entry.place(key), f"{key} should hold a mapping", "indent `name:` lines below it")
    return Lines(entry.file, entry.line)


def text_of(draft: Draft, entry: Lines, key: str) -> str:
    """The text under `key` ("" if there is none); a number is taken as it is written."""
    value = entry.get(key)
    if value is None:
        return ""
    if _is_plain(value):
        return str(value)
    draft.fault(entry.place(key), f"{key} should be a word or a sentence", "write plain text, in quotes if in doubt")
    return ""


def flag_of(draft: Draft, entry: Lines, key: str) -> bool:
    """True or false under `key` (false if there is none)."""
    value = entry.get(key, False)
    if isinstance(value, bool):
        return value
    draft.fault(entry.place(key), f"{key} should be true or false", "write `true`, or leave the line out")
    return False


def names_of(draft: Draft, entry: Lines, key: Any) -> tuple[str, ...]:
    """The list of words under `key` (empty if there is none)."""
    value = entry.get(key)
    if value is None:
        return ()
    if isinstance(value, list) and all(_is_plain(v) for v in value):
        return tuple(str(v) for v in value)
    draft.fault(entry.place(key), f"{key} should be a list of words", f"write `{key}: [one, two]`")
    return ()


def words_of(draft: Draft, entry: Lines, key: str = "words") -> dict[str, tuple[str, ...]]:
    """Names by language tag."""
    given = mapping_of(draft, entry, key)
    return {str(language): names_of(draft, given, language) for language in given}


def _is_plain(value: Any) -> bool:
    return isinstance(value, (str, int, float)) and not isinstance(value, bool)
