"""The wheel: a weighted tree to arcs, print files, a page, and a figure for notebooks."""

from __future__ import annotations

from typing import Any


def figure(map: Any, theme: str = "light") -> Any:
    """The wheel as a `plotly.graph_objects.Figure`: a sunburst in our colours whose branch values are totals.

    `map` is one of the `maps` of `tastevocab panel --format json` or of a pack's map.json, or a `WheelTree`; `theme` is
    light, dark or grey. Neither shown nor saved:

        import json, tastevocab.wheel
        made = json.load(open("exports/demo/loma_serena/map.json"))
        tastevocab.wheel.figure(made["maps"][0]).show()

    Raises `InputError` where it is no map, or one that contradicts itself.
    """
    from tastevocab.wheel.page_figure import draw_figure

    return draw_figure(map, theme)
