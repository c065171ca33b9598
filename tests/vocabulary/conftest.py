"""Small invented vocabularies whose answers can be checked by hand."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest
from vocabulary_toys import TOY, WriteFiles

from tastevocab.vocabulary.load import default_folder, load
from tastevocab.vocabulary.lookup import Names
from tastevocab.vocabulary.model import Vocabulary


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
