"""Correspondence analysis: coffees and families on one plane, near where they go together more than by chance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tastevocab.errors import StatisticsError
from tastevocab.panel.folding import Floats


@dataclass(frozen=True, slots=True)
class Correspondence:
    """Principal coordinates of rows and columns (one row a point, one column an axis), with what each axis holds.

    `inertia` are the principal inertias, `share` their parts of the total (0..1). `warning` says where the table is
    too small to be read as more than a sketch ("" otherwise).
    """

    rows: tuple[str, ...]
    columns: tuple[str, ...]
    row_points: Floats
    column_points: Floats
    row_mass: Floats
    column_mass: Floats
    inertia: Floats
    share: Floats
    total: float
    warning: str


def correspondence(counts: Floats, rows: Sequence[str], columns: Sequence[str]) -> Correspondence:
    """Simple correspondence analysis of a table of counts by singular value decomposition (Greenacre 1984).

    Empty rows and columns are left out. Each axis is turned so that its biggest row coordinate is positive.
    Raises `StatisticsError` for a table with fewer than two rows or columns that hold anything, or with no pattern.
    """
    table = np.asarray(counts, dtype=np.float64)
    keep_rows, keep_columns = table.sum(axis=1) > 0, table.sum(axis=0) > 0
    table = table[keep_rows][:, keep_columns]
    if min(table.shape, default=0) < 2:
        raise StatisticsError("a map of coffees and families needs two of each", mend="show the counts as a table")
    total = table.sum()
    row_mass, column_mass = table.sum(axis=1) / total, table.sum(axis=0) / total
    expected = np.outer(row_mass, column_mass)
    residuals = (table / total - expected) / np.sqrt(expected)
    left, singular, right = np.linalg.svd(residuals, full_matrices=False)
    axes = min(table.shape) - 1
    left, singular, right = left[:, :axes], singular[:axes], right[:axes].T
    inertia = singular**2
    if inertia.sum() < 1e-12:
        raise StatisticsError("all columns have the same profile: there is no pattern to draw", mend="show the counts")
    row_points = left * singular / np.sqrt(row_mass)[:, None]
    column_points = right * singular / np.sqrt(column_mass)[:, None]
    turn = np.sign(row_points[np.abs(row_points).argmax(axis=0), np.arange(axes)])
    turn[turn == 0] = 1
    return Correspondence(
        rows=tuple(r for r, keep in zip(rows, keep_rows, strict=True) if keep),
        columns=tuple(c for c, keep in zip(columns, keep_columns, strict=True) if keep),
        row_points=row_points * turn,
        column_points=column_points * turn,
        row_mass=row_mass,
        column_mass=column_mass,
        inertia=inertia,
        share=inertia / inertia.sum(),
        total=float(inertia.sum()),
        warning=_warning(table),
    )


def _warning(table: Floats) -> str:
    """Cochran's rule of thumb for tables of counts: most expected counts at least 5."""
    expected = np.outer(table.sum(axis=1), table.sum(axis=0)) / table.sum()
    small = float((expected < 5).mean())
    if small <= 0.2:
        return ""
    return (
        f"Too small a table to lean on: {100 * small:.0f} % of the expected counts are below 5 "
        f"({int(table.sum())} findings in {table.size} cells). A sketch, not a finding."
    )
