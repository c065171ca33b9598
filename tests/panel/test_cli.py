"""The commands: the map contract, golden text, exit states, files written."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from tastevocab.cli import panel as panel_commands
from tastevocab.cli import session as session_commands
from tastevocab.errors import InputError, TastevocabError

HERE = Path(__file__).parent
TABLE = HERE / "table" / "session.yaml"
VOCAB = HERE / "vocab"


@pytest.fixture(scope="module")
def app() -> typer.Typer:
    made = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None)
    panel_commands.register(made)
    session_commands.register(made)
    return made


@pytest.fixture
def run(app, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")  # what is folded is folded alike everywhere

    def call(*args: object, status: int = 0, stdin: str = "") -> str:
        done = CliRunner().invoke(app, [str(a) for a in args], input=stdin)
        if isinstance(done.exception, TastevocabError):
            raise done.exception
        assert done.exit_code == status, done.output
        return done.stdout

    return call


def test_the_map_contract(run) -> None:
    made = json.loads(run("panel", TABLE, "--vocab", VOCAB, "--brew", "cone", "--moment", "cool", "--format", "json"))
    assert made["session"] == "quiet-table"
    assert set(made["vocabulary"]) == {"name", "version", "hash"}
    assert made["weighting"] == "mark"
    (one,) = made["maps"]
    assert (one["coffee"], one["brew"], one["moment"], one["tasters"]) == ("alta_vela", "cone", "cool", 4)
    node = next(n for n in one["nodes"] if n["print"] == "mandarin")
    wanted = {"descriptor", "print", "level", "people", "denials", "frequency", "intensity", "weight", "wedge", "share",
              "hedged_share", "evidence"}  # fmt: skip
    assert wanted <= set(node)
    assert (node["people"], node["frequency"]) == (3, 62.5)
    assert node["hedged_share"] == pytest.approx(0.5 / 2.5)
    assert len(node["evidence"]) == 3
    assert {"descriptor", "print", "people", "of", "leaning", "why"} <= set(one["rungs"][0])
    assert one["line"] == ["citrus_crate/orange_mandarin/mandarin"]
    assert {c["claim"]: c["state"] for c in one["claims"]} == {
        "jasmine": "met",
        "mandarin": "met",
        "hazelnut": "unknown",
    }
    assert sum(n["share"] for n in one["nodes"] if not n["parent"]) == pytest.approx(1, abs=1e-5)
    assert set(one["beside"]) >= {"echo", "led", "informed"}
    (fault,) = one["faults"]
    assert (fault["print"], fault["bowls_affected"], fault["bowls_poured"]) == ("phenolic", 1, 5)
    assert one["hold"]
    assert [a["about"] for a in made["agreement"][:3]] == ["notes", "families", "categories"]


def test_the_same_files_give_the_same_bytes(run) -> None:
    args = ("panel", TABLE, "--vocab", VOCAB, "--pool", "--bootstrap", 50, "--format", "json")
    assert run(*args) == run(*args)


def test_figures_recomputed_by_hand_from_the_evidence(run) -> None:
    """Plain Python over the findings behind the map: fold, count, weigh; apart from the code under test."""
    one = json.loads(run("panel", TABLE, "--vocab", VOCAB, "--brew", "cone", "--pool", "--format", "json"))["maps"][0]
    said = {}
    for word in ("mandarin", "jasmine", "milk chocolate", "clementine"):
        for f in json.loads(run("why", TABLE, word, "--vocab", VOCAB, "--brew", "cone", "--format", "json"))[
            "findings"
        ]:
            if f["role"] == "counted":
                key = (f["taster"], f["descriptor"])
                degree = {"": None, "strong": 35.4}[f["degree"]]
                sure, strong = said.get(key, (0, None))
                said[key] = (max(sure, f["certainty"]), degree if strong is None else max(strong, degree or 0))
    weights: dict[str, float] = {}
    for descriptor in {d for _, d in said}:
        folded = [(c, 17.2 if s is None else s) for (_, d), (c, s) in said.items() if d == descriptor]
        frequency = 100 * sum(c for c, _ in folded) / 4
        intensity = sum(c * s for c, s in folded) / 4
        weights[descriptor] = (frequency * intensity) ** 0.5
    for node in one["nodes"]:
        if node["level"] == "note":
            assert node["weight"] == pytest.approx(weights[node["descriptor"]], abs=1e-5)
            assert node["share"] == pytest.approx(weights[node["descriptor"]] / sum(weights.values()), abs=1e-5)


def test_the_brew_most_tasted_is_counted_over_its_whole_tasting(run) -> None:
    (one,) = json.loads(run("panel", TABLE, "--vocab", VOCAB, "--format", "json"))["maps"]
    assert (one["brew"], one["moment"], one["moments"], one["tasters"]) == ("cone", None, ["hot", "cool"], 4)
    assert one["rungs"][0]["moments"] == {"cool": 3}
    told = " ".join(run("panel", TABLE, "--vocab", VOCAB).split())
    assert told.startswith("Alta Vela: cone, hot to cool, 4 tasters, blind, 2026-02-11")
    told = " ".join(told.split())
    assert "mandarin: 3 of 4 tasters, span 1 note: the narrowest at quorum" in told
    assert "3 of them found it cool." in told
    assert "POOLED over brews (cone, shot)" in run("panel", TABLE, "--vocab", VOCAB, "--pool")
    each = json.loads(run("panel", TABLE, "--vocab", VOCAB, "--brew", "each", "--moment", "each", "--format", "json"))
    assert [(m["brew"], m["moment"]) for m in each["maps"]] == [("cone", "hot"), ("cone", "cool"), ("shot", "hot")]


def test_the_summary_reads_like_a_colleague(run, golden) -> None:
    golden("summary.txt", run("panel", TABLE, "--vocab", VOCAB, "--brew", "cone", "--moment", "cool"))


def test_the_markdown(run, golden) -> None:
    golden("summary.md", run("panel", TABLE, "--vocab", VOCAB, "--brew", "cone", "--moment", "cool", "--format", "md"))


def test_the_contrast_text(run, golden) -> None:
    golden("contrast.txt", run("contrast", TABLE, "--vocab", VOCAB, "--by", "moment", "--brew", "cone"))


def test_rows_for_a_spreadsheet(run) -> None:
    text = run("panel", TABLE, "--vocab", VOCAB, "--brew", "each", "--moment", "each", "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(text)))
    assert {r["moment"] for r in rows} == {"hot", "cool"}
    there = {("cone", "hot"): 3, ("cone", "cool"): 4, ("shot", "hot"): 2}  # lou came for the cool cup alone
    assert all(int(r["people"]) <= int(r["of"]) == there[r["brew"], r["moment"]] for r in rows)


def test_why_traces_every_word(run) -> None:
    made = json.loads(run("why", TABLE, "jasmine", "--vocab", VOCAB, "--format", "json"))
    assert [(f["taster"], f["moment"], f["role"]) for f in made["findings"]] == [
        ("ines", "hot", "counted"),
        ("ines", "cool", "counted"),
        ("kaya", "hot", "counted"),
    ]
    told = " ".join(run("why", TABLE, "jasmine", "--vocab", VOCAB).split())
    assert "2 on the panel found it: ines, kaya" in told
    assert "lou" in run("why", TABLE, "phenolic", "--vocab", VOCAB)
    with pytest.raises(InputError, match="'gorp' is no word"):
        run("why", TABLE, "gorp", "--vocab", VOCAB)


def test_contrast_as_values_and_as_a_picture(run, tmp_path: Path) -> None:
    chart = tmp_path / "cooling.html"
    args = (
        "contrast",
        TABLE,
        "--vocab",
        VOCAB,
        "--by",
        "moment",
        "--brew",
        "cone",
        "--chart",
        chart,
        "--format",
        "json",
    )
    made = json.loads(run(*args))
    (pair,) = made["pairs"]
    change = pair["changes"][0]
    assert (change["print"], change["before"], change["after"], change["gained"]) == ("orange and mandarin", 0, 3, 3)
    assert (change["of"], change["told"], change["proved"]) == (3, True, False)
    page = chart.read_text("utf-8")
    assert "orange and mandarin" in page
    assert "<script src=" not in page
    assert page == (run(*args), chart.read_text("utf-8"))[1]
    with pytest.raises(InputError, match="only 1 coffee"):
        run("contrast", TABLE, "--vocab", VOCAB, "--by", "coffee", "--pool")


def test_a_plain_table_of_notes(run, tmp_path: Path) -> None:
    path = tmp_path / "notes.jsonl"
    texts = {"A": ["jasmine", "jasmine, cocoa powder", "not much here"], "B": ["cola", "blackberry as it cooled"]}
    rows = [
        {"id": f"{c}{i}", "coffee": c, "taster": f"t{i}", "text": t}
        for c, ts in texts.items()
        for i, t in enumerate(ts)
    ]
    path.write_text("\n".join(map(json.dumps, rows)), "utf-8")
    made = json.loads(run("panel", path, "--coffee", "A", "--vocab", VOCAB, "--format", "json"))
    (one,) = made["maps"]
    assert one["tasters"] == 3
    assert {n["print"]: n["people"] for n in one["nodes"]}["jasmine"] == 2
    assert len(json.loads(run("panel", path, "--vocab", VOCAB, "--format", "json"))["maps"]) == 2
    assert "by coffee" in run("contrast", path, "--by", "coffee", "--vocab", VOCAB)


def test_a_thing_at_home_in_another_category_counts_there_alone(run, tmp_path: Path) -> None:
    path = tmp_path / "notes.csv"
    path.write_text("taster,coffee,text\nana,alta,fig\nben,alta,fresh fig\n", "utf-8")
    (made,) = json.loads(run("panel", path, "--format", "json"))["maps"]
    nodes = {n["descriptor"]: n for n in made["nodes"]}
    assert [nodes[id]["people"] for id in ("orchard", "orchard/autumn_fruit", "reach/fig", "preserving_pan")] == [
        1,
        1,
        2,
        1,
    ]
    assert all(low <= n["wedge"] <= high for n in nodes.values() for low, high in [n["wedge_interval"]])


@pytest.fixture
def three_coffees(tmp_path: Path) -> Path:
    """Nine tasters, three coffees, one of them mandarin for all but one."""
    rows = ["taster,coffee,text"]
    for t in range(9):
        rows += [f"t{t},alta,mandarin" if t else "t0,alta,jasmine", f"t{t},baixa,milk chocolate"]
        rows.append(f"t{t},cima,{('jasmine', 'milk chocolate', 'blackberry')[t % 3]}")
    path = tmp_path / "notes.csv"
    path.write_text("\n".join(rows) + "\n", "utf-8")
    return path


def test_many_coffees_cell_by_cell_and_on_a_plane(run, three_coffees, tmp_path: Path) -> None:
    args = ("contrast", three_coffees, "--by", "coffee", "--vocab", VOCAB, "--show")
    text = run(*args, "cells")
    assert "mandarin" in text
    assert "8 of 9, more than the 2.7 expected" in text
    rows = list(csv.DictReader(io.StringIO(run(*args, "cells", "--format", "csv"))))
    first = next(r for r in rows if (r["coffee"], r["print"]) == ("alta", "mandarin"))
    assert (first["people"], first["of"], first["told"]) == ("8", "9", "more")
    made = json.loads(run(*args, "plane", "--format", "json", "--chart", tmp_path / "plane.html"))
    assert set(made["coffees"]) == {"alta", "baixa", "cima"}
    assert [e["tasters"] for e in made["ellipses"]] == [9, 9, 9]
    assert "confidence ellipses" in (tmp_path / "plane.html").read_text("utf-8")
    assert "95 % ellipse about" in run(*args, "plane")


def test_shares_over_the_moments(run) -> None:
    args = ("contrast", TABLE, "--vocab", VOCAB, "--by", "moment", "--brew", "cone", "--show", "shares")
    assert "hot 0 of 3 (0 to 71 %), cool 4 of 4 (40 to 100 %)" in run(*args)
    (first, *_) = json.loads(run(*args, "--format", "json"))["shares"]
    assert [(m["moment"], m["people"], m["of"]) for m in first["moments"]] == [("hot", 0, 3), ("cool", 4, 4)]
    run(*args[:4], "--by", "brew", "--show", "shares", status=2)


def test_a_new_session_says_what_it_takes(run, tmp_path: Path, monkeypatch, capsys) -> None:
    from tastevocab.panel import power

    monkeypatch.setattr(power, "PANELS", 20)
    monkeypatch.setattr(power, "ROUGH", 20)
    path = tmp_path / "new.yaml"
    args = ("session", "new", path, "--taster", "a, b", "--coffee", "x, y, z")
    run(*args, "--to-show", "jasmine 100 % 0 %")
    first, second, *_ = path.read_text("utf-8").splitlines()
    assert first.startswith("# To show jasmine, found by 100 % in one of 3 cups and by 0 % in the others: ")
    assert second.startswith("# The 2 tasters of this session: 0 of 100 such tables name it")
    with pytest.raises(InputError, match="no difference to show"):
        run(*args, "--force", "--to-show", "jasmine")


def test_session_new_asks_and_check_reports(run, tmp_path: Path) -> None:
    path = tmp_path / "new.yaml"
    assert run("session", "new", path, "--taster", "Mira, Otto", stdin="Vale Alto\n").endswith(f"{path}\n")
    out = run("session", "check", path, "--vocab", VOCAB, status=1)
    assert "error empty: has no notes" in out
    assert run("session", "check", TABLE, "--vocab", VOCAB) == ""
    rows = json.loads(run("session", "check", path, "--vocab", VOCAB, "--format", "json", status=1))
    assert rows[0]["code"] == "empty"


def test_session_sheets_repeat_by_seed(run, tmp_path: Path) -> None:
    made = []
    for name in ("a", "b"):
        run("session", "sheets", TABLE, "--vocab", VOCAB, "--out", tmp_path / name, "--duplicate", "--seed", 4)
        made.append({p.name: p.read_bytes() for p in (tmp_path / name).iterdir()})
    assert made[0] == made[1]
    assert set(made[0]) == {"sheets.html", "sheets.pdf", "key-keep-closed.csv"}
    run("session", "sheets", TABLE, "--moment", "tepid", status=2)


def test_session_feedback(run) -> None:
    out = run("session", "feedback", TABLE, "--taster", "ines", "--vocab", VOCAB)
    assert out.startswith("For ines, from 1 session. Figures for training only")
    made = json.loads(run("session", "feedback", TABLE, "--taster", "ines", "--vocab", VOCAB, "--format", "json"))
    assert made["taster"] == "ines"


def test_exit_states_and_streams() -> None:
    """The whole command in a process: 1 bad input without a traceback, 2 wrong use, results alone on stdout."""

    def call(*args: object) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-c", "from tastevocab.cli.main import run; run()", *map(str, args)]
        return subprocess.run(command, capture_output=True, text=True, check=False, encoding="utf-8")

    missing = call("panel", "nowhere.yaml")
    assert (missing.returncode, missing.stdout) == (1, "")
    assert missing.stderr == "tastevocab: nowhere.yaml: no such file\n  mend: check the path\n"
    assert call("panel", TABLE, "--weighting", "loud").returncode == 2
    refused = call("panel", TABLE, "--vocab", VOCAB, "--brew", "siphon")
    assert refused.returncode == 1
    assert "unknown brew 'siphon'" in refused.stderr
    assert "Traceback" not in refused.stderr
