"""The cache gives what was made, sees every change, and never trusts what it did not write."""

from __future__ import annotations

import hashlib
import pickle
import shutil
from pathlib import Path

import pytest
from vocabulary_toys import TOY

from tastevocab.errors import VocabularyError
from tastevocab.vocabulary import cache
from tastevocab.vocabulary import load as load_module
from tastevocab.vocabulary.cache import cache_folder, open_vocabulary, remembered
from tastevocab.vocabulary.load import load


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("TASTEVOCAB_CACHE", str(tmp_path / "kept"))
    return tmp_path / "kept"


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    return Path(shutil.copytree(TOY, tmp_path / "mine"))


def test_the_second_opening_gives_the_same(folder: Path, mine: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first, plain = open_vocabulary(mine), load(mine)
    monkeypatch.setattr(load_module, "build", lambda draft: pytest.fail("built again"))
    second = open_vocabulary(mine)
    assert first == second == plain
    assert second is not first
    assert len(list(folder.iterdir())) == 1


def test_a_change_is_seen(folder: Path, mine: Path) -> None:
    before = open_vocabulary(mine)
    file = mine / "00-about.yaml"
    file.write_text(file.read_text().replace('version: "', 'version: "9.'))
    after = open_vocabulary(mine)
    assert after.version == "9." + before.version
    assert after.hash != before.hash


def test_off_and_unwritable_are_no_trouble(tmp_path: Path, mine: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TASTEVOCAB_CACHE", "off")
    assert cache_folder() is None
    assert open_vocabulary(mine) == load(mine)
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    monkeypatch.setenv("TASTEVOCAB_CACHE", str(blocked / "below"))
    assert open_vocabulary(mine) == load(mine)


def test_where_it_lies(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for variable in ("TASTEVOCAB_CACHE", "XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(variable, raising=False)
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    assert cache_folder() == tmp_path / ".cache" / "tastevocab"
    monkeypatch.setenv("LOCALAPPDATA", str(tmp_path / "local"))
    assert cache_folder() == tmp_path / "local" / "tastevocab"
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "xdg"))
    assert cache_folder() == tmp_path / "xdg" / "tastevocab"


class Intruder:
    """Pickles as a call that would make a file."""

    def __init__(self, target: Path) -> None:
        self.target = target

    def __reduce__(self) -> tuple[object, tuple[Path]]:
        return Path.touch, (self.target,)


@pytest.mark.parametrize("planted", ["call", "damaged", "empty"])
def test_a_planted_file_is_not_run(folder: Path, tmp_path: Path, planted: str) -> None:
    assert remembered("key", lambda: [1, 2]) == [1, 2]
    (file,) = folder.iterdir()
    target = tmp_path / "made"
    payload = {"call": pickle.dumps(Intruder(target)), "damaged": file.read_bytes()[32:-3], "empty": b""}[planted]
    file.write_bytes(hashlib.sha256(payload).digest() + payload)
    assert remembered("key", lambda: [3]) == [3]
    assert not target.exists()
    assert remembered("key", lambda: pytest.fail("made again")) == [3]


def test_a_wrong_digest_is_made_anew(folder: Path) -> None:
    remembered("key", lambda: "old")
    (file,) = folder.iterdir()
    file.write_bytes(bytes(32) + file.read_bytes()[32:])
    assert remembered("key", lambda: "new") == "new"


def test_other_values_are_given_but_not_kept(folder: Path) -> None:
    assert callable(remembered("key", lambda: lambda: 1))
    assert not folder.exists() or not list(folder.iterdir())


def test_few_files_are_kept(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cache, "KEPT_FILES", 3)
    for i in range(6):
        remembered(f"key {i}", lambda: 0)
    assert len(list(folder.iterdir())) == 3


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    with pytest.raises(VocabularyError, match="nowhere"):
        open_vocabulary(tmp_path / "nowhere")
