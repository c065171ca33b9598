"""How long print files take, beside plotly's own static export, which starts a browser for each picture.

`pip install -e '.[test,bench]'`, then `pytest tests/bench/test_wheel_bench.py -n 0 --benchmark-enable`; plotly's export
needs Chromium.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "wheel"))

from wheel_trees import make_tree

from tastevocab.vocabulary.load import load
from tastevocab.wheel import figure
from tastevocab.wheel.card import draw_card
from tastevocab.wheel.png import svg_to_png
from tastevocab.wheel.poster import draw_poster, vocabulary_tree
from tastevocab.wheel.printed import print_files
from tastevocab.wheel.sizes import CARDS, SIZES
from tastevocab.wheel.svg import svg_text


def every_card() -> int:
    """SVG, PNG and PDF of the invented coffee in every card size; gives the number of bytes."""
    drawings = ((draw_card(make_tree(), size), SIZES[size].dpi) for size in CARDS)
    return sum(len(data) for drawing, dpi in drawings for _, data in print_files(drawing, ("svg", "png", "pdf"), dpi))


def one_png() -> bytes:
    """The page-size wheel as PNG."""
    return svg_to_png(svg_text(draw_card(make_tree(), "page")), SIZES["page"].dpi)


def test_all_print_files_of_one_coffee(benchmark) -> None:
    draw_card(make_tree(), "bag")  # start-up: font and colour library
    assert benchmark(every_card) > 100_000


def test_one_png_of_ours(benchmark) -> None:
    draw_card(make_tree(), "bag")
    assert benchmark(one_png).startswith(b"\x89PNG")


@pytest.mark.parametrize(("kind", "begins"), [("png", b"\x89PNG"), ("pdf", b"%PDF"), ("svg", b"<svg")])
def test_one_file_by_plotlys_own_export(benchmark, kind: str, begins: bytes) -> None:
    pytest.importorskip("kaleido", reason="plotly's static export needs kaleido, not installed")
    if not Path("/usr/bin/chromium").exists():
        pytest.skip("plotly's static export needs a browser")
    drawn = figure(make_tree())
    made = benchmark.pedantic(lambda: drawn.to_image(format=kind, width=1165, height=1654), rounds=5, warmup_rounds=1)
    assert made.startswith(begins)


def test_poster_of_the_vocabulary(benchmark) -> None:
    tree = vocabulary_tree(load())
    assert benchmark(lambda: svg_to_png(svg_text(draw_poster(tree)), SIZES["poster-a2"].dpi)).startswith(b"\x89PNG")
