"""Scored attributes: what repeats say of an assessor (ISO 8586, ISO 11132), and of a panel (Shrout & Fleiss 1979)."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tastevocab.archive.special import f_tail
from tastevocab.errors import StatisticsError

Scores = Mapping[str, Sequence[float]]
"""The scores that one assessor gave each sample, repeats included."""


@dataclass(frozen=True, slots=True)
class OneWay:
    """One-way analysis of variance: mean square between samples and within them, degrees of freedom, F and its p."""

    between: float
    within: float
    df: int
    df_within: int
    f: float | None
    p: float | None


def one_way(scores: Scores) -> OneWay:
    """The analysis of one assessor's scores by sample; repeats may differ in number.

    `f` and `p` are None where repeats never differ (no error to hold the samples against). Raises `StatisticsError`
    with fewer than two samples or without any repeat.
    """
    groups = [list(map(float, values)) for values in scores.values() if len(values)]
    count = sum(map(len, groups))
    if len(groups) < 2 or count <= len(groups):
        raise StatisticsError("an analysis needs two samples and a repeat", mend="pour hidden duplicates")
    mean = math.fsum(x for group in groups for x in group) / count
    means = [math.fsum(group) / len(group) for group in groups]
    between = math.fsum(len(g) * (m - mean) ** 2 for g, m in zip(groups, means, strict=True)) / (len(groups) - 1)
    within = math.fsum((x - m) ** 2 for g, m in zip(groups, means, strict=True) for x in g) / (count - len(groups))
    df, df_within = len(groups) - 1, count - len(groups)
    if within <= 1e-12:
        return OneWay(between, 0.0, df, df_within, None, None)
    return OneWay(between, within, df, df_within, between / within, f_tail(between / within, df, df_within))


@dataclass(frozen=True, slots=True)
class Assessor:
    """One assessor's performance on one attribute, in steps of its scale.

    `repeatability` is the standard deviation of repeats of the same sample (small is good), `discrimination` the F of
    the samples against those repeats with its `p` (big F, small p is good), `bias` the mean distance to the panel,
    `agreement` the correlation of the sample means with those of the other assessors (None with fewer than three
    samples, or where either never differs), `slope` how much of the others' range is used (1: as they do), `absolute`
    the intraclass correlation (2,1) of those means, which a bias lowers too.
    """

    samples: int
    scores: int
    repeatability: float
    discrimination: float | None
    p: float | None
    bias: float
    agreement: float | None
    slope: float | None
    absolute: float | None


def assessor(own: Scores, others: Sequence[Scores]) -> Assessor:
    """How one assessor scores, from their own repeats and from the others' scores of the same samples.

    The terms are those of ISO 11132:2021 (repeatability, discrimination, agreement, bias); the analysis by assessor is
    that of ISO 8586. The standards' own clauses were not at hand: the formulas are those of their usual reading.

    Raises `StatisticsError` as `one_way` does, and where no other assessor scored any of the samples.
    """
    table = one_way(own)
    pairs = []
    for sample, values in own.items():
        theirs = [math.fsum(o[sample]) / len(o[sample]) for o in others if o.get(sample)]
        if values and theirs:
            pairs.append((math.fsum(values) / len(values), math.fsum(theirs) / len(theirs)))
    if not pairs:
        raise StatisticsError("nobody else scored these samples", mend="agreement needs a second assessor")
    agreement, slope = _line(pairs)
    return Assessor(
        samples=table.df + 1,
        scores=table.df + 1 + table.df_within,
        repeatability=math.sqrt(table.within),
        discrimination=table.f,
        p=table.p,
        bias=math.fsum(a - b for a, b in pairs) / len(pairs),
        agreement=agreement,
        slope=slope,
        absolute=intraclass(pairs).single_2 if agreement is not None else None,
    )


def _line(pairs: Sequence[tuple[float, float]]) -> tuple[float | None, float | None]:
    """Correlation, and slope of the first on the second."""
    own, other = (math.fsum(p[side] for p in pairs) / len(pairs) for side in (0, 1))
    both = math.fsum((a - own) * (b - other) for a, b in pairs)
    square_own = math.fsum((a - own) ** 2 for a, _ in pairs)
    square_other = math.fsum((b - other) ** 2 for _, b in pairs)
    if len(pairs) < 3 or square_other <= 1e-12:
        return None, None
    if square_own <= 1e-12:
        return None, 0.0
    return both / math.sqrt(square_own * square_other), both / square_other


@dataclass(frozen=True, slots=True)
class Intraclass:
    """Shrout & Fleiss's six coefficients: one rater (`single_1..3`) and the mean of all raters (`mean_1..3`), for
    raters who differ from target to target (1), are drawn from many (2), or are the only ones of interest (3)."""

    single_1: float
    single_2: float
    single_3: float
    mean_1: float
    mean_2: float
    mean_3: float


def intraclass(table: Sequence[Sequence[float]]) -> Intraclass:
    """The intraclass correlations of a complete table, a row a target (sample), a column a rater.

    Shrout & Fleiss (1979, Psychol. Bull. 86:420-428). Raises `StatisticsError` for fewer than two rows or columns, for
    gaps, and where nothing differs.
    """
    n, k = len(table), len(table[0]) if table else 0
    if n < 2 or k < 2 or any(len(row) != k for row in table):
        raise StatisticsError("a table of two targets and two raters at least, without gaps, is needed")
    mean = math.fsum(x for row in table for x in row) / (n * k)
    rows = [math.fsum(row) / k for row in table]
    columns = [math.fsum(row[j] for row in table) / n for j in range(k)]
    targets = k * math.fsum((m - mean) ** 2 for m in rows) / (n - 1)
    raters = n * math.fsum((m - mean) ** 2 for m in columns) / (k - 1)
    whole = math.fsum((x - mean) ** 2 for row in table for x in row)
    error = (whole - targets * (n - 1) - raters * (k - 1)) / ((n - 1) * (k - 1))
    within = (whole - targets * (n - 1)) / (n * (k - 1))
    if targets <= 1e-12:
        raise StatisticsError("the targets do not differ: there is nothing to agree on")
    return Intraclass(
        single_1=(targets - within) / (targets + (k - 1) * within),
        single_2=(targets - error) / (targets + (k - 1) * error + k * (raters - error) / n),
        single_3=(targets - error) / (targets + (k - 1) * error),
        mean_1=(targets - within) / targets,
        mean_2=(targets - error) / (targets + (raters - error) / n),
        mean_3=(targets - error) / targets,
    )
