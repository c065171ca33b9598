"""No module of the panel knows the command line or, until drawing, the charts."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import tastevocab.panel

MODULES = sorted(p.stem for p in Path(tastevocab.panel.__file__).parent.glob("*.py") if p.stem != "__init__")


def loaded_after(statement: str) -> set[str]:
    code = f"import sys; {statement}; print(*sorted(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


def test_no_module_opens_what_only_drawing_and_asking_need() -> None:
    """All in one process: what none of them loads, each of them does not."""
    loaded = loaded_after("import " + ", ".join(f"tastevocab.panel.{module}" for module in MODULES))
    assert not {"typer", "rich", "plotly", "networkx", "scipy", "statsmodels"} & loaded
    assert not any(name.startswith(("tastevocab.feature", "tastevocab.cli")) for name in loaded)


def test_help_loads_no_numbers() -> None:
    loaded = loaded_after("import tastevocab.cli.panel, tastevocab.cli.session")
    assert not {"numpy", "plotly", "networkx", "yaml"} & loaded
