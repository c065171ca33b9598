"""`tastevocab vocab ...` as a person and a program meet it."""

from __future__ import annotations

import csv
import io
import json
import re
import shlex
import shutil
from pathlib import Path

import pytest
from vocabulary_toys import TOY, WriteFiles

from tastevocab.cli import main
from tastevocab.vocabulary.load import load
from tastevocab.vocabulary.model import Vocabulary


class Ran:
    """What one run of the command gave."""

    def __init__(self, code: int, out: str, err: str) -> None:
        self.code, self.out, self.err = code, out, err


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):  # type: ignore[no-untyped-def]
    """Runs `tastevocab vocab ...` in this process, edge and all."""
    monkeypatch.setenv("COLUMNS", "100")

    def run(*words: object) -> Ran:
        monkeypatch.setattr("sys.argv", ["tastevocab", "vocab", *map(str, words)])
        code = 0
        try:
            main.run()
        except SystemExit as ended:
            code = int(ended.code or 0)
        told = capsys.readouterr()
        return Ran(code, told.out, told.err)

    return run


def test_check_clean(run) -> None:  # type: ignore[no-untyped-def]
    ran = run("check", TOY)
    assert (ran.code, ran.out) == (0, "")
    assert ran.err == "19 descriptors: 0 errors, 0 warnings\n"


def test_check_tells_everything_at_once(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    folder = Path(shutil.copytree(TOY, tmp_path / "v"))
    orchard = folder / "orchard_row.yaml"
    orchard.write_text(
        orchard.read_text().replace("[green apple]", "[green apple, limes]").replace("kin: [apricot]", "kin: [apple]")
    )
    (folder / "two_faced.yaml").write_text("sharp: {flavour: lemon_side\n")
    ran = run("check", folder)
    assert ran.code == 1
    assert [line.split(": ")[1] for line in ran.out.splitlines()[::2]] == [
        "error unknown-kin",
        "error word-twice",
        "error yaml",
    ]
    assert f"{orchard}:16: error unknown-kin: orchard_row/stones/peach has kin 'apple'" in ran.out
    assert all(line.startswith("  mend: ") for line in ran.out.splitlines()[1::2])
    as_json = run("check", folder, "--format", "json")
    assert as_json.code == 1
    assert {p["code"] for p in json.loads(as_json.out)} == {"unknown-kin", "word-twice", "yaml"}


def test_check_with_house_and_lookalikes(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    house = tmp_path / "house.yaml"
    house.write_text("words: {peach: {en: [lime]}}\n")
    ran = run("check", TOY, "--house", house)
    assert ran.code == 1
    assert f"{house}:1: error word-twice" in ran.out
    ran = run("check", TOY, "--lookalikes")
    assert (ran.code, "80.0  apricot / apricock" in ran.out) == (0, True)


def test_tree(run, toy: Vocabulary) -> None:  # type: ignore[no-untyped-def]
    ran = run("tree", "--vocab", TOY)
    assert ran.out.startswith("Citrus  [citrus_row]\n  lemon side  [citrus_row/lemon_side]\n    lemon  [")
    assert "vinegar" not in ran.out
    assert "vinegar" in run("tree", "--vocab", TOY, "--faults").out
    part = run("tree", "stones", "--vocab", TOY, "--format", "jsonl")
    assert [json.loads(line)["id"].rsplit("/", 1)[-1] for line in part.out.splitlines()] == [
        "stones", "peach", "apricot", "apricock",
    ]  # fmt: skip
    rows = list(csv.DictReader(io.StringIO(run("tree", "--vocab", TOY, "--faults", "--format", "csv").out)))
    assert len(rows) == len(toy.descriptors)


def test_show(run) -> None:  # type: ignore[no-untyped-def]
    ran = run("show", "lemon", "juice", "--vocab", TOY)
    assert ran.out.splitlines()[:4] == [
        "note         lemon",
        "id           citrus_row/lemon_side/lemon",
        "where        Citrus > lemon side > lemon",
        "about        Clean, sharp and yellow; thinner than lime.",
    ]
    assert json.loads(run("show", "lemon", "--vocab", TOY, "--format", "json").out)["heard"] == ["lemmin"]
    missing = run("show", "lemn", "--vocab", TOY)
    assert (missing.code, missing.out) == (1, "")
    assert "did you mean lemon" in missing.err


def test_sheet(run) -> None:  # type: ignore[no-untyped-def]
    ran = run("sheet", "--for", "apricot, peach", "--vocab", TOY)
    assert ran.out.startswith("# Kitchen references\n\n## Allergens first\n\n- **sulphites**: apricot\n")
    assert json.loads(run("sheet", "--for", "peach", "--vocab", TOY, "--format", "json").out)["items"][0][0] == "peach"
    assert run("sheet", "--vocab", TOY).code == 2


def test_add(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    house = tmp_path / "house.yaml"
    ran = run("add", "tinned peach", "--under", "stones", "--as", "note", "--house", house, "--vocab", TOY)
    assert ran.code == 0
    assert "+  tinned_peach:\n" in ran.out
    assert "written" in ran.err
    assert run("add", "tinned peach", "--under", "peach", "--house", house, "--vocab", TOY).code == 1
    assert run("show", "tinned peach", "--vocab", TOY, "--house", house).code == 0
    assert run("add", "saucer peach", "--vocab", TOY).code == 2


def test_the_example_of_add_works(run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:  # type: ignore[no-untyped-def]
    """With the vocabulary that ships, as a newcomer would type it."""
    monkeypatch.chdir(tmp_path)
    shown = " ".join(run("add", "--help").out.split())
    example = re.search(r"Example: tastevocab vocab (add .+? --house \S+)", shown)
    assert example is not None
    ran = run(*shlex.split(example[1]))
    assert (ran.code, ran.err) == (0, "house.yaml: written\n")
    checked = run("check", "--house", "house.yaml")
    assert "house.yaml" not in checked.out


def test_export_and_import(run, tmp_path: Path, toy: Vocabulary) -> None:  # type: ignore[no-untyped-def]
    pytest.importorskip("rdflib")
    out = tmp_path / "toy.ttl"
    assert run("export", out, "--to", "skos-ttl", "--base", "https://bar.example/v/", "--vocab", TOY).code == 0
    assert "<https://bar.example/v/citrus_row>" in out.read_text()
    ran = run("import", out, "--out", tmp_path / "again")
    assert (ran.code, ran.out) == (0, "toy 1.0: 19 descriptors\n")
    assert load(tmp_path / "again").descriptors.keys() == toy.descriptors.keys()
    same = run("diff", TOY, tmp_path / "again")
    assert (same.code, same.out) == (0, "")
    assert run("export", "-", "--to", "csv", "--vocab", TOY).out.startswith("id,level,home,print,")
    assert run("export", tmp_path / "no" / "folder.csv", "--to", "csv", "--vocab", TOY).code == 1
    assert run("import", tmp_path / "none.ttl").code == 1


def test_diff(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    house = tmp_path / "house.yaml"
    house.write_text("print: {lemon: sharp lemon}\nwords: {peach: {en: [flat peach]}}\n")
    ran = run("diff", TOY, house, "--vocab", TOY)
    assert ran.out == (
        "renamed     citrus_row/lemon_side/lemon: lemon > sharp lemon\n"
        "word        flat peach (en): - > orchard_row/stones/peach\n"
    )
    assert ran.err.endswith("2 changes\n")


def test_diff_tells_which_findings_would_move(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    house = tmp_path / "house.yaml"
    house.write_text(
        "words: {apricot: {en: [white peach]}}\nnotes: {zest: {under: lemon_side, print: zest, about: Peel.}}\n"
    )
    session = tmp_path / "table.yaml"
    session.write_text(
        "session: table\ndate: 2026-03-02\ntasters: [ana]\ncoffees: {one: {name: One}}\nnotes:\n"
        "  - {taster: ana, coffee: one, text: 'lime, white peach and zest'}\n"
    )
    ran = run("diff", TOY, house, "--vocab", TOY, "--session", session)
    assert ran.code == 0, ran.err
    assert [line for line in ran.out.splitlines() if line.startswith("finding")] == [
        "finding     'peach' in table.yaml:6: orchard_row/stones/peach > orchard_row/stones/apricot",
        "finding     'zest' in table.yaml:6: - > citrus_row/lemon_side/zest",
    ]
    assert session.read_text().count("\n") == 6


@pytest.mark.parametrize(
    "files", [{}, {"row.yaml": "category: row\n"}, {"00-about.yaml": "- a\n"}, {"00-about.yaml": ""}]
)
def test_a_folder_that_is_no_vocabulary(run, write_files: WriteFiles, files: dict[str, str]) -> None:  # type: ignore[no-untyped-def]
    folder = write_files(files)
    checked, opened = run("check", folder), run("tree", "--vocab", folder)
    assert (checked.code, opened.code, opened.out) == (1, 1, "")
    assert "mend: " in checked.out
    assert "mend: " in opened.err
    assert "Traceback" not in checked.err + opened.err


def test_no_folder_at_all(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    ran = run("check", tmp_path / "nowhere")
    assert (ran.code, ran.out) == (1, "")
    assert "no such folder" in ran.err
