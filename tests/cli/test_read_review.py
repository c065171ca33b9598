"""`tastevocab review`: listed and decided from files, and walked through in a terminal, key by key."""

from __future__ import annotations

import json
import os
import select
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import plain_reader
import pytest
import typer
from typer.testing import CliRunner, Result

from tastevocab.cli import read as commands
from tastevocab.errors import InputError, VocabularyError

TALK = "Mira: I get burger mott, and a whiff of kumquish.\nOtto: Something earthy in it. Blackberry too.\n"
MORE = TALK + "Otto: perhaps plum. The orange kettle boils.\nMira: no lemon, perhaps plum.\n"


@pytest.fixture(autouse=True)
def plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    plain_reader.use(monkeypatch)


@pytest.fixture(scope="module")
def app() -> typer.Typer:
    made = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None)
    commands.register(made)
    return made


@pytest.fixture
def talk(tmp_path: Path) -> Path:
    path = tmp_path / "table.txt"
    path.write_text(TALK, encoding="utf-8")
    return path


def review(app: typer.Typer, *args: object, typed: str = "") -> Result:
    return CliRunner().invoke(app, ["review", *map(str, args)], input=typed, env={"NO_COLOR": "1"})


def listed(app: typer.Typer, path: Path) -> list[dict[str, object]]:
    done = review(app, path, "--list", "--format", "json")
    assert done.exit_code == 0, done.output
    made: list[dict[str, object]] = json.loads(done.stdout)
    return made


def read(app: typer.Typer, path: Path, *more: object) -> dict[str, dict[str, object]]:
    done = CliRunner().invoke(app, ["read", str(path), "--format", "jsonl", *map(str, more)])
    assert done.exit_code == 0, done.output
    return {row["words"]: row for row in map(json.loads, done.stdout.splitlines())}


def meanings(app: typer.Typer, path: Path, house: Path) -> set[object]:
    return {row.get("descriptor") for row in read(app, path, "--house", house).values()}


def test_list_decide_and_never_again(app: typer.Typer, talk: Path, tmp_path: Path) -> None:
    questions = listed(app, talk)
    assert {"burger mott", "kumquish"} <= {str(q["words"]) for q in questions}
    answers = tmp_path / "answers.json"
    answers.write_text(json.dumps([q | {"decide": "reject"} for q in questions]), encoding="utf-8")
    done = review(app, talk, "--decide", answers)
    assert done.stdout == f"{len(questions)} decisions kept in {tmp_path / 'table.decisions.yaml'}\n"
    assert listed(app, talk) == []
    after = read(app, talk)
    assert after["kumquish"]["kind"] == "set_aside"
    assert after["kumquish"]["reason"] == "rejected by review"
    assert "Nothing is left to decide." in review(app, talk).stdout


def test_an_asked_item_counts_once_it_is_accepted(app: typer.Typer, talk: Path) -> None:
    talk.write_text(MORE, encoding="utf-8")
    before = read(app, talk)["plum"]
    assert (before["asked"], before["sure"]) == (True, 0.3)
    asked = [q for q in listed(app, talk) if q["words"] == "plum"]
    assert [(q["speaker"], q["kind"], q["why"]) for q in asked] == [
        ("Otto", "asked", "counted for nobody yet (30 % sure): plums, found or denied?"),
        ("Mira", "asked", "counted for nobody yet (30 % sure): plums, found or denied?"),
    ]
    (talk.parent / "a.json").write_text(json.dumps([asked[0] | {"decide": "accept"}]), encoding="utf-8")
    assert review(app, talk, "--decide", talk.parent / "a.json").exit_code == 0
    rows = CliRunner().invoke(app, ["read", str(talk), "--format", "jsonl"]).stdout.splitlines()
    plums = [r for r in map(json.loads, rows) if r["words"] == "plum"]
    assert [(r["speaker"], r["asked"], r["sure"]) for r in plums] == [("Otto", False, 1.0), ("Mira", True, 0.3)]
    assert [q["speaker"] for q in listed(app, talk) if q["words"] == "plum"] == ["Mira"]


def test_everything_can_be_reached_where_wanted(app: typer.Typer, talk: Path) -> None:
    talk.write_text(MORE, encoding="utf-8")

    def shown(*options: str) -> set[str]:
        return {q["words"] for q in json.loads(review(app, talk, "--list", "--format", "json", *options).stdout)}

    usual = {"burger mott", "kumquish", "earthy", "plum"}
    assert shown() == usual
    assert shown("--set-aside") == usual | {"orange kettle"}
    assert shown("--all") == usual | {"orange kettle", "Blackberry", "lemon"}


def test_an_answer_can_hold_in_every_source_of_a_session(app: typer.Typer, tmp_path: Path) -> None:
    session = tmp_path / "small.yaml"
    session.write_text(
        SESSION.replace("table.csv", "table.txt").replace(
            "  - {taster", "  - {source: b.txt, coffee: vale_alto}\n  - {taster"
        ),
        encoding="utf-8",
    )
    (tmp_path / "table.txt").write_text("Mira: perhaps plum.\n", encoding="utf-8")
    (tmp_path / "b.txt").write_text("Otto: perhaps plum, then perhaps fig.\n", encoding="utf-8")
    order = [str(q["words"]) for q in listed(app, session)]
    done = review(app, session, typed="s\n" * order.index("plum") + "e\na\nq\n")
    assert '"plum" everywhere is plums' in done.stdout
    assert "plum" not in [q["words"] for q in listed(app, session)]
    assert "fig" in [q["words"] for q in listed(app, session)]
    rows = CliRunner().invoke(app, ["read", str(session), "--format", "jsonl"]).stdout.splitlines()
    asked = {
        (r["speaker"], r["words"]): r["asked"]
        for r in map(json.loads, rows)
        if "asked" in r and str(r["source"]).endswith(".txt")
    }
    assert asked == {("mira", "plum"): False, ("otto", "plum"): False, ("otto", "fig"): True}
    assert review(app, session, "--undo").stdout == 'undone: accept "plum"\n'
    assert not list(tmp_path.glob("*.decisions.yaml"))
    assert [str(q["words"]) for q in listed(app, session)] == order


def test_names_and_words_of_brewing_are_never_asked(app: typer.Typer, tmp_path: Path) -> None:
    session = tmp_path / "small.yaml"
    session.write_text(SESSION.replace("table.csv", "table.txt").replace("Vale Alto", "Kumquish"), encoding="utf-8")
    (tmp_path / "table.txt").write_text("Mira: perhaps plum, and the kumquish.\n", encoding="utf-8")
    assert {q["words"] for q in listed(app, session)} == {"plum"}


def test_undo_without_asking(app: typer.Typer, talk: Path, tmp_path: Path) -> None:
    before = listed(app, talk)
    answers = tmp_path / "a.yaml"
    answers.write_text("- {words: kumquish, decide: ignore}\n", encoding="utf-8")
    review(app, talk, "--decide", answers)
    assert review(app, talk, "--undo").stdout == 'undone: ignore "kumquish"\n'
    assert listed(app, talk) == before
    assert review(app, talk, "--undo").stdout == "there is no decision to undo\n"


def test_keys_from_a_pipe(app: typer.Typer, talk: Path) -> None:
    done = review(app, talk, typed="?\nx\ns\nh\nc\nlemmonn\nc\nlemon\nu\n\nq\n")
    assert done.exit_code == 0, done.output
    assert "what the keys do" in done.stdout
    assert "'x' is no key here" in done.stdout
    assert "no house file was given" in done.stdout
    assert "'lemmonn' is no word of the vocabulary" in done.stdout
    assert "did you mean lemon?" in done.stdout
    assert "is lemon\n" in done.stdout
    assert "undone: change" in done.stdout
    assert "0 decided" in done.stdout


def test_the_last_decision_can_be_undone_when_all_is_decided(app: typer.Typer, talk: Path) -> None:
    count = len(listed(app, talk))
    done = review(app, talk, typed="r\n" * count + "u\nq\n")
    assert "All is decided or skipped." in done.stdout
    assert f"{count - 1} decided, 1 left." in done.stdout


def test_a_house_word_is_known_from_then_on(app: typer.Typer, talk: Path, tmp_path: Path) -> None:
    house = tmp_path / "house.yaml"
    order = [str(q["words"]) for q in listed(app, talk)]
    done = review(app, talk, "--house", house, typed="s\n" * order.index("kumquish") + "h\nkumquat\nq\n")
    assert '"kumquish" is a house word now: citrus_crate/orange_mandarin/kumquat' in done.stdout
    assert "kumquish" in house.read_text(encoding="utf-8")
    assert "citrus_crate/orange_mandarin/kumquat" in meanings(app, talk, house)
    assert "kumquish" not in [q["words"] for q in listed(app, talk)]


def test_decisions_from_a_file_can_make_house_words(app: typer.Typer, talk: Path, tmp_path: Path) -> None:
    answers = tmp_path / "a.yaml"
    answers.write_text("- {words: kumquish, decide: house, descriptor: orange_mandarin}\n", encoding="utf-8")
    refused = review(app, talk, "--decide", answers)
    assert isinstance(refused.exception, InputError)
    answers.write_text(
        "- {words: kumquish, decide: house, descriptor: citrus_crate/orange_mandarin}\n", encoding="utf-8"
    )
    assert isinstance(review(app, talk, "--decide", answers).exception, InputError)
    done = review(app, talk, "--decide", answers, "--house", tmp_path / "house.yaml")
    assert done.exit_code == 0, done.exception
    assert "citrus_crate/orange_mandarin/kumquish" in meanings(app, talk, tmp_path / "house.yaml")


def test_what_is_wrong_in_a_decisions_file_is_told(app: typer.Typer, talk: Path, tmp_path: Path) -> None:
    answers = tmp_path / "a.yaml"
    answers.write_text("- {words: mango, decide: reject}\n", encoding="utf-8")
    done = review(app, talk, "--decide", answers)
    assert isinstance(done.exception, InputError)
    assert str(done.exception).startswith(f"{answers}:1: no 'mango' like this in table.txt")


SESSION = """\
session: small
date: 2026-03-02
blind: true
tasters: [mira, otto, pilar]
coffees:
  vale_alto: {name: Vale Alto, process: washed}
notes:
  - {source: table.csv, coffee: vale_alto}
  - {taster: pilar, coffee: vale_alto, text: "kumquish and blackberry"}
"""


def test_a_session_is_reviewed_as_one_and_counts_its_tasters(app: typer.Typer, tmp_path: Path) -> None:
    session = tmp_path / "small.yaml"
    session.write_text(SESSION, encoding="utf-8")
    (tmp_path / "table.csv").write_text("taster,text\nmira,burger mott\notto,bergamot\n", encoding="utf-8")
    questions = listed(app, session)
    heard = next(q for q in questions if q["words"] == "burger mott")
    assert heard["candidates"][0]["effect"] == "stays 2 of 3"  # type: ignore[index]
    answers = tmp_path / "a.json"
    decided = [q | {"decide": "reject"} for q in questions if q["words"] in ("burger mott", "kumquish")]
    answers.write_text(json.dumps(decided), encoding="utf-8")
    assert review(app, session, "--decide", answers).exit_code == 0
    assert (tmp_path / "table.decisions.yaml").is_file()
    assert (tmp_path / "small.decisions.yaml").is_file()
    assert not {"burger mott", "kumquish"} & {str(q["words"]) for q in listed(app, session)}


# --- a real terminal ---

pty = pytest.importorskip("pty")

PROGRAM = (
    "import sys, typer; sys.path.insert(0, {tests!r})\n"
    "import plain_reader; from tastevocab.cli import read; from tastevocab.reading import read as reader\n"
    "reader.read_file = plain_reader.read_plainly\n"
    "app = typer.Typer(); read.register(app); app(['review', {path!r}, '--house', {house!r}])"
)


class Person:
    """Somebody at a terminal: waits for what the screen says, then presses keys."""

    def __init__(self, path: Path, house: Path) -> None:
        self.here, there = pty.openpty()
        code = PROGRAM.format(path=str(path), house=str(house), tests=str(Path(__file__).parent))
        env = {**os.environ, "COLUMNS": "70", "TERM": "dumb"}
        self.run = subprocess.Popen([sys.executable, "-c", code], stdin=there, stdout=there, stderr=there, env=env)
        os.close(there)
        self.screen = ""

    def sees(self, text: str, seconds: float = 20) -> None:
        """Wait until the screen shows `text` after what was seen before."""
        until = time.monotonic() + seconds
        while text not in self.screen:
            assert time.monotonic() < until, f"never saw {text!r} in {self.screen!r}"
            if select.select([self.here], [], [], 0.2)[0]:
                try:
                    self.screen += os.read(self.here, 4096).decode()
                except OSError:  # the program has closed its side
                    assert text in self.screen, self.screen
        self.screen = self.screen.partition(text)[2]

    def presses(self, keys: str) -> None:
        os.write(self.here, keys.encode())

    def leaves(self) -> int:
        """The exit status."""
        return self.run.wait(30)


@pytest.fixture
def person(talk: Path, tmp_path: Path) -> Iterator[Person]:
    somebody = Person(talk, tmp_path / "house.yaml")
    yield somebody
    somebody.run.kill()
    somebody.run.wait()
    os.close(somebody.here)


@pytest.mark.slow
def test_single_keys_in_a_terminal(app: typer.Typer, talk: Path, person: Person) -> None:
    order = [str(q["words"]) for q in listed(app, talk)]
    for number, words in enumerate(order, 1):
        person.sees(f"{number} of {len(order)}")
        person.sees("\n> ")
        if words == "kumquish":
            person.presses("\x1b[A")  # an arrow key is no "a"
            person.presses("h")
            person.sees("id): ")
            person.presses("kumquat\n")
            person.sees("is a house word now")
        elif words == "burger mott":
            person.presses("1")
            person.sees('"burger mott" is bergamot')
        else:
            person.presses("r")
            person.sees("is set aside")
    person.sees("All is decided")
    person.presses("u")
    person.sees("undone:")
    person.sees("\n> ")
    person.presses("q")
    person.sees(f"{len(order) - 1} decided, 1 left")
    assert person.leaves() == 0


def test_keys_typed_ahead_are_not_lost(person: Person) -> None:
    person.sees("\n> ")
    person.presses("clemon\nq")
    person.sees("is lemon")
    person.sees("1 decided")
    assert person.leaves() == 0


def test_house_words_that_break_a_rule_are_refused(app: typer.Typer, talk: Path, tmp_path: Path) -> None:
    answers = tmp_path / "a.yaml"
    answers.write_text(
        "- {words: Blackberry, decide: house, descriptor: citrus_crate/peel_oil/bergamot}\n", encoding="utf-8"
    )
    done = review(app, talk, "--decide", answers, "--house", tmp_path / "house.yaml")
    assert isinstance(done.exception, VocabularyError)
    assert not (tmp_path / "table.decisions.yaml").exists()
