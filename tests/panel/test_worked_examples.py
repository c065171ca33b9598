"""The worked examples that can be checked by hand: level choice, near agreement, hot to cool, chance agreement."""

from __future__ import annotations

import pytest
from panel_examples import first_example, second_example
from panel_seats import Table

from tastevocab.panel.contrast import contrast
from tastevocab.panel.flavour_map import Serving, build_map
from tastevocab.panel.rungs import chance_agreement, climb
from tastevocab.panel.spans import Spans
from tastevocab.reading.review.company import quorum
from tastevocab.vocabulary.cache import open_vocabulary

DARK_FRUIT = "reach/dark_fruit"


def test_spans_are_those_the_examples_count_with(spans: Spans) -> None:
    assert spans.size(DARK_FRUIT) == 30
    assert spans.size("reach/purple_fruit") == 14
    assert spans.size("hedgerow_vine") == 34
    assert spans.size("reach/stone_fruit") == 22
    assert len(spans.leaves["reach/purple_fruit"] & spans.leaves[DARK_FRUIT]) == 11
    assert spans.contains(DARK_FRUIT, "reach/purple_fruit")
    assert not spans.contains("reach/purple_fruit", DARK_FRUIT)


def test_first_example_counts_people(spans: Spans, table) -> None:
    made = build_map(first_example(table), Serving("filter"), "ABCDE", spans)
    people = {id: node.people for id, node in made.by_id.items()}
    assert people[DARK_FRUIT] == 4
    assert people["hedgerow_vine"] == 3
    assert people["hedgerow_vine/dark_berries"] == 2
    assert people["choc_cream/dark_choc"] == 2
    assert made.by_id["choc_cream/dark_choc"].denials == 1
    assert all(n.people < 2 for n in made.nodes if n.level == "note")


def test_first_example_plain_weights(spans: Spans, table) -> None:
    made = build_map(first_example(table), Serving("filter"), "ABCDE", spans, weighting="plain")
    weights = {id: node.wedge * 5 / 100 for id, node in made.by_id.items()}
    assert made.total * 5 / 100 == pytest.approx(6.5)
    assert weights["hedgerow_vine/dark_berries"] == pytest.approx(1.5)
    assert weights[DARK_FRUIT] == pytest.approx(1.0)
    assert weights["preserving_pan/dark_jam"] == pytest.approx(0.5)
    assert weights["bottle_shelf/soft_drinks"] == pytest.approx(1.0)
    assert weights["choc_cream/dark_choc"] == pytest.approx(2.0)
    assert weights["reach/floral"] == pytest.approx(0.5)
    shares = {id: round(100 * node.share, 1) for id, node in made.by_id.items()}
    assert (shares["hedgerow_vine/dark_berries"], shares[DARK_FRUIT], shares["choc_cream/dark_choc"]) == (
        23.1,
        15.4,
        30.8,
    )


def test_first_example_one_voice_each(spans: Spans, table) -> None:
    made = build_map(first_example(table), Serving("filter"), "ABCDE", spans, weighting="voice")
    assert made.total * 5 / 100 == pytest.approx(4.0)
    shares = {id: 100 * node.share for id, node in made.by_id.items()}
    expected = {
        "hedgerow_vine/dark_berries": 25,
        DARK_FRUIT: 12.5,
        "preserving_pan/dark_jam": 6.25,
        "bottle_shelf/soft_drinks": 25,
        "choc_cream/dark_choc": 25,
        "reach/floral": 6.25,
    }
    assert {id: shares[id] for id in expected} == pytest.approx(expected)


def test_first_example_prints_dark_fruit_leaning_dark_berries(spans: Spans, table) -> None:
    ladder = climb(build_map(first_example(table), Serving("filter"), "ABCDE", spans), spans)
    assert [(r.descriptor, r.people, r.of) for r in ladder.rungs] == [(DARK_FRUIT, 4, 5)]
    rung = ladder.rungs[0]
    assert (rung.label, rung.leaning, rung.leaning_people) == (
        "dark fruit, leaning dark berries",
        "hedgerow_vine/dark_berries",
        2,
    )
    at_quorum = {s.descriptor for s in ladder.steps if s.people >= quorum(5)}
    assert at_quorum - {"reach/fruity"} == {DARK_FRUIT, "hedgerow_vine"}


def test_second_example_prints_dark_fruit_leaning_dried(spans: Spans, table) -> None:
    made = build_map(second_example(table), Serving("filter"), "ABCDEF", spans)
    people = {id: node.people for id, node in made.by_id.items()}
    assert max(n.people for n in made.nodes if n.level == "note") == 1
    assert people["preserving_pan/dried_dark"] == 3
    assert people["reach/purple_fruit"] == 4
    assert people[DARK_FRUIT] == 6
    ladder = climb(made, spans)
    assert [(r.label, r.people, r.of, r.leaning_people) for r in ladder.rungs] == [
        ("dark fruit, leaning dried", 6, 6, 3)
    ]
    verdicts = {s.descriptor: s.verdict for s in ladder.steps}
    assert verdicts["preserving_pan/dried_dark"] == "exactly half is no majority"


def test_nothing_at_quorum_prints_nothing(spans: Spans, table) -> None:
    findings = [table.say("A", "blackberry"), table.say("B", "jasmine"), table.say("C", "cola")]
    ladder = climb(build_map(findings, Serving("filter"), "ABC", spans), spans)
    assert ladder.rungs == ()
    assert "did not converge" in ladder.verdict


def test_fruity_is_never_a_rung(spans: Spans, table) -> None:
    ladder = climb(build_map([table.say(t, "reach/fruity") for t in "ABCD"], Serving("x"), "ABCD", spans), spans)
    assert ladder.rungs == ()
    assert {s.descriptor: s.verdict for s in ladder.steps}["reach/fruity"] == "never printed: it names no place"


@pytest.mark.parametrize(
    ("rate", "expected"),
    [
        (0.05, (1.4, 2.3, 3.3, 5.7)),
        (0.10, (5.2, 8.1, 11.4, 18.7)),
        (0.20, (18.1, 26.3, 34.5, 49.7)),
        (0.40, (52.5, 66.3, 76.7, 89.4)),
    ],
)
def test_chance_agreement_table(rate: float, expected: tuple[float, ...]) -> None:
    assert tuple(round(100 * chance_agreement(rate, n), 1) for n in (4, 5, 6, 8)) == expected


@pytest.fixture(scope="module")
def shipped():
    """The vocabulary that ships; its spans may grow, the decisions may not change."""
    vocabulary = open_vocabulary()
    return Spans(vocabulary), Table(vocabulary)


def test_first_example_on_the_shipped_vocabulary(shipped) -> None:
    spans, table = shipped
    made = build_map(first_example(table), Serving("filter"), "ABCDE", spans)
    people = {id: node.people for id, node in made.by_id.items()}
    assert (people[DARK_FRUIT], people["hedgerow_vine"], people["hedgerow_vine/dark_berries"]) == (4, 3, 2)
    ladder = climb(made, spans)
    assert [(r.print, r.people, r.leaning, r.leaning_people) for r in ladder.rungs] == [
        ("dark fruit", 4, "hedgerow_vine/dark_berries", 2)
    ]


def test_second_example_on_the_shipped_vocabulary(shipped) -> None:
    spans, table = shipped
    made = build_map(second_example(table), Serving("filter"), "ABCDEF", spans)
    people = {id: node.people for id, node in made.by_id.items()}
    assert (people["reach/purple_fruit"], people[DARK_FRUIT], people["preserving_pan/dried_dark"]) == (4, 6, 3)
    (rung,) = climb(made, spans).rungs
    assert (rung.descriptor, rung.people, rung.leaning, rung.leaning_people) == (
        DARK_FRUIT,
        6,
        "preserving_pan/dried_dark",
        3,
    )


def test_third_example_on_the_shipped_vocabulary(shipped) -> None:
    """Hot to cool, five people: four have pale chocolate hot and one of them cool; mandarin comes to four of five."""
    spans, table = shipped
    pale, mandarin = "choc_cream/pale_choc", "citrus_crate/orange_mandarin"
    hot = [table.say(who, "milk_chocolate") for who in "ABCD"]
    cool = [table.say("A", "milk_chocolate"), *(table.say(who, "mandarin") for who in "BCDE")]
    before, after = (build_map(said, Serving("filter", None, when), "ABCDE", spans)
                     for said, when in ((hot, "hot"), (cool, "cool")))  # fmt: skip
    made = contrast(before, after, spans, ("hot", "cool"))
    changes = {c.descriptor: c for c in made.changes}
    moves = {id: (c.before, c.after, len(c.lost), len(c.gained), c.p) for id, c in changes.items()}
    assert moves[pale] == (4, 1, 3, 0, 0.25)  # 3-0, exact and two-sided: 2 of 8
    assert moves[mandarin] == (0, 4, 0, 4, 0.125)  # 4-0: 2 of 16
    assert [(changes[id].told, changes[id].proved) for id in (pale, mandarin)] == [(True, False)] * 2
    assert made.sentence.endswith("This may be told, is not proved.")
