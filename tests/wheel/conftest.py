"""The invented coffee of `wheel_trees.py` as a fixture."""

from __future__ import annotations

import pytest
from wheel_trees import make_tree

from tastevocab.wheel.tree import WheelTree


@pytest.fixture(scope="session")
def tree() -> WheelTree:
    return make_tree()
