"""Every example in a docstring comes out as it stands there."""

from __future__ import annotations

import doctest
import importlib
import re
from pathlib import Path

import pytest

import tastevocab

PACKAGE = Path(tastevocab.__file__).parent
SHOWN = sorted(p for p in PACKAGE.rglob("*.py") if re.search(r"^ +>>> ", p.read_text("utf-8"), re.MULTILINE))


def test_there_are_examples() -> None:
    assert len(SHOWN) >= 8


@pytest.mark.parametrize("path", SHOWN, ids=lambda p: p.stem)
def test_an_example_comes_out(path: Path) -> None:
    name = ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts)
    done = doctest.testmod(importlib.import_module(name))
    assert done.attempted
    assert not done.failed
