"""A fontTools pen that writes short relative SVG path commands in font units."""

from __future__ import annotations

from typing import Any

from fontTools.pens.basePen import BasePen


class RelativePen(BasePen):  # type: ignore[misc]
    """Collects one glyph; `path()` gives `m...z` contours that start from wherever the current point is."""

    def __init__(self, glyphs: Any) -> None:
        super().__init__(glyphs)
        self._parts: list[str] = []
        self._at = (0, 0)
        self._start = (0, 0)

    def _step(self, *points: tuple[float, float]) -> str:
        x, y = self._at
        text = " ".join(f"{round(px) - x} {round(py) - y}" for px, py in points)
        self._at = (round(points[-1][0]), round(points[-1][1]))
        return text.replace(" -", "-")

    def _moveTo(self, point: tuple[float, float]) -> None:
        self._parts.append("m" + self._step(point))
        self._start = self._at

    def _lineTo(self, point: tuple[float, float]) -> None:
        self._parts.append("l" + self._step(point))

    def _curveToOne(self, first: tuple[float, float], second: tuple[float, float], end: tuple[float, float]) -> None:
        self._parts.append("c" + self._step(first, second, end))

    def _qCurveToOne(self, control: tuple[float, float], end: tuple[float, float]) -> None:
        self._parts.append("q" + self._step(control, end))

    def _closePath(self) -> None:
        self._parts.append("z")
        self._at = self._start

    def path(self) -> str:
        """The outline as text."""
        return "".join(self._parts)
