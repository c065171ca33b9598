"""One taster's report as lines to read: people and counts first, figures after, and what cannot be told yet."""

from __future__ import annotations

from collections.abc import Iterator

from tastevocab.archive.control import SMALL
from tastevocab.archive.taster import BASE, Meeting, Pet, Scores, TasterReport
from tastevocab.panel.settling import some

MOST = 8


def report_lines(made: TasterReport) -> list[str]:
    """The whole report, for the terminal."""
    seen = f"{some(made.coffees, 'coffee')} in {some(made.sessions, 'session')}, {some(made.words, 'word')}"
    lines = [f"For {made.name}: {seen}. {made.caution}"]
    for heading, part in (
        ("Words of yours", list(habit_lines(made))),
        ("With the table", list(agreement_lines(made))),
        ("Hidden duplicates", list(repeat_lines(made))),
        ("Scored attributes", list(score_lines(made))),
    ):
        if part:
            lines += ["", heading, *(f"  {line}" for line in part)]
    if made.lacking:
        lines += ["", *made.lacking]
    return lines


def habit_lines(made: TasterReport) -> Iterator[str]:
    """The words shown to be a habit; one line where none is."""
    habits = [pet for pet in made.pets if pet.habit]
    for pet in habits[:MOST]:
        yield pet_line(pet)
    if made.pets and not habits:
        yield "No word is shown to be a habit of yours alone."


def pet_line(pet: Pet) -> str:
    """One habit: how often, what the others would have let expect, and whether it is growing."""
    said = (
        f"{pet.print}: you said it of {pet.coffees} of {pet.of} coffees; going by the others at the same tables "
        f"{pet.expected:.1f} were to be expected: {pet.lift.ratio:.1f} times as often "
        f"({pet.lift.low:.1f} to {pet.lift.high:.1f})"
    )
    if pet.change is None:
        return said + "."
    lately = f"lately {pet.lately} of {pet.lately_of}, before {pet.before} of {pet.before_of}"
    low, high = pet.change
    trend = "growing" if low > 0 else "fading" if high < 0 else "no change shown"
    return f"{said}; {lately}, {trend}."


def agreement_lines(made: TasterReport) -> Iterator[str]:
    """How near to the table, and whether that shifted."""
    if not made.meetings:
        return
    own = sum(m.own for m in made.meetings) / len(made.meetings)
    others = [m.others for m in made.meetings if m.others is not None]
    beside = f"; the others among themselves {sum(others) / len(others):.2f}" if others else ""
    yield f"Families shared with the others, 0 to 1, mean of {some(len(made.meetings), 'session')}: {own:.2f}{beside}."
    if made.drift is None:
        return
    sums = made.drift.sums
    if sums.signal is None:
        yield f"No lasting change since the first {BASE} sessions (CUSUM)."
    else:
        side = "nearer to" if sums.high[sums.signal] > sums.limit else "further from"
        start, seen = (_when(made.meetings[i]) for i in (sums.began or 0, sums.signal))
        yield f"A lasting change {side} the table, from {start} on, seen on {seen} (CUSUM)."
    out = made.drift.averages.out
    if out:
        yield f"The weighted average left its limits first on {_when(made.meetings[out[0]])} (EWMA)."
    if out or sums.signal is not None:
        yield f"The limits rest on {BASE} sessions alone, so this is a reason to look, no verdict."


def _when(meeting: Meeting) -> str:
    return meeting.date or meeting.session


def repeat_lines(made: TasterReport) -> Iterator[str]:
    """How often a family named in one pour was missing in its hidden twin."""
    chart = made.repeat_chart
    if chart is None:
        return
    missed, named = sum(r.missed for r in made.repeats), sum(r.named for r in made.repeats)
    over = some(len(made.repeats), "session")
    yield f"Of {named} families named in either pour, {missed} were in one only, over {over}."
    exact = sum(point.exact for point in chart.points)
    if exact:
        yield f"{some(exact, 'session')} with fewer than {SMALL} families judged by the exact binomial."
    for i in chart.out:
        way = "more" if chart.points[i].value > chart.centre else "fewer"
        yield f"{made.repeats[i].date}: {way} than chance allows, {made.repeats[i].missed} of {made.repeats[i].named}."
    if not chart.out and len(made.repeats) > 1:
        yield "No session stands out from the rest."


def score_lines(made: TasterReport) -> Iterator[str]:
    """Repeatability, discrimination and agreement of each attribute scored."""
    for score in made.scores:
        if score.figures:
            yield score_line(score)


def _p(p: float | None) -> str:
    return "p below 0.001" if p is not None and p < 0.001 else f"p {p:.3f}"


def score_line(score: Scores) -> str:
    """One attribute's figures in words; steps are those of its scale of five."""
    f = score.figures
    assert f is not None
    parts = [f"{score.print} ({f.samples} samples, {f.scores} scores): repeats differ by {f.repeatability:.2f} steps"]
    if f.discrimination is None:
        parts.append("repeats never differed: no F")
    else:
        shown = "tells samples apart" if f.p is not None and f.p < 0.05 else "samples not shown to be told apart"
        parts.append(f"{shown} (F {f.discrimination:.2f}, {_p(f.p)})")
    parts.append(f"{abs(f.bias):.2f} steps {'above' if f.bias >= 0 else 'below'} the others")
    if f.agreement is not None:
        parts.append(f"agreement r {f.agreement:.2f}, slope {f.slope:.2f}, ICC(2,1) {f.absolute:.2f}")
    return "; ".join(parts) + "."
