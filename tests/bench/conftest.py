"""Measurements are run apart (`--benchmark-enable`, see DEVELOPERS.md): the suite asserts no times."""

from __future__ import annotations

from pathlib import Path

import pytest


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if config.getoption("benchmark_enable"):
        return
    for item in items:
        if item.path.is_relative_to(Path(__file__).parent):
            item.add_marker(pytest.mark.skip(reason="a measurement: give --benchmark-enable"))
