"""Typed notes of real people with answer keys, as one more ground for the weights of typed notes.

A folder holds NAME.jsonl (`id`, `text`) and beside it NAME.key.jsonl (`id`, `flavours`, `attributes`): each flavour
with its `concept`, `words`, `present`, `hedged` and `strength`, each attribute with its `level` and `words`; `at` says
where the words stand, if they are said twice. Such notes are fitted on, never shipped.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from tastevocab.errors import InputError, Place
from tastevocab.reading.fitting.marked import Line, Marked, Recording

KEY = ".key.jsonl"
KEYED = "keyed"  # the author of them all


def keyed_notes(folder: Path) -> Iterator[Recording]:
    """Each note of `folder` as a recording of one turn.

    Raises `InputError` (file and line) where a key's note or words are not there, or where there is no key at all.
    """
    keys = sorted(folder.glob(f"*{KEY}"))
    if not keys:
        raise InputError(
            "holds no notes with keys", place=Place(str(folder)), mend=f"put NAME.jsonl and NAME{KEY} there"
        )
    for path in keys:
        notes = path.with_name(path.name.removesuffix(KEY) + ".jsonl")
        texts = {note["id"]: note["text"] for note in map(json.loads, notes.read_text("utf-8").splitlines())}
        for number, line in enumerate(path.read_text("utf-8").splitlines(), 1):
            key = json.loads(line)
            try:
                yield _note(texts[key["id"]], key)
            except (KeyError, ValueError) as wrong:
                mend = "each key needs its note, and words that stand in it"
                raise InputError(f"has no place for {wrong}", place=Place(str(path), number), mend=mend) from None


def _note(text: str, key: Mapping[str, Any]) -> Recording:
    found = [_mark(text, f, sign, concept=f["concept"], degree=f.get("strength") or "") for f, sign in _signed(key)]
    felt = [_mark(text, a, "a", attribute=a["attribute"], level=a["level"]) for a in key["attributes"]]
    line = Line(None, text, (*found, *felt), None, None, None)
    return Recording(KEYED, str(key["id"]), {}, (line,))


def _signed(key: Mapping[str, Any]) -> Iterator[tuple[Mapping[str, Any], str]]:
    for flavour in key["flavours"]:
        yield flavour, "-" if not flavour["present"] else "?" if flavour.get("hedged") else "+"


def _mark(text: str, said: Mapping[str, Any], sign: str, **more: Any) -> Marked:
    if not (at := said.get("at")):
        start = text.index(said["words"])
        at = start, start + len(said["words"])
    return Marked(sign, *at, **more)
