"""Vocabulary files to records: `read_draft` collects, `build` resolves references and seals.

Load, check, build are three steps: a draft may be wrong in any way and still be looked at by `check.py`.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from importlib import resources
from pathlib import Path
from typing import Any

from tastevocab.errors import Place, VocabularyError
from tastevocab.vocabulary.model import Attribute, Descriptor, Level, Reference, TwoFaced, Vocabulary
from tastevocab.vocabulary.sources import Lines, read_yaml, yaml_files

ABOUT = "00-about.yaml"
REACH = "reach_words.yaml"
FAULTS = "faults.yaml"
ATTRIBUTES = "attributes.yaml"
TWO_FACED = "two_faced.yaml"
NOT_CATEGORIES = {ABOUT, REACH, FAULTS, ATTRIBUTES, TWO_FACED}
LANGUAGE_FILES = ("degrees", "cues", "decoys", "mishearings", "states", "spellings", "ordinary")


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


@dataclass(slots=True)
class Draft:
    """What the files say before anything is checked: descriptors may repeat, references may point nowhere."""

    name: str = ""
    version: str = ""
    hash: str = ""
    ring: tuple[str, ...] = ()
    languages: tuple[str, ...] = ("en",)
    about_place: Place = field(default_factory=lambda: Place(ABOUT))
    descriptors: list[Descriptor] = field(default_factory=list)
    attributes: list[Attribute] = field(default_factory=list)
    two_faced: list[TwoFaced] = field(default_factory=list)
    language: dict[str, Any] = field(default_factory=dict)
    ignored: tuple[str, ...] = ()
    problems: list[Problem] = field(default_factory=list)

    def fault(self, place: Place, what: str, mend: str, code: str = "type") -> None:
        """Note a structural problem and go on."""
        self.problems.append(Problem(code, "error", place, what, mend))


def default_folder() -> Path:
    """Where the coffee vocabulary lies: beside the package in the source tree, inside it when installed."""
    packaged = Path(str(resources.files("tastevocab"))) / "_vocab" / "coffee"
    if packaged.is_dir():
        return packaged
    beside = Path(__file__).resolve().parents[2] / "vocab" / "coffee"
    if beside.is_dir():
        return beside
    raise VocabularyError(
        "the vocabulary that ships with tastevocab is missing", place=Place(str(packaged)), mend="install it again"
    )


def content_digest(folder: Path, *more: Path) -> str:
    """SHA-256 (hex) over the names and bytes of all YAML files in `folder`, by name, then of the files in `more`."""
    digest = hashlib.sha256()
    for path in (*yaml_files(folder), *more):
        try:
            data = path.read_bytes()
        except OSError as problem:
            raise VocabularyError(
                f"cannot be read: {problem.strerror}",
                place=Place(os.fspath(path)),
                mend="check the path and its rights",
            ) from None
        for part in (path.name.encode(), data.replace(b"\r\n", b"\n")):
            digest.update(part)
            digest.update(b"\0")
    return digest.hexdigest()


def content_hash(folder: Path) -> str:
    """The first 16 hex digits of `content_digest`: short enough for a footer, long enough to tell versions apart."""
    return content_digest(folder)[:16]


def read_draft(folder: Path) -> Draft:
    """All files of a vocabulary folder as a draft; structural faults are kept in `problems`.

    Raises `VocabularyError` only where a file cannot be read as YAML at all.
    """
    draft = Draft(hash=content_hash(folder))
    found = {path.name: path for path in yaml_files(folder)}
    _read_about(draft, found, folder)
    for name, path in found.items():
        stem = path.stem
        if name == REACH:
            draft.descriptors.extend(_reach_words(draft, _top(draft, path)))
        elif name == FAULTS:
            _read_faults(draft, _top(draft, path))
        elif name == ATTRIBUTES:
            draft.attributes.extend(_attributes(draft, _top(draft, path)))
        elif name == TWO_FACED:
            draft.two_faced.extend(_two_faced(draft, _top(draft, path)))
        elif stem in LANGUAGE_FILES:
            draft.language[stem] = _top(draft, path)
        elif name not in NOT_CATEGORIES:
            _read_category(draft, _top(draft, path))
    return draft


def _top(draft: Draft, path: Path) -> Lines:
    value = read_yaml(path)
    if isinstance(value, Lines):
        return value
    draft.fault(Place(os.fspath(path), 1), "should hold a mapping", "write `key: value` lines")
    return Lines(os.fspath(path), 1)


def _read_about(draft: Draft, found: Mapping[str, Path], folder: Path) -> None:
    if ABOUT not in found:
        draft.fault(Place(os.fspath(folder)), f"has no {ABOUT}", "add one with name, version, languages and ring")
        return
    about = _top(draft, found[ABOUT])
    draft.about_place = Place(about.file, 1)
    draft.name = _text(draft, about, "name")
    draft.version = _text(draft, about, "version")
    draft.ring = _names(draft, about, "ring")
    draft.languages = _names(draft, about, "languages") or ("en",)


def _read_category(draft: Draft, top: Lines) -> None:
    id = _text(draft, top, "category")
    if not id:
        draft.fault(top.place(), "names no category", "start the file with `category: its_id`")
        return
    draft.descriptors.append(descriptor(draft, id, "category", None, top))
    draft.descriptors.extend(_families(draft, id, top, fault=False))


def _read_faults(draft: Draft, top: Lines) -> None:
    trays = _mapping(draft, top, "trays")
    for id, tray in _entries(draft, trays):
        draft.descriptors.append(descriptor(draft, id, "category", None, tray, fault=True))
        draft.descriptors.extend(_families(draft, id, tray, fault=True))


def _families(draft: Draft, category: str, top: Lines, *, fault: bool) -> Iterator[Descriptor]:
    for family_id, family in _entries(draft, _mapping(draft, top, "families")):
        id = f"{category}/{family_id}"
        yield descriptor(draft, id, "family", category, family, fault=fault)
        for note_id, note in _entries(draft, _mapping(draft, family, "notes")):
            made = descriptor(draft, f"{id}/{note_id}", "note", id, note, fault=fault)
            yield replace(
                made, stage=made.stage or _text(draft, family, "stage"), ask=made.ask or _text(draft, family, "ask")
            )


def _reach_words(draft: Draft, top: Lines) -> Iterator[Descriptor]:
    for id, entry in _entries(draft, top):
        home = _text(draft, entry, "home")
        yield descriptor(draft, f"reach/{id}", "reach", None if home == "none" else home, entry)


def descriptor(
    draft: Draft, id: str, level: Level, home: str | None, entry: Lines, *, fault: bool = False
) -> Descriptor:
    """One descriptor from its mapping; wrong types are noted in the draft."""
    return Descriptor(
        id=id,
        level=level,
        print=_text(draft, entry, "print"),
        home=home,
        about=_text(draft, entry, "about"),
        words=_words(draft, entry),
        heard=_names(draft, entry, "heard"),
        kin=_names(draft, entry, "kin"),
        parts=_names(draft, entry, "parts"),
        span=_names(draft, entry, "span"),
        state=_text(draft, entry, "state"),
        fault=fault,
        hold=entry.get("hold") is True,
        stage=_text(draft, entry, "stage"),
        ask=_text(draft, entry, "ask"),
        reference=_reference(draft, entry),
        use_instead=_text(draft, entry, "use_instead"),
        place=entry.place(),
    )


def _reference(draft: Draft, entry: Lines) -> Reference | None:
    given = entry.get("reference")
    if given is None:
        return None
    if not isinstance(given, Lines):
        draft.fault(entry.place("reference"), "reference is no mapping", "write {make: ..., allergens: [], keep: ...}")
        return None
    return Reference(
        make=_text(draft, given, "make"),
        allergens=_names(draft, given, "allergens"),
        keep=_text(draft, given, "keep"),
        care=_text(draft, given, "care"),
    )


def _attributes(draft: Draft, top: Lines) -> Iterator[Attribute]:
    for id, entry in _entries(draft, top):
        bare = entry.get("bare", 0)
        yield Attribute(
            id=id,
            print=_text(draft, entry, "print"),
            group=_text(draft, entry, "group"),
            scale=_names(draft, entry, "scale"),
            names=_names(draft, entry, "names"),
            words=_steps(draft, _mapping(draft, entry, "words")),
            beside=_steps(draft, _mapping(draft, entry, "beside")),
            bare=bare if isinstance(bare, int) else 0,
            levels=_names(draft, entry, "levels") or ("none", "low", "medium", "high", "high"),
            about=_text(draft, entry, "about"),
            reference=_reference(draft, entry),
            place=entry.place(),
        )


def _steps(draft: Draft, steps: Lines) -> dict[str, int]:
    words: dict[str, int] = {}
    for step in steps:
        if not str(step).isdigit() or not 1 <= int(step) <= 5:
            draft.fault(steps.place(step), f"step {step!r} is not 1 to 5", "use 1 (lowest) to 5 (highest)")
            continue
        words.update((word, int(step)) for word in _names(draft, steps, step))
    return words


def _two_faced(draft: Draft, top: Lines) -> Iterator[TwoFaced]:
    for word, entry in _entries(draft, top):
        yield TwoFaced(
            word,
            _text(draft, entry, "flavour"),
            _text(draft, entry, "fault"),
            _text(draft, entry, "ask"),
            entry.place(),
        )


# --- values of the right kind, or a note of what is wrong ---


def _entries(draft: Draft, mapping: Lines) -> Iterator[tuple[str, Lines]]:
    for key, value in mapping.items():
        if isinstance(value, Lines):
            value.line = mapping.lines[key]
            yield str(key), value
        else:
            draft.fault(mapping.place(key), f"{key!r} should hold a mapping", "indent its lines below it")


def _mapping(draft: Draft, entry: Lines, key: str) -> Lines:
    value = entry.get(key)
    if isinstance(value, Lines):
        return value
    if value is not None:
        draft.fault(entry.place(key), f"{key} should hold a mapping", "indent `name:` lines below it")
    return Lines(entry.file, entry.line)


def _text(draft: Draft, entry: Lines, key: str) -> str:
    value = entry.get(key)
    if value is None:
        return ""
    if isinstance(value, (str, int, float)) and not isinstance(value, bool):
        return str(value)
    draft.fault(entry.place(key), f"{key} should be a word or a sentence", "write plain text, in quotes if in doubt")
    return ""


def _names(draft: Draft, entry: Lines, key: str) -> tuple[str, ...]:
    value = entry.get(key)
    if value is None:
        return ()
    if isinstance(value, list) and all(isinstance(v, (str, int, float)) and not isinstance(v, bool) for v in value):
        return tuple(str(v) for v in value)
    draft.fault(entry.place(key), f"{key} should be a list of words", f"write `{key}: [one, two]`")
    return ()


def _words(draft: Draft, entry: Lines) -> dict[str, tuple[str, ...]]:
    given = _mapping(draft, entry, "words")
    return {str(language): _names(draft, given, language) for language in given}


# --- references ---


def short_names(ids: Sequence[str]) -> dict[str, str | None]:
    """Every way to point at an id: itself, and its last part where that is not shared (None where it is)."""
    found: dict[str, str | None] = {}
    for id in ids:
        if not id.startswith("reach/"):
            short = id.rsplit("/", 1)[-1]
            found[short] = id if found.get(short, id) == id else None
    for id in ids:
        found[id] = id
    return found


def build(draft: Draft) -> Vocabulary:
    """Seal a draft: short references become ids. Raises `VocabularyError` at the first reference to nothing.

    Run `check.check` first to hear of everything at once.
    """
    names = short_names([d.id for d in draft.descriptors])

    def one(name: str, place: Place) -> str:
        id = names.get(name)
        if id is None:
            raise VocabularyError(
                f"{name!r} is no known id", place=place, mend="run `tastevocab vocab check` to see every fault"
            )
        return id

    def all_of(given: Sequence[str], place: Place) -> tuple[str, ...]:
        return tuple(one(name, place) for name in given)

    return Vocabulary(
        name=draft.name,
        version=draft.version,
        hash=draft.hash,
        ring=draft.ring,
        languages=draft.languages,
        descriptors={
            d.id: replace(
                d,
                kin=all_of(d.kin, d.place),
                parts=all_of(d.parts, d.place),
                span=all_of(d.span, d.place),
                use_instead=one(d.use_instead, d.place) if d.use_instead else "",
            )
            for d in draft.descriptors
        },
        attributes={a.id: a for a in draft.attributes},
        two_faced={
            t.word: replace(t, flavour=one(t.flavour, t.place), fault=one(t.fault, t.place)) for t in draft.two_faced
        },
        language=draft.language,
        ignored=draft.ignored,
    )


def draft_or_first_problem(folder: Path) -> Draft:
    """The draft of a folder; raises `VocabularyError` at its first structural problem."""
    draft = read_draft(folder)
    if draft.problems:
        first = draft.problems[0]
        raise VocabularyError(first.what, place=first.place, mend=first.mend)
    return draft


def load(folder: Path | None = None) -> Vocabulary:
    """The vocabulary in `folder` (the one that ships with tastevocab if None).

    Raises `VocabularyError` with file and line at the first thing that is wrong.
    """
    return build(draft_or_first_problem(folder or default_folder()))
