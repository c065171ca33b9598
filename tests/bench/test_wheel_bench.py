"""How long print files take, beside plotly's own static export where that can run at all."""

from __future__ import annotations

import importlib.util
import sys
import time
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "wheel"))

from wheel_trees import make_tree

from tastevocab.wheel.card import draw_card
from tastevocab.wheel.page import figure
from tastevocab.wheel.printed import PRINT_KINDS, print_files
from tastevocab.wheel.sizes import CARDS, SIZES


def every_card() -> int:
    """SVG, PNG and PDF of the invented coffee in every card size; gives the number of bytes."""
    drawings = ((draw_card(make_tree(), size), SIZES[size].dpi) for size in CARDS)
    return sum(len(data) for drawing, dpi in drawings for _, data in print_files(drawing, PRINT_KINDS, dpi))


def test_print_files_of_one_coffee(benchmark) -> None:
    draw_card(make_tree(), "bag")  # start-up: font and colour library
    start = time.perf_counter()
    assert benchmark(every_card) > 100_000
    assert time.perf_counter() - start < 20  # the aim is 1 s a round; this catches only a blunder


@pytest.mark.skipif(
    not importlib.util.find_spec("kaleido"), reason="plotly's static export needs kaleido, not installed"
)
def test_plotlys_own_export(benchmark) -> None:
    drawn = figure(make_tree())
    assert benchmark.pedantic(lambda: drawn.to_image(format="png"), rounds=3)
