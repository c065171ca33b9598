"""Fit the ramp of `colour.py` to how people name the colours of foods: `python -m tastevocab.wheel.colour_fit`.

The survey is the xkcd colour survey of 2010 (Munroe; 954 names from over 200,000 people, released under CC0), as
matplotlib carries it in `XKCD_COLORS`. Of its names those count that the vocabulary lists as a flavour word in English
("tangerine", "claret", "sage"), each for its category. The ramp is a line, not a palette: hues in equal steps,
lightness and chroma along a straight line each, so that no category is given the colour of its food. What is fitted is
where it starts, which way round it runs, and the two lines' ends; what it must keep is in `_broken`. Needs the extra
`fit`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt

from tastevocab.vocabulary.model import Vocabulary
from tastevocab.wheel.colour import SWAY, Ramp

Array = npt.NDArray[np.float64]

TO_LMS = np.array(
    [
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]
)
TO_LAB = np.array(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)
"""Linear sRGB to cone responses to OKLab (Ottosson 2020)."""

LEAST_CHROMA, LEAST_LIGHT, MOST_LIGHT = 0.08, 0.51, 0.82
"""A petal is loud: of colour enough, neither murky nor pale."""


def survey_names(vocabulary: Vocabulary, survey: Mapping[str, Any]) -> dict[str, dict[str, str]]:
    """By category of the ring, the survey's names that the vocabulary lists, and their colours.

    `survey` is as matplotlib has it ("xkcd:lime": "#aaff32").
    """
    listed: dict[str, str] = {}
    for d in vocabulary.descriptors.values():
        top = d
        while top.home:
            top = vocabulary.descriptors[top.home]
        if not d.fault and not d.use_instead and top.id in vocabulary.ring:
            for word in (d.print, *d.words.get("en", ())):
                listed.setdefault(word.casefold(), top.id)
    found: dict[str, dict[str, str]] = {id: {} for id in vocabulary.ring}
    for name, colour in sorted(survey.items()):
        word = name.removeprefix("xkcd:")
        if word in listed:
            found[listed[word]][word] = str(colour)
    return found


def oklab(colour: str) -> Array:
    """ "#rrggbb" as OKLab lightness, a, b."""
    coded = np.array([int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    linear = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    return np.asarray(np.cbrt(linear @ TO_LMS.T) @ TO_LAB.T)


def petals(ramp: Ramp, count: int) -> Array:
    """The petals' colours along a ring of `count` categories, in OKLab."""
    at = np.arange(count) / max(1, count - 1)
    hue = np.radians(ramp.hue + ramp.step * np.arange(count))
    light = ramp.light[0] + (ramp.light[1] - ramp.light[0]) * at + SWAY * np.where(np.arange(count) % 2, 1.0, -1.0)
    chroma = ramp.chroma[0] + (ramp.chroma[1] - ramp.chroma[0]) * at
    return np.stack([light, chroma * np.cos(hue), chroma * np.sin(hue)], axis=1)


def pulls(names: Mapping[str, Mapping[str, str]]) -> list[tuple[int, float, Array]]:
    """For each category with names: its place on the ring, its weight and its names' colours.

    A category pulls the harder the more alike its names are (weight 1 over their mean distance from their own middle,
    all weights adding up to 1): where people name one colour they stumble over another, where they name all colours
    they do not.
    """
    found = [(i, np.array([oklab(c) for c in named.values()])) for i, named in enumerate(names.values()) if named]
    spread = [float(np.linalg.norm(lab - lab.mean(axis=0), axis=1).mean()) or 0.1 for _, lab in found]
    total = sum(1 / s for s in spread)
    return [(i, 1 / s / total, lab) for (i, lab), s in zip(found, spread, strict=True)]


def distance(ramp: Ramp, names: Mapping[str, Mapping[str, str]]) -> float:
    """How far the petals are from the names of their foods: OKLab distance, mean of names, then weighted as `pulls`."""
    lab = petals(ramp, len(names))
    return float(sum(weight * np.linalg.norm(lab[i] - named, axis=1).mean() for i, weight, named in pulls(names)))


def _broken(lab: Array) -> float:
    """How far a ramp is from what every ramp must keep: colours that sRGB can show, loud enough."""
    linear = (lab @ np.linalg.inv(TO_LAB).T) ** 3 @ np.linalg.inv(TO_LMS).T
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    parts = (-linear, linear - 1, LEAST_CHROMA - chroma, LEAST_LIGHT - lab[:, 0], lab[:, 0] - MOST_LIGHT)
    return float(sum(np.clip(part, 0, None).sum() for part in parts))


def fit(names: Mapping[str, Mapping[str, str]], step: float) -> Ramp:
    """The ramp of least `distance` with hues `step` degrees apart, either way round."""
    from scipy.optimize import differential_evolution

    weighted = pulls(names)

    def ramp_of(x: Any, way: float) -> Ramp:
        return Ramp(float(x[0]), way * step, (float(x[1]), float(x[2])), (float(x[3]), float(x[4])))

    def cost(x: Any, way: float) -> float:
        lab = petals(ramp_of(x, way), len(names))
        near = sum(weight * np.linalg.norm(lab[i] - named, axis=1).mean() for i, weight, named in weighted)
        return float(near) + 5 * _broken(lab)

    bounds = [(0, 360), (0.5, 0.85), (0.5, 0.85), (0.05, 0.18), (0.05, 0.18)]
    found = [(differential_evolution(cost, bounds, args=(w,), seed=1, maxiter=300, tol=1e-8), w) for w in (1.0, -1.0)]
    best, way = min(found, key=lambda f: float(f[0].fun))
    return ramp_of(best.x, way)


def main() -> None:
    """Print the fitted ramp, and how near it comes beside other ramps."""
    from matplotlib.colors import XKCD_COLORS

    from tastevocab.vocabulary.cache import open_vocabulary
    from tastevocab.wheel.colour import RAMP

    names = survey_names(open_vocabulary(None, None), XKCD_COLORS)
    best = fit(names, abs(RAMP.step))
    print(f"{sum(map(len, names.values()))} names in {sum(map(bool, names.values()))} of {len(names)} categories")
    print(best)
    for label, ramp in (("fitted", best), ("in use", RAMP)):
        print(f"{label}: {distance(ramp, names):.4f}")
    turned = [
        distance(Ramp(h, s, best.light, best.chroma), names) for h in range(0, 360, 5) for s in (RAMP.step, -RAMP.step)
    ]
    print(f"turned otherwise: {min(turned):.4f} to {max(turned):.4f}, mean {np.mean(turned):.4f}")


if __name__ == "__main__":
    main()
