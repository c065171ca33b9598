"""Notes with answer keys, as the weights of typed notes are fitted on them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tastevocab.errors import InputError
from tastevocab.reading.fitting.keyed import keyed_notes

TEXT = "Maybe plum, strong rose. No plum in the finish; lively."


def written(folder: Path, key: dict[str, object]) -> Path:
    (folder / "one.jsonl").write_text(json.dumps({"id": "n1", "text": TEXT}) + "\n", "utf-8")
    (folder / "one.key.jsonl").write_text(json.dumps(key) + "\n", "utf-8")
    return folder


def test_a_key_marks_its_note(tmp_path: Path) -> None:
    flavours = [
        {"concept": "plum", "words": "plum", "present": True, "hedged": True},
        {"concept": "rose", "words": "rose", "present": True, "strength": "strong"},
        {"concept": "plum", "words": "plum", "present": False, "at": [28, 32]},
    ]
    felt = [{"attribute": "acidity", "level": "high", "words": "lively"}]
    (note,) = keyed_notes(written(tmp_path, {"id": "n1", "flavours": flavours, "attributes": felt}))
    (line,) = note.lines
    assert [(m.sign, TEXT[m.start : m.end], m.degree, m.level) for m in line.marks] == [
        ("?", "plum", "", ""),
        ("+", "rose", "strong", ""),
        ("-", "plum", "", ""),
        ("a", "lively", "", "high"),
    ]
    assert [m.start for m in line.marks] == [6, 19, 28, 48]


@pytest.mark.parametrize(
    ("id", "words", "says"), [("n1", "pear", "substring not found"), ("n2", "plum", "'n2'")], ids=["words", "note"]
)
def test_a_key_that_stands_on_nothing_is_told_by_line(tmp_path: Path, id: str, words: str, says: str) -> None:
    key = {"id": id, "flavours": [{"concept": "plum", "words": words, "present": True}], "attributes": []}
    with pytest.raises(InputError, match=says) as told:
        list(keyed_notes(written(tmp_path, key)))
    assert "one.key.jsonl:1" in str(told.value)


def test_a_folder_without_keys_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no notes with keys"):
        list(keyed_notes(tmp_path))
