"""Each module of the panel opens alone, and none of them knows the command line or, until drawing, the charts."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import tastevocab.panel

MODULES = sorted(p.stem for p in Path(tastevocab.panel.__file__).parent.glob("*.py") if p.stem != "__init__")


def loaded_after(statement: str) -> set[str]:
    code = f"import sys; {statement}; print(*sorted(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


@pytest.mark.parametrize("group", [MODULES[i::4] for i in range(4)])
def test_each_module_opens_alone(group) -> None:
    for module in group:
        loaded = loaded_after(f"import tastevocab.panel.{module}")
        assert not {"typer", "rich", "plotly", "networkx", "scipy", "statsmodels"} & loaded, module
        assert not any(name.startswith("tastevocab.feature") for name in loaded), module


def test_help_loads_no_numbers() -> None:
    loaded = loaded_after("import tastevocab.cli.panel, tastevocab.cli.session")
    assert not {"numpy", "plotly", "networkx", "yaml"} & loaded
