"""`tastevocab wheel`: a coffee's wheel as its pack has it, the poster, and how it ends."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tastevocab.cli import main

DEMO = Path(main.__file__).parents[1] / "feature" / "demo_table" / "session.yaml"
PRINTED = ("svg", "png", "pdf")
SHEET = "taster,coffee,brew,moment,text\nana,One,filter,warm,caramel and red cherry\nben,Two,filter,warm,caramel\n"
SESSION = """\
session: small
tasters: [ana, ben]
coffees: {one: {name: One}, two: {name: Two}}
brews: {filter: {method: filter}}
notes:
  - {source: sheet.csv}
"""


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Any:
    """Runs a command in this process, edge and all; gives exit status, standard output and standard error."""
    monkeypatch.chdir(tmp_path)

    def run(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr("sys.argv", ["tastevocab", *map(str, words)])
        code = 0
        try:
            main.run()
        except SystemExit as ended:
            code = int(ended.code or 0)
        told = capsys.readouterr()
        return code, told.out, told.err

    return run


@pytest.fixture
def small(tmp_path: Path) -> Path:
    (tmp_path / "sheet.csv").write_text(SHEET)
    (tmp_path / "session.yaml").write_text(SESSION)
    return tmp_path


def there(folder: Path) -> list[str]:
    return sorted(str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file())


def test_the_wheel_is_the_packs(run, small: Path) -> None:
    wishes = ("--moment", "warm", "--size", "page", "--size", "bag", "--theme", "grey")
    code, out, err = run("wheel", "session.yaml", "--out", "wheels", *wishes)
    assert (code, err) == (0, "")
    assert run("feature", "session.yaml", "--out", "packs", *wishes)[0] == 0
    names = ["wheel.html", *(f"wheel{size}.{kind}" for size in ("-bag", "") for kind in PRINTED)]
    assert there(small / "wheels" / "one") == sorted(names)
    for name in names:
        ours, theirs = (small / folder / "one" / name for folder in ("wheels", "packs"))
        assert ours.read_bytes() == theirs.read_bytes(), name
        assert str(Path("wheels") / "one" / name) in out.splitlines()


def test_a_hold_is_said_first(run) -> None:
    code, out, _ = run("wheel", DEMO, "--as", "svg")
    assert code == 0
    assert out.splitlines()[0].startswith("HOLD AND RE-TASTE: Loma Serena: phenolic, 2 of 5 tasters")
    assert out.splitlines()[1:] == [str(Path("exports") / "loma-serena" / "loma_serena" / "wheel.svg")]


def test_every_coffee_or_the_one_asked_for(run, small: Path) -> None:
    assert run("wheel", "session.yaml", "--as", "svg", "--out", "all")[0] == 0
    assert there(small / "all") == ["one/wheel.svg", "two/wheel.svg"]
    assert run("wheel", "session.yaml", "--coffee", "two", "--as", "png", "--dpi", "50", "--out", "two")[0] == 0
    assert there(small / "two") == ["two/wheel.png"]


def test_bleed_and_safe_margin_are_the_printers(run, small: Path) -> None:
    (small / "style.yaml").write_text("bleed: 2\nsafe: 12\nstrips: false\n")
    wishes = ("wheel", "session.yaml", "--coffee", "one", "--as", "svg", "--style", "style.yaml")
    assert run(*wishes, "--out", "styled")[0] == 0
    assert run(*wishes, "--bleed", "3", "--safe", "15", "--out", "asked")[0] == 0
    styled, asked = (
        (small / folder / "one" / "wheel.svg").read_text("utf-8").split("<title")[0] for folder in ("styled", "asked")
    )
    assert 'width="152mm" height="214mm"' in styled
    assert 'width="154mm" height="216mm"' in asked
    code, _, err = run(*wishes, "--size", "bag", "--safe", "25")
    assert code == 1
    assert "a safe margin of 25 mm" in err
    assert "at most a fifth of the sheet" in err


def test_names_of_tasters_can_be_codes(run, small: Path) -> None:
    (small / "style.yaml").write_text("tasters: codes\n")
    assert run("wheel", "session.yaml", "--style", "style.yaml", "--as", "html", "--as", "svg", "--out", "out")[0] == 0
    for page in (small / "out").rglob("wheel.*"):
        assert ">ana<" not in page.read_text("utf-8")
        assert '"ana"' not in page.read_text("utf-8")


def test_a_plain_table_has_a_wheel(run, small: Path) -> None:
    (small / "table.csv").write_text("taster,coffee,text\nana,one,peach and caramel\nben,one,caramel\n")
    code, _, err = run("wheel", "table.csv", "--as", "svg", "--out", "out")
    assert code == 0, err
    assert there(small / "out") == ["one/wheel.svg"]


@pytest.mark.parametrize("size", ["a2", "a1"])
def test_the_poster(run, tmp_path: Path, size: str) -> None:
    code, out, _ = run("wheel", "--vocabulary", "--size", size, "--as", "svg", "--out", "walls")
    assert (code, out) == (0, str(Path("walls") / f"coffee-poster-{size}.svg") + "\n")
    assert (tmp_path / "walls" / f"coffee-poster-{size}.svg").stat().st_size > 100_000


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["none.yaml"], "none.yaml: no such file"),
        (["session.yaml", "--coffee", "three"], "unknown coffee 'three'"),
        (["session.yaml", "--brew", "siphon"], "unknown brew 'siphon'"),
        (["session.yaml", "--style", "none.yaml"], "no such file"),
        (["session.yaml", "--out", "sheet.csv"], "is a file, not a folder"),
        (["--vocabulary", "--out", "sheet.csv"], "is a file, not a folder"),
        (["--vocabulary", "--vocab", "nowhere"], "no such folder"),
    ],
)
def test_bad_input(run, small: Path, words: list[str], said: str) -> None:
    before = there(small)
    code, out, err = run("wheel", *words)
    assert (code, out) == (1, "")
    assert said in err
    assert "mend:" in err
    assert there(small) == before


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "nothing to draw: give a session file, or --vocabulary"),
        (["session.yaml", "--vocabulary"], "does not go with --vocabulary"),
        (["--vocabulary", "--coffee", "one"], "--coffee: does not go with --vocabulary"),
        (["--vocabulary", "--size", "bag"], "--size bag: is no sheet of the poster"),
        (["--vocabulary", "--as", "html"], "--as html: is no kind of poster"),
        (["session.yaml", "--size", "a2"], "--size a2: is a sheet of the poster"),
        (["session.yaml", "--size", "a4"], "--size"),
        (["session.yaml", "--theme", "pink"], "--theme"),
    ],
)
def test_wrong_use(run, small: Path, words: list[str], said: str) -> None:
    before = there(small)
    code, out, err = run("wheel", *words)
    assert (code, out) == (2, "")
    assert said in " ".join(err.split())
    assert there(small) == before
