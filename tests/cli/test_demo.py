"""`tastevocab demo`: runs anywhere, tells the result, says where the files are."""

from __future__ import annotations

import os
import re
import subprocess
import sys

import pytest


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo")
    command = [sys.executable, "-c", "from tastevocab.cli.main import run; run()", "demo", "--full"]
    done = subprocess.run(
        command,
        cwd=folder,
        env={**os.environ, "COLUMNS": "100"},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    return folder, done


def test_it_runs(demo):
    assert demo[1].returncode == 0, demo[1].stderr


def test_the_hold_stands_first_then_the_line_who_ladder_and_claims(demo):
    text = demo[1].stdout
    assert text.startswith("HOLD AND RE-TASTE: Loma Serena: phenolic, 2 of 5 tasters")
    marks = [
        "Notes line: chocolatey, mandarin, red fruit",
        "Copy: ",
        "Text message",
        "Ladder, narrowest first",
        "Found",
        "The roaster's claims, each",
        "Hot to cool",
        "Each brew",
        "Faults (never on the wheel)",
        "Files",
    ]
    places = [text.index(mark) for mark in marks]
    assert places == sorted(places)
    assert re.search(r"mandarin, 4 of 5: dario “mandarin”; imke “mandarin", text)


def test_no_colour_and_nothing_too_wide(demo):
    text = demo[1].stdout
    assert "\x1b" not in text
    assert max(len(line) for line in text.splitlines() if "exports" not in line) <= 100


def test_the_files_it_names_are_there(demo):
    folder, done = demo
    made = folder / "exports" / "demo"
    for name in (
        "table/session.yaml",
        "table/table.vtt",
        "table/table.decisions.yaml",
        "table/sheet.csv",
        "loma_serena/wheel.html",
        "loma_serena/notes.md",
    ):
        assert (made / name).is_file()
    listed = done.stdout[done.stdout.index("Files") :]
    assert [name for name in os.listdir(made / "loma_serena") if name not in listed] == []
