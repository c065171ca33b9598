"""How often a property is tried: a few times in the suite, twenty times as often with TASTEVOCAB_BIG=1."""

from __future__ import annotations

import os

from hypothesis import settings

TIMES = 20 if os.environ.get("TASTEVOCAB_BIG") else 1


def trials(count: int) -> settings:
    """The settings of a property that the suite tries half `count` times."""
    return settings(max_examples=count * TIMES // 2)
