"""What changed between two vocabularies, and which findings would move."""

from __future__ import annotations

import shutil
from pathlib import Path

from vocabulary_toys import TOY

from tastevocab.vocabulary.diff import Mention, WordMove, compare, open_side, rebooked, told
from tastevocab.vocabulary.load import load
from tastevocab.vocabulary.model import Vocabulary


def changed(tmp_path: Path, *edits: tuple[str, str, str]) -> Vocabulary:
    folder = Path(shutil.copytree(TOY, tmp_path / "new"))
    for name, old, new in edits:
        text = (folder / name).read_text()
        assert old in text
        (folder / name).write_text(text.replace(old, new))
    return load(folder)


def test_nothing_changed(toy: Vocabulary, tmp_path: Path) -> None:
    change = compare(toy, changed(tmp_path))
    assert not change
    assert told(change) == []


def test_every_kind_of_change(toy: Vocabulary, tmp_path: Path) -> None:
    lime = (
        "      lime:\n        print: lime\n        about: Greener and more bitter than lemon.\n"
        "        words: {en: [lime], es: [lima]}\n"
    )
    new = changed(
        tmp_path,
        ("citrus_row.yaml", lime, ""),
        ("citrus_row.yaml", "      orange:\n", lime + "      orange:\n"),
        ("citrus_row.yaml", "print: cloudy lemonade", "print: lemonade"),
        ("citrus_row.yaml", "[lemon, lemon juice]", "[lemon]"),
        ("orchard_row.yaml", "[green apple]", "[green apple, lemon juice, sharp apple]"),
        ("orchard_row.yaml", "        about: Drier", "        use_instead: peach\n        about: Drier"),
        ("orchard_row.yaml", "use_instead: apricot", "use_instead: peach"),
    )
    change = compare(toy, new)
    assert change.rehomed == (("citrus_row/lemon_side/lime", "citrus_row/orange_side/lime"),)
    assert (change.added, change.removed) == ((), ())
    assert change.relabelled == (("citrus_row/orange_side/lemonade", "cloudy lemonade", "lemonade"),)
    assert change.retired == (("orchard_row/stones/apricot", "orchard_row/stones/peach"),)
    green = "orchard_row/pips/green_apple"
    assert change.words == (
        WordMove("en", "lemon juice", "citrus_row/lemon_side/lemon", green),
        WordMove("en", "sharp apple", "", green),
    )
    assert ("word", "lemon juice (en)", "citrus_row/lemon_side/lemon", green) in told(change)


def test_a_house_file_is_a_side(toy: Vocabulary, tmp_path: Path) -> None:
    house = tmp_path / "house.yaml"
    house.write_text("notes: {tinned_peach: {under: stones, print: tinned peach, about: Soft.}}\n")
    change = compare(toy, open_side(house, TOY))
    assert change.added == ("orchard_row/stones/tinned_peach",)
    assert compare(open_side(house, TOY), open_side(TOY)).removed == change.added


def test_findings_that_would_move() -> None:
    def at(start: int, end: int, descriptor: str, row: str = "1") -> Mention:
        return Mention("table.csv", row, start, end, "words", descriptor)

    old = [at(0, 5, "lemon"), at(10, 20, "peach"), at(30, 35, "lime"), at(0, 5, "lime", "2")]
    new = [at(0, 5, "lemon"), at(12, 20, "apricot"), at(0, 5, "lime", "2"), at(50, 55, "plum")]
    moved = rebooked(old, new)
    assert [(m.old, m.new) for m in moved] == [("peach", ("apricot",)), ("lime", ()), ("", ("plum",))]
    assert rebooked(old, old) == []
    # A longer match that still says the same thing has not moved.
    assert rebooked([at(0, 5, "lemon")], [at(0, 11, "lemon")]) == []
