"""Marked talk: every file under `tests/talk` keeps the form, and a broken one is told by file and line."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from tastevocab.errors import InputError
from tastevocab.reading.fitting.marked import Recording, recording, recordings
from tastevocab.reading.hearing.windows import LEVELS, PLACES, REASONS

TALK = Path(__file__).parents[1] / "talk"
FILES = sorted(TALK.glob("*/*.talk"))


@cache
def read(path: Path) -> Recording:
    return recording(path)


def test_all_files_are_read_in_order() -> None:
    assert len(FILES) > 100
    assert [(r.author, r.name) for r in recordings(TALK)] == [(p.parent.name, p.stem) for p in FILES]


@pytest.mark.parametrize("author", sorted({p.parent.name for p in FILES}))
def test_the_files_of_an_author_keep_the_form(author: str) -> None:
    for made in map(read, (p for p in FILES if p.parent.name == author)):
        assert {"form", "tasters", "coffees", "author"} <= set(made.head), made.name
        assert made.lines, made.name
        _keeps_the_form(made)


def _keeps_the_form(made: Recording) -> None:
    for line in made.lines:
        assert not set("{}") & set(line.text), line.text
        end = 0
        for mark in line.marks:
            assert end <= mark.start < mark.end <= len(line.text), (line.text, mark)
            end = mark.end
            words = line.text[mark.start : mark.end]
            assert words == words.strip(), (line.text, mark)
            if mark.sign == "a":
                assert mark.attribute, words
                assert mark.level in LEVELS, words
            elif mark.sign in "xw":
                assert mark.reason in REASONS, words
            else:
                assert mark.concept, words
                assert mark.place in PLACES, words


def _written(path: Path) -> str:
    """What stands in a file without its head, its scenes, its marks' signs and the line breaks within a turn."""
    lines = [line for line in path.read_text("utf-8").splitlines() if line and line[0] not in "#["]
    return "".join("".join(lines).split())


@pytest.mark.parametrize("path", FILES[::10], ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_marks_quote_their_file(path: Path) -> None:
    written = _written(path)
    for line in read(path).lines:
        for mark in line.marks:
            words = "".join(line.text[mark.start : mark.end].split())
            assert f"{words}}}" in written or f"{words};" in written, words


def written(tmp_path: Path, text: str) -> Recording:
    path = tmp_path / "fir" / "01-x.talk"
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return recording(path)


def test_every_mark_and_what_it_says(tmp_path: Path) -> None:
    made = written(
        tmp_path,
        "# form: vtt\n# tasters: Ana\n\n[alto | filter | hot]\nAna: {+plum}, {+4 plum jam|jam of it; place=finish}.\n"
        "?: {?rose}, {-fig|no fig}, {=plum|yes}\nBen: {x lemon; idiom} and {w lime} {a acidity=high|sharp}\n"
        "[- | - | -]\nAna: {+mint; coffee=b; brew=press}\nand on\n",
    )
    assert made.head == {"form": "vtt", "tasters": "Ana"}
    assert (made.author, made.name) == ("fir", "01-x")
    ana, nobody, ben, last = made.lines
    assert (ana.text, ana.coffee, ana.brew, ana.moment) == ("plum, jam of it.", "alto", "filter", "hot")
    assert [(m.sign, m.concept, m.degree, m.place) for m in ana.marks] == [
        ("+", "plum", "", ""),
        ("+", "plum jam", "strong", "finish"),
    ]
    assert nobody.speaker is None
    assert [(m.sign, m.concept) for m in nobody.marks] == [("?", "rose"), ("-", "fig"), ("=", "plum")]
    assert [(m.sign, m.reason) for m in ben.marks] == [("x", "idiom"), ("w", "withdrawn"), ("a", "")]
    assert (ben.marks[2].attribute, ben.marks[2].level) == ("acidity", "high")
    assert (last.text, last.coffee) == ("mint and on", None)
    assert (last.marks[0].coffee, last.marks[0].brew, last.marks[0].moment) == ("b", "press", None)


def test_marks_of_a_line_that_goes_on_keep_their_place(tmp_path: Path) -> None:
    (line,) = written(tmp_path, "Ana: well, {+plum}\nand then {+rose|a rose}.\n").lines
    assert [line.text[m.start : m.end] for m in line.marks] == ["plum", "a rose"]


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ("Ana: plum\nBen: {~fig}\n", 2, "{~fig} begins with none of"),
        ("# form: vtt\n[alto | filter]\nAna: plum\n", 2, "a scene is"),
        ("\nplum and nobody said it\n", 2, "needs a name before a colon"),
    ],
)
def test_a_broken_file_is_told_by_file_and_line(tmp_path: Path, text: str, line: int, told: str) -> None:
    with pytest.raises(InputError, match=rf"01-x\.talk:{line}: .*{told}"):
        written(tmp_path, text)


def test_a_brace_that_is_never_closed_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"01-x\.talk:1"):
        written(tmp_path, "Ana: {+plum and more\n")
