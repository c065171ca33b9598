"""What everybody says all day: that a cup tastes or smells of something; and the same shapes where nothing is found.

Common practice: no published list of such sentences is known to us, these are our own.
"""

from __future__ import annotations

import pytest
from reading_checks import heard_of, present, talk

OPENING = (
    "Ana: Okay, this is the washed one, on the filter.",
    "Ben: It's hot. Let me have a sip.",
    "Ana: I get plum, and some honey.",
)
SAID = [
    ("Ben: The nose is peanuts.", "peanut"),
    ("Ben: The aroma is toast.", "toast"),
    ("Ben: Smells of cedar.", "cedar"),
    ("Ben: It tastes of mango.", "mango"),
    ("Ben: I taste raisin.", "raisin"),
    ("Ben: There's some jasmine in there too.", "jasmine"),
    ("Ben: The walnut comes through.", "walnut"),
    ("Ben: Rhubarb on the finish.", "rhubarb"),
    ("Ben: It's gone caramel now.", "caramel"),
    ("Ben: The vanilla is back.", "vanilla"),
    ("Ben: I wrote down bergamot.", "bergamot"),
    ("Ben: Yeah, blackcurrant.", "blackcurrant"),
    ("Ben: Lots of hazelnut in this one.", "hazelnut"),
    ("Ben: First sip is lemon peel.", "lemon"),
]
NOT_SAID = [
    "Ben: This room smells of cedar.",
    "Ben: My cake tastes of mango.",
    "Ben: There's some jasmine in the tin over there.",
    "Ben: The bag says walnut and rhubarb.",
    "Ben: Last week's lot was all caramel.",
    "Ben: I had a vanilla ice cream at lunch.",
    "Ben: They have peanuts back in stock.",
]


@pytest.mark.parametrize(("said", "flavour"), SAID)
def test_what_is_said_plainly_is_found_or_asked(said: str, flavour: str) -> None:
    assert any(flavour in found for found in heard_of(talk(*OPENING, said)))


def test_most_of_it_is_counted_without_a_question() -> None:
    counted = [said for said, flavour in SAID if any(flavour in d for d in present(talk(*OPENING, said)))]
    assert len(counted) >= 12, {s for s, _ in SAID} - set(counted)


@pytest.mark.parametrize("said", NOT_SAID)
def test_the_same_words_of_something_else_are_not_counted(said: str) -> None:
    assert set(present(talk(*OPENING, said))) == set(present(talk(*OPENING)))


@pytest.mark.parametrize(
    ("said", "degree"),
    [("Ben: Cedar too.", None), ("Ben: Too much cedar.", "strong"), ("Ben: Cedar, a lot.", "strong")],
)
def test_an_amount_stands_before_what_it_is_an_amount_of(said: str, degree: str | None) -> None:
    found = [f.degree for f in talk(*OPENING, said).findings if "cedar" in f.descriptor]
    assert found == [degree]


@pytest.mark.parametrize(
    ("said", "standing"),
    [
        ("Ben: Okay, reveal.", "informed"),
        ("Ben: The reveal is later.", "own"),
        ("Ben: Write it down before the reveal.", "own"),
        ("Ben: Don't reveal it yet.", "own"),
    ],
)
def test_only_a_reveal_done_now_tells_the_coffees(said: str, standing: str) -> None:
    reading = talk(*OPENING, said, "Ben: I get cedar.")
    assert {f.standing for f in reading.findings if "cedar" in f.descriptor} == {standing}


@pytest.mark.parametrize(
    ("said", "attribute"), [("Ben: The texture is silky.", "texture"), ("Ben: Full body.", "body")]
)
def test_how_it_feels_is_no_weight(said: str, attribute: str) -> None:
    assert [(a.attribute, a.level) for a in talk(*OPENING, said).attributes] == [(attribute, "high")]
