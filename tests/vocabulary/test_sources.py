"""YAML that is broken or means harm: file, line and mend, never a traceback or a hang."""

from __future__ import annotations

import contextlib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tastevocab.errors import VocabularyError
from tastevocab.vocabulary.exchange.yaml_out import scalar
from tastevocab.vocabulary.load import load
from tastevocab.vocabulary.sources import MAX_BYTES, parse_yaml, read_yaml

LAUGHS = "a: &a [x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"{b}: &{b} [{', '.join([f'*{a}'] * 9)}]\n" for a, b in zip("abcdefgh", "bcdefghi", strict=True)
)

BROKEN = {
    "bomb": (LAUGHS, 2, "alias", "write the value out"),
    "merge": ("a: 1\nc:\n  <<: {b: 1}\n", 3, "merge key", "write the values out"),
    "twice": ("plum: 1\npeach: 2\nplum: 3\n", 3, r"gives 'plum' twice \(first at line 1\)", "keep one"),
    "tab": ("plum:\n\tprint: plum\n", 2, "tab", "spaces"),
    "quote": ('plum: "open\n', 2, "not YAML", "check quotes"),
    "deep flow": ("a: " + "[" * 5000 + "]" * 5000, 1, "nested too deeply", "flatten"),
    "deep block": ("".join(f"{' ' * i}a:\n" for i in range(40)), 26, "nested too deeply", "flatten"),
    "deep dashes": ("- " * 3000 + "a", 1, "nested too deeply", "flatten"),
    "key": ("? [a, b]\n: c\n", 1, "key that is no word", "plain word"),
    "two documents": ("a: 1\n---\nb: 2\n", 2, "not YAML", "check"),
    "control": ("a: \x07bell\n", 0, "not YAML", "check"),
}


@pytest.mark.parametrize("name", BROKEN)
def test_broken_yaml(name: str, tmp_path: Path) -> None:
    text, line, what, mend = BROKEN[name]
    path = tmp_path / "row.yaml"
    path.write_text(text)
    with pytest.raises(VocabularyError, match=what) as told:
        read_yaml(path)
    assert told.value.place is not None
    assert (told.value.place.file, told.value.place.line) == (str(path), line)
    assert mend in told.value.mend


def test_not_utf8_and_too_large(tmp_path: Path) -> None:
    path = tmp_path / "row.yaml"
    path.write_bytes(b"plum: x\npeach: caf\xe9\n")
    with pytest.raises(VocabularyError, match=r"row.yaml:2: is not UTF-8"):
        read_yaml(path)
    path.write_bytes(b"#" * (MAX_BYTES + 1))
    with pytest.raises(VocabularyError, match="at most 20,000,000"):
        read_yaml(path)
    with pytest.raises(VocabularyError, match="no such file"):
        read_yaml(tmp_path / "none.yaml")


# What YAML 1.1 makes of bare words (yaml.org/type/bool.html, 2005): here they stay what was written.
@pytest.mark.parametrize("word", ["no", "No", "NO", "off", "yes", "on", "y", "n", "1:30", "2024-01-02", "0o14", "=1+1"])
def test_traps_of_yaml_1_1(word: str) -> None:
    assert parse_yaml(f"words: {{{word}: [{word}]}}\n", "x") == {"words": {word: [word]}}


def test_a_note_called_no(tmp_path: Path) -> None:
    (tmp_path / "00-about.yaml").write_text("name: t\nversion: '1'\nlanguages: [no, en]\nring: [row]\n")
    (tmp_path / "row.yaml").write_text(
        "category: row\nprint: Row\nabout: x\nfamilies:\n  bed:\n    print: bed\n    about: x\n    notes:\n"
        "      no: {print: no, about: x, words: {no: [nei, no], en: [off]}}\n"
    )
    note = load(tmp_path).descriptors["row/bed/no"]
    assert note.print == "no"
    assert note.words == {"no": ("nei", "no"), "en": ("off",)}


@given(
    st.text(st.characters(exclude_categories=("Cs", "Cc"), exclude_characters="\ufeff\u2028\u2029\x85"), max_size=20)
)
def test_any_text_survives_being_written(text: str) -> None:
    assert parse_yaml(f"{scalar('key')}: [{scalar(text)}]\n", "x") == {"key": [text]}


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    with contextlib.suppress(VocabularyError):
        parse_yaml(text, "x")
