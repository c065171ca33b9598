"""The arithmetic of the map: published values, and the properties a practitioner would expect."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from panel_seats import HERE, Table
from trials import trials

from tastevocab.errors import StatisticsError
from tastevocab.panel.flavour_map import FlavourMap, Serving, build_map
from tastevocab.panel.folding import finders
from tastevocab.panel.rungs import climb
from tastevocab.panel.spans import Spans
from tastevocab.reading.records import Finding
from tastevocab.vocabulary.load import load

VOCABULARY = load(HERE / "vocab")
SPANS = Spans(VOCABULARY)
TABLE = Table(VOCABULARY)
SERVING = Serving("vale")
PANEL = "ABCDE"
WORDS = [
    "blackberry",
    "blackcurrant",
    "plum_jam",
    "prune",
    "cherry_cola",
    "cocoa_powder",
    "dark_choc",
    "reach/dark_fruit",
    "reach/floral",
    "reach/fruity",
    "hedgerow_vine",
    "jasmine",
    "lemon_zest",
    "phenolic",
]

said = st.builds(
    lambda who, what, certainty, strength, present, standing: TABLE.say(
        who, what, certainty=certainty, strength=strength, present=present, standing=standing
    ),
    st.sampled_from(PANEL),
    st.sampled_from(WORDS),
    st.sampled_from([1.0, 0.5, 0.25]),
    st.sampled_from([None, 6.1, 17.2, 35.4]),
    st.sampled_from([True, True, True, False]),
    st.sampled_from(["own", "own", "own", "echo", "led", "informed"]),
)
notes = st.lists(said, max_size=25)


def make(findings: list[Finding], weighting="mark", panel=PANEL) -> FlavourMap:
    return build_map(findings, SERVING, panel, SPANS, weighting=weighting)


def figures(made: FlavourMap):
    return [
        (n.descriptor, n.people, n.denials, n.frequency, n.intensity, n.weight, n.wedge, n.share, n.hedged_share)
        for n in made.nodes
    ]


@pytest.mark.parametrize(
    ("cited", "total", "frequency", "intensity", "weight"),
    [
        (8, 22, 66.6667, 36.6667, 49.4413),
        (12, 48, 100, 80, 89.4427),
        (1, 5, 8.3333, 8.3333, 8.3333),
        (3, 3, 25, 5, 11.1803),
    ],
)
def test_geometric_mean_of_frequency_and_intensity(cited, total, frequency, intensity, weight) -> None:
    """M = sqrt(F x I) of ISO 11035; worked figures by arithmetic: 12 assessors, scale 0..5 (here times 20)."""
    panel = [f"t{i:02}" for i in range(12)]
    node = make([TABLE.say(t, "jasmine", strength=20 * total / cited) for t in panel[:cited]], panel=panel).nodes[-1]
    assert (node.frequency, node.intensity, node.weight) == pytest.approx((frequency, intensity, weight), abs=1e-4)
    assert node.intensity <= node.weight + 1e-9
    assert node.weight <= node.frequency + 1e-9


def test_the_contract_example_by_hand() -> None:
    """Two of five found blackberry, one leaning, strength unsaid: F 30, I 1.5 x 17.2 / 5, M their geometric mean."""
    node = make([TABLE.say("A", "blackberry"), TABLE.say("B", "blackberry", certainty=0.5)]).nodes[-1]
    assert (node.people, node.frequency) == (2, 30)
    assert node.intensity == pytest.approx(1.5 * 17.2 / 5)
    assert node.weight == pytest.approx((30 * 1.5 * 17.2 / 5) ** 0.5)
    assert node.hedged_share == pytest.approx(1 / 3)


def test_a_person_counts_once_at_a_parent() -> None:
    made = make([TABLE.say("A", "blackberry"), TABLE.say("A", "blackcurrant"), TABLE.say("A", "dark_berries")])
    family = made.by_id["hedgerow_vine/dark_berries"]
    assert (family.people, family.frequency) == (1, 20)
    assert family.wedge == pytest.approx(3 * made.by_id["hedgerow_vine/dark_berries/blackberry"].wedge)


def test_who_found_a_word_and_denied_it_is_named() -> None:
    found = [TABLE.say(who, "jasmine") for who in "ABC"]
    denied = [TABLE.say(who, "jasmine", present=False) for who in "BD"]
    told = "B both found and denied jasmine: counted as found, and as a denial."
    assert [n for n in make([*found, *denied]).margin.notices if "denied" in n] == [told]
    assert not [n for n in make(found).margin.notices if "denied" in n]


def test_a_stated_strength_outweighs_an_unsaid_one() -> None:
    made = make([TABLE.say("A", "jasmine", strength=6.1), TABLE.say("A", "jasmine")])
    assert made.nodes[-1].intensity == pytest.approx(6.1 / 5)


def test_reach_words_create_no_note_and_blends_count_once() -> None:
    made = make([TABLE.say("A", "reach/dark_fruit"), TABLE.say("B", "cherry_cola")])
    assert [n.descriptor for n in made.nodes if n.level == "note"] == ["bottle_shelf/soft_drinks/cherry_cola"]
    assert made.by_id["reach/dark_fruit"].parent == "hedgerow_vine"
    assert "choc_cream" not in made.by_id


@pytest.mark.parametrize("weighting", ["mark", "voice", "plain"])
@given(findings=notes)
@trials(20)
def test_the_map_holds_together(weighting, findings) -> None:
    made = make(findings, weighting)
    top = [n for n in made.nodes if not n.parent]
    if made.nodes:
        assert sum(n.share for n in top) == pytest.approx(1)
        assert sum(n.wedge for n in top) == pytest.approx(made.total)
    for n in made.nodes:
        assert 1 <= n.people <= len(PANEL)
        assert 0 <= n.hedged_share <= 1
        assert len(finders(made.folded, SPANS, n.descriptor)) == n.people
        below = [m for m in made.nodes if m.parent == n.descriptor]
        assert n.wedge == pytest.approx(n.own + sum(m.wedge for m in below))
        assert all(n.people >= m.people for m in below if m.level != "reach")
        assert n.evidence
        assert not SPANS.descriptor(n.descriptor).fault


@given(findings=notes, seed=st.randoms(use_true_random=False))
@trials(20)
def test_shuffling_and_repeating_changes_nothing(findings, seed) -> None:
    before = make(findings)
    shuffled = list(findings)
    seed.shuffle(shuffled)
    panel = list(PANEL)
    seed.shuffle(panel)
    assert figures(make(shuffled, panel=panel)) == figures(before)
    repeated = [*findings, *(replace(f, id=f.id + "again") for f in findings[:3])]
    assert figures(make(repeated)) == figures(before)
    assert [r.why for r in climb(make(shuffled), SPANS).rungs] == [r.why for r in climb(before, SPANS).rungs]


@given(findings=notes, who=st.sampled_from(PANEL), what=st.sampled_from(WORDS[:8]))
@trials(20)
def test_denial_echo_and_fault_never_raise_anything(findings, who, what) -> None:
    before = make(findings)
    for more in (
        TABLE.say(who, what, present=False),
        TABLE.say(who, what, standing="echo"),
        TABLE.say(who, what, standing="led"),
        TABLE.say(who, what, standing="informed"),
        TABLE.say(who, "phenolic"),
    ):
        after = make([*findings, more])
        assert [(f[0], f[1], *f[3:]) for f in figures(after)] == [(f[0], f[1], *f[3:]) for f in figures(before)]


@given(findings=notes.filter(bool), at=st.integers(0, 24))
@trials(20)
def test_a_hedge_never_raises_a_note(findings, at) -> None:
    at %= len(findings)
    hedged = list(findings)
    hedged[at] = replace(findings[at], certainty=findings[at].certainty / 2)
    before, after = make(findings), make(hedged)
    for n in after.nodes:
        old = before.by_id[n.descriptor]
        assert n.people == old.people
        assert n.weight <= old.weight + 1e-9
        assert n.wedge <= old.wedge + 1e-9


@pytest.mark.parametrize(
    ("findings", "panel", "sentence"),
    [
        ([], PANEL, "Nobody named a flavour here"),
        ([TABLE.say("A", "jasmine", present=False)], PANEL, "Only denials were given"),
        ([TABLE.say("A", "jasmine")], "A", "One taster"),
        ([TABLE.say("A", "jasmine")], "AB", "Two tasters"),
        ([], "", "No taster tasted this"),
        (
            [TABLE.say("A", "jasmine"), TABLE.say("A", "jasmine", present=False)],
            PANEL,
            "A both found and denied jasmine",
        ),
    ],
)
def test_thin_panels_get_a_sentence_and_no_crash(findings, panel, sentence) -> None:
    made = make(findings, panel=panel)
    assert any(sentence in n for n in made.margin.notices)
    assert climb(made, SPANS).verdict


def test_an_unknown_weighting_is_refused() -> None:
    with pytest.raises(StatisticsError, match="unknown weighting 'loud'"):
        make([], "loud")
