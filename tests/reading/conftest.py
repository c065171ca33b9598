"""Notes as a file, for the tests of the review."""

from __future__ import annotations

from pathlib import Path

import pytest
from report_examples import TEXT


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    path = tmp_path / "table.txt"
    path.write_text(TEXT, encoding="utf-8")
    return path
