"""`tastevocab read`: every format, several files, several processes, decisions, and what it says of bad input."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import plain_reader
import pytest
import typer
from typer.testing import CliRunner, Result

from tastevocab.cells import safe_cell
from tastevocab.cli import read as commands
from tastevocab.errors import InputError
from tastevocab.reading.report.contract import COLUMNS

TALK = "Mira: I get blackberry, and a whiff of bergamot.\nOtto: No lemon. The orange kettle boils.\n"


@pytest.fixture(scope="module")
def app() -> typer.Typer:
    made = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None)
    commands.register(made)
    return made


@pytest.fixture
def talk(tmp_path: Path) -> Path:
    path = tmp_path / "table.txt"
    path.write_text(TALK, encoding="utf-8")
    return path


def run(app: typer.Typer, *args: object) -> Result:
    return CliRunner().invoke(app, ["read", *map(str, args)], env={"COLUMNS": "100", "NO_COLOR": "1"})


def rows(done: Result) -> list[dict[str, object]]:
    assert done.exit_code == 0, done.output
    return [json.loads(line) for line in done.stdout.splitlines()]


def table_of(tmp_path: Path, count: int = 7) -> Path:
    words = (
        "blackberry, bright",
        "maybe fig",
        "not lemon",
        "=cmd|' /C calc'!A0 plum",
        "nothing here",
        "kumquish notes",
    )
    lines = [json.dumps({"id": f"n{i}", "text": words[i % len(words)], "taster": "Åsa"}) for i in range(count)]
    path = tmp_path / "notes.jsonl"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def test_rows_quote_the_file(app: typer.Typer, talk: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plain_reader.use(monkeypatch)
    found = rows(run(app, talk, "--format", "jsonl"))
    for row in found:
        span: Any = row["span"]
        assert TALK[slice(*span)] == row["words"]
    flavours = {(r["speaker"], r["descriptor"], r["present"]) for r in found if r["kind"] == "flavour"}
    assert ("Mira", "hedgerow_vine/dark_berries/blackberry", True) in flavours
    assert ("Otto", "citrus_crate/lemon_lime/lemon", False) in flavours
    assert [r["reason"] for r in found if r["kind"] == "set_aside"] == ["equipment"]


def test_json_and_jsonl_say_the_same(app: typer.Typer, talk: Path) -> None:
    assert json.loads(run(app, talk, "--format", "json").stdout) == rows(run(app, talk, "--format", "jsonl"))


def test_a_table_reads_the_same_whole_and_row_by_row(app: typer.Typer, tmp_path: Path) -> None:
    path = table_of(tmp_path, 12)
    assert json.loads(run(app, path, "--format", "json").stdout) == rows(run(app, path, "--format", "jsonl"))


def test_several_files_one_after_the_other(app: typer.Typer, talk: Path, tmp_path: Path) -> None:
    found = rows(run(app, table_of(tmp_path), talk, "--format", "jsonl"))
    sources = [str(r["source"]) for r in found]
    assert sources == sorted(sources, key=lambda s: s.endswith("table.txt"))
    assert len(set(sources)) == 2


@pytest.mark.parametrize("format", ["jsonl", "csv"])
def test_two_processes_give_the_same_bytes(
    app: typer.Typer, tmp_path: Path, format: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = table_of(tmp_path, 60)
    one = run(app, path, "--format", format)
    monkeypatch.setattr("tastevocab.reading.jobs.CHUNK_ROWS", 7)
    two = run(app, path, "--format", format, "--jobs", "2")
    assert one.exit_code == two.exit_code == 0
    assert one.stdout_bytes == two.stdout_bytes
    assert [n for n in range(60) if b"n%d" % n in one.stdout_bytes][-1] >= 57


def test_csv_is_a_row_an_item_and_no_formula(app: typer.Typer, tmp_path: Path) -> None:
    done = run(app, table_of(tmp_path), "--format", "csv")
    header, *cells = list(csv.reader(io.StringIO(done.stdout, newline="")))
    assert tuple(header) == COLUMNS
    assert len(cells) == len(rows(run(app, table_of(tmp_path), "--format", "jsonl")))
    assert not [c for row in cells for c in row if c != safe_cell(c)]
    assert {row[COLUMNS.index("note")] for row in cells} >= {"n0", "n1", "n2"}


def test_defaults_fill_what_the_file_does_not_say(app: typer.Typer, tmp_path: Path) -> None:
    path = tmp_path / "a.jsonl"
    path.write_text('{"id": "1", "text": "plum"}\n{"id": "2", "text": "plum", "taster": "Otto"}\n', encoding="utf-8")
    options = ("--taster", "Mira", "--coffee", "vale", "--brew", "filter", "--moment", "cool")
    found = rows(run(app, path, "--format", "jsonl", *options))
    assert [r["speaker"] for r in found] == ["Mira", "Otto"]
    assert {(r["coffee"], r["brew"], r["moment"]) for r in found} == {("vale", "filter", "cool")}
    wrong = run(app, path, "--moment", "lukewarm")
    assert wrong.exit_code == 2
    assert "dry, aroma, hot, warm, cool" in wrong.stderr


def test_out_is_written_whole_and_nothing_is_printed(app: typer.Typer, talk: Path, tmp_path: Path) -> None:
    out = tmp_path / "page.html"
    done = run(app, talk, "--format", "html", "--out", out)
    assert (done.exit_code, done.stdout) == (0, "")
    assert out.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["page.html", "table.txt"]
    bad = run(app, talk, "--format", "jsonl", "--out", tmp_path / "no" / "such.jsonl")
    assert isinstance(bad.exception, InputError)


def test_a_file_that_fails_leaves_no_output_behind(app: typer.Typer, tmp_path: Path) -> None:
    broken = tmp_path / "b.jsonl"
    broken.write_text('{"id": "1", "text": "plum"}\n{"id":\n', encoding="utf-8")
    done = run(app, broken, "--format", "jsonl", "--out", tmp_path / "out.jsonl")
    assert isinstance(done.exception, InputError)
    assert "b.jsonl:2" in str(done.exception)
    assert [p.name for p in tmp_path.iterdir()] == ["b.jsonl"]


def test_the_report_and_markdown_for_people(app: typer.Typer, talk: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plain_reader.use(monkeypatch)
    report = run(app, talk).stdout
    assert "Set aside: 1" in report
    assert "- no lemon" in report
    markdown = run(app, talk, "--format", "md").stdout
    assert markdown.startswith("## table.txt\n\n| mark | words |")
    assert "| × aside | orange kettle |" in markdown


def test_what_is_asked_is_shown_as_its_own_part(app: typer.Typer, talk: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plain_reader.use(monkeypatch)
    talk.write_text("Mira: I get blackberry, perhaps bergamot.\n", encoding="utf-8")
    report = run(app, talk).stdout
    counted, _, asked = report.partition("Asked, counted for nobody yet: 1\n")
    assert "blackberry" in counted
    assert "bergamot" not in counted
    assert '"bergamot" (Mira): bergamot, 30 % sure' in asked
    assert "%" not in counted
    kinds = {r["words"]: (r["asked"], r["sure"]) for r in rows(run(app, talk, "--format", "jsonl"))}
    assert kinds == {"blackberry": (False, 0.9), "bergamot": (True, 0.3)}
    header, *cells = list(csv.reader(io.StringIO(run(app, talk, "--format", "csv").stdout, newline="")))
    at = {name: n for n, name in enumerate(header)}
    assert {(c[at["words"]], c[at["asked"]], c[at["sure"]]) for c in cells} == {
        ("blackberry", "no", "0.9"),
        ("bergamot", "yes", "0.3"),
    }
    assert "| * asked | bergamot |" in run(app, talk, "--format", "md").stdout
    assert 'class="mark asked"' in run(app, talk, "--format", "html").stdout


@pytest.mark.parametrize("format", ["table", "md", "html"])
def test_why_is_told_where_it_is_wanted(app: typer.Typer, talk: Path, format: str) -> None:
    path = table_of(talk.parent, 1)
    assert "why: " not in run(app, path, "--format", format).stdout
    assert "why: " in run(app, path, "--format", format, "--explain").stdout


def test_a_missing_file_is_told(app: typer.Typer, tmp_path: Path) -> None:
    done = run(app, tmp_path / "none.vtt")
    assert isinstance(done.exception, InputError)
    assert "none.vtt" in str(done.exception)


@pytest.mark.parametrize("format", ["jsonl", "csv", "json", "table", "html", "md"])
def test_decisions_beside_the_notes_are_honoured_in_every_format(app: typer.Typer, tmp_path: Path, format: str) -> None:
    path = table_of(tmp_path)
    decisions = "decisions:\n- {words: fig, decide: change, descriptor: citrus_crate/orange_mandarin/kumquat}\n"
    (tmp_path / "notes.decisions.yaml").write_text(decisions, encoding="utf-8")
    done = run(app, path, "--format", format)
    assert done.exit_code == 0, done.output
    assert "kumquat" in done.stdout
    assert "1 decisions applied" not in done.stderr
    assert "1 decision applied" in done.stderr


@pytest.mark.parametrize("command", ["read", "find", "review"])
def test_help_shows_examples_each_on_a_line_of_its_own(app: typer.Typer, command: str) -> None:
    shown = CliRunner().invoke(app, [command, "--help"], env={"COLUMNS": "100"}).stdout
    assert len([line for line in shown.splitlines() if line.startswith(f"  Example: tastevocab {command} ")]) >= 2
