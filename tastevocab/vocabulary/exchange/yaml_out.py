"""A draft or vocabulary written as a folder of YAML files that `load` reads."""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from tastevocab.errors import Place, VocabularyError
from tastevocab.vocabulary.draft import Draft
from tastevocab.vocabulary.load import short_names
from tastevocab.vocabulary.model import Attribute, Descriptor, Reference
from tastevocab.vocabulary.rules_things import labelled
from tastevocab.vocabulary.sources import is_bare


def write_folder(draft: Draft, folder: Path) -> None:
    """Write all of a draft but its language data into a new folder: the whole folder or nothing.

    Raises `VocabularyError` if the folder is there already or cannot be made.
    """
    if folder.exists():
        raise VocabularyError("is there already", place=Place(os.fspath(folder)), mend="name a new folder")
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        part = Path(tempfile.mkdtemp(dir=folder.parent, prefix=f".{folder.name}.", suffix=".part"))
        try:
            for name, value in files(draft).items():
                (part / name).write_text("\n".join(_lines(value, 0)) + "\n", encoding="utf-8", newline="\n")
            part.chmod(0o755)
            part.rename(folder)
        except OSError:
            shutil.rmtree(part, ignore_errors=True)
            raise
    except OSError as problem:
        what = f"cannot be written: {problem.strerror}"
        raise VocabularyError(what, place=Place(os.fspath(folder)), mend="check the path and its rights") from None


def _pointing(draft: Draft) -> Draft:
    """The draft with every link by the last part of its id, where that is plain."""
    short = {id: name for name, id in short_names([d.id for d in draft.descriptors]).items() if id and id != name}

    def shorter(ids: Sequence[str]) -> tuple[str, ...]:
        return tuple(short.get(id, id) for id in ids)

    return replace(
        draft,
        descriptors=[
            replace(
                d,
                kin=shorter(d.kin),
                parts=shorter(d.parts),
                span=shorter(d.span),
                use_instead=short.get(d.use_instead, d.use_instead),
            )
            for d in draft.descriptors
        ],
        two_faced=[
            replace(t, flavour=short.get(t.flavour, t.flavour), fault=short.get(t.fault, t.fault))
            for t in draft.two_faced
        ],
    )


def files(draft: Draft) -> dict[str, Mapping[str, Any]]:
    """File names and what each holds, as plain values."""
    draft = _pointing(draft)
    about = {"name": draft.name, "version": draft.version, "languages": draft.languages, "ring": draft.ring}
    made: dict[str, Mapping[str, Any]] = {"00-about.yaml": about}
    below: dict[str, list[Descriptor]] = {}
    none = {d.id for d, _ in labelled(draft.descriptors)}
    for d in (replace(d, thing="reach/none") if d.id in none else d for d in draft.descriptors):
        below.setdefault(d.home or "", []).append(d)
    for d in below.get("", []):
        if d.level == "category" and not d.fault:
            made[f"{d.id}.yaml"] = {"category": d.id, **_entry(d), "families": _families(d, below)}
    trays = {d.id: {**_entry(d), "families": _families(d, below)} for d in below.get("", []) if d.fault}
    reach = {d.id.removeprefix("reach/"): _entry(d) for d in draft.descriptors if d.crosses and _written(d)}
    parts: Iterable[tuple[str, Mapping[str, Any]]] = (
        ("faults.yaml", {"trays": trays} if trays else {}),
        ("reach_words.yaml", reach),
        ("attributes.yaml", {a.id: _attribute(a) for a in draft.attributes}),
        (
            "two_faced.yaml",
            {t.word: {"flavour": t.flavour, "fault": t.fault, "ask": t.ask} for t in draft.two_faced},
        ),
    )
    return made | {name: value for name, value in parts if value}


def _families(category: Descriptor, below: Mapping[str, list[Descriptor]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for family in below.get(category.id, []):
        if family.level == "family":
            notes = {_last(d): _entry(d) for d in below.get(family.id, []) if d.level == "note"}
            found[_last(family)] = {**_entry(family), "notes": notes}
    return found


def _last(d: Descriptor) -> str:
    return d.id.rsplit("/", 1)[-1]


def _entry(d: Descriptor) -> dict[str, Any]:
    made: dict[str, Any] = {"print": d.print}
    if d.crosses:
        made["home"] = d.home or "none"
    for key in ("state", "stage", "ask", "hue"):
        made[key] = getattr(d, key)
    made["hold"] = d.hold or None
    made["about"] = d.about
    made["words"] = d.words
    made["thing"] = d.thing.removeprefix("reach/")
    made["form"] = d.form
    for key in ("heard", "kin", "parts"):
        made[key] = getattr(d, key)
    made["span"] = () if d.level == "thing" else d.span
    made["use_instead"] = d.use_instead
    made["reference"] = _reference(d.reference)
    return {key: value for key, value in made.items() if value not in (None, "", (), {})}


def _written(d: Descriptor) -> bool:
    """Whether a reach word or thing needs an entry; what a thing gets from its notes alone does not."""
    return d.level == "reach" or bool(d.words or d.heard or d.kin)


def _reference(reference: Reference | None) -> dict[str, Any] | None:
    if reference is None:
        return None
    made = {"make": reference.make, "allergens": reference.allergens, "keep": reference.keep, "care": reference.care}
    return {key: value for key, value in made.items() if value or key == "allergens"}


def _attribute(a: Attribute) -> dict[str, Any]:
    def steps(words: Mapping[str, int]) -> dict[str, Any]:
        return {str(step): [w for w, s in words.items() if s == step] for step in sorted(set(words.values()))}

    made = {key: getattr(a, key) for key in ("print", "group", "about", "scale", "levels", "names")}
    made |= {
        "bare": a.bare or None,
        "denied": "" if a.denied == "none" else a.denied,
        "words": steps(a.words),
        "beside": steps(a.beside),
    }
    made["reference"] = _reference(a.reference)
    return {key: value for key, value in made.items() if value not in (None, "", (), {})}


# --- YAML ---


def _lines(value: Mapping[str, Any], depth: int) -> Iterable[str]:
    """Mappings in block form, lists and the mappings of words and references on one line."""
    margin = "  " * depth
    for key, item in value.items():
        if isinstance(item, Mapping) and key not in ("words", "reference", "beside"):
            yield f"{margin}{scalar(key)}:"
            yield from _lines(item, depth + 1)
        else:
            yield f"{margin}{scalar(key)}: {_flow(item)}"


def _flow(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{scalar(key)}: {_flow(item)}" for key, item in value.items()) + "}"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "[" + ", ".join(_flow(item) for item in value) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    return scalar(value) if isinstance(value, str) else str(value)


def scalar(text: str) -> str:
    """Text as YAML: bare where every YAML reader takes it for these words, else in double quotes (a JSON string)."""
    return text if is_bare(text) else json.dumps(text, ensure_ascii=False)
