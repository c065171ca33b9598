"""Brew cards: sums by hand, and what contradicts itself."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tastevocab.errors import Place
from tastevocab.feature.brew_card import brew_card, seconds_of
from tastevocab.feature.house_style import TOLERANCE
from tastevocab.panel.session import BrewCard


def card(**facts):
    return brew_card(BrewCard("b", "filter", facts, place=Place("s.yaml", 7)), TOLERANCE)


def values(made):
    return {line.name: line.value for line in made.lines}


def test_sums_of_a_filter():
    made = card(dose_g=15, water_g=250, temperature_c=93, time="2:50")
    assert made.ratio == 250 / 15
    assert made.grams_per_litre == 60
    assert values(made) == {
        "Dose": "15 g ± 0.2 g",
        "Water": "250 g ± 3 g",
        "Temperature": "93 °C (199 °F) ± 1 °C (± 2 °F)",
        "Time": "2:50 ± 10 s",
        "Ratio": "1:16.7 (dose to water)",
        "Strength": "60 g to a litre of water",
    }
    assert made.contradictions == ()


def test_dilution_counts_in_the_strength():
    made = card(dose_g=30, water_g=200, bypass_g=200)
    assert made.grams_per_litre == 75
    assert values(made)["Ratio after dilution"] == "1:13.3 (200 g added to 200 g)"


def test_espresso_goes_by_its_yield():
    made = card(dose_g=18, yield_g=36, time=28)
    assert made.ratio == 2
    assert made.grams_per_litre == 500
    assert values(made)["Time"] == "0:28 ± 3 s"


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        ({"dose_g": 15, "water_g": 250, "ratio": "1:15"}, "ratio 1:15 does not fit dose and water: they give 1:16.7"),
        ({"dose_g": 15, "water_g": 250, "ratio": "strong"}, "is no ratio"),
        ({"time": "2:50", "total_time": "3:10"}, "time is given twice: 2:50 and 3:10"),
        ({"temperature_c": 93, "temperature_f": 190}, "temperature is given twice"),
        ({"temperature_c": 193}, "temperature of 193 °C cannot be"),
        ({"dose_g": "fifteen"}, "dose_g: 'fifteen' is no figure"),
        ({"dose_g": 15, "water_g": 200, "yield_g": 230}, "yield (230 g) is more than the water (200 g)"),
        ({"water_g": 250, "pours_g": "50 + 100 + 90"}, "pours add up to 240 g, the water is 250 g"),
        ({"time": "soon"}, "time: 'soon' is no figure"),
    ],
)
def test_contradictions(facts, said):
    [wrong] = card(**facts).contradictions
    assert wrong.startswith("s.yaml:7: ")
    assert said in wrong


@pytest.mark.parametrize(
    "facts",
    [
        {"dose_g": 15, "water_g": 250, "ratio": "1:17"},
        {"temperature_c": 93, "temperature_f": 199.4},
        {"time": "2:50", "time_s": 170},
        {"water_g": 250, "pours_g": "50, 100, 100"},
    ],
)
def test_agreeing_figures_are_no_contradiction(facts):
    assert card(**facts).contradictions == ()


@pytest.mark.parametrize(
    ("said", "seconds"),
    [
        ("2:50", 170),
        ("0:28", 28),
        ("28 s", 28),
        (28, 28),
        ("2 min 50", 170),
        ("2 minutes", 120),
        ("12 h", 43200),
        ("soon", None),
        ("", None),
    ],
)
def test_times(said, seconds):
    assert seconds_of(said) == seconds


@given(
    st.dictionaries(
        st.sampled_from(["dose_g", "water_g", "yield_g", "ratio", "time", "bypass_g", "odd"]),
        st.one_of(st.integers(0, 999), st.text(max_size=8)),
    )
)
def test_any_card_prints(facts):
    made = card(**facts)
    assert all(line.name for line in made.lines)
    assert made.ratio is None or made.ratio > 0
