"""Colours against published values and a colour library."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from coloraide import Color
from wheel_trees import RING

from tastevocab.errors import InputError
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.wheel import colour
from tastevocab.wheel.colour import contrast, theme
from tastevocab.wheel.colour_fit import distance, oklab, petals, survey_names

THEMES = ("light", "dark", "grey")
KINDS = ("category", "family", "petal", "quiet")
VISIONS = ("none", "protan", "deutan", "tritan")

# Machado, Oliveira and Fernandes (2009), severity 1, on linear RGB; figures as in two colour libraries.
MACHADO = {
    "deutan": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881)),
    "protan": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "tritan": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602), (0.004733, 0.691367, 0.303900)),
}


def seen(value: str, vision: str) -> Color:
    """A colour as someone sees it."""
    if vision == "none":
        return Color(value)
    linear = Color(value).convert("srgb-linear").coords()
    out = [sum(m * c for m, c in zip(row, linear, strict=True)) for row in MACHADO[vision]]
    return Color("srgb-linear", [min(1.0, max(0.0, c)) for c in out]).convert("srgb")


def difference(one: Color, other: Color) -> float:
    return one.delta_e(other, method="2000")


# Ottosson (2020), "A perceptual color space for image processing", table of example pairs (three decimals).
@pytest.mark.parametrize(
    ("xyz", "lab"),
    [
        ((0.950, 1.000, 1.089), (1.000, 0.000, 0.000)),
        ((1, 0, 0), (0.450, 1.236, -0.019)),
        ((0, 1, 0), (0.922, -0.671, 0.263)),
        ((0, 0, 1), (0.153, -1.415, -0.449)),
    ],
)
def test_the_colour_library_knows_oklab(xyz: tuple, lab: tuple) -> None:
    assert Color("xyz-d65", xyz).convert("oklab").coords() == pytest.approx(lab, abs=1.5e-3)


# Sharma, Wu and Dalal (2005), Table 1.
@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        ((50, 2.6772, -79.7751), (50, 0, -82.7485), 2.0425),
        ((50, 3.1571, -77.2803), (50, 0, -82.7485), 2.8615),
        ((50, 2.5, 0), (73, 25, -18), 27.1492),
    ],
)
def test_the_colour_library_knows_ciede2000(one: tuple, other: tuple, expected: float) -> None:
    assert Color("lab-d65", one).delta_e(Color("lab-d65", other), method="2000") == pytest.approx(expected, abs=1e-4)


# WCAG 2.x, relative luminance and contrast ratio.
@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#ffffff", 21),
        ("#777777", "#ffffff", 4.478),
        ("#767676", "#ffffff", 4.542),
        ("#0000ff", "#ffffff", 8.592),
    ],
)
def test_contrast_is_that_of_wcag(one: str, other: str, ratio: float) -> None:
    assert contrast(one, other) == pytest.approx(ratio, abs=1e-2)
    assert contrast(one, other) == pytest.approx(contrast(other, one))


@pytest.mark.parametrize("name", THEMES)
def test_lettering_and_lines_stand_out(name: str) -> None:
    colours = theme(name, RING)
    assert min(contrast(c, colours.paper) for c in (colours.ink, colours.muted)) >= colour.TEXT_CONTRAST
    assert contrast(colours.line, colours.paper) >= colour.GRAPHIC_CONTRAST
    for tints in (*colours.tints.values(), colours.neutral):
        for ring in KINDS:
            assert contrast(tints.letters(ring), tints.fill(ring)) >= colour.TEXT_CONTRAST
        assert contrast(colours.ink, tints.wash) >= colour.TEXT_CONTRAST  # names in a printed word's field
        assert contrast(tints.edge, colours.paper) >= colour.GRAPHIC_CONTRAST


@pytest.mark.parametrize("name", THEMES)
@pytest.mark.parametrize("vision", VISIONS)
def test_neighbours_differ_and_the_finding_is_loud_for_every_eye(name: str, vision: str) -> None:
    tints = list(theme(name, RING).tints.values())
    petals = [seen(t.note, vision) for t in tints]
    assert min(difference(a, b) for a, b in pairwise([*petals, petals[0]])) >= 4.0
    for t in tints:
        loud, quiet, family, category = (seen(t.fill(r), vision) for r in ("petal", "quiet", "family", "category"))
        assert difference(loud, quiet) >= 12.0  # what is printed stands out from what is not
        assert difference(loud, family) >= 18.0  # and from the taxonomy
        assert difference(loud, seen(t.wash, vision)) >= 10.0  # and from its own field
        assert difference(seen(t.wash, vision), seen(t.quiet, vision)) >= 3.0
        assert difference(category, family) >= 2.0


@pytest.mark.parametrize("name", THEMES)
def test_petals_are_the_strongest_and_rings_the_palest(name: str) -> None:
    colours = theme(name, RING)
    for t in colours.tints.values():
        away = [abs(_light(fill) - _light(colours.paper)) for fill in (t.note, t.quiet, t.category, t.family)]
        assert away[0] > away[1] > away[2] > away[3] > 0.02


def _light(fill: str) -> float:
    return float(Color(fill).convert("oklch")["lightness"])


def test_the_ramp_is_even() -> None:
    """Hue in equal steps, lightness and chroma on straight lines: a ramp along the ring, not a colour a food."""
    petals = [Color(t.note).convert("oklch") for t in theme("light", RING).tints.values()]
    steps = [(b["hue"] - a["hue"]) % 360 - 360 for a, b in pairwise(petals)]
    assert steps == pytest.approx([colour.RAMP.step] * 13, abs=2)
    level = [p["lightness"] - colour.SWAY * (1 if i % 2 else -1) for i, p in enumerate(petals)]
    assert [b - a for a, b in pairwise(level)] == pytest.approx([(0.535 - 0.685) / 13] * 13, abs=0.004)


# --- the survey: xkcd colour survey (Munroe 2010, CC0), as matplotlib carries it ---


@pytest.fixture(scope="module")
def names() -> dict[str, dict[str, str]]:
    from matplotlib.colors import XKCD_COLORS

    return survey_names(open_vocabulary(), XKCD_COLORS)


def test_food_names_come_from_the_vocabulary(names: dict) -> None:
    assert {"lime", "tangerine"} <= set(names["citrus_crate"])
    assert {"claret", "red wine"} <= set(names["bottle_shelf"])
    assert sum(map(len, names.values())) > 90
    assert "puke" not in {name for named in names.values() for name in named}


def test_our_oklab_is_the_colour_library_s() -> None:
    for value in ("#6f4e37", "#ff8000", "#0a5f38"):
        assert oklab(value) == pytest.approx(Color(value).convert("oklab").coords(), abs=1e-4)


def test_petals_of_the_fit_are_the_petals_drawn() -> None:
    drawn = [oklab(t.note) for t in theme("light", RING).tints.values()]
    assert np.array(drawn) == pytest.approx(petals(colour.RAMP, 14), abs=0.006)


def test_the_ramp_lies_nearer_to_the_names_of_foods_than_other_turns_of_it(names: dict) -> None:
    ours = distance(colour.RAMP, names)
    turned = [
        distance(replace(colour.RAMP, hue=hue, step=step), names)
        for hue in range(0, 360, 10)
        for step in (colour.RAMP.step, -colour.RAMP.step)
    ]
    assert ours < min(turned) + 0.001
    assert ours < float(np.mean(turned)) - 0.02
    assert ours > 0.15  # a ramp cannot be, and must not be, the colour of each food


def test_grey_is_grey() -> None:
    for t in theme("grey", RING).tints.values():
        assert all(fill[1:3] == fill[3:5] == fill[5:7] for fill in (t.category, t.family, t.note, t.quiet, t.edge))


@pytest.mark.parametrize("count", [1, 2, 3, 7, 13, 30])
def test_any_ring_gets_colours(count: int) -> None:
    assert len(theme("light", tuple(f"c{i}" for i in range(count))).tints) == count


def test_an_unknown_theme_is_refused() -> None:
    with pytest.raises(InputError, match=r"no theme 'sepia'\n.*light, dark, grey"):
        theme("sepia", RING)
