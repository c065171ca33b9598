"""Cases that any sheet of a wheel must bear: crowds, long names, other scripts, markup in names."""

from __future__ import annotations

import random
from functools import cache

from wheel_trees import FOUND, RING, make_tree

from tastevocab.wheel.card import draw_card
from tastevocab.wheel.drawing import Drawing, Lettering

LETTERED = ("square", "bag", "page", "board")
"""Sheets with room for every name of the demo; cards to be shared and shelf cards may drop some."""
LONG = "a very long name of a flavour that nobody would print on a bag but somebody wrote it down"
HOSTILE = "</desc><script>alert(1)</script>&lt;\"'>"


def many(count: int, seed: int = 1) -> tuple:
    """An invented crowd of findings."""
    dice = random.Random(seed)
    rows = []
    for i in range(count):
        category, family = RING[i * 14 // count], f"f{i * 70 // count}"
        names = (category, category.replace("_", " "), family, f"family {family}", f"n{i}", f"note number {i}")
        rows.append((*names, dice.random() ** 2 * 5 + 0.1, dice.randint(1, 5), dice.choice([0, 0, 0, 0.5])))
    return tuple(rows)


def renamed(name: str, rows: tuple = FOUND[:7]) -> tuple:
    return tuple((*row[:5], name if row[4] else "", *row[6:]) for row in rows)


CASES = {
    "one finding": FOUND[:1],
    "the demo": FOUND,
    "forty": many(40),
    "three hundred": many(300),
    "long names": renamed(LONG),
    "long word": renamed("x" * 90),
    "right to left": renamed("زهرة البرتقال"),
    "emoji": renamed("🍑 peach 桃"),
    "hostile": renamed(HOSTILE),
}


@cache
def sheet(case: str, size: str) -> Drawing:
    """The sheet of a case, drawn once a worker."""
    return draw_card(make_tree(CASES[case]), size)


def words_on(drawing: Drawing) -> str:
    return " ".join(item.text for item in drawing.items if isinstance(item, Lettering))
