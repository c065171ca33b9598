"""Each module of the room stands alone, and none loads what only some runs need."""

from __future__ import annotations

import pkgutil
import subprocess
import sys

import pytest

from tastevocab import vocabulary

MODULES = sorted(m.name for m in pkgutil.walk_packages(vocabulary.__path__, "tastevocab.vocabulary.") if not m.ispkg)
HEAVY = ("networkx", "numpy", "rdflib", "ruamel.yaml", "wordfreq", "typer", "rich", "plotly")


@pytest.mark.parametrize("module", MODULES)
def test_imports_alone_and_lightly(module: str) -> None:
    code = f"import {module}, sys; print([m for m in {HEAVY!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-W", "error", "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "[]\n", "")
