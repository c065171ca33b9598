"""`tastevocab feature`: what it writes, what it says where, and how it ends."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from in_process import run

SHEET = "taster,coffee,brew,moment,text\nana,One,filter,warm,caramel and red cherry\nben,One,filter,warm,caramel\n"
SESSION = """\
session: small
date: 2026-05-20
tasters: [ana, ben]
coffees: {one: {name: One, additions: none}}
brews: {filter: {method: filter, dose_g: 15, water_g: 250}}
notes:
  - {source: sheet.csv}
"""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "sheet.csv").write_text(SHEET)
    (tmp_path / "session.yaml").write_text(SESSION)
    return tmp_path


def written(folder):
    return sorted(p.name for p in folder.rglob("*") if p.is_file() and p.parent != folder)


def test_a_pack_is_written_and_told(folder):
    done = run("feature", "session.yaml", "--out", "packs", "--size", "bag", "--theme", "grey", folder=folder)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("One: caramel (2 tasters, blind or not is not recorded, filter, warm)")
    assert {"wheel.svg", "notes.md", "findings.csv", "map.json"} <= set(os.listdir(folder / "packs" / "one"))
    assert 'width="90mm"' in (folder / "packs" / "one" / "wheel.svg").read_text("utf-8")
    assert not [name for name in written(folder) if name.startswith(".")]


def test_left_out_it_goes_to_exports(folder):
    done = run("feature", "session.yaml", folder=folder)
    assert done.returncode == 0, done.stderr
    made = folder / "exports" / "small" / "one"
    assert len((made / "wheel.html").read_bytes()) < 250_000


def test_twice_the_same_bytes(folder):
    """In this process and in one of its own, where sets stand in another order."""
    assert run("feature", "session.yaml", "--out", "a", folder=folder).returncode == 0
    command = [sys.executable, "-c", "from tastevocab.cli.main import run; run()", "feature", "session.yaml"]
    env = {**os.environ, "PYTHONHASHSEED": "1", "COLUMNS": "70"}
    subprocess.run([*command, "--out", "b"], cwd=folder, env=env, capture_output=True, check=True)
    first, second = folder / "a" / "one", folder / "b" / "one"
    assert sorted(os.listdir(first)) == sorted(os.listdir(second))
    for path in first.iterdir():
        assert path.read_bytes() == (second / path.name).read_bytes(), path.name


def broken(folder, **texts):
    for name, text in texts.items():
        (folder / name.replace("_", ".")).write_text(text)


BAD = [
    ({}, ["none.yaml"], "none.yaml: no such file"),
    ({"session_yaml": "session: [\n"}, ["session.yaml"], "session.yaml:"),
    ({"session_yaml": "session: x\n"}, ["session.yaml"], "names no tasters"),
    ({"sheet_csv": "taster,coffee,text\nzoe,One,caramel\n"}, ["session.yaml"], "unknown taster 'zoe'"),
    ({"sheet_csv": "taster,coffee,text\nana,Two,caramel\n"}, ["session.yaml"], "unknown coffee 'Two'"),
    ({"sheet_csv": "taster,coffee,text\nana,One,hello\n"}, ["session.yaml"], "nobody described"),
    ({}, ["session.yaml", "--coffee", "two"], "unknown coffee 'two'"),
    ({}, ["session.yaml", "--brew", "siphon"], "unknown brew 'siphon'"),
    ({}, ["session.yaml", "--moment", "tepid"], "unknown moment 'tepid'"),
    ({}, ["session.yaml", "--templates", "nowhere"], "no such template folder"),
    ({}, ["session.yaml", "--style", "nowhere.yaml"], "no such file"),
    ({"style_yaml": "theme: pink\n"}, ["session.yaml", "--style", "style.yaml"], "style.yaml:1: theme should be"),
    ({"out": "a file"}, ["session.yaml"], "is a file, not a folder"),
]


@pytest.mark.parametrize(("texts", "arguments", "said"), BAD, ids=[b[2] for b in BAD])
def test_bad_input_writes_nothing(folder, texts, arguments, said):
    broken(folder, **texts)
    done = run("feature", *arguments, "--out", "out", folder=folder)
    assert done.returncode == 1
    assert said in done.stderr
    assert "mend:" in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""
    assert written(folder) == []


@pytest.mark.parametrize(
    "arguments",
    [["feature"], ["feature", "session.yaml", "--size", "a4"], ["feature", "session.yaml", "--theme", "pink"]],
)
def test_wrong_use(folder, arguments):
    done = run(*arguments, folder=folder)
    assert done.returncode == 2
    assert written(folder) == []


def test_templates_are_copied_once(folder):
    done = run("templates", "mine", folder=folder)
    assert done.returncode == 0, done.stderr
    assert {"wording.yaml", "cautions.yaml", "house-style.yaml", "notes.md.j2"} <= set(os.listdir(folder / "mine"))
    again = run("templates", "mine", folder=folder)
    assert again.returncode == 1
    assert "nothing is overwritten" in again.stderr
    used = run("feature", "session.yaml", "--templates", "mine", "--style", "mine/house-style.yaml", folder=folder)
    assert used.returncode == 0, used.stderr


def test_a_name_that_leads_out_stays_in(folder):
    text = SESSION.replace("{one: {name: One", '{"../../up": {name: One')
    (folder / "session.yaml").write_text(text)
    done = run("feature", "session.yaml", "--out", "deep/out", folder=folder)
    assert done.returncode == 0, done.stderr
    assert [p.name for p in (folder / "deep" / "out").iterdir()] == ["up"]
    assert sorted(p.name for p in folder.iterdir()) == ["deep", "session.yaml", "sheet.csv"]
    assert Path(folder / "deep" / "out" / "up" / "notes.md").is_file()
