"""`tastevocab start`: six questions at most, nothing assumed, the session written, checked and made into a pack."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml
from typer.testing import CliRunner

from tastevocab.cli.main import build
from tastevocab.errors import InputError, TastevocabError
from tastevocab.panel.proposal import hear
from tastevocab.reading.words.lexicon import open_lexicon

SHEET = """taster,coffee,brew,moment,text
Ana,Vale Alto,filter,hot,milk chocolate
Old Ben,Vale Alto,filter,hot,milk chocolate
Ana,Rio Claro,filter,hot,jasmine
Old Ben,Rio Claro,filter,hot,jasmine and lemon
"""


@pytest.fixture
def table(tmp_path: Path) -> Path:
    (tmp_path / "sheet.csv").write_text(SHEET)
    return tmp_path


def run(*args: object, stdin: str = "", status: int = 0):
    done = CliRunner().invoke(build(), ["start", *map(str, args)], input=stdin)
    if isinstance(done.exception, TastevocabError):
        raise done.exception
    assert done.exit_code == status, done.output
    return done


def test_six_questions_propose_what_was_heard(table: Path) -> None:
    done = run(table, stdin="\n\n\nyes\nVale Alto: cocoa; Rio Claro: lemon\nnone\n")
    questions = re.findall(r"[^?\n]*\?[^:\n]*:", done.stderr)
    assert len(questions) == 6
    assert "Who tasted? [Ana, Old Ben]" in done.stderr
    assert "[Vale Alto, Rio Claro]" in done.stderr
    assert "[filter]" in done.stderr
    made = yaml.safe_load((table / "session.yaml").read_text())
    assert made["blind"] is True
    assert made["tasters"] == ["ana", "old_ben"]
    assert made["coffees"]["vale_alto"] == {"name": "Vale Alto", "claims": ["cocoa"], "additions": "none"}
    assert made["brews"] == {"filter": {"method": "filter"}}
    assert (table / "pack" / "rio_claro" / "notes.html").is_file()
    assert "Vale Alto: milk chocolate (2 tasters, blind, filter, hot)" in done.stdout


def test_names_are_proposed_in_the_order_they_come(table: Path) -> None:
    """The serving order is what the reader follows: the last row must not come first."""
    with (table / "sheet.csv").open("a") as file:
        file.write("Ana,Vale Alto,filter,cool,honey\n")
    run(table, "--yes")
    assert list(yaml.safe_load((table / "session.yaml").read_text())["coffees"]) == ["vale_alto", "rio_claro"]


def test_nothing_is_assumed(table: Path) -> None:
    """No answer, no word of it: neither blind nor recipe nor additions stand in the session or in the pack."""
    run(table, "--yes")
    assert not {"blind", "date", "bowls"} & set(yaml.safe_load((table / "session.yaml").read_text()))
    page = (table / "pack" / "vale_alto" / "notes.md").read_text()
    assert "blind or not is not recorded" in page
    assert "does not say whether anything was added" in page
    assert "15 g" not in (table / "pack" / "vale_alto" / "brews.md").read_text()


def test_a_new_session_assumes_nothing_either(tmp_path: Path) -> None:
    path = tmp_path / "new.yaml"
    args = ["session", "new", str(path), "--taster", "ana, ben", "--coffee", "One", "--brew", "flat white"]
    assert CliRunner().invoke(build(), args).exit_code == 0
    made = yaml.safe_load(path.read_text())
    assert set(made) == {"session", "tasters", "coffees", "brews", "notes"}
    assert made["brews"] == {"flat_white": {"method": "flat white"}}


def test_options_answer_without_asking(table: Path) -> None:
    options = ("--taster", "Ana, Old Ben", "--coffee", "Vale Alto, Rio Claro", "--brew", "filter", "--not-blind",
               "--claims", "", "--additions", "Rio Claro: cinnamon", "--date", "2026-03-02")  # fmt: skip
    done = run(table / "sheet.csv", *options, "--out", table / "there")
    assert "?" not in done.stderr
    made = yaml.safe_load((table / "session.yaml").read_text())
    assert (made["blind"], str(made["date"])) == (False, "2026-03-02")
    assert made["coffees"]["rio_claro"]["additions"] == "cinnamon"
    assert "additions" not in made["coffees"]["vale_alto"]
    assert (table / "there" / "vale_alto" / "wheel.svg").is_file()


def test_what_is_there_is_not_written_over(table: Path) -> None:
    (table / "session.yaml").write_text("mine")
    with pytest.raises(InputError, match="is there already"):
        run(table, "--yes")
    assert (table / "session.yaml").read_text() == "mine"


def test_it_stops_where_the_check_would_fail(tmp_path: Path) -> None:
    """Findings of no coffee where two were poured: the session is written, and no pack is made of the rest."""
    (tmp_path / "talk.txt").write_text("Ana: I get jasmine.\nBen: Jasmine for me, too.\n")
    (tmp_path / "sheet.csv").write_text("taster,coffee,brew,text\nAna,One,filter,lemon\nBen,,filter,plum and honey\n")
    done = run(tmp_path, "--coffee", "One, Two", "--yes", status=1)
    assert "said of no coffee" in done.stderr
    assert "go on with tastevocab feature" in done.stderr
    assert (tmp_path / "session.yaml").is_file()
    assert not (tmp_path / "pack").exists()


SHEETS = """# Tuesday cupping

## Rio Claro

### hot

- Greta: red apple
- Luis: apple

### cool

- Greta: black tea
- Luis: black tea

## Casa Alta

- Greta: jasmine
- Luis: jasmine
"""


def test_headings_of_a_sheet_are_its_coffees(tmp_path: Path) -> None:
    """Proposed where nothing else is said, and what stands below each is of it; the title's "cupping" is no brew."""
    (tmp_path / "notes.md").write_text(SHEETS)
    done = run(tmp_path, stdin="\n\nfilter\nyes\n\nnone\n")
    assert "[Rio Claro, Casa Alta]" in done.stderr
    assert "error" not in done.stderr
    assert "Rio Claro: black tea, apple or pear (2 tasters, blind, filter, hot to cool)" in done.stdout
    assert "Casa Alta: jasmine (2 tasters, blind, filter)" in done.stdout


def test_what_talk_calls_the_cups_is_offered_and_taken(tmp_path: Path) -> None:
    said = "Ana: Cup A, filter, hot. I get jasmine.\nBen: Jasmine.\nAna: Now cup B, filter, hot. Milk chocolate.\n"
    (tmp_path / "talk.txt").write_text(said + "Ben: Milk chocolate.\n")
    done = run(tmp_path, stdin="\nVale Alto = cup A, Rio Claro = cup B\n\nyes\n\n\n")
    assert 'the talk says cup A, cup B: write "name = cup A") [cup A, cup B]' in done.stderr
    coffees = yaml.safe_load((tmp_path / "session.yaml").read_text())["coffees"]
    assert coffees["vale_alto"] == {"name": "Vale Alto", "names": ["cup A"]}
    assert "Vale Alto: jasmine" in done.stdout


@pytest.mark.parametrize("given", ["none.vtt", "."])
def test_without_notes_there_is_nothing_to_start_from(tmp_path: Path, given: str) -> None:
    with pytest.raises(InputError, match=r"no such file|holds no notes"):
        run(tmp_path / given, "--yes")


def test_a_claim_of_no_coffee_is_an_error(table: Path) -> None:
    with pytest.raises(InputError, match="'Valle Alto' is none of the coffees"):
        run(table, "--yes", "--claims", "Valle Alto: peach")


def test_the_six_steps_of_the_readme_work_as_written(table: Path, monkeypatch) -> None:
    """In order, with a house file that is not there yet."""
    monkeypatch.chdir(table)
    people = ["--taster", "Ana, Old Ben"]
    steps = [
        ["session", "new", "table.yaml", *people, "--coffee", "Vale Alto, Rio Claro", "--brew", "filter"],
        ["session", "sheets", "table.yaml", "--out", "sheets"],
        ["session", "check", "table.yaml"],
        ["review", "table.yaml", "--house", "house.yaml", "--list"],
        ["feature", "table.yaml", "--house", "house.yaml", "--out", "pack"],
    ]  # fmt: skip
    for number, step in enumerate(steps):
        if number == 2:
            with Path("table.yaml").open("a") as file:
                file.write("  - {source: sheet.csv, speakers: {Old Ben: old_ben}}\n")
        done = CliRunner().invoke(build(), step)
        assert done.exit_code == 0, (step, done.output, done.exception)
    assert "house.yaml is not there yet: nothing is laid over the vocabulary" in done.stderr
    assert (table / "pack" / "vale_alto" / "notes.html").is_file()


LETTERS = "taster,coffee,brew,text\nAna,A,filter,jasmine\nBen,A,filter,jasmine\nAna,B,filter,plum\nBen,B,filter,plum\n"


def test_a_letter_on_the_sheet_is_the_cup_that_talk_calls_so(tmp_path: Path) -> None:
    """The sheet says "A", the talk "cup A": one name given for the talk is enough."""
    (tmp_path / "sheet.csv").write_text(LETTERS)
    (tmp_path / "talk.txt").write_text("Ana: Cup A, filter, hot. Jasmine.\nBen: And cup B, filter, hot. Plum.\n")
    done = run(tmp_path, stdin="\nVale Alto = cup A, Rio Claro = cup B\n\nyes\n\n\n")
    assert "Vale Alto: jasmine" in done.stdout
    assert "Rio Claro: plum" in done.stdout


def test_a_coffee_that_only_the_sheet_names_is_asked_for_before_anything_is_written(tmp_path: Path) -> None:
    (tmp_path / "sheet.csv").write_text(LETTERS)
    with pytest.raises(InputError, match=r"the sheets call a coffee A, B.*\n.*\"Vale Alto = A\".*--coffee"):
        run(tmp_path, "--coffee", "Vale Alto, Rio Claro", "--yes")
    assert not (tmp_path / "session.yaml").exists()
    done = run(tmp_path, stdin="\nVale Alto, Rio Claro\nVale Alto = A, Rio Claro = B\n\nyes\n\n\n")
    assert 'write "Vale Alto = A" where it is that one' in done.stderr
    assert "Rio Claro: plum" in done.stdout


def test_a_file_without_names_is_whose_its_own_name_says(tmp_path: Path) -> None:
    """ "ben-loose.txt" is Ben's; "ana-and-ben.txt" is of two, and stays nobody's."""
    (tmp_path / "sheet.csv").write_text("taster,coffee,brew,text\nAna,One,filter,jasmine\nBen,One,filter,plum\n")
    (tmp_path / "ben-loose.txt").write_text("jasmine, lemon\n")
    (tmp_path / "ana-and-ben.txt").write_text("I get walnut.\n")
    done = run(tmp_path, "--yes")
    entries = yaml.safe_load((tmp_path / "session.yaml").read_text())["notes"]
    whose = {entry["source"]: entry.get("taster") for entry in entries}
    assert whose == {"ana-and-ben.txt": None, "ben-loose.txt": "ben", "sheet.csv": None}
    assert "ben-loose.txt says nobody's name inside: taken for Ben's" in done.stderr
    assert (
        "ana-and-ben.txt: words without a speaker: 1 finding not counted (say who with `taster: TASTER`" in done.stderr
    )


def test_one_bowl_of_several_is_no_brew(tmp_path: Path) -> None:
    talk = tmp_path / "talk.vtt"
    said = (
        "Now the filter. I get peach.",
        "Bowl three is dirty, the others are fine.",
        "Bowl 3, yes. Peach in the rest.",
    )
    cues = (f"00:0{n}:00.000 --> 00:0{n}:05.000\n<v Ana>{text}\n" for n, text in enumerate(said))
    talk.write_text("WEBVTT\n\n" + "\n".join(cues))
    assert hear([talk], open_lexicon()).brews == ("filter",)
