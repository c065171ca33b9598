"""A vocabulary larger than the one that ships holds together; a name is found by a whole process."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from trials import TIMES

from tastevocab.vocabulary.check import check
from tastevocab.vocabulary.load import build, read_draft
from tastevocab.vocabulary.measures import TreeMeasures

NOTES = 2_000 if TIMES == 1 else 20_000
SYLLABLES = ("ba", "co", "du", "fe", "gi", "lo", "mu", "na", "pe", "ri")


def name_of(number: int) -> str:
    """A word of our own for each number; no two alike, none of them English."""
    return "".join(SYLLABLES[int(digit)] for digit in f"{number:05d}") + "k"


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """20 categories of families of 20 notes, each with names in two languages, kin and a reference."""
    folder = tmp_path_factory.mktemp("large")
    categories = [f"category_{c}" for c in range(20)]
    about = f"name: large\nversion: '1'\nlanguages: [en, es]\nring: [{', '.join(categories)}]\n"
    (folder / "00-about.yaml").write_text(about)
    number = 0
    for category in categories:
        lines = [f"category: {category}", f"print: {category}", "about: Many.", "families:"]
        for f in range(NOTES // 400):
            lines += [
                f"  {category}_family_{f}:",
                f"    print: {category} family {f}",
                "    about: Some.",
                "    notes:",
            ]
            for _ in range(20):
                word = name_of(number)
                lines += [
                    f"      {word}:", f"        print: {word}", "        about: One.",
                    f"        words: {{en: [{word}, {word} peel, {word} juice], es: [el {word}]}}",
                    f"        heard: [x{word}]", f"        kin: [{name_of((number + 7) % NOTES)}]",
                    f"        reference: {{make: Cut one {word}., allergens: [], keep: same day}}",
                ]  # fmt: skip
                number += 1
        (folder / f"{category}.yaml").write_text("\n".join(lines) + "\n")
    return folder


def test_thousands_of_notes_load_and_check(large: Path) -> None:
    draft = read_draft(large)
    problems = check(draft)
    vocabulary = build(draft)
    assert problems == []
    measures = TreeMeasures(vocabulary)
    assert len(measures.span_notes("")) == NOTES
    ids = list(vocabulary.descriptors)[:: len(vocabulary.descriptors) // 100]
    assert all(0 <= measures.lin(a, b) <= 1 for a in ids for b in ids)


def test_find_as_a_whole_process(tmp_path: Path) -> None:
    environment = {**os.environ, "TASTEVOCAB_CACHE": str(tmp_path / "cache")}
    command = [sys.executable, "-c", "from tastevocab.cli.main import run; run()", "find", "peach"]
    for _ in range(2):  # made anew, then remembered
        done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
        assert "orchard/golden_stone/peach" in done.stdout
