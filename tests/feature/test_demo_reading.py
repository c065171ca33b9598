"""The demo's talk against a key made by hand: a person listened to every line; decoys must not be taken."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

import pytest

KEY = [json.loads(line) for line in (Path(__file__).parent / "demo_key.jsonl").read_text("utf-8").splitlines()]
DECOYS = {"walnut tray", "tomato soup", "peanut", "vanilla", "cardboard box", "caramel slice"}


def _keyed(entry, names):
    return (
        entry["who"],
        names[entry["note"]],
        entry.get("at"),
        entry.get("bowl"),
        entry.get("present", True),
        entry.get("standing", "own"),
        entry.get("fault", False),
    )


def _found(f):
    return (f.spot.speaker, f.descriptor, f.spot.at, f.spot.bowl, f.present, f.standing, f.fault)


def test_every_finding_of_the_key_and_no_other(demo_gathered, table):
    expected = Counter(_keyed(entry, table.names) for entry in KEY)
    found = Counter(_found(f) for f in demo_gathered.findings)
    assert found == expected


@pytest.mark.parametrize(
    "entry", [e for e in KEY if "brew" in e], ids=lambda e: f"{e['who']}-{e['note']}-{e.get('at')}"
)
def test_brew_moment_degree_and_doubt(entry, demo_gathered, table):
    [f] = [
        f for f in demo_gathered.findings if _found(f) == _keyed(entry, table.names) and f.spot.brew == entry["brew"]
    ]
    assert f.spot.moment == entry["moment"]
    assert (f.certainty < 1) == entry.get("hedged", False)
    if "degree" in entry:
        assert f.degree == entry["degree"]


def test_decoys_are_set_aside_and_the_unknown_word_is_kept(demo_gathered):
    said = {" ".join(f.spot.words.split()).casefold() for f in demo_gathered.findings}
    assert not [d for d in DECOYS if any(d in words for words in said)]
    assert [u.spot.words for u in demo_gathered.unresolved] == ["slatterberry"]
    assert {s.reason for s in demo_gathered.set_aside} >= {"equipment", "nearby food", "other coffee", "wish", "claim"}


def test_nobody_is_left_out(demo_gathered):
    assert demo_gathered.unattributed == ()
    assert demo_gathered.notices == ()
