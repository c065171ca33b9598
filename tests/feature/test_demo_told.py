"""The demo is told on one screen, and whole where that is asked."""

from __future__ import annotations

import pytest

from tastevocab.cli.output import folded, told_columns
from tastevocab.feature.demo import told


def test_one_screen_of_80_columns(demo, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    lines = [part for line in told(demo.material, demo.notes) for part in folded(line).split("\n")]
    assert len(lines) <= 23  # and two that say where to look
    assert max(map(len, lines)) <= 80
    assert lines[0].startswith("HOLD AND RE-TASTE")
    assert "Notes line: chocolatey, mandarin, red fruit" in lines


def test_full_begins_with_the_same(demo):
    short = told(demo.material, demo.notes)
    assert told(demo.material, demo.notes, full=True)[: len(short)] == short


@pytest.mark.parametrize("width", ["40", "80", "300"])
def test_a_long_line_hangs_under_its_own_start(monkeypatch, width):
    monkeypatch.setenv("COLUMNS", width)
    made = folded("  acidity " + "lively " * 40).split("\n")
    assert max(map(len, made)) <= min(100, int(width))
    assert all(line.startswith("    ") for line in made[1:])
    assert " ".join(" ".join(made).split()) == "acidity " + " ".join(["lively"] * 40)


def test_columns_that_tell_nothing_are_left_out():
    rows = [("ana", "filter", "", 1), ("ben", "filter", "", 2)]
    assert told_columns(("who", "brew", "bowl", "at"), rows) == (
        ["who", "at"],
        [["ana", 1], ["ben", 2]],
        {"brew": "filter"},
    )
    assert told_columns(("who", "brew", "bowl"), rows[:1]) == (["who", "brew"], [["ana", "filter"]], {})
