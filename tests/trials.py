"""How often a property is tried: as many times in the suite, ten times as many with TASTEVOCAB_BIG=1."""

from __future__ import annotations

import os

from hypothesis import settings

TIMES = 10 if os.environ.get("TASTEVOCAB_BIG") else 1


def trials(count: int) -> settings:
    """The settings of a property that the suite tries `count` times."""
    return settings(max_examples=count * TIMES)
