"""Files of a pack: names stay inside, nothing is half-written."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tastevocab.errors import InputError
from tastevocab.feature.files import safe_name, write_all


@given(st.text(max_size=120))
def test_any_name_stays_in_its_folder(text):
    name = safe_name(text)
    assert name
    assert Path(name).name == name
    assert name not in (".", "..")
    assert not set(name) & set('/\\:\0*?"<>|. \n')
    assert safe_name(text, {name}) != name


@pytest.mark.parametrize(
    ("text", "name"),
    [("../../etc", "etc"), ("a/b", "a-b"), ("..", "coffee"), ("NUL", "NUL-"), ("x\0y", "x-y"), ("Café 7", "Café-7")],
)
def test_hostile_names(text, name):
    assert safe_name(text) == name


def test_a_link_out_of_the_folder_is_refused(tmp_path):
    outside = tmp_path / "outside"
    outside.mkdir()
    out = tmp_path / "out"
    out.mkdir()
    (out / "one").symlink_to(outside)
    with pytest.raises(InputError, match="leads out of the chosen folder"):
        write_all(out, {"one": {"notes.md": b"x"}})
    assert list(outside.iterdir()) == []


@pytest.mark.parametrize("name", ["../x", "a/b", "..", ""])
def test_a_name_with_a_path_in_it_is_refused(tmp_path, name):
    with pytest.raises(InputError):
        write_all(tmp_path / "out", {"one": {name: b"x"}})
    assert not (tmp_path / "x").exists()


def test_no_temporary_file_is_left(tmp_path):
    paths = write_all(tmp_path, {"one": {"a.txt": b"1", "b.txt": b"2"}})
    assert sorted(p.name for p in (tmp_path / "one").iterdir()) == ["a.txt", "b.txt"]
    assert [p.read_bytes() for p in paths] == [b"1", b"2"]


def test_a_file_in_the_way_is_an_error(tmp_path):
    (tmp_path / "one").write_text("x")
    with pytest.raises(InputError, match="cannot be written"):
        write_all(tmp_path, {"one": {"a.txt": b"1"}})
