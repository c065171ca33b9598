"""Files written by the command and its helper: names that stay in the folder, whole files or none."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner
from wheel_trees import FOUND, make_tree

from tastevocab.cli import wheel as command
from tastevocab.errors import InputError
from tastevocab.wheel.page import SHARED_SCRIPT


@pytest.mark.parametrize(
    "name", ["../../etc/passwd", "a/b\\c", "nul\x00byte", "..", "", "C:\\x", "x" * 300, "Vále Álto ☕"]
)
def test_nothing_is_written_outside_the_folder(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "deep" / "out"
    for path in command.write_wheel({name: make_tree(FOUND[:2])}, folder, name, kinds=("svg",)):
        assert path.parent == folder
        assert path.stat().st_size > 1000
    assert [p for p in tmp_path.rglob("*") if p.is_file() and p.parent != folder] == []
    assert len(list(folder.iterdir())) == 1  # no temporary file is left


def test_every_kind_and_map_gets_its_file(tmp_path: Path) -> None:
    maps = {"filter": make_tree(), "espresso": make_tree(FOUND[3:9])}
    written = command.write_wheel(maps, tmp_path, "vale_alto", sizes=("bag",), dpi=50, plotlyjs="shared")
    assert [p.name for p in written] == [
        *(f"vale_alto-{name}-bag.{kind}" for name in maps for kind in ("svg", "png", "pdf")),
        SHARED_SCRIPT,
        "vale_alto.html",
    ]


def test_maps_with_like_names_do_not_overwrite_each_other(tmp_path: Path) -> None:
    maps = {"a/b": make_tree(), "a\\b": make_tree(FOUND[:3])}
    written = command.write_wheel(maps, tmp_path, "x", kinds=("svg",))
    assert len({p.name for p in written}) == 2


def test_a_folder_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(InputError, match="cannot be written"):
        command.write_file(tmp_path / "file" / "x", "a.svg", "text")


def test_the_command_writes_the_poster(tmp_path: Path) -> None:
    import typer

    app = typer.Typer()
    app.callback()(lambda: None)
    command.register(app)
    ran = CliRunner().invoke(app, ["wheel", "--vocabulary", "--size", "a3", "--as", "svg", "--out", str(tmp_path)])
    assert ran.exit_code == 0, ran.output
    path = tmp_path / "coffee-poster-a3.svg"
    assert str(path) in ran.stdout
    assert path.stat().st_size > 100_000
