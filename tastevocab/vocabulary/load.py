"""Vocabulary files to records: `read_draft` collects, `build` resolves references and seals.

Load, check, build are three steps: a draft may be wrong in any way and still be looked at by `check.py`.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from tastevocab.errors import Place, VocabularyError, near
from tastevocab.vocabulary.draft import (
    Draft,
    Problem,
    attribute,
    descriptor,
    entries_of,
    flag_of,
    mapping_of,
    names_of,
    text_of,
    two_faced,
)
from tastevocab.vocabulary.folder import content_digest, content_hash, default_folder, yaml_files
from tastevocab.vocabulary.model import Descriptor, Form, Vocabulary
from tastevocab.vocabulary.sources import Lines, read_yaml
from tastevocab.vocabulary.things import with_things
from tastevocab.vocabulary.tongues import TONGUE

__all__ = ["Draft", "Problem", "build", "content_digest", "content_hash", "default_folder", "load", "read_draft"]

ABOUT = "00-about.yaml"
REACH = "reach_words.yaml"
FAULTS = "faults.yaml"
ATTRIBUTES = "attributes.yaml"
TWO_FACED = "two_faced.yaml"
SHARED = ("rules.yaml", "weights.yaml")
LANGUAGE_FILES = (
    "rules", "degrees", "mishearings", "states", "forms", "spellings", "ordinary", "kitchen", "numbers", "weights",
    "base_rates",
)  # fmt: skip


# --- files to a draft ---


def read_draft(folder: Path) -> Draft:
    """All files of a vocabulary folder as a draft; whatever cannot be read is kept in `problems`.

    Raises `VocabularyError` only where the folder itself is missing or unreadable.
    """
    draft = Draft(hash=content_hash(folder))
    found = {path.name: path for path in yaml_files(folder)}
    about = _top(draft, found[ABOUT]) if ABOUT in found else None
    if about is not None:
        _read_about(draft, about)
    elif ABOUT not in found:
        draft.fault(Place(os.fspath(folder)), f"has no {ABOUT}", "add one with name, version, languages and ring")
    # The language of talk is the shipped vocabulary's where a folder has none of its own.
    tongues = (f"{TONGUE}{tag}.yaml" for tag in draft.languages)
    for path in (default_folder() / name for name in (*SHARED, *tongues)):
        if path.is_file():
            found.setdefault(path.name, path)
    tops = {n: top for n, path in found.items() if n != ABOUT and (top := _top(draft, path)) is not None}
    for name, top in tops.items():
        _read_file(draft, name, top)
    draft.descriptors = with_things(draft.descriptors)
    return draft


def _top(draft: Draft, path: Path) -> Lines | None:
    try:
        value = read_yaml(path)
    except VocabularyError as problem:
        draft.unreadable(problem)
        return None
    if isinstance(value, Lines):
        return value
    draft.fault(Place(os.fspath(path), 1), "should hold a mapping", "write `key: value` lines")
    return None


def _read_file(draft: Draft, name: str, top: Lines) -> None:
    stem = name.rsplit(".", 1)[0]
    if name == REACH:
        draft.descriptors.extend(_reach_words(draft, top))
    elif name == FAULTS:
        _read_faults(draft, top)
    elif name == ATTRIBUTES:
        draft.attributes.extend(attribute(draft, id, entry) for id, entry in entries_of(draft, top))
    elif name == TWO_FACED:
        draft.two_faced.extend(two_faced(draft, word, entry) for word, entry in entries_of(draft, top))
    elif stem in LANGUAGE_FILES or stem.startswith(TONGUE):
        draft.language[stem] = top
    elif name != ABOUT:
        _read_category(draft, top)


def _read_about(draft: Draft, about: Lines) -> None:
    draft.know_keys(about, {"name", "version", "languages", "ring", "allergens", "false_friends"})
    draft.about_place = Place(about.file, 1)
    draft.places.update((("", key), about.place(key)) for key in about)
    draft.name = text_of(draft, about, "name")
    draft.version = text_of(draft, about, "version")
    draft.ring = names_of(draft, about, "ring")
    draft.languages = names_of(draft, about, "languages") or ("en",)
    draft.allergens = names_of(draft, about, "allergens")
    draft.false_friends = names_of(draft, about, "false_friends")


def _read_category(draft: Draft, top: Lines) -> None:
    id = text_of(draft, top, "category")
    if not id:
        draft.fault(top.place(), "names no category", "start the file with `category: its_id`")
        return
    draft.descriptors.append(descriptor(draft, id, "category", None, top))
    draft.descriptors.extend(_families(draft, id, top, fault=False))


def _read_faults(draft: Draft, top: Lines) -> None:
    draft.know_keys(top, {"trays"})
    for id, tray in entries_of(draft, mapping_of(draft, top, "trays")):
        draft.descriptors.append(descriptor(draft, id, "category", None, tray, fault=True))
        draft.descriptors.extend(_families(draft, id, tray, fault=True))


def _families(draft: Draft, category: str, top: Lines, *, fault: bool) -> Iterator[Descriptor]:
    for family_id, family in entries_of(draft, mapping_of(draft, top, "families")):
        id = f"{category}/{family_id}"
        made = descriptor(draft, id, "family", category, family, fault=fault)
        yield made
        for note_id, entry in entries_of(draft, mapping_of(draft, family, "notes")):
            note = descriptor(draft, f"{id}/{note_id}", "note", id, entry, fault=fault)
            # What is asked of a fault, and where it arises, is often said once for the family.
            yield replace(note, stage=note.stage or made.stage, ask=note.ask or made.ask)


def _reach_words(draft: Draft, top: Lines) -> Iterator[Descriptor]:
    for id, entry in entries_of(draft, top):
        home = text_of(draft, entry, "home")
        yield descriptor(draft, f"reach/{id}", "reach", None if home == "none" else home, entry)


# --- a draft to a vocabulary ---


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

    def all_of(given: Sequence[str], place: Place) -> tuple[str, ...]:
        return tuple(_one(names, name, place) for name in given)

    def sealed(d: Descriptor) -> Descriptor:
        return replace(
            d,
            home=_one(names, d.home, d.place) if d.home else None,
            kin=all_of(d.kin, d.place),
            parts=all_of(d.parts, d.place),
            span=all_of(d.span, d.place),
            thing=_one(names, d.thing, d.place) if d.thing else "",
            use_instead=_one(names, d.use_instead, d.place) if d.use_instead else "",
        )

    return Vocabulary(
        name=draft.name,
        version=draft.version,
        hash=draft.hash,
        ring=draft.ring,
        languages=draft.languages,
        descriptors={d.id: sealed(d) for d in draft.descriptors},
        attributes={a.id: a for a in draft.attributes},
        two_faced={
            t.word: replace(t, flavour=_one(names, t.flavour, t.place), fault=_one(names, t.fault, t.place))
            for t in draft.two_faced
        },
        language=draft.language,
        forms=_forms(draft),
        ignored=draft.ignored,
    )


def _forms(draft: Draft) -> dict[str, Form]:
    found: dict[str, Form] = {}
    given = draft.language.get("forms")
    for id, entry in entries_of(draft, given) if isinstance(given, Lines) else ():
        states, heads = names_of(draft, entry, "states"), names_of(draft, entry, "heads")
        told, plain = text_of(draft, entry, "told"), flag_of(draft, entry, "plain")
        words, before = names_of(draft, entry, "words"), names_of(draft, entry, "before")
        found[id] = Form(told, plain, states, heads, words, before)
    return found


def _one(names: Mapping[str, str | None], name: str, place: Place) -> str:
    id = names.get(name)
    if id is None:
        raise VocabularyError(
            f"{name!r} is no known id", place=place, mend="run `tastevocab vocab check` to see every fault"
        )
    return id


def first_problem(draft: Draft) -> Draft:
    """The draft itself; raises `VocabularyError` at its first structural problem or key that nothing reads."""
    for problem in draft.problems:
        raise VocabularyError(problem.what, place=problem.place, mend=problem.mend)
    for odd in draft.odd_keys:
        raise VocabularyError(f"{odd.key!r} is no key that is read", place=odd.place, mend=near(odd.key, odd.known))
    return draft


def load(folder: Path | None = None) -> Vocabulary:
    """The vocabulary in `folder` (the one that ships with tastevocab if None).

    Raises `VocabularyError` with file and line at the first thing that is wrong.
    """
    return build(first_problem(read_draft(folder or default_folder())))
