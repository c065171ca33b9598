"""One taster's charts over time: habits, agreement with the table, its sums, hidden duplicates; and their page."""

from __future__ import annotations

from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tastevocab.archive.taster import BASE, TasterReport
from tastevocab.archive.telling_taster import agreement_lines, habit_lines, repeat_lines, score_lines
from tastevocab.panel.chart_text import plain
from tastevocab.panel.settling import some
from tastevocab.written import make_folder, write_whole

if TYPE_CHECKING:
    from plotly.graph_objects import Figure

INK, MUTED, LINE, BAD = "#1d1b19", "#5f5a54", "#d8d3cc", "#D55E00"
OWN, OTHERS = "#0072B2", "#767676"
"""Colours of Okabe & Ito (2008) for what is this taster's, grey for the others, vermilion for what stands out."""

HABITS = "How many times as often as the others at the same tables; the bar is the 95 % interval, 1 is as they do."
AGREEMENT = (
    "Above the dotted line you were nearer to the others than before, below it further; what all found hard is taken "
    "out by holding it against how near the others were to each other."
)
SUMS = (
    f"How far the sessions lie beyond half a spread from the level of the first {BASE}, summed up: a lasting shift "
    "climbs past the dashed limit."
)
REPEATS = "Share of the families that you named in one of two hidden pours only, with the limits of each session."

WORDS = 10
DOTS = 100
"""Points up to which a line shows each of its own."""
FONT = "Source Sans Pro, Segoe UI, Helvetica, Arial, sans-serif"


def habit_figure(made: TasterReport) -> Figure | None:
    """Up to ten words and how much oftener than the others at the same tables, on a log scale with 95 % intervals."""
    pets = list(reversed(made.pets[:WORDS]))
    if not pets:
        return None
    figure = _figure()
    for habit, colour, symbol in ((True, BAD, "diamond"), (False, OWN, "circle")):
        some = [pet for pet in pets if pet.habit == habit]
        figure.add_scatter(
            x=[pet.lift.ratio for pet in some],
            y=[plain(pet.print) for pet in some],
            error_x={
                "type": "data",
                "symmetric": False,
                "array": [pet.lift.high - pet.lift.ratio for pet in some],
                "arrayminus": [pet.lift.ratio - pet.lift.low for pet in some],
                "color": colour,
                "thickness": 2,
            },
            mode="markers",
            marker={"size": 10, "color": colour, "symbol": symbol},
            name="shown to be a habit" if habit else "not shown",
            hovertext=[f"{plain(p.print)}: {p.coffees} of {p.of}, expected {p.expected:.1f}" for p in some],
            hoverinfo="text",
        )
    figure.add_vline(x=1, line={"color": MUTED, "dash": "dot"})
    _frame(figure, 130 + 34 * len(pets))
    ticks = [2.0**power for power in range(-2, 8)]
    figure.update_xaxes(type="log", tickvals=ticks, ticktext=[f"{t:g}" for t in ticks])
    figure.update_yaxes(
        categoryorder="array", categoryarray=[plain(p.print) for p in pets], automargin=True, ticklabelstandoff=6
    )
    return figure


def agreement_figure(made: TasterReport) -> Figure | None:
    """Agreement with the others less theirs among themselves, session by session, with its weighted average; None where
    there are not two."""
    if len(made.meetings) < 2:
        return None
    figure = _figure()
    days = _days(figure, [m.date for m in made.meetings])
    _dots(figure, days, [m.apart for m in made.meetings], "a session", OTHERS)
    if made.drift:
        points = made.drift.averages.points
        _line(figure, days, [p.value for p in points], "weighted average", OWN)
        for limit in (points[0].low, points[0].high):
            figure.add_hline(y=limit, line={"color": MUTED, "dash": "dash"})
        _marks(figure, days, [p.value for p in points], made.drift.averages.out)
    figure.add_hline(y=made.drift.target if made.drift else 0, line={"color": MUTED, "dash": "dot"})
    _frame(figure, 320)
    return figure


def sums_figure(made: TasterReport) -> Figure | None:
    """The tabular CUSUM of the same, upwards and downwards."""
    if made.drift is None:
        return None
    figure, sums = _figure(), made.drift.sums
    days = _days(figure, [m.date for m in made.meetings])
    _line(figure, days, list(sums.high), "nearer", OWN)
    _line(figure, days, [-value for value in sums.low], "further", OTHERS)
    for limit in (sums.limit, -sums.limit):
        figure.add_hline(y=limit, line={"color": MUTED, "dash": "dash"})
    over = [i for i, pair in enumerate(zip(sums.high, sums.low, strict=True)) if max(pair) > sums.limit]
    values = [up if up > sums.limit else -down for up, down in zip(sums.high, sums.low, strict=True)]
    _marks(figure, days, values, over)
    _frame(figure, 320)
    return figure


def repeat_figure(made: TasterReport) -> Figure | None:
    """Families in one of two hidden pours only, as a share, with the limits of each session."""
    chart = made.repeat_chart
    if chart is None or len(chart.points) < 2:
        return None
    figure = _figure()
    days = _days(figure, [r.date for r in made.repeats])
    for name, values in (("high", [p.high for p in chart.points]), ("low", [p.low for p in chart.points])):
        figure.add_scatter(
            x=days,
            y=values,
            mode="lines",
            line={"color": MUTED, "dash": "dash", "shape": "hvh", "width": 1.5},
            name=f"limit, {name}",
            showlegend=False,
            hoverinfo="skip",
        )
    _line(figure, days, [p.value for p in chart.points], "missed in one pour", OWN)
    _marks(figure, days, [p.value for p in chart.points], chart.out)
    figure.add_hline(y=chart.centre, line={"color": MUTED, "dash": "dot"})
    _frame(figure, 320)
    quarters = (0, 0.25, 0.5, 0.75, 1)
    figure.update_yaxes(range=[-0.04, 1.04], tickvals=quarters, ticktext=[f"{100 * q:.0f} %" for q in quarters])
    return figure


def write_page(made: TasterReport, path: Path) -> None:
    """Write the report as one HTML page (script inside, nothing fetched); it appears whole or not at all.

    Raises `InputError` where the folder is missing or cannot be written.
    """
    make_folder(path.parent)
    write_whole(path, page(made).encode("utf-8"))


def page(made: TasterReport) -> str:
    """The report as a page."""
    from jinja2 import Environment, StrictUndefined
    from plotly.offline import get_plotlyjs

    parts: tuple[tuple[str, str, str, list[str], Figure | None], ...] = (
        ("habits", "Words of yours", HABITS, list(habit_lines(made)), habit_figure(made)),
        ("agreement", "With the table", AGREEMENT, list(agreement_lines(made)), agreement_figure(made)),
        ("sums", "Has it shifted?", SUMS, [], sums_figure(made)),
        ("repeats", "Hidden duplicates", REPEATS, list(repeat_lines(made)), repeat_figure(made)),
        ("scores", "Scored attributes", "", list(score_lines(made)), None),
    )
    sections = [
        {
            "id": id,
            "heading": heading,
            "caption": caption,
            "lines": lines,
            "picture": _html(figure, id) if figure else "",
        }
        for id, heading, caption, lines, figure in parts
        if lines or figure
    ]
    template = (resources.files("tastevocab.archive") / "templates" / "taster.html.j2").read_text("utf-8")
    made_of = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    return made_of.from_string(template).render(
        report=made, name=made.name.replace("_", " "), sections=sections, some=some, script=get_plotlyjs()
    )


# --- the house's way of drawing ---


def _figure() -> Figure:
    import plotly.graph_objects as go

    return go.Figure()


def _days(figure: Figure, dates: list[str]) -> list[int]:
    """One place a session, in order, also where two were on one day or none has a date; some five dates below."""
    places = list(range(len(dates)))
    shown = places[:: max(1, -(-len(places) // 5))]
    figure.update_xaxes(tickvals=shown, ticktext=[dates[i] or f"session {i + 1}" for i in shown], tickangle=-35)
    return places


def _dots(figure: Figure, x: list[int], y: list[float], name: str, colour: str) -> None:
    figure.add_scatter(x=x, y=y, mode="markers", name=name, marker={"size": 7, "color": colour, "opacity": 0.7})


def _line(figure: Figure, x: list[int], y: list[float], name: str, colour: str) -> None:
    mode = "lines+markers" if len(x) <= DOTS else "lines"
    figure.add_scatter(x=x, y=y, mode=mode, name=name, line={"color": colour, "width": 2.5}, marker={"size": 6})


def _marks(figure: Figure, x: list[int], y: list[float], which: tuple[int, ...] | list[int]) -> None:
    if which:
        figure.add_scatter(
            x=[x[i] for i in which],
            y=[y[i] for i in which],
            mode="markers",
            name="out of the limits",
            marker={"size": 12, "color": BAD, "symbol": "diamond"},
        )


def _frame(figure: Figure, height: int) -> None:
    figure.update_layout(
        template="none",
        height=height,
        autosize=True,
        margin={"l": 70, "r": 20, "t": 44, "b": 70},
        font={"family": FONT, "size": 14, "color": INK},
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        legend={"orientation": "h", "x": 0, "y": 1.02, "yanchor": "bottom", "font": {"size": 13}},
        hoverlabel={"font": {"family": FONT}},
    )
    figure.update_xaxes(gridcolor=LINE, zeroline=False, automargin=True)
    figure.update_yaxes(gridcolor=LINE, zeroline=False)


def _html(figure: Figure, id: str) -> str:
    config: dict[str, Any] = {"displayModeBar": False, "responsive": True}
    return str(figure.to_html(full_html=False, include_plotlyjs=False, div_id=f"chart-{id}", config=config))
