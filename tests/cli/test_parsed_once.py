"""One command parses a recording once, however many of its parts ask for it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tastevocab.cli.main import build
from tastevocab.reading.intake import files

DEMO = Path(files.__file__).parents[2] / "feature" / "demo_table" / "session.yaml"


@pytest.mark.parametrize("command", [["session", "check"], ["panel"], ["read"]])
def test_captions_are_parsed_once(command: Sequence[str], monkeypatch: pytest.MonkeyPatch) -> None:
    seen, parse = [], files.turns_of_cues
    monkeypatch.setattr(files, "turns_of_cues", lambda *a, **k: seen.append(k["source"]) or parse(*a, **k))
    files._parsed.cache_clear()
    assert CliRunner().invoke(build(), [*command, str(DEMO)]).exit_code == 0
    assert len(seen) == len(set(seen)) == 1
