"""README and DEVELOPERS say what is true: commands, files, forms, figures, dependencies against the program."""

from __future__ import annotations

import ast
import importlib.metadata
import json
import re
import shlex
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer
from in_process import run
from typer.testing import CliRunner

from tastevocab.cli.main import build

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text("utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
TREE: Any = typer.main.get_command(build())


def blocks(text: str, language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", text, re.DOTALL | re.MULTILINE)


def leaves(group: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    for name, command in group.commands.items():
        if hasattr(command, "commands"):
            yield from leaves(command, (*path, name))
        else:
            yield (*path, name), command


COMMANDS = dict(leaves(TREE))


def command_lines(text: str) -> list[str]:
    """Whole commands in code blocks and in inline code; names of commands alone are no command lines."""
    shell = [line for block in blocks(text, "sh") for line in block.splitlines() if line.startswith("tastevocab ")]
    inline = re.findall(r"`(tastevocab [^`\n]+)`", re.sub(r"^```.*?^```", "", text, flags=re.DOTALL | re.MULTILINE))
    return list(dict.fromkeys(line for line in (*shell, *inline) if not re.search(r"\b[A-Z]{2,}\b|--help", line)))


def examples(command: Any) -> list[str]:
    text = " ".join((command.help or "").split())
    return [one.strip() for example in re.split(r"Examples?:", text)[1:] for one in example.split("; then ")]


def parse(line: str) -> None:
    """Fails unless the command's own parser takes the line."""
    words = shlex.split(line.split(" < ")[0])[1:]
    depth = next(n for n in (2, 1) if tuple(words[:n]) in COMMANDS)
    COMMANDS[tuple(words[:depth])].make_context("tastevocab", list(words[depth:]))


# --- commands ---


@pytest.mark.parametrize("path", COMMANDS, ids=" ".join)
def test_every_command_is_in_the_readme_with_an_example(path):
    row = next((row for row in README.splitlines() if row.startswith(f"| `{' '.join(path)}` |")), "")
    assert f"`tastevocab {' '.join(path)} " in row


@pytest.mark.parametrize("path", COMMANDS, ids=" ".join)
def test_every_command_helps_with_an_example(path):
    done = CliRunner().invoke(typer_app(), [*path, "--help"])
    assert done.exit_code == 0
    assert f"tastevocab {' '.join(path)}" in " ".join(done.output.split())


def typer_app() -> typer.Typer:
    from tastevocab.cli.main import app

    return app


@pytest.mark.parametrize("line", [*command_lines(README), *command_lines(DEVELOPERS)])
def test_printed_commands_parse(line):
    parse(line)


@pytest.mark.parametrize(
    "line", [one for command in COMMANDS.values() for one in examples(command) if one.startswith("tastevocab")]
)
def test_examples_of_the_help_parse(line):
    parse(line)


def test_a_wrong_command_would_not_parse():
    with pytest.raises(Exception, match="--no-such"):
        parse("tastevocab panel table.yaml --no-such")


def test_ci_runs_the_two_commands_of_the_readme():
    script = (ROOT / ".ci" / "run").read_text("utf-8")
    lines = [line for block in blocks(README, "sh")[:2] for line in block.splitlines()]
    marks = re.findall(r"readme_command '(.+)'", script)
    assert len(lines) == len(marks) == 2
    for mark, line in zip(marks, lines, strict=True):
        assert [one for one in README.splitlines() if mark in one] == [line]


@pytest.mark.parametrize("line", re.findall(r"-m tastevocab\.reading\.language (.+)", DEVELOPERS))
def test_tools_of_the_reader_are_called_as_shown(line, monkeypatch):
    """Each tool as shown, its work left out; `explain` is run in full below."""
    from tastevocab.reading.fitting import tools

    called: list[tuple[str, ...]] = []
    monkeypatch.setattr(tools, "open_lexicon", lambda: None)
    for name in ("fit", "score", "explain", "lessons", "clues"):
        monkeypatch.setattr(tools, name, lambda _, *given: called.append(given))
    words = shlex.split(line.split("  #")[0])
    assert tools.main(words) == 0
    assert called == [tuple(words[1:])]


def test_explain_says_what_is_counted_and_what_is_set_aside(capsys):
    from tastevocab.reading.fitting.tools import main

    assert main(["explain", "I get peach and a bit of jasmine. The bag says honey."]) == 0
    told = capsys.readouterr().out
    assert all(words in told for words in ("peach, counted, sure", "jasmine, counted, sure", "set aside (claim)"))


# --- the demo ---


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo")
    done = run("demo", "--full", "--out", str(folder), folder=folder)
    assert done.returncode == 0, done.stderr
    return folder, " ".join(done.stdout.split())


@pytest.mark.parametrize("line", "".join(blocks(README, "text")).splitlines())
def test_what_the_walk_prints_is_printed(demo, line):
    assert " ".join(line.split()) in demo[1]


def test_files_named_in_the_walk_are_written(demo):
    written = {path.name for path in (demo[0] / "loma_serena").iterdir()}
    walk = README.split("In `exports/demo/loma_serena`:")[1].split("\n\n")[0]
    named = set(re.findall(r"`([\w-]+\.\w+)`", walk))
    assert named <= written
    assert {name.split(".")[0] for name in written} == {
        name.split(".")[0] for name in re.findall(r"`([\w-]+)", walk)
    } - {""}


def test_the_worked_weight_is_the_demos(demo):
    """The figures of sour cherry as the README works them out."""
    maps = json.loads((demo[0] / "loma_serena" / "map.json").read_text("utf-8"))["maps"]
    warm = next(m for m in maps if (m["brew"], m["moment"]) == ("filter", "warm"))
    cherry = next(n for n in warm["nodes"] if n["descriptor"] == "orchard/cherries/sour_cherry")
    told = re.search(
        r"F = 100 × 1 / 5 = (\d+), I = 1 × 35\.4 / 5 = ([\d.]+), weight = √\(20 × 7\.08\) = ([\d.]+)\.",
        " ".join(README.split()),
    )
    assert told is not None
    frequency, intensity, weight = map(float, told.groups())
    assert (cherry["frequency"], cherry["intensity"]) == (pytest.approx(frequency), pytest.approx(intensity))
    assert cherry["weight"] == pytest.approx(weight, abs=0.05)


# --- forms of files ---


def form(start: str) -> str:
    return next(block for block in blocks(README, "yaml") if block.startswith(start))


def test_the_session_form_is_sound(tmp_path):
    from tastevocab.panel.session import read_session
    from tastevocab.panel.session_check import check_session

    path = tmp_path / "session.yaml"
    path.write_text(form("session:"), "utf-8")
    (tmp_path / "table.vtt").write_text("WEBVTT\n", "utf-8")
    (tmp_path / "sheet.csv").write_text("taster,text\n", "utf-8")
    (tmp_path / "table.m4a").write_bytes(b"")
    session = read_session(path)
    assert check_session(session) == ()
    assert (session.bowls, session.sources[0].reveal) == (5, 2470.0)


def test_the_house_form_is_sound(tmp_path):
    from tastevocab.vocabulary.cache import open_vocabulary
    from tastevocab.vocabulary.check import check, over

    path = tmp_path / "house.yaml"
    path.write_text(form("house:"), "utf-8")
    assert [p for p in check(over(None, path)) if str(path) in str(p.place)] == []
    vocabulary = open_vocabulary(house=path)
    assert "hedgerow_vine/dark_berries/slatterberry" in vocabulary.descriptors
    assert vocabulary.ignored == ("house blend",)


def test_the_decisions_form_is_read(tmp_path):
    from tastevocab.reading.review.decisions import read_decisions

    (tmp_path / "table.decisions.yaml").write_text(form("notes:"), "utf-8")
    kept = read_decisions(tmp_path / "table.decisions.yaml")
    assert [(d.decide, d.words, d.descriptor) for d in kept] == [
        ("change", "kumquish", "citrus_crate/orange_mandarin/kumquat"),
        ("add", "a bit like plums", "orchard/plums/plum"),
        ("stretch", "", None),
    ]
    assert (kept[2].start.at, kept[2].end.at, kept[2].details.brew) == (750.0, 902.0, "espresso")


def test_the_readings_form_is_the_contract():
    from tastevocab.reading.records import AttributeFinding, Finding, SetAside, Spot, Suggestion, Unresolved
    from tastevocab.reading.report import contract

    spot = Spot("words", (0, 5), "file")
    made = [
        contract.row(item, contract.Labels({}, {}))
        for item in (
            Finding("id", "descriptor", spot),
            AttributeFinding("id", "acidity", "high", 4, spot),
            SetAside(spot, "equipment"),
            Unresolved(spot, (Suggestion("descriptor", 0.8),)),
        )
    ]
    text = "".join(blocks(README, "json"))
    shown = [json.loads(f'{{"kind"{one}') for one in text.split('{"kind"')[1:]]
    assert [row["kind"] for row in shown] == [row["kind"] for row in made]
    for row, real in zip(shown, made, strict=True):
        assert set(row) <= set(real)
    assert set(shown[0]) >= {"descriptor", "words", "span", "speaker", "present", "standing", "degree", "certainty"}


def test_house_style_keys_are_listed():
    from dataclasses import fields

    from tastevocab.feature.house_style import HouseStyle

    listed = README.split("**House style**")[1].split("\n\n")[0]
    assert {f.name for f in fields(HouseStyle)} <= set(re.findall(r"`(\w+)`", listed))


# --- files and modules ---


def test_links_lead_somewhere():
    for text in (README, DEVELOPERS):
        for target in re.findall(r"\]\(([^)#]+)", text):
            assert (ROOT / target).exists(), target
    for section in re.findall(r"\(DEVELOPERS\.md#([\w-]+)\)", README):
        assert f"\n## {section.replace('-', ' ')}\n" in DEVELOPERS.lower()


def test_modules_named_for_developers_exist():
    named = set(re.findall(r"(?:tastevocab|vocab|tests)/[\w/.-]+\.(?:py|yaml|json)", DEVELOPERS))
    assert len(named) > 30
    assert [name for name in sorted(named) if not (ROOT / name).is_file()] == []
    short = set(re.findall(r"`(\w+\.(?:py|yaml))`", DEVELOPERS))
    there = {path.name for folder in ("tastevocab", "vocab") for path in (ROOT / folder).rglob("*.*")}
    assert short - there == set()


def test_every_language_file_is_described():
    told = DEVELOPERS.split("## The vocabulary's files")[1].split("\n## ")[0]
    for path in sorted((ROOT / "vocab" / "coffee").glob("*.yaml")):
        if "\ncategory: " not in path.read_text("utf-8"):
            assert f"| `{path.name}` |" in told


# --- dependencies ---

NAMES = {
    "pyyaml": "yaml",
    "ruamel.yaml": "ruamel",
    "fonttools": "fontTools",
    "fpdf2": "fpdf",
    "pot": "ot",
    "pillow": "PIL",
}
TOOLS = {"ruff", "mypy", "types-pyyaml", "pytest-benchmark", "pytest-xdist", "wn"}
"""Run, loaded by pytest, or read as data, never imported."""


def declared(requirements: list[str]) -> dict[str, str]:
    """Module name to package name."""
    names = [re.split(r"[<>=~!\[; ]", one)[0] for one in requirements]
    known = {"webvtt-py": "webvtt", "pyahocorasick": "ahocorasick"}
    return {NAMES.get(n.lower(), known.get(n, n.replace("-", "_"))): n for n in names}


def imports(*paths: Path) -> set[str]:
    found = set()
    for path in paths:
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Import):
                found |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and not node.level:
                found.add(str(node.module).split(".")[0])
            elif isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "importorskip":
                found.add(str(ast.literal_eval(node.args[0])).split(".")[0])
    return found - set(sys.stdlib_module_names) - {"tastevocab"}


CORE = declared(PROJECT["project"]["dependencies"])
EXTRAS = PROJECT["project"]["optional-dependencies"]
WEB = set(declared(EXTRAS["web"]))
CLUSTER = set(declared(EXTRAS["cluster"]))
HEAR = set(declared(EXTRAS["hear"]))
LATE = {"rdflib", "playwright", "PIL", "manimgx_fonts_cjk"}
"""Used where they are there; the program says so or does without."""
FITTING = ROOT / "tastevocab" / "reading" / "fitting"
"""What fits the reader: no part of the program as it runs."""
COLOURS = ROOT / "tastevocab" / "wheel" / "colour_fit.py"
"""What fits the wheel's ramp: no part of the program as it runs either."""


def test_what_the_program_imports_is_declared_and_the_other_way_round():
    program = (path for path in (ROOT / "tastevocab").rglob("*.py") if FITTING not in path.parents and path != COLOURS)
    assert imports(*program) - LATE - WEB - CLUSTER - HEAR == set(CORE)
    assert {"rdflib"} == set(declared(EXTRAS["exchange"]))


def test_what_the_local_pages_import_is_declared_and_the_other_way_round():
    """And what they need is in `test`, so that the suite runs them."""
    assert imports(*(ROOT / "tastevocab" / "web").rglob("*.py")) - set(CORE) == set(WEB)
    assert set(EXTRAS["web"]) <= set(EXTRAS["test"])


def test_what_corpora_import_is_declared_and_the_other_way_round():
    """And what they need is in `test`, so that the suite runs them."""
    assert imports(*(ROOT / "tastevocab" / "corpus").rglob("*.py")) - set(CORE) == CLUSTER
    assert set(EXTRAS["cluster"]) <= set(EXTRAS["test"])


def test_what_fitting_imports_is_declared_and_the_other_way_round():
    assert imports(*FITTING.rglob("*.py"), COLOURS) - set(CORE) == set(declared(EXTRAS["fit"]))


def test_what_the_tests_import_is_declared_and_the_other_way_round():
    beside = {path.stem for path in (ROOT / "tests").rglob("*.py")}
    wanted = imports(*(ROOT / "tests").rglob("*.py")) - beside - set(CORE)
    given = declared([one for extra, needs in EXTRAS.items() if extra in ("test", "bench") for one in needs])
    assert wanted <= set(given)
    assert {module for module, package in given.items() if package.lower() not in TOOLS} <= wanted | LATE | WEB


def test_dependencies_are_explained():
    told = DEVELOPERS.split("## Dependencies")[1].split("\n## ")[0]
    for package in (*CORE.values(), *declared(EXTRAS["fit"]).values(), *declared(EXTRAS["web"]).values()):
        assert re.search(rf"\b{re.escape(package)}\b", told), package


def test_version_is_one():
    from tastevocab import __version__

    assert __version__ == PROJECT["project"]["version"] == importlib.metadata.version("tastevocab")
