"""`tastevocab find`: what a phrase means, for people and for programs."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from tastevocab.cli import read as commands

KEYS = [
    "phrase",
    "descriptor",
    "print",
    "level",
    "attribute",
    "state",
    "parts",
    "via",
    "match",
    "runner_up",
    "runner_up_match",
    "gap",
    "thing",
    "form",
    "said",
]


@pytest.fixture(scope="module")
def app() -> typer.Typer:
    made = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None)
    commands.register(made)
    return made


def find(app: typer.Typer, *args: str, stdin: str = "") -> list[dict[str, object]]:
    done = CliRunner().invoke(app, ["find", *args, "--format", "jsonl"], input=stdin)
    assert done.exit_code == 0, done.output
    return [json.loads(line) for line in done.stdout.splitlines()]


def test_a_line_for_each_phrase_in_order_null_where_unknown(app: typer.Typer) -> None:
    phrases = ["bergamot", "xyzzyx", "", "fermented strawberry", "bergamot"]
    found = find(app, "-", "--exact", stdin="\n".join(phrases) + "\n")
    assert [row["phrase"] for row in found] == phrases
    assert [row["descriptor"] for row in found] == [
        "citrus_crate/peel_oil/bergamot",
        None,
        None,
        "hedgerow_vine/red_berries/strawberry",
        "citrus_crate/peel_oil/bergamot",
    ]
    assert found[3]["state"] == "fermented"
    assert all(list(row) == KEYS for row in found)


def test_guesses_say_how_and_how_far_the_next_is(app: typer.Typer) -> None:
    [row] = find(app, "blakberry")
    assert row["descriptor"] == "hedgerow_vine/dark_berries/blackberry"
    assert row["via"] in ("spelling", "sound")
    assert row["gap"] == pytest.approx(row["match"] - row["runner_up_match"], abs=1e-4)  # type: ignore[operator]
    assert find(app, "blakberry", "--exact")[0]["descriptor"] is None


def test_an_attribute_word_names_its_attribute(app: typer.Typer) -> None:
    [row] = find(app, "bright", "--exact")
    assert (row["descriptor"], row["attribute"]) == (None, "acidity")


def test_an_id_answers_itself(app: typer.Typer) -> None:
    [row] = find(app, "citrus_crate/peel_oil/bergamot", "--exact")
    assert (row["descriptor"], row["level"], row["via"]) == ("citrus_crate/peel_oil/bergamot", "note", "id")


def test_a_table_for_people(app: typer.Typer) -> None:
    done = CliRunner().invoke(app, ["find", "zzqzz", "[b]"], env={"COLUMNS": "100", "NO_COLOR": "1"})
    assert done.exit_code == 0
    assert "zzqzz [b]" in done.stdout
    assert "not known" in done.stdout


def test_looking_up_loads_nothing_heavy() -> None:
    script = (
        "import sys, typer; from tastevocab.cli import read\n"
        "app = typer.Typer(); read.register(app)\n"
        "try: app(['find', 'plum', '--exact', '--format', 'jsonl'])\n"
        "except SystemExit: pass\n"
        "heavy = {'rich', 'networkx', 'plotly', 'numpy', 'jinja2'} & set(sys.modules)\n"
        "sys.exit(f'loaded {sorted(heavy)}' if heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_a_misspelt_key_of_a_house_file_is_told(app: typer.Typer, tmp_path: Path) -> None:
    house = tmp_path / "house.yaml"
    house.write_text("house: corner-bar\nwrods: {lychee: {en: [soapberry]}}\n", encoding="utf-8")
    done = CliRunner().invoke(app, ["find", "lychee", "--house", str(house)])
    assert f"{house}:2: 'wrods' is no key that is read\n  mend: did you mean words?" in str(done.exception)
