"""Small invented vocabularies whose answers can be checked by hand."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from vocabulary_toys import TOY, WriteFiles

from tastevocab.vocabulary import load as load_module
from tastevocab.vocabulary.load import default_folder, load
from tastevocab.vocabulary.lookup import Names
from tastevocab.vocabulary.model import Vocabulary


@pytest.fixture(autouse=True)
def _own_cache(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """Not the user's; the workers of a run share one."""
    base = tmp_path_factory.getbasetemp()
    shared = base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base
    monkeypatch.setenv("TASTEVOCAB_CACHE", str(shared / "cache"))


@pytest.fixture(autouse=True, scope="session")
def _shipped_files_are_read_once() -> Iterator[None]:
    """The language files that ship stand behind every toy, and take longer to read than the toy."""
    read, shipped = load_module.read_yaml, default_folder()
    once = cache(read)

    def read_yaml(path: Path) -> Any:
        return once(path) if path.parent == shipped else read(path)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(load_module, "read_yaml", read_yaml)
        yield


@pytest.fixture(scope="session")
def toy() -> Vocabulary:
    """A dozen invented descriptors with one of everything."""
    return load(TOY)


@pytest.fixture(scope="session")
def coffee() -> Vocabulary:
    """The vocabulary that ships."""
    return load(default_folder())


@pytest.fixture(scope="session")
def names(coffee: Vocabulary) -> Names:
    """Its names."""
    return Names(coffee)


@pytest.fixture
def write_files(tmp_path: Path) -> WriteFiles:
    """Writes {name: text} into a new folder and gives the folder."""

    def write(files: Mapping[str, str]) -> Path:
        folder = tmp_path / "vocab"
        folder.mkdir(exist_ok=True)
        for name, text in files.items():
            (folder / name).write_text(text, encoding="utf-8")
        return folder

    return write
