"""Small invented vocabularies whose answers can be checked by hand."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from tastevocab.vocabulary.load import default_folder, load
from tastevocab.vocabulary.model import Descriptor, Level, Vocabulary


@pytest.fixture(autouse=True)
def _own_cache(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TASTEVOCAB_CACHE", str(tmp_path_factory.getbasetemp() / "cache"))


TOY = Path(__file__).with_name("toy")


@pytest.fixture(scope="session")
def toy() -> Vocabulary:
    """A dozen invented descriptors with one of everything."""
    return load(TOY)


@pytest.fixture(scope="session")
def coffee() -> Vocabulary:
    """The vocabulary that ships."""
    return load(default_folder())


def tree_of(homes: Mapping[str, str | None], *, spans: Mapping[str, tuple[str, ...]] | None = None) -> Vocabulary:
    """A vocabulary with the given homes (None under the root) and reach words (id to span, home None)."""
    levels: dict[int, Level] = {0: "category", 1: "family"}

    def depth(id: str) -> int:
        home = homes[id]
        return 0 if home is None else 1 + depth(home)

    descriptors = {id: Descriptor(id, levels.get(depth(id), "note"), id, home) for id, home in homes.items()}
    for id, span in (spans or {}).items():
        descriptors[id] = Descriptor(id, "reach", id, None, span=span)
    return Vocabulary("toy", "1", "0", (), ("en",), descriptors, {}, {}, {})


WriteFiles = Callable[[Mapping[str, str]], Path]


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
