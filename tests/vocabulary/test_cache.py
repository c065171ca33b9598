"""The cache gives what was made, sees every change, and never trusts what it did not write."""

from __future__ import annotations

import hashlib
import pickle
import shutil
from dataclasses import replace
from pathlib import Path
from types import FunctionType

import msgpack
import pytest
from hypothesis import given
from hypothesis import strategies as st
from trials import trials
from vocabulary_toys import TOY

from tastevocab.errors import VocabularyError
from tastevocab.reading.words import lexicon as lexicon_module
from tastevocab.reading.words.lexicon import Lexicon, open_lexicon
from tastevocab.vocabulary import cache
from tastevocab.vocabulary import load as load_module
from tastevocab.vocabulary.cache import cache_folder, open_vocabulary, remembered
from tastevocab.vocabulary.load import load
from tastevocab.vocabulary.model import Vocabulary
from tastevocab.vocabulary.packed import packed
from tastevocab.vocabulary.phrases import PhraseBook, Sense

READ_BACK = cache._read  # collected before any test runs, so not yet `opened_once`


@pytest.fixture(autouse=True)
def _read_back_every_time(opened_once: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cache, "_read", READ_BACK)


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


def signed(file: Path, payload: bytes) -> bytes:
    """What one who knows the format would plant: a right digest before any content."""
    return hashlib.sha256(file.name.encode() + payload).digest() + payload


def nested(code: int, depth: int) -> bytes:
    data = b"\x90"
    for _ in range(depth):
        data = bytes(msgpack.packb([msgpack.ExtType(code, data)]))
    return data


PLANTED = {
    "text": msgpack.packb("another kind of value"),
    "a record of no kind": msgpack.packb(msgpack.ExtType(99, b"\x90")),
    "a code below": b"\xc7\x00\xff",
    "too few fields": msgpack.packb(msgpack.ExtType(3, b"\x91\xa1x")),
    "a longer length than there is": b"\xdd\xff\xff\xff\xff",
    "records without end": nested(3, 5000),
    "sets without end": nested(0, 5000),
    "a set of mappings": msgpack.packb(msgpack.ExtType(1, msgpack.packb([{}]))),
    "nothing": b"",
    "garbage": bytes(range(256)) * 8,
}


@pytest.mark.parametrize("planted", PLANTED)
def test_a_planted_file_is_not_trusted(folder: Path, planted: str) -> None:
    assert remembered("key", tuple, lambda: (1, 2)) == (1, 2)
    (file,) = folder.iterdir()
    file.write_bytes(signed(file, PLANTED[planted]))
    assert remembered("key", tuple, lambda: (3,)) == (3,)
    assert remembered("key", tuple, lambda: pytest.fail("made again")) == (3,)


@pytest.mark.parametrize("sign", [True, False])
def test_a_planted_pickle_is_not_run(folder: Path, tmp_path: Path, mine: Path, sign: bool) -> None:
    first, target = open_vocabulary(mine), tmp_path / "made"
    (file,) = folder.iterdir()
    sound, planted = file.read_bytes(), pickle.dumps(Intruder(target))
    file.write_bytes(signed(file, planted) if sign else planted)
    assert open_vocabulary(mine) == first
    assert not target.exists()
    assert file.read_bytes() == sound  # made anew in its place
    pickle.loads(planted)
    assert target.exists()  # it would have run


@pytest.fixture(scope="module")
def toy() -> Vocabulary:
    return load(TOY)


@trials(20)
@given(data=st.data())
def test_whatever_happens_to_a_file_it_is_made_anew(
    tmp_path_factory: pytest.TempPathFactory, toy: Vocabulary, data: st.DataObject
) -> None:
    """Shortened, lengthened or changed anywhere: what is given is what would be made."""
    small = replace(toy, language={})
    with pytest.MonkeyPatch.context() as patch:
        kept = tmp_path_factory.mktemp("kept")
        patch.setenv("TASTEVOCAB_CACHE", str(kept))
        remembered("toy", Vocabulary, lambda: small)
        (file,) = kept.iterdir()
        sound = file.read_bytes()
        at = data.draw(st.integers(0, len(sound) - 1))
        changed = bytes([sound[at] ^ data.draw(st.integers(1, 255))])
        broken = data.draw(st.sampled_from((sound[:at], sound + changed, sound[:at] + changed + sound[at + 1 :])))
        resigned = data.draw(st.booleans())
        file.write_bytes(signed(file, broken[32:]) if resigned else broken)
        again = remembered("toy", Vocabulary, lambda: small)
        assert isinstance(again, Vocabulary)
        if not resigned:  # who can sign can tell lies, but only in words
            assert again == small
            assert file.read_bytes() == sound


def test_a_sound_file_under_another_name_is_foreign(folder: Path) -> None:
    remembered("one", str, lambda: "one")
    (one,) = folder.iterdir()
    remembered("two", str, lambda: "two")
    (two,) = set(folder.iterdir()) - {one}
    two.write_bytes(one.read_bytes())
    assert remembered("two", str, lambda: "anew") == "anew"


def test_a_file_of_the_format_before_is_made_anew(folder: Path) -> None:
    """Before, the digest was of the content alone and the content a pickle."""
    remembered("key", str, lambda: "old")
    (file,) = folder.iterdir()
    payload = pickle.dumps("old")
    file.write_bytes(hashlib.sha256(payload).digest() + payload)
    assert remembered("key", str, lambda: "new") == "new"


def test_every_value_comes_back_as_it_was(folder: Path) -> None:
    """Words shared, sets and tuples as keys; what may change is not shared, as it was not before."""
    books = [PhraseBook(), PhraseBook()]
    value = {("a", 1): frozenset({"x"}), "none": None, "books": tuple(books), 2.5: {(1,)}, "s": (Sense("k", "v"),) * 2}
    remembered("key", dict, lambda: value, (Sense, PhraseBook))
    again = remembered("key", dict, lambda: pytest.fail("made again"), (Sense, PhraseBook))
    assert again["books"][0] is not again["books"][1]
    assert again["s"][0] is again["s"][1]
    assert [b.root for b in again.pop("books")] == [b.root for b in value.pop("books")]  # type: ignore[attr-defined]
    assert again == value
    assert {k: type(v) for k, v in again.items()} == {k: type(v) for k, v in value.items()}


def test_a_remembered_lexicon_is_the_lexicon(folder: Path) -> None:
    vocabulary, kinds = load(TOY), (*lexicon_module.KINDS_KEPT, Lexicon)
    made, opened = Lexicon(vocabulary), [open_lexicon(TOY) for _ in range(2)]
    assert opened[0] is not opened[1]
    assert {packed(lexicon, kinds) for lexicon in (made, *opened)} == {packed(made, kinds)}
    assert vars(made).keys() == vars(opened[1]).keys()
    assert opened[1].weights == opened[0].weights


def test_other_values_are_given_but_not_kept(folder: Path) -> None:
    assert remembered("key", FunctionType, lambda: lambda: 1)() == 1  # type: ignore[arg-type, return-value]
    assert remembered("key", int, lambda: 2**70) == 2**70
    assert not folder.exists() or not list(folder.iterdir())


def test_few_files_are_kept(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cache, "KEPT_FILES", 3)
    for i in range(6):
        remembered(f"key {i}", int, lambda: 0)
    assert len(list(folder.iterdir())) == 3


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    with pytest.raises(VocabularyError, match="nowhere"):
        open_vocabulary(tmp_path / "nowhere")
