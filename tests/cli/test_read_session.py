"""`tastevocab read` of a session file: its sources with what it knows, in its own ids; and `session check` after it."""

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

from tastevocab.cli import read as commands
from tastevocab.cli import session as session_commands
from tastevocab.errors import InputError

TALK = """\
WEBVTT

00:00:02.000 --> 00:00:06.000
<v Miri>I get blackberry, and a whiff of bergamot.

00:01:00.000 --> 00:01:06.000
<v Otto>No lemon here. I get cocoa. The orange kettle boils.

00:02:00.000 --> 00:02:06.000
<v Guest>I get mango.
"""
SHEET = "taster,coffee,brew,text\nmira,Vale Alto,filter,plum\notto,,shot,kumquish notes\n"
SESSION = """\
session: small
tasters: [mira, otto]
speakers: {Miri: mira}
coffees:
  vale_alto: {name: Vale Alto, process: washed}
  rio: {name: Rio}
brews:
  cone: {method: filter}
  shot: {method: espresso}
notes:
  - {source: table.vtt, coffee: vale_alto, brew: cone, to: "1:00"}
  - {source: table.vtt, coffee: rio, brew: cone, from: "1:00"}
  - {source: sheet.csv}
  - {taster: otto, coffee: rio, brew: cone, moment: cool, text: "turns to mandarin"}
"""


@pytest.fixture(autouse=True)
def plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    plain_reader.use(monkeypatch)


@pytest.fixture(scope="module")
def app() -> typer.Typer:
    made = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None)
    commands.register(made)
    session_commands.register(made)
    return made


@pytest.fixture
def session(tmp_path: Path) -> Path:
    for name, text in (("table.vtt", TALK), ("sheet.csv", SHEET), ("small.yaml", SESSION)):
        (tmp_path / name).write_text(text, "utf-8")
    return tmp_path / "small.yaml"


def run(app: typer.Typer, *args: object) -> Result:
    return CliRunner().invoke(app, [*map(str, args)], env={"COLUMNS": "100", "NO_COLOR": "1"})


def rows(done: Result) -> list[dict[str, object]]:
    assert done.exit_code == 0, done.output
    return [json.loads(line) for line in done.stdout.splitlines()]


def test_rows_are_in_the_sessions_ids_and_quote_its_files(app: typer.Typer, session: Path) -> None:
    found = rows(run(app, "read", session, "--format", "jsonl"))
    seats = {(r["words"], r["source"], r["speaker"], r["coffee"]) for r in found}
    assert ("blackberry", "table.vtt", "mira", "vale_alto") in seats
    assert ("cocoa", "table.vtt", "otto", "rio") in seats
    assert ("orange kettle", "table.vtt", "otto", "rio") in seats
    assert ("plum", "sheet.csv", "mira", "vale_alto") in seats
    assert ("mandarin", "small.yaml:14", "otto", "rio") in {(w.removeprefix("turns to "), *rest) for w, *rest in seats}  # type: ignore[attr-defined]
    assert {r["brew"] for r in found if r["kind"] == "flavour"} <= {"cone", "shot"}
    for row in found:
        if row["source"] == "table.vtt":
            span: Any = row["span"]
            assert TALK[slice(*span)] == row["words"]
    assert len({r["id"] for r in found if "id" in r}) == sum("id" in r for r in found)


def test_what_fits_nobody_is_printed_all_the_same(app: typer.Typer, session: Path) -> None:
    found = rows(run(app, "read", session, "--format", "jsonl"))
    (guest,) = [r for r in found if r["words"] == "mango"]
    assert (guest["speaker"], guest["coffee"]) == (None, "rio")
    (unknown,) = [r for r in found if r["kind"] == "unresolved"]
    assert (unknown["speaker"], unknown["coffee"]) == ("otto", None)
    assert "speaker 'Guest' is no taster" in run(app, "read", session, "--format", "jsonl").stderr


def test_every_form_holds_the_same(app: typer.Typer, session: Path) -> None:
    lines = rows(run(app, "read", session, "--format", "jsonl"))
    assert json.loads(run(app, "read", session, "--format", "json").stdout) == lines
    cells = list(csv.DictReader(io.StringIO(run(app, "read", session, "--format", "csv").stdout, newline="")))
    assert [(c["words"], c["coffee"]) for c in cells] == [(r["words"], r["coffee"] or "") for r in lines]
    markdown = run(app, "read", session, "--format", "md").stdout
    assert [line for line in markdown.splitlines() if line.startswith("## ")] == [
        "## table.vtt",
        "## sheet.csv",
        "## small.yaml:14",
    ]
    page = run(app, "read", session, "--format", "html").stdout
    assert "small.yaml:14" in page
    assert "blackberry" in page
    report = run(app, "read", session).stdout
    assert f"{session.parent / 'sheet.csv'}: " in report
    assert "Vale Alto" in report


def test_options_fill_what_the_session_leaves_open(app: typer.Typer, session: Path) -> None:
    found = rows(run(app, "read", session, "--format", "jsonl", "--coffee", "rio"))
    assert {r["coffee"] for r in found if r["source"] == "sheet.csv"} == {"vale_alto", "rio"}
    wrong = run(app, "read", session, "--coffee", "roi")
    assert isinstance(wrong.exception, InputError)
    assert "did you mean rio?" in str(wrong.exception)


def test_decisions_beside_a_source_apply(app: typer.Typer, session: Path) -> None:
    kept = "notes: table.vtt\ndecisions:\n  - {words: blackberry, decide: reject}\n"
    (session.parent / "table.decisions.yaml").write_text(kept, "utf-8")
    found = rows(run(app, "read", session, "--format", "jsonl"))
    (row,) = [r for r in found if r["words"] == "blackberry"]
    assert (row["kind"], row["coffee"], row["speaker"]) == ("set_aside", "vale_alto", "mira")


def test_yaml_that_is_no_session_is_refused(app: typer.Typer, session: Path) -> None:
    other = session.with_name("other.yml")
    other.write_text("house: corner-bar\nprint: {}\n", "utf-8")
    done = run(app, "read", other)
    assert isinstance(done.exception, InputError)
    assert str(done.exception).startswith(f"{other}:1: is no session: none of session, tasters, coffees, notes")
    unsound = session.with_name("unsound.yaml")
    unsound.write_text(SESSION.replace("moment: cool", "momnt: cool"), "utf-8")
    assert "did you mean moment?" in str(run(app, "read", unsound).exception)


def test_the_check_stops_where_findings_would_be_lost(app: typer.Typer, session: Path) -> None:
    (session.parent / "sheet.csv").write_text(SHEET.replace("kumquish notes", "plum and fig"), "utf-8")
    done = run(app, "session", "check", session)
    assert done.exit_code == 1
    assert f"{session}:13: error no-coffee: sheet.csv: 2 findings of 3 said of no coffee" in done.stdout
    assert "write `- {source: sheet.csv, coffee: rio}`" in done.stdout
    (session.parent / "sheet.csv").write_text(SHEET.replace(",,", ",rio,"), "utf-8")
    assert run(app, "session", "check", session).exit_code == 0


def test_a_misspelt_key_of_decisions_is_told(app: typer.Typer, session: Path) -> None:
    (session.parent / "table.decisions.yaml").write_text("decision:\n  - {words: fig, decide: reject}\n", "utf-8")
    done = run(app, "read", session.with_name("table.vtt"))
    assert isinstance(done.exception, InputError)
    assert "table.decisions.yaml:1: 'decision' is no key that is read" in str(done.exception)
    assert "did you mean decisions?" in str(done.exception)
