"""The rooms: each module stands alone, imports run one way, and asking for help loads nothing heavy."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from graphlib import CycleError, TopologicalSorter
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
FITTING = {f"tastevocab.reading.fitting.{name}" for name in ("train", "net", "graph", "rehear", "scene")}
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


@cache
def imported(path: Path) -> tuple[str, ...]:
    """Every module a file imports, wherever in it."""
    return tuple(t for node in ast.walk(ast.parse(path.read_text("utf-8"))) for t in targets(node))


def targets(node: ast.AST) -> Iterator[str]:
    """The modules that one import statement names."""
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
    elif isinstance(node, ast.ImportFrom):
        assert node.level == 0, "imports by full names, not by dots"
        for alias in node.names:
            below = f"{node.module}.{alias.name}"
            yield below if below in MODULES else str(node.module)


def test_every_room_is_known():
    assert {room(module) for module in MODULES} - {""} == set(MAY_IMPORT)


def tops(module: str) -> set[str]:
    """The packages a module imports."""
    return {target.split(".")[0] for target in imported(MODULES[module])}


# Within reading, each knows those before it: the words of a text, what the network hears in them, what is in hand, what
# is said of the cup, and the fitting of all that.
READING = ("words", "hearing", "hand", "language", "fitting")
# The tools by which the reader is fitted are called by the name of what they fit.
TOOLS = "tastevocab.reading.language.__main__"


def place(module: str) -> int:
    """Which of the rooms within reading a module is in, -1 for any other."""
    top, *rest = module.split(".")[1:]
    return READING.index(rest[0]) if top == "reading" and rest and rest[0] in READING else -1


def test_imports_within_reading_run_one_way():
    wrong = [
        f"{module} may not import {target}"
        for module in sorted(MODULES.keys() - {"tastevocab", TOOLS})
        for target in imported(MODULES[module])
        if target in MODULES and 0 <= place(module) < place(target)
    ]
    assert wrong == []


def test_imports_run_one_way():
    wrong = [
        f"{module} may not import {target}"
        for module in MODULES
        for target in imported(MODULES[module])
        if target.startswith("tastevocab.")
        and room(module) not in ("", room(target))
        and room(target) not in MAY_IMPORT[room(module)]
        and (module, target) not in BRIDGE
    ]
    assert wrong == []


def test_core_rooms_know_neither_terminal_nor_charts():
    core = [m for m in MODULES if room(m) != "cli"]
    assert [m for m in core if tops(m) & FACES] == []
    assert [m for m in core if "plotly" in tops(m) and not m.startswith(CHARTS)] == []


def test_only_the_corpus_room_knows_frames():
    assert [m for m in MODULES if room(m) != "corpus" and tops(m) & FRAMES] == []
    assert any(tops(m) & FRAMES for m in MODULES)


def test_nothing_runs_what_it_reads():
    assert [m for m in MODULES if tops(m) & UNSAFE] == []


def loaded_first(path: Path) -> set[str]:
    """The modules of ours that a file imports while it is imported itself (not later, in its functions)."""

    def statements(body: Sequence[ast.stmt]) -> Iterator[ast.stmt]:
        for node in body:
            if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
                continue
            yield node
            for inner in ("body", "orelse", "handlers", "finalbody"):
                if not isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
                    yield from statements(getattr(node, inner, ()))

    found = [target for node in statements(ast.parse(path.read_text("utf-8")).body) for target in targets(node)]
    return {target for target in found if target in MODULES}


def test_any_module_can_be_imported_first():
    """No circle of imports: then none of them depends on which comes first."""
    TopologicalSorter({module: loaded_first(path) - {module} for module, path in MODULES.items()}).prepare()


def test_a_circle_would_show(tmp_path, monkeypatch):
    (tmp_path / "one.py").write_text("try:\n    from two import b\nfinally:\n    a = 1\n", "utf-8")
    (tmp_path / "two.py").write_text("if True:\n    import one\ndef c():\n    import three\n", "utf-8")
    paths = {name: tmp_path / f"{name}.py" for name in ("one", "two", "three")}
    monkeypatch.setattr(sys.modules[__name__], "MODULES", paths)
    made = {name: loaded_first(paths[name]) for name in ("one", "two")}
    assert made == {"one": {"two"}, "two": {"one"}}
    with pytest.raises(CycleError):
        TopologicalSorter(made).prepare()


def test_each_module_imports_without_a_word():
    served = find_spec("starlette") is not None  # what the web room needs is an extra
    names = [n for n in MODULES if n not in FITTING and (served or room(n) != "web")]
    code = f"import {', '.join(names)}"
    done = subprocess.run([sys.executable, "-W", "error", "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


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
