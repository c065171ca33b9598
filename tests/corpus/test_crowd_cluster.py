"""A crowd counted on two worker processes, from notes to maps and contrasts by the commands."""

from __future__ import annotations

import json
import os
import signal
import threading
from pathlib import Path

import pytest
from corpus_tables import run, told, write_csv

from tastevocab.corpus import crowds
from tastevocab.corpus.tallies import Ask


def crowd_notes() -> list[dict[str, str]]:
    """Notes of ninety tasters, more than sixty a coffee."""
    said = ("plum, jasmine", "cocoa, maybe plum", "fruity, bright acidity", "peach; musty", "", "tons of caramel, plum")
    return [
        {"id": f"n{i}{c}", "coffee": c, "taster": f"t{i}", "text": said[(i * (1 + "ABC".index(c))) % 6]}
        for i in range(90)
        for c in "ABC"
        if (i + ord(c)) % 5
    ]


@pytest.mark.slow
def test_a_crowd_on_a_cluster_is_told_as_the_panel_tells_it(app, client, tmp_path: Path, monkeypatch) -> None:
    """From notes to maps and contrasts by the commands; over sixty tasters each, so that only sums are known,
    in several partitions."""
    monkeypatch.setattr(crowds, "PARTITION", 150)
    rows = crowd_notes()
    table = write_csv(tmp_path / "notes.csv", rows)
    run(app, client, table, "--out", f"{tmp_path / 'found'}/")
    at = ("--scheduler", client.scheduler.address)
    done = told(app, "crowd", tmp_path / "found", "--out", tmp_path / "maps", *at)
    assert done.exit_code == 0, done.output
    assert f"3 maps and lines of {len(rows)} servings, 3 compared" in done.stderr
    ours = [json.loads(line) for line in (tmp_path / "maps" / "maps.jsonl").read_text("utf-8").splitlines()]
    panel = json.loads(told(app, "panel", table, "--format", "json", "--bootstrap", 0).stdout)["maps"]
    figures = (
        "coffee",
        "tasters",
        "quorum",
        "ladder",
        "line",
        "line_coverage",
        "best_lines",
        "apart",
        "chance",
        "hold",
    )
    for made, map in zip(ours, panel, strict=True):
        assert [made[name] for name in figures] == [map[name] for name in figures]
        for name in ("nodes", "rungs", "denied"):
            bare = [{k: v for k, v in one.items() if k != "evidence"} for one in map[name]]
            assert [{k: v for k, v in one.items() if k != "evidence"} for one in made[name]] == bare
    assert any(made["line"] for made in ours)
    contrast = json.loads((tmp_path / "maps" / "contrast.json").read_text("utf-8"))
    assert contrast == json.loads(told(app, "contrast", table, "--by", "coffee", "--format", "json").stdout)
    assert contrast["pairs"][0]["changes"]
    assert sorted(p.name for p in (tmp_path / "maps").iterdir()) == ["contrast.json", "lines.csv", "maps.jsonl"]
    lines = (tmp_path / "maps" / "lines.csv").read_text("utf-8").splitlines()
    assert [line.split(",")[0] for line in lines] == ["serving", "A", "B", "C"]


def test_what_cannot_be_counted_is_said(app, client, tmp_path: Path) -> None:
    at = ("--out", tmp_path / "maps", "--scheduler", client.scheduler.address)
    (tmp_path / "none").mkdir()
    assert "holds no findings" in str(told(app, "crowd", tmp_path / "none", *at).exception)
    found, house = tmp_path / "found", tmp_path / "house.yaml"
    house.write_text("house: bar\nignore: [plum]\n", "utf-8")
    plain = write_csv(tmp_path / "plain.csv", [{"text": "plum"}, {"text": "plum, peach"}, {"text": "nothing much"}])
    run(app, client, plain, "--out", f"{found}/")
    assert "words may have moved" in str(told(app, "crowd", found, *at, "--house", house).exception)
    assert "no row names a brew" in str(told(app, "crowd", found, *at, "--by", "brew").exception)
    (tmp_path / "maps" / ".crowd-of-one-that-was-killed" / "tasters").mkdir(parents=True)
    assert told(app, "crowd", found, *at).exit_code == 0
    assert sorted(p.name for p in (tmp_path / "maps").iterdir()) == ["lines.csv", "maps.jsonl"]
    made = json.loads((tmp_path / "maps" / "maps.jsonl").read_text("utf-8"))
    assert (made["coffee"], made["tasters"], made["line"]) == ("coffee", 3, ["orchard/plums"])
    assert not (tmp_path / "maps" / "contrast.json").exists()


@pytest.mark.slow
def test_a_worker_killed_while_a_crowd_is_counted_changes_nothing(app, client, tmp_path: Path, monkeypatch) -> None:
    """A moment after the start, after tasters were brought together, and after the sums."""
    monkeypatch.setattr(crowds, "PARTITION", 150)
    run(app, client, write_csv(tmp_path / "notes.csv", crowd_notes()), "--out", f"{tmp_path / 'found'}/")

    def counted(name: str, kill_after: int = -1) -> dict[str, bytes]:
        out, steps = tmp_path / name, 0
        out.mkdir()
        killer = threading.Timer(0.1, os.kill, (min(client.run(os.getpid).values()), signal.SIGKILL))

        def step(done: int) -> None:
            nonlocal steps
            steps += done
            if steps == kill_after:
                killer.start()

        step(0)
        crowds.count_crowd(tmp_path / "found", out, Ask("coffee", None, None), client, step=step)
        assert killer.finished.is_set() == (kill_after >= 0)
        return {p.name: p.read_bytes() for p in out.iterdir()}

    calm = counted("calm")
    assert len(calm) == 3
    for steps in range(3):
        assert counted(f"killed after {steps}", steps) == calm
