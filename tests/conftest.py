"""Settings for all tests: nothing fails for the time it takes, and what ships is opened once in a worker."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from trials import TIMES

from tastevocab.vocabulary import cache

settings.register_profile(
    "unhurried", deadline=None, max_examples=50 * TIMES, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("unhurried")


@pytest.fixture(autouse=True, scope="session")
def opened_once() -> Iterator[None]:
    """A remembered vocabulary or lexicon is named by all it was made from: one name is read back once, and what was
    worked out for it (how a word is compared, which names are near) serves the next test."""
    read_back, read = cache._read, dict[Path, Any]()

    def once(place: Path, kinds: Sequence[type]) -> Any:
        if place not in read and (kept := read_back(place, kinds)) is not None:
            read[place] = kept
        return read.get(place)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(cache, "_read", once)
        yield
