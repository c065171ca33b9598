"""Every rule on a fixture named by its code, which breaks it alone; what a person reads is golden text."""

from __future__ import annotations

import os
import random
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from trials import trials
from vocabulary_toys import TOY

from tastevocab.vocabulary.check import RULES, check, errors, lookalikes, over
from tastevocab.vocabulary.draft import Problem
from tastevocab.vocabulary.graph import graph
from tastevocab.vocabulary.load import build, default_folder
from tastevocab.vocabulary.measures import TreeMeasures

FIXTURES = Path(__file__).with_name("fixtures")
CLEAN = FIXTURES / "clean"
# Found while a file is read, before any rule looks at it.
READING = {"yaml", "type", "unknown-house-id"}
CODES = sorted(READING | {rule.code for rule in RULES})

Checked = Callable[[str], list[Problem]]


@pytest.fixture
def checked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Checked:
    """The problems of the clean fixture with the files of another laid into its folder, named from that folder."""

    def run(code: str) -> list[Problem]:
        shutil.copytree(CLEAN, tmp_path / "v")
        shutil.copytree(FIXTURES / code, tmp_path / "v", dirs_exist_ok=True)
        monkeypatch.chdir(tmp_path)
        house = Path("house.yaml") if (tmp_path / "v" / "house.yaml").exists() else None
        if house:
            os.replace("v/house.yaml", house)
        (tmp_path / "v" / "expected.txt").unlink(missing_ok=True)
        return check(over(Path("v"), house))

    return run


def test_the_clean_one_is_clean(checked: Checked) -> None:
    assert checked("clean") == []


@pytest.mark.parametrize("code", CODES)
def test_each_rule_alone(checked: Checked, code: str) -> None:
    problems = checked(code)
    assert {p.code for p in problems} == {code}
    golden = FIXTURES / code / "expected.txt"
    told = "".join(f"{p}\n" for p in problems).replace("\\", "/")
    if os.environ.get("WRITE_GOLDEN"):
        golden.write_text(told)
    assert told == golden.read_text()
    for problem in problems:
        assert problem.mend
        assert Path(problem.place.file).exists()
        assert problem.place.line >= 1 or code == "yaml"


def test_every_fixture_has_a_rule() -> None:
    assert sorted(p.name for p in FIXTURES.iterdir()) == sorted([*CODES, "clean"])
    assert len({rule.code for rule in RULES}) == len(RULES)


def test_rules_survive_each_others_faults(tmp_path: Path) -> None:
    """Any two faults in one vocabulary are both told (where their fixtures change different files)."""
    files = {code: {p.name for p in (FIXTURES / code).glob("*.yaml")} for code in CODES if code not in READING}
    pairs = [(a, b) for a in files for b in files if a < b and not files[a] & files[b]]
    assert len(pairs) > 100
    for a, b in pairs:
        folder = tmp_path / f"{a}+{b}"
        for part in (CLEAN, FIXTURES / a, FIXTURES / b):
            shutil.copytree(part, folder, dirs_exist_ok=True)
        assert {a, b} <= {p.code for p in check(over(folder))}, f"{a} and {b} hide each other"


@trials(65)
@given(st.integers(0, 10**9))
def test_what_passes_can_be_built(tmp_path_factory: pytest.TempPathFactory, seed: int) -> None:
    """Files spoilt at random never stop the checker, and what it lets pass is a vocabulary."""
    pick = random.Random(seed)
    folder = tmp_path_factory.mktemp("spoilt") / "v"
    shutil.copytree(TOY, folder)
    for _ in range(pick.randint(1, 3)):
        file = pick.choice(sorted(folder.iterdir()))
        lines = file.read_text().split("\n")
        at, other = pick.randrange(len(lines)), pick.randrange(len(lines))
        word = pick.choice(["lemon", "peach", "reach/fruity", "citrus_row", "", "no", "{}", "[a, b]", "7"])
        spoil = pick.choice(["drop", "double", "swap", "value", "key"])
        if spoil == "drop":
            del lines[at]
        elif spoil == "double":
            lines.insert(at, lines[other])
        elif spoil == "swap":
            lines[at], lines[other] = lines[other], lines[at]
        elif spoil == "value":
            lines[at] = lines[at].split(":")[0] + ": " + word
        else:
            lines[at] = re.sub(r"[a-z_]+", word.strip("[]{}, ab/7") or "x", lines[at], count=1)
        file.write_text("\n".join(lines))
    draft = over(folder)
    if not errors(check(draft)):
        vocabulary = build(draft)
        assert TreeMeasures(vocabulary).span_notes("")
        assert graph(vocabulary)


def test_lookalikes_are_listed(tmp_path: Path) -> None:
    notes = "".join(
        f"      {w}: {{print: {w}, about: x., words: {{en: [{w}]}}}}\n"
        for w in ("clover", "clove", "blueberry", "bilberry")
    )
    shutil.copytree(CLEAN, tmp_path / "v")
    with (tmp_path / "v" / "row.yaml").open("a") as out:
        out.write(notes)
    pairs = {(p.word, p.other): p.ratio for p in lookalikes(over(tmp_path / "v"))}
    # Plain character ratios computed with rapidfuzz for the trade notes: clover/clove 91, blueberry/bilberry 82.
    assert pairs[("clover", "clove")] == pytest.approx(91, abs=0.5)
    assert pairs[("blueberry", "bilberry")] == pytest.approx(82, abs=0.5)
    assert list(pairs.values()) == sorted(pairs.values(), reverse=True)
    assert not lookalikes(over(CLEAN), least=90)


def test_the_shipped_vocabulary_keeps_every_rule() -> None:
    assert errors(check(over(default_folder()))) == []
