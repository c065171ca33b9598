"""The rooms: each module stands alone, imports run one way, and asking for help loads nothing heavy."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator, Mapping
from importlib.util import find_spec
from pathlib import Path

import pytest

import tastevocab

PACKAGE = Path(tastevocab.__file__).parent
GROUND = frozenset({"errors", "opened", "written", "cells"})
MAY_IMPORT: Mapping[str, frozenset[str]] = {
    "errors": frozenset(),
    "opened": frozenset(),
    "written": frozenset({"errors", "opened"}),
    "cells": frozenset(),
    "vocabulary": GROUND,
    "reading": GROUND | {"vocabulary"},
    "wheel": GROUND | {"vocabulary"},
    "captioning": GROUND | {"vocabulary", "reading"},
    "panel": GROUND | {"vocabulary", "reading"},
    "archive": GROUND | {"vocabulary", "reading", "panel"},
    "corpus": GROUND | {"vocabulary", "reading", "panel"},
    "feature": GROUND | {"vocabulary", "reading", "wheel", "panel", "archive"},
    "web": GROUND | {"vocabulary", "reading", "wheel", "panel", "archive", "feature"},
    "cli": GROUND | {"vocabulary", "reading", "wheel", "panel", "archive", "corpus", "feature", "web", "captioning"},
}
# The panel fills in the wheel's own record, in one place; the wheel knows nothing of the panel.
BRIDGE = {
    ("tastevocab.panel.weighted_tree", "tastevocab.wheel.tree"),
    ("tastevocab.panel.crowd_tree", "tastevocab.wheel.tree"),
}
# What is run where the encoder is fitted; its packages (torch, onnx) are no part of the program or its tests.
FITTING = {f"tastevocab.reading.language.fitting.{name}" for name in ("train", "graph", "scene")}
FACES = frozenset({"typer", "rich"})
FRAMES = frozenset({"dask", "distributed", "pandas", "pyarrow"})
# They run what they read.
UNSAFE = frozenset({"pickle", "_pickle", "marshal", "shelve", "dill", "cloudpickle", "joblib"})
CHARTS = ("tastevocab.wheel.page", "tastevocab.panel.chart", "tastevocab.archive.chart")
HEAVY = (
    "faster_whisper",
    "ctranslate2",
    "av",
    "networkx",
    "plotly",
    "numpy",
    "onnxruntime",
    "tokenizers",
    "rdflib",
    "ruamel.yaml",
    "wordfreq",
    "fontTools",
    "fpdf",
    "jinja2",
    "resvg_py",
    "starlette",
    "uvicorn",
    "segno",
    "dask",
    "distributed",
    "pandas",
    "pyarrow",
)


def module_name(path: Path) -> str:
    parts = ("tastevocab", *path.relative_to(PACKAGE).with_suffix("").parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


MODULES = {module_name(path): path for path in sorted(PACKAGE.rglob("*.py"))}


def room(module: str) -> str:
    return module.split(".")[1] if "." in module else ""


def imported(path: Path) -> Iterator[str]:
    """Every module a file imports, wherever in it."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports by full names, not by dots"
            yield from (
                f"{node.module}.{a.name}" if f"{node.module}.{a.name}" in MODULES else str(node.module)
                for a in node.names
            )


def test_every_room_is_known():
    assert {room(module) for module in MODULES} - {""} == set(MAY_IMPORT)


@pytest.mark.parametrize("module", MODULES)
def test_imports_run_one_way(module):
    own = room(module)
    for target in imported(MODULES[module]):
        if not target.startswith("tastevocab.") or not own or (module, target) in BRIDGE:
            continue
        assert room(target) == own or room(target) in MAY_IMPORT[own], f"{module} may not import {target}"


@pytest.mark.parametrize("module", [m for m in MODULES if room(m) != "cli"])
def test_core_rooms_know_neither_terminal_nor_charts(module):
    tops = {target.split(".")[0] for target in imported(MODULES[module])}
    assert not tops & FACES
    assert "plotly" not in tops or module.startswith(CHARTS)


@pytest.mark.parametrize("module", [m for m in MODULES if room(m) != "corpus"])
def test_only_the_corpus_room_knows_frames(module):
    assert not {target.split(".")[0] for target in imported(MODULES[module])} & FRAMES


@pytest.mark.parametrize("module", MODULES)
def test_nothing_runs_what_it_reads(module):
    assert not {target.split(".")[0] for target in imported(MODULES[module])} & UNSAFE


ALONE = """
import importlib, sys
kept = set(sys.modules)
for name in sys.argv[1:]:
    for loaded in [m for m in sys.modules if m.split(".")[0] == "tastevocab"]:
        del sys.modules[loaded]
    try:
        importlib.import_module(name)
    except BaseException as problem:
        print(f"{name}: {type(problem).__name__}: {problem}")
"""


def test_each_module_imports_first():
    """In one process for speed: before each, every tastevocab module is forgotten, so that a cycle shows."""
    served = find_spec("starlette") is not None  # what the web room needs is an extra
    names = [n for n in MODULES if "." in n and n not in FITTING and (served or room(n) != "web")]
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", ALONE, *names], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_a_cycle_would_show(tmp_path):
    """The way above of importing finds what it is for."""
    folder = tmp_path / "tastevocab"
    folder.mkdir()
    (folder / "__init__.py").write_text("", "utf-8")
    (folder / "one.py").write_text("from tastevocab.two import b\na = 1\n", "utf-8")
    (folder / "two.py").write_text("from tastevocab.one import a\nb = 2\n", "utf-8")
    code = f"import sys; sys.path.insert(0, {str(tmp_path)!r})\n{ALONE}"
    done = subprocess.run(
        [sys.executable, "-c", code, "tastevocab.one", "tastevocab.two"], capture_output=True, text=True, check=True
    )
    assert "tastevocab.one: ImportError" in done.stdout
    assert "tastevocab.two: ImportError" in done.stdout


@pytest.mark.parametrize(
    "run",
    [
        pytest.param("import tastevocab.cli.main", id="import"),
        pytest.param(
            "import sys, tastevocab.cli.main as main\nsys.argv = ['tastevocab', '--help']\n"
            "try:\n    main.run()\nexcept SystemExit as end:\n    assert not end.code",
            id="help",
        ),
    ],
)
def test_help_loads_nothing_heavy(run):
    code = f"{run}\nimport sys\nprint([m for m in {HEAVY!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == "[]"


def test_public_modules_say_what_they_are_for():
    """DEVELOPERS.md lists rooms, not files: each file says itself, in its first line, what it is for."""
    silent = [
        m
        for m in MODULES
        if "." in m
        and not MODULES[m].name.startswith("__")
        and not ast.get_docstring(ast.parse(MODULES[m].read_text()))
    ]
    assert silent == []
