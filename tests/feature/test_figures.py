"""The demo's figures again, from findings.csv alone, with nothing but plain Python.

Arithmetic as the README states it: per taster and word the surest and the strongest of what was said; unstated strength
is 17.2 ("moderate" on the Labelled Magnitude Scale of Green, Shaffer and Gilmore 1993); F = 100 * sum of certainty / N,
I = sum of certainty * strength / N, weight = sqrt(F * I) (ISO 11035); a share is a word's weight over the sum of all.
"""

from __future__ import annotations

import csv
import io
import json
import math
from collections import defaultdict

import pytest

TASTERS = 5
QUORUM = 3
MODERATE = 17.2


@pytest.fixture(scope="module")
def rows(demo):
    return list(csv.DictReader(io.StringIO(demo.files["findings.csv"].decode(), newline="")))


@pytest.fixture(scope="module")
def maps(demo):
    return {(m["brew"], m["moment"]): m for m in json.loads(demo.files["map.json"])["maps"]}


def counted(rows, brew, moment):
    """Taster and descriptor to the surest and the strongest of what that taster said of it."""
    best = {}
    for row in rows:
        if (row["counted"], row["brew"], row["moment"]) == ("yes", brew, moment):
            key = row["taster"], row["descriptor"]
            certainty, strength = best.get(key, (0.0, -1.0))
            said = float(row["strength"]) if row["strength"] else -1.0
            best[key] = max(certainty, float(row["certainty"])), max(strength, said)
    return {key: (c, MODERATE if s < 0 else s) for key, (c, s) in best.items()}


SERVINGS = [("filter", "hot"), ("filter", "warm"), ("filter", "cool"), ("espresso", "hot")]


@pytest.mark.parametrize(("brew", "moment"), SERVINGS)
def test_frequency_intensity_weight_and_share(rows, maps, brew, moment):
    found = counted(rows, brew, moment)
    words = sorted({d for _, d in found})
    weight, figures = {}, {}
    for word in words:
        mine = [value for (_, d), value in found.items() if d == word]
        frequency = 100 * sum(c for c, _ in mine) / TASTERS
        intensity = sum(c * s for c, s in mine) / TASTERS
        weight[word] = math.sqrt(frequency * intensity)
        figures[word] = len(mine), frequency, intensity
    nodes = {n["descriptor"]: n for n in maps[brew, moment]["nodes"]}
    for word in words:
        node, (people, frequency, intensity) = nodes[word], figures[word]
        assert node["named"] == people
        if node["level"] == "note":
            assert node["people"] == people
            assert node["frequency"] == pytest.approx(frequency, abs=1e-5)
            assert node["intensity"] == pytest.approx(intensity, abs=1e-5)
            assert node["weight"] == pytest.approx(weight[word], abs=1e-5)
            assert node["share"] == pytest.approx(weight[word] / sum(weight.values()), abs=1e-5)
    assert sum(n["share"] for n in nodes.values() if n["level"] == "category") == pytest.approx(1, abs=1e-5)


@pytest.mark.parametrize(("brew", "moment"), SERVINGS)
def test_families_and_categories_count_people_once(rows, maps, brew, moment):
    people = defaultdict(set)
    for taster, word in counted(rows, brew, moment):
        if not word.startswith("reach/"):
            parts = word.split("/")
            for depth in range(1, len(parts) + 1):
                people["/".join(parts[:depth])].add(taster)
    for node in maps[brew, moment]["nodes"]:
        if node["level"] in ("family", "note"):
            assert node["people"] == len(people[node["descriptor"]]), node["descriptor"]


def test_the_printed_words_by_hand(rows, maps, demo):
    found = counted(rows, "filter", "warm")
    excerpt = {d["descriptor"]: d for d in json.loads(demo.files["vocabulary.json"])["descriptors"]}
    span = excerpt["reach/red_fruit"]["span"]
    red = {t for t, d in found if d == "reach/red_fruit" or any(d == s or d.startswith(s + "/") for s in span)}
    caramel = {t for t, d in found if d == "sugar_jar/caramel_toffee/caramel"}
    assert (len(red), len(caramel)) == (4, 3)
    printed = maps["filter", "warm"]
    assert printed["quorum"] == QUORUM
    assert printed["line"] == ["reach/red_fruit", "sugar_jar/caramel_toffee/caramel"]
    assert [(r["people"], r["of"]) for r in printed["rungs"]] == [(4, 5), (3, 5)]


def test_the_whole_tasting_by_hand(rows, maps, demo):
    """All moments of the brew together, every taster once a word: by sets over the rows, apart from the code."""
    own = [r for r in rows if r["counted"] == "yes" and r["brew"] == "filter"]
    excerpt = {d["descriptor"]: d for d in json.loads(demo.files["vocabulary.json"])["descriptors"]}
    printed = maps["filter", None]
    assert printed["moments"] == ["hot", "warm", "cool"]
    for rung in printed["rungs"]:
        id = rung["descriptor"]
        span = [id, *excerpt[id].get("span", ())]
        inside = [r for r in own if any(r["descriptor"] == s or r["descriptor"].startswith(s + "/") for s in span)]
        assert rung["people"] == len({r["taster"] for r in inside}), id
        when = {m: len({r["taster"] for r in inside if r["moment"] == m}) for m in ("hot", "warm", "cool")}
        assert rung["moments"] == {m: n for m, n in when.items() if n}, id
    assert {w.print: (w.people, w.when) for w in demo.notes.line} == {
        "chocolatey": (5, "hot"),
        "mandarin": (4, "cool"),
        "red fruit": (4, "warm"),
    }


def test_hot_to_cool_by_hand(rows, demo):
    def family(moment, prefix):
        return {t for t, d in counted(rows, "filter", moment) if d.startswith(prefix)}

    pale, orange = "choc_cream/pale_choc/", "citrus_crate/orange_mandarin/"
    lost = family("hot", pale) - family("cool", pale)
    gained = family("cool", orange) - family("hot", orange)
    assert (len(lost), len(gained)) == (3, 4)
    # Exact two-sided sign test when all who changed moved one way: 2 / 2**n.
    assert (2 / 2**3, 2 / 2**4) == (0.25, 0.125)
    assert "gone for three of five tasters as it cools" in demo.notes.story.text
    assert "new to four of five" in demo.notes.story.text
    assert "p = 0.25" in demo.notes.story.standing
    assert "p = 0.125" in demo.notes.story.standing


def test_the_claims_by_hand(rows, demo, tools):
    own = {row["descriptor"] for row in rows if row["counted"] == "yes"}
    denied = {row["descriptor"] for row in rows if row["present"] == "no"}
    notes = {c.claim: c for c in demo.notes.claims}
    assert "orchard/cherries/red_cherry" in own
    assert "sugar_jar/caramel_toffee/toffee" not in own
    assert "bakers_bench/brown_nuts/hazelnut" in denied - own
    assert "flower_bench/white_blossom/jasmine" not in own | denied
    states = {"red cherry": "met", "toffee": "near", "mandarin": "met", "hazelnut": "denied", "jasmine": "silent"}
    assert {claim: c.state for claim, c in notes.items()} == states
    forms = tools.vocabulary.descriptors["reach/mandarin"].span
    mandarin = {row["taster"] for row in rows if row["counted"] == "yes" and row["descriptor"] in forms}
    assert notes["mandarin"].people == len(mandarin) == 4


def test_the_hold_by_hand(rows, demo):
    phenolic = {row["taster"] for row in rows if row["print"] == "phenolic" and row["present"] == "yes"}
    bowls = {row["bowl"] for row in rows if row["print"] == "phenolic" and row["bowl"]}
    assert (phenolic, bowls) == ({"noor", "wren"}, {"4"})
    assert "phenolic, 2 of 5 tasters, bowls 1 of 5 (bowl 4)" in demo.notes.banner
