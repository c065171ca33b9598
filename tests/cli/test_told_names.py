"""What people read names coffees, brews and words as people do: no id with underscores, no path of the vocabulary."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from in_process import run

from tastevocab.feature.demo import copy_table

ID = re.compile(r"\b[a-z]+(?:_[a-z0-9]+)+\b|\b\w+/\w+/\w+")

SHEETS = {
    "counter": """session: counter-3
blind: true
tasters: [ana, bo, cy]
coffees:
  vale_alto: {name: Finca Vale Alto, process: washed}
  monte_frio: {name: Monte Frio, process: natural}
  rio_seco: {process: honey, duplicate_of: monte_frio}
brews:
  long_black: {method: long black}
  batch_brew: {method: filter}
notes: [{source: sheet.csv}]
""",
    "back room": """session: back-room
tasters: [mira, otto, pilar, wren]
coffees: {loma_verde: {name: Loma Verde}, cerro_azul: {}}
brews: {flat_white: {method: flat white}}
notes: [{source: sheet.csv}]
""",
}
SAID = ("peach and jasmine", "blackberry, maybe musty", "dark chocolate, no lemon", "caramel and acidity high")
ASKED = (
    ("panel", "{}", "--brew", "each"),
    ("panel", "{}", "--pool", "--format", "md"),
    ("contrast", "{}", "--by", "coffee", "--pool"),
    ("contrast", "{}", "--by", "coffee", "--pool", "--format", "md"),
    ("contrast", "{}", "--by", "coffee", "--pool", "--show", "cells"),
    ("contrast", "{}", "--by", "coffee", "--pool", "--show", "plane"),
    ("contrast", "{}", "--by", "coffee", "--pool", "--show", "plane", "--format", "md"),
    ("why", "{}", "peach"),
    ("why", "{}", "peach", "--format", "md"),
    ("read", "{}", "--explain"),
    ("read", "{}", "--format", "md"),
    ("review", "{}", "--list"),
    ("session", "check", "{}"),
)
OF_ONE = (
    ("contrast", "{}", "--by", "brew"),
    ("contrast", "{}", "--by", "moment", "--pool"),
    ("contrast", "{}", "--by", "moment", "--pool", "--format", "md"),
    ("contrast", "{}", "--by", "moment", "--pool", "--show", "shares"),
)


def table_of(folder: Path, name: str) -> Path:
    """A table of the sheets' tasters, coffees and brews: every coffee by everybody, hot and cool."""
    text = SHEETS[name]
    tasters = re.search(r"tasters: \[(.*)\]", text)
    assert tasters
    coffees = [c for c in re.findall(r"\b(\w+_\w+): \{", text) if c not in ("long_black", "batch_brew", "flat_white")]
    brews = re.findall(r"\b(long_black|batch_brew|flat_white):", text)
    rows = ["taster,coffee,brew,moment,text"]
    for n, who in enumerate(tasters[1].split(", ")):
        for c, coffee in enumerate(coffees):
            rows += [
                f'{who},{coffee},{brew},{moment},"{SAID[(c + m) % 4]}, {SAID[(c + n) % 3]}"'
                for brew in brews
                for m, moment in enumerate(("hot", "cool"))
            ]
    folder.mkdir()
    (folder / "sheet.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    (folder / "session.yaml").write_text(text, encoding="utf-8")
    return folder / "session.yaml"


def leaks(command: tuple[str, ...], session: Path) -> list[str]:
    done = run(*(part.format(session.name) for part in command), folder=session.parent)
    assert done.returncode in (0, 1), done.stderr
    assert done.stdout or done.stderr
    return [f"{' '.join(command)}: {line}" for line in (done.stdout + done.stderr).splitlines() if ID.search(line)]


@pytest.mark.parametrize("name", SHEETS)
def test_sessions_are_told_in_names(tmp_path: Path, name: str) -> None:
    session = table_of(tmp_path / "table", name)
    first = next(iter(re.findall(r"\b(\w+_\w+): \{", SHEETS[name])))
    more = [("session", "feedback", "{}", "--taster", "bo")] if name == "counter" else []
    asked = ASKED if more else ASKED[2::3]
    found = [leak for command in (*asked, *more) for leak in leaks(command, session)]
    found += [leak for command in OF_ONE[-len(asked) // 3 :] for leak in leaks((*command, "--coffee", first), session)]
    assert found == []


def test_the_demo_is_told_in_names(tmp_path: Path) -> None:
    session = copy_table(tmp_path)
    by_moment = ("contrast", "{}", "--by", "moment", "--brew", "filter")
    asked = (ASKED[0], OF_ONE[0], by_moment, ("why", "{}", "caramel"), ("read", "{}"), ("read", "{}", "--format", "md"))
    assert [leak for command in asked for leak in leaks(command, session)] == []


def test_names_stand_for_ids_and_programs_keep_them(tmp_path: Path) -> None:
    session = table_of(tmp_path / "table", "counter")
    shown = run("contrast", "session.yaml", "--by", "coffee", "--pool", folder=session.parent).stdout
    assert "Finca Vale Alto beside Monte Frio" in " ".join(shown.split())
    assert "rio seco" in shown
    rows = run("contrast", "session.yaml", "--by", "coffee", "--pool", "--format", "json", folder=session.parent).stdout
    assert '"vale_alto"' in rows
    assert '"first": "monte_frio"' in rows
