"""Words on charts: made harmless, measured by their letters and broken to fit, since Plotly does neither."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping
from typing import Any

TITLE = 20
"""Size of a title in pixels."""


def plain(text: str) -> str:
    """Plotly reads a little HTML in texts; what people wrote must not be read as such. An id is told as words."""
    return text.replace("_", " ").replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def letters(text: str) -> int:
    """How wide a text is, in common letters: signs that join the one before take no room, those of East Asia and
    pictures two."""
    return sum(_wide(sign) for sign in text)


def _wide(sign: str) -> int:
    if unicodedata.category(sign) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(sign) in "WF" else 1


def broken(text: str, width: float) -> list[str]:
    """A text in lines of at most `width` letters, broken between words; within a word only where it alone is wider."""
    lines = [""]
    for word in text.replace("_", " ").split():
        for piece in _pieces(word, width):
            joined = f"{lines[-1]} {piece}".strip()
            if letters(joined) <= width:
                lines[-1] = joined
            else:
                lines.append(piece)
    return [line for line in lines if line] or [""]


def _pieces(word: str, width: float) -> Iterator[str]:
    while letters(word) > width:
        # A sign that joins the one before must not begin a line.
        end = next(i for i in range(1, len(word) + 1) if letters(word[: i + 1]) > width and _wide(word[i]))
        yield word[:end]
        word = word[end:]
    yield word


def in_lines(text: str, width: float) -> str:
    """As `broken`, for Plotly, made harmless."""
    return "<br>".join(plain(line) for line in broken(text, width))


def title_of(text: str, width: int) -> tuple[dict[str, Any], int]:
    """A chart's title over `width` pixels, and how many pixels higher than one line it is."""
    lines = broken(text, (width - 40) / (0.56 * TITLE))
    told = "<br>".join(plain(line) for line in lines)
    place = {"x": 0.02, "xanchor": "left", "y": 1, "yref": "container", "yanchor": "top", "pad": {"t": 24}}
    return {"text": told, "font": {"size": TITLE}, **place}, round(1.3 * TITLE * (len(lines) - 1))


def footer_note(text: str, left: int, below: int = 52) -> Mapping[str, Any]:
    """A footer under the picture as an annotation, `left` pixels out into the margin, `below` the plot."""
    return {
        "text": in_lines(text, 128),
        "xref": "paper",
        "yref": "paper",
        "x": 0,
        "y": 0,
        "xshift": -left,
        "yshift": -below,
        "xanchor": "left",
        "yanchor": "top",
        "align": "left",
        "showarrow": False,
        "font": {"size": 12, "color": "#444444"},
    }
