"""Settings for all tests: nothing fails for the time it takes, and what ships is opened once in a worker."""

from __future__ import annotations

import functools
import gc
import os
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
import typer.testing
from hypothesis import HealthCheck, settings
from trials import TIMES

from tastevocab.reading.hearing import again, encoder
from tastevocab.vocabulary import cache
from tastevocab.vocabulary import load as loading

settings.register_profile(
    "unhurried", deadline=None, max_examples=25 * TIMES, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("unhurried")


@pytest.fixture(autouse=True, scope="session")
def opened_once(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What ships is made ready once a run and read back once a worker, and nothing of it lands in the user's cache.

    A remembered vocabulary or lexicon is named by all it was made from: one name is read back once, and what was
    worked out for it (how a word is compared, which names are near) serves the next test. The language files that ship
    stand behind every toy and every house, and take longer to read than these. What the network made of a stretch of
    talk it is not asked again: many tests read the demo's.
    """
    read_back, read = cache._read, dict[Path, Any]()
    read_yaml, shipped = loading.read_yaml, loading.default_folder()
    parsed_once = functools.cache(read_yaml)

    def once(place: Path, kinds: Sequence[type]) -> Any:
        if place not in read and (kept := read_back(place, kinds)) is not None:
            read[place] = kept
            if not len(read) & (len(read) - 1):  # the first, the second, the fourth, ...
                gc.collect()
                gc.freeze()  # what is read back stays: the collector need not walk it again and again
        return read.get(place)

    def yaml_once(path: Path) -> Any:
        return parsed_once(path) if path.parent == shipped else read_yaml(path)

    answers, answered = encoder.Encoder._answers, dict[tuple[Any, ...], dict[str, Any]]()

    @functools.wraps(answers)
    def answers_once(network: encoder.Encoder, ids: list[int], flags: list[int]) -> dict[str, Any]:
        asked = network, *ids, *flags
        if asked not in answered:
            answered[asked] = answers(network, ids, flags)
            for grid in answered[asked].values():
                grid.setflags(write=False)
        return dict(answered[asked])

    heard, heard_again = again.Again._answers, dict[tuple[int, ...], list[float]]()

    @functools.wraps(heard)
    def heard_once(network: again.Again, asked: again.Question) -> list[float]:
        what = (*asked.ids, *asked.flags, *asked.marks)
        return heard_again[what] if what in heard_again else heard_again.setdefault(what, heard(network, asked))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(encoder.Encoder, "_answers", answers_once)
        patch.setattr(again.Again, "_answers", heard_once)
        patch.setenv(cache.SWITCH, str(shared_folder(tmp_path_factory) / "cache"))
        patch.setattr(cache, "KEPT_FILES", 4000)  # no test's vocabulary pushes out what others come back to
        patch.setattr(cache, "_read", once)
        patch.setattr(loading, "read_yaml", yaml_once)
        yield


@pytest.fixture(autouse=True, scope="session")
def put_together_once() -> Iterator[None]:
    """An app's commands are made into parsers once: typer would do it anew at every call."""
    parsers, made = typer.main.get_command, dict[tuple[typer.Typer, int, int], Any]()

    def once(app: typer.Typer) -> Any:
        as_it_is = app, len(app.registered_commands), len(app.registered_groups)
        if as_it_is not in made:
            made[as_it_is] = parsers(app)
        return made[as_it_is]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(typer.main, "get_command", once)
        patch.setattr(typer.testing, "_get_command", once)
        yield


def shared_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that the workers of a run share."""
    base = tmp_path_factory.getbasetemp()
    return base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base
