"""Attributes: basic tastes, mouthfeel, finish and whole-cup qualities, each on its word scale."""

from __future__ import annotations

import pytest
from reading_checks import bug, levels, lexicon, note, present, talk

WORDS = [
    ("bright", {"acidity": "high"}),
    ("juicy", {"acidity": "high"}),
    ("sour", {"acidity": "high"}),
    ("a bit sour", {"acidity": "low"}),
    ("not sour", {"acidity": "none"}),
    ("not very sour", {"acidity": "low"}),
    ("very bitter", {"bitterness": "high"}),
    ("slightly bitter", {"bitterness": "low"}),
    ("sweet", {"sweetness": "high"}),
    ("salty", {"saltiness": "high"}),
    ("umami", {"savoury": "high"}),
    ("watery", {"body": "low"}),
    ("full bodied", {"body": "high"}),
    ("drying", {"astringency": "high"}),
    ("dry finish", {"astringency": "high"}),
    ("clean", {"clean": "high"}),
    ("muddy", {"clean": "low"}),
    ("balanced", {"balance": "high"}),
    ("not balanced", {"balance": "low"}),
    ("smooth", {}),
    ("strong", {}),
    ("mild", {}),
]

NAMED = [
    ("low acidity", {"acidity": "low"}),
    ("acidity is low", {"acidity": "low"}),
    ("acidity: high", {"acidity": "high"}),
    ("less acidity", {"acidity": "low"}),
    ("no acidity at all", {"acidity": "none"}),
    ("lacks sweetness", {"sweetness": "none"}),
    ("hardly any bitterness", {"bitterness": "low"}),
    ("lots of sweetness", {"sweetness": "high"}),
    ("medium body", {"body": "medium"}),
    ("thin body", {"body": "low"}),
    ("round, heavy body", {"body": "high"}),
    ("syrupy mouthfeel", {"body": "high"}),
    ("short aftertaste", {"finish": "low"}),
    ("lingering finish", {"finish": "high"}),
    ("medium body, high acidity, low bitterness", {"body": "medium", "acidity": "high", "bitterness": "low"}),
    ("bright acidity with low body", {"acidity": "high", "body": "low"}),
    ("high acidity low body", {"acidity": "high", "body": "low"}),
    ("medium acidity, kind of bright", {"acidity": "medium"}),
    ("acidity and bitterness are well balanced", {"balance": "high"}),
    bug("the denial between the name and its level is not seen", "the bitterness isn't strong", {"bitterness": "low"}),
    bug("the second of two compared takes the first one's level",
        "the acidity is more pronounced than the body", {"acidity": "high"}),
]  # fmt: skip

MARKS = [
    ("acidity 4 out of 5", {"acidity": "high"}),
    ("body: 2/5", {"body": "low"}),
    ("body 3/5", {"body": "medium"}),
    ("sweetness: 7/10", {"sweetness": "high"}),
    ("bitterness four out of five", {"bitterness": "high"}),
    ("acidity 4/5; body 2/5", {"acidity": "high", "body": "low"}),
    ("body 3/5, sweetness 2/5", {"body": "medium", "sweetness": "low"}),
]  # fmt: skip


@pytest.mark.parametrize(("said", "expected"), [*WORDS, *NAMED, *MARKS])
def test_levels(said: str, expected: dict[str, str]) -> None:
    assert levels(note(said)) == expected


def test_a_rise_is_no_flower() -> None:
    reading = note("the acidity rose")
    assert (levels(reading), present(reading)) == ({"acidity": "high"}, [])


@pytest.mark.parametrize("said", ["bright", "low acidity", "syrupy mouthfeel", "buttery body", "acidity: high"])
def test_qualities_are_no_flavours(said: str) -> None:
    assert present(note(said)) == []


def test_every_word_of_every_scale_names_its_attribute_at_its_step() -> None:
    """Each listed word alone is read as its attribute and its step, unless it is a flavour or a cue as well."""
    from tastevocab.vocabulary.cache import open_vocabulary

    missed = []
    read = 0
    for attribute in open_vocabulary().attributes.values():
        for word, step in attribute.words.items():
            found = [a for a in note(word).attributes if a.attribute == attribute.id]
            read += 1
            if not found or found[0].level != attribute.levels[step - 1]:
                missed.append(f"{attribute.id}: {word}")
    assert read > 150
    assert len(missed) <= 0.03 * read, missed


def test_a_denied_attribute_is_none_of_it_and_marked() -> None:
    (acidity,) = note("no acidity").attributes
    assert (acidity.level, acidity.step, acidity.present) == ("none", 1.0, False)


def test_steps_rise_with_the_degree() -> None:
    steps = [note(f"{word} bitter").attributes[0].step for word in ("slightly", "moderately", "", "extremely")]
    assert steps == sorted(steps)
    assert steps[0] < steps[-1]


def test_an_answer_to_how_is_the_acidity() -> None:
    reading = talk("Ana: How's the acidity?", "Ben: High.", "Cy: Low for me.")
    assert [(a.spot.speaker, a.attribute, a.level) for a in reading.attributes] == [
        ("Ben", "acidity", "high"), ("Cy", "acidity", "low")
    ]  # fmt: skip


def test_a_question_about_an_attribute_is_no_finding() -> None:
    assert talk("Ana: Is it bitter?").attributes == ()


def test_finish_is_a_length_and_a_place() -> None:
    reading = note("long finish of almond")
    assert levels(reading) == {"finish": "high"}
    assert [(f.descriptor.rsplit("/", 1)[-1], f.spot.place) for f in reading.findings] == [("almond", "finish")]


def test_levels_are_those_of_the_contract() -> None:
    assert {level for steps in lexicon().attribute_levels.values() for level in steps} <= {
        "none",
        "low",
        "medium",
        "high",
    }
