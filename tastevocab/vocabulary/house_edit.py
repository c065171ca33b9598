"""Adding a word to a house file: comments and order stay, and nothing is written that would break a rule."""

from __future__ import annotations

import difflib
import io
import os
import re
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from tastevocab.errors import VocabularyError
from tastevocab.vocabulary.check import check, errors
from tastevocab.vocabulary.draft import Draft
from tastevocab.vocabulary.house import lay_over, parse_house
from tastevocab.vocabulary.load import default_folder, read_draft
from tastevocab.vocabulary.model import Descriptor
from tastevocab.vocabulary.rules import Facts
from tastevocab.vocabulary.sources import is_bare, parse_yaml, read_yaml
from tastevocab.vocabulary.words import fold
from tastevocab.written import locked, write_whole

KINDS = ("note", "name", "heard", "ignore", "flavour", "fault")
_NEW_FILE = "# House words: what this shop adds to the vocabulary, and what it decides.\n"


@dataclass(frozen=True, slots=True)
class Addition:
    """A word for a house file.

    `text` is the word or phrase. `under` is the id it goes under, `as_` what it becomes there: a `note` of its own
    under a family, another `name`, a `heard` form; or a phrase to `ignore`, or the `flavour` or `fault` side of a
    two-faced word (these three need no `under`). Left out, it is a note under a family and a name under anything else.
    `about` is a new note's one sentence, `language` the tag of a name (the vocabulary's first if empty).
    """

    text: str
    under: str = ""
    as_: str = ""
    about: str = ""
    language: str = ""


def add_word(house: Path, word: Addition, *, folder: Path | None = None) -> str:
    """Write one word into a house file (made if it is not there) and give what changed as a unified diff.

    `folder` is the vocabulary (the one that ships if None). An empty diff means that the file said so already.

    Raises `VocabularyError`, and leaves the file as it was, if a part of the file is of the wrong kind, the id is
    unknown, the kind does not fit, or a rule that held before would be broken.
    """
    base = read_draft(folder or default_folder())
    with locked(house, error=VocabularyError):
        return _added(base, house, word)


def _added(base: Draft, house: Path, word: Addition) -> str:
    old = _text(house)
    said = parse_house(old, os.fspath(house))
    for problem in said.draft.problems:  # there would be nowhere to put the word
        raise VocabularyError(problem.what, place=problem.place, mend=problem.mend)
    before = lay_over(base, said)
    target = _target(before, word.under)
    kind = _kind(word.as_, target, word.text)
    word = replace(word, text=word.text.strip(), as_=kind, language=word.language or base.languages[0])
    new = _edited(old, lambda top: _put(top, word, target))
    _refuse_new_faults(before, lay_over(base, parse_house(new, os.fspath(house))))
    if new != old:
        _write(house, new)
    lines = (old.splitlines(keepends=True), new.splitlines(keepends=True))
    return "".join(difflib.unified_diff(*lines, fromfile=f"{house} (before)", tofile=f"{house} (now)"))


def _text(house: Path) -> str:
    if not house.exists():
        return ""
    read_yaml(house)  # says what is wrong with it, by file and line
    return house.read_bytes().decode("utf-8-sig").replace("\r\n", "\n")


def _target(draft: Draft, under: str) -> Descriptor | None:
    if not under:
        return None
    facts = Facts(draft)
    found = facts.target(under)
    if found is None:
        ids = facts.targets(under)
        near = ids or difflib.get_close_matches(under, [*facts.by_short, *facts.by_id], n=3)
        mend = f"use one of {', '.join(near)}" if near else "see `tastevocab vocab tree`"
        raise VocabularyError(f"{under!r} is no one id to put a word under", mend=mend)
    return found


def _kind(as_: str, target: Descriptor | None, text: str) -> str:
    if not text.strip():
        raise VocabularyError("there is no word to add", mend="give a word or a phrase")
    kind = as_ or ("" if target is None else "note" if target.level == "family" else "name")
    if kind not in KINDS:
        what = f"{as_!r} is nothing a word can become" if as_ else f"{text!r} has no place to go"
        raise VocabularyError(what, mend=f"give --under ID, and --as one of {', '.join(KINDS)}")
    if kind == "note" and (target is None or target.level != "family"):
        raise VocabularyError(f"{text!r} can only be a note under a family", mend="give --under with a family's id")
    if kind in ("name", "heard") and target is None:
        raise VocabularyError(f"{text!r} is a {kind} of what?", mend="give --under with an id")
    return kind


def _put(top: Any, word: Addition, target: Descriptor | None) -> None:
    """Set one thing in the round-trip mapping."""
    text, kind, language = _quoted(word.text), word.as_, word.language
    id = "" if target is None else target.id if target.crosses else target.id.rsplit("/", 1)[-1]
    if kind == "ignore":
        _append(top, "ignore", text)
    elif kind in ("flavour", "fault"):
        _below(top, "two_faced")[text] = kind
    elif kind == "heard":
        _append(_below(top, "heard"), id, text)
    elif kind == "name":
        _append(_below(_below(top, "words"), id), language, text)
    else:
        assert target is not None
        notes = _below(top, "notes")
        name = re.sub(r"[^a-z0-9]+", "_", fold(text)).strip("_")
        if name in notes:
            raise VocabularyError(f"the house has a note {name!r} already", mend="give this word as a name under it")
        about = word.about or f"A word of this house, kept with {target.print}."
        notes[name] = {"under": id, "print": text, "about": _quoted(about), "words": {language: _flow(text)}}


def _quoted(text: str) -> str:
    """Text that the file holds in quotes where it could be taken for something else."""
    from ruamel.yaml.scalarstring import DoubleQuotedScalarString

    return text if is_bare(text) else DoubleQuotedScalarString(text)


def _flow(*words: str) -> Any:
    """A list that is written on one line."""
    from ruamel.yaml.comments import CommentedSeq

    made = CommentedSeq(words)
    made.fa.set_flow_style()
    return made


def _below(top: Any, key: str) -> Any:
    if top.get(key) is None:
        top[key] = {}
    return top[key]


def _append(top: Any, key: str, text: str) -> None:
    if top.get(key) is None:
        top[key] = _flow()
    if text not in top[key]:
        top[key].append(text)


def _edited(old: str, change: Any) -> str:
    """The text after `change`; whatever the change does not touch is kept, comments too."""
    from ruamel.yaml import YAML
    from ruamel.yaml.comments import CommentedMap
    from ruamel.yaml.util import load_yaml_guess_indent

    yaml = YAML()
    yaml.preserve_quotes = True
    yaml.width = 4096
    if parse_yaml(old, "") is None:
        top: Any = CommentedMap()
        head = old if old.strip() else _NEW_FILE
        head = head if head.endswith("\n") else head + "\n"
    else:
        _, indent, offset = load_yaml_guess_indent(old)
        yaml.indent(mapping=2, sequence=indent or 2, offset=offset or 0)
        top, head = yaml.load(old), ""
    change(top)
    out = io.StringIO()
    yaml.dump(top, out)
    return head + out.getvalue()


def _refuse_new_faults(before: Draft, after: Draft) -> None:
    wrong = errors(check(after))
    if not wrong:
        return
    known = {(p.code, p.what) for p in check(before)}
    if new := [p for p in wrong if (p.code, p.what) not in known]:
        told = "\n".join(str(p) for p in new)
        raise VocabularyError(f"nothing was added; it would break a rule:\n{told}", mend="choose another word or place")


def _write(house: Path, text: str) -> None:
    """The whole file or nothing; the line ends it had."""
    crlf = house.exists() and b"\r\n" in house.read_bytes()
    write_whole(house, (text.replace("\n", "\r\n") if crlf else text).encode(), error=VocabularyError)
