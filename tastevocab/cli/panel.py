"""`tastevocab panel`, `why` and `contrast`: the figures of a session, and where each comes from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tastevocab.cells import csv_text
from tastevocab.cli.options import CoffeeOption, HouseFile, VocabFolder, laid
from tastevocab.cli.output import (
    Format,
    console,
    folded,
    md_table,
    notice,
    people_table,
    print_json,
    print_jsonl,
    progress,
    say,
    say_folded,
    told_columns,
)
from tastevocab.errors import InputError, Place

if TYPE_CHECKING:
    from tastevocab.panel.comparison import Comparison
    from tastevocab.panel.gather import Gathered
    from tastevocab.panel.spans import Spans
    from tastevocab.panel.summary import Bench
    from tastevocab.panel.why import Trace
    from tastevocab.vocabulary.model import Vocabulary

SessionFile = Annotated[Path, typer.Argument(help="A session file (YAML), or a table of notes (CSV, JSONL).")]
BrewOption = Annotated[
    list[str] | None,
    typer.Option("--brew", help='This brew, else the one most tasted; "each" gives a map of each (may be repeated).'),
]
MomentOption = Annotated[
    list[str] | None,
    typer.Option(
        "--moment",
        help='Only dry, aroma, hot, warm or cool, else all of them; "each" gives a map of each (may be repeated).',
    ),
]
BowlOption = Annotated[str | None, typer.Option("--bowl", help="Only this bowl.")]
PoolOption = Annotated[bool, typer.Option("--pool", help="Throw brews together, and say so.")]
FormatOption = Annotated[Format, typer.Option("--format", help="How to print it.")]


class Weight(StrEnum):
    """How much a finding weighs on the map."""

    mark = "mark"
    voice = "voice"
    plain = "plain"


class ByChance(StrEnum):
    """What becomes of words that tables of random words would agree on as well."""

    say = "say"
    leave_out = "leave_out"
    off = "off"


class Order(StrEnum):
    """In which order the words of the notes line stand."""

    strongest = "strongest"
    unfolding = "unfolding"


def open_panel(path: Path, vocab: Path | None, house: Path | None) -> tuple[Gathered, Bench]:
    """What a session file or a table of notes holds, and the vocabulary made ready; notices go to standard error."""
    from tastevocab.panel.gather import gather
    from tastevocab.panel.session import read_session
    from tastevocab.panel.summary import bench
    from tastevocab.panel.tables import is_table, table_session
    from tastevocab.reading.words.lexicon import open_lexicon
    from tastevocab.vocabulary.cache import open_vocabulary

    house = laid(house)
    session = table_session(path) if is_table(path) else read_session(path)
    lexicon = open_lexicon(vocab, house, *session.languages)
    tools = bench(open_vocabulary(vocab, house), lexicon.names)
    with progress("reading", len(session.sources)) as step:
        gathered = gather(session, lexicon, step=step)
    for sentence in gathered.notices:
        notice(sentence)
    if not gathered.findings and not gathered.attributes:
        raise InputError(
            "nobody described any coffee: no finding in any note",
            place=Place(str(path)),
            mend="look at what was read with `tastevocab read`",
        )
    return gathered, tools


def panel(
    session: SessionFile,
    coffee: CoffeeOption = None,
    brew: BrewOption = None,
    moment: MomentOption = None,
    bowl: BowlOption = None,
    pool: PoolOption = False,
    weighting: Annotated[Weight, typer.Option("--weighting", help="How findings weigh.")] = Weight.mark,
    words: Annotated[int, typer.Option("--words", min=1, max=6, help="Words on the notes line.")] = 3,
    order: Annotated[Order, typer.Option("--order", help="Order of the notes line.")] = Order.strongest,
    chance: Annotated[
        ByChance, typer.Option("--chance", help="Words that random tables agree on as well: say so, or leave them out.")
    ] = ByChance.say,
    samples: Annotated[int, typer.Option("--bootstrap", min=0, help="Resamples for the intervals in JSON.")] = 1000,
    seed: Annotated[int, typer.Option("--seed", help="Seed of the resampling.")] = 1,
    vocab: VocabFolder = None,
    house: HouseFile = None,
    format: FormatOption = Format.table,
) -> None:
    """Count who found what: the flavour map, the words to print, claims, attributes and faults.

    Without --brew and --moment it is what a feature pack prints: the brew most tasted, from first moment to last.

    Example: tastevocab panel session.yaml --coffee vale_alto --brew filter
    """
    from tastevocab.panel.agreement import agreement, agreement_lines
    from tastevocab.panel.report import COLUMNS, contract, rows
    from tastevocab.panel.servings import serving_sets
    from tastevocab.panel.summary import Choices, report_of
    from tastevocab.panel.tables import is_table
    from tastevocab.panel.telling import markdown, summary_lines
    from tastevocab.panel.telling_contrast import contrast_sentences

    gathered, tools = open_panel(session, vocab, house)
    # A plain table has one account a taster and no servings to keep apart; what is thrown together is captioned.
    pool = pool or is_table(session)
    asked = serving_sets(gathered, coffee or (), brew or (), moment or (), bowl, pool=pool)
    samples = samples if format in (Format.json, Format.jsonl) else 0
    choices = Choices(weighting.value, words, order.value, chance.value, samples, seed)
    with progress("counting", len(asked)) as step:
        made = []
        for serving in asked:
            made.append(report_of(gathered, serving, tools, choices, pool=pool or not brew))
            step(1)
    if format is Format.json:
        print_json(contract(made, tools.vocabulary, agreement(gathered, tools.spans, seed=seed)))
    elif format is Format.jsonl:
        print_jsonl(contract(made, tools.vocabulary)["maps"])
    elif format is Format.csv:
        typer.echo(csv_text(COLUMNS, rows(made)), nl=False)
    elif format is Format.md:
        typer.echo(markdown(made), nl=False)
    else:
        for report in made:
            contrasts = contrast_sentences(gathered, tools, report.map.serving)
            say_folded([*summary_lines(report), *(["", *contrasts] if contrasts else []), ""])
        say_folded(agreement_lines(agreement(gathered, tools.spans, seed=seed)))


def why(
    session: SessionFile,
    words: Annotated[list[str], typer.Argument(help="A flavour word, or a descriptor's id.")],
    coffee: Annotated[str | None, typer.Option("--coffee", help="Only this coffee.")] = None,
    brew: Annotated[str | None, typer.Option("--brew", help="Only this brew.")] = None,
    moment: Annotated[str | None, typer.Option("--moment", help="Only this moment.")] = None,
    vocab: VocabFolder = None,
    house: HouseFile = None,
    format: FormatOption = Format.table,
) -> None:
    """Who said which words, where and when: everything behind one word of the map.

    A bare word ("strawberry") asks for the thing in all its forms; the full id of a note for that note alone.

    Example: tastevocab why session.yaml blackberry --brew filter
    """
    from dataclasses import asdict, replace

    from tastevocab.panel.table import told_names
    from tastevocab.panel.why import traces
    from tastevocab.vocabulary.things import bare_thing

    gathered, tools = open_panel(session, vocab, house)
    phrase = " ".join(words)
    id = tools.find(phrase)
    if id is None:
        raise InputError(f"{phrase!r} is no word of the vocabulary", mend="try `tastevocab find " + phrase + "`")
    if "/" not in phrase and (thing := bare_thing(tools.vocabulary, id)):
        id = thing.id  # a bare word asks for the thing in all its forms
    wanted = (("coffee", coffee), ("brew", brew), ("moment", moment))
    findings = [f for f in gathered.findings if all(v in (None, getattr(f.spot, k)) for k, v in wanted)]
    found = traces(id, (*findings, *gathered.unattributed), tools.spans)
    if format in (Format.json, Format.jsonl):
        values = [asdict(t) for t in found]
        print_json({"descriptor": id, "findings": values}) if format is Format.json else print_jsonl(values)
        return
    called = told_names(gathered.session)
    found = tuple(replace(t, coffee=called.get(t.coffee, t.coffee), brew=t.brew.replace("_", " ")) for t in found)
    _print_traces(id, found, tools.vocabulary, format)


class Axis(StrEnum):
    """What to compare a session's servings by."""

    moment = "moment"
    brew = "brew"
    coffee = "coffee"


class Showing(StrEnum):
    """What of a comparison is printed."""

    changes = "changes"
    cells = "cells"
    plane = "plane"
    shares = "shares"


OF_AXIS = {Showing.cells: Axis.coffee, Showing.plane: Axis.coffee, Showing.shares: Axis.moment}


def contrast(
    session: SessionFile,
    by: Annotated[Axis, typer.Option("--by", help="Compare the moments, the brews or the coffees.")],
    coffee: Annotated[str | None, typer.Option("--coffee", help="Only this coffee.")] = None,
    brew: Annotated[str | None, typer.Option("--brew", help="Only this brew.")] = None,
    moment: Annotated[str | None, typer.Option("--moment", help="Only this moment.")] = None,
    pool: PoolOption = False,
    show: Annotated[
        Showing,
        typer.Option(
            "--show",
            help="changes: who gained and lost what; cells (by coffee): which word is found more or less in which "
            "coffee, with a false-discovery rate; plane (by coffee): where coffees lie, with ellipses; shares (by "
            "moment): how many of those there, with intervals.",
        ),
    ] = Showing.changes,
    chart: Annotated[
        Path | None, typer.Option("--chart", metavar="FILE", help="Write a picture (an HTML page).")
    ] = None,
    vocab: VocabFolder = None,
    house: HouseFile = None,
    format: FormatOption = Format.table,
) -> None:
    """Compare moments, brews or coffees: who gained and lost what, and what may be told of it.

    Example: tastevocab contrast session.yaml --by moment --coffee vale_alto --brew filter --chart cooling.html
    """
    from tastevocab.panel.comparison import compare
    from tastevocab.panel.flavour_map import Serving
    from tastevocab.panel.tables import is_table

    if show is not Showing.changes and by is not (wanted := OF_AXIS[show]):
        raise typer.BadParameter(f"{show.value}: only with --by {wanted.value}", param_hint="--show")
    gathered, tools = open_panel(session, vocab, house)
    pool = pool or is_table(session)
    made = compare(gathered, tools, by.value, Serving(coffee or "", brew, moment), pool=pool)
    _print_comparison(made, tools.spans, show, format)
    if chart:
        from tastevocab.panel.chart_page import write_chart

        write_chart(made, tools.spans, chart)
        notice(f"picture: {chart}")


def _print_comparison(made: Comparison, spans: Spans, show: Showing, format: Format) -> None:
    columns, rows, lines, value = _told(made, spans, show)
    if format is Format.json:
        print_json(value)
    elif format is Format.jsonl:
        print_jsonl([value])
    elif format is Format.csv:
        typer.echo(csv_text(columns, rows), nl=False)
    elif format is Format.md:
        say(md_table(*_readable(columns, rows, made.called)))
    else:
        say_folded(lines)


def _readable(
    columns: Sequence[str], rows: Sequence[Sequence[object]], called: Mapping[str, str]
) -> tuple[list[str], list[list[object]]]:
    """The columns and rows that people read: names of coffees and brews for their ids, no ids of descriptors."""
    kept = [n for n, column in enumerate(columns) if column != "descriptor"]
    named = [n for n in kept if columns[n] in ("first", "second", "coffee", "brew")]
    return [columns[n].replace("_", " ") for n in kept], [
        [called.get(str(row[n]), row[n]) if n in named else row[n] for n in kept] for row in rows
    ]


def _told(
    made: Comparison, spans: Spans, show: Showing
) -> tuple[Sequence[str], Sequence[Sequence[object]], Sequence[str], Mapping[str, object]]:
    """Columns, rows, lines and the value for programs of what is to be shown."""
    if show is Showing.cells:
        from tastevocab.panel.cell_tests import CELL_COLUMNS, cell_lines, cell_rows, cell_table, cells_json

        cells = cell_table(made.maps, spans)
        return CELL_COLUMNS, cell_rows(cells), [made.title, *cell_lines(cells, made.called)], cells_json(cells)
    if show is Showing.plane:
        from tastevocab.panel.plane import PLANE_COLUMNS, plane, plane_json, plane_lines, plane_rows

        laid_out = plane(made, spans)
        return (
            PLANE_COLUMNS,
            plane_rows(laid_out),
            [made.title, *plane_lines(laid_out, made.called)],
            plane_json(laid_out),
        )
    if show is Showing.shares:
        from tastevocab.panel.over_moments import SHARE_COLUMNS, courses, share_lines, share_rows, shares_json

        course = courses(tuple(made.maps.values()), spans)
        return SHARE_COLUMNS, share_rows(course), [made.title, *share_lines(course)], {"shares": shares_json(course)}
    from tastevocab.panel.comparison import comparison_json
    from tastevocab.panel.telling_contrast import COLUMNS, comparison_lines, comparison_rows

    return COLUMNS, comparison_rows(made), comparison_lines(made), comparison_json(made)


def _print_traces(id: str, found: tuple[Trace, ...], vocabulary: Vocabulary, format: Format) -> None:
    from tastevocab.panel.why import clock

    columns = ("taster", "words", "as", "counts", "coffee", "brew", "moment", "bowl", "at", "where")
    rows = [
        (t.taster, t.words, t.print, t.role, t.coffee, t.brew, t.moment, t.bowl, clock(t.at), t.where) for t in found
    ]
    if format is Format.csv:
        typer.echo(csv_text(columns, rows), nl=False)
    elif format is Format.md:
        say(md_table(columns, rows))
    else:
        _tell_traces(id, vocabulary.descriptors[id].print, found, columns, rows)


def _tell_traces(
    id: str, label: str, found: Sequence[Trace], columns: Sequence[str], rows: Sequence[Sequence[str]]
) -> None:
    """Who found it, and the rows in the columns that tell them apart; where in the file is for programs (csv, json)."""
    people = sorted({t.taster for t in found if t.role == "counted"})
    said = f"{len(people)} on the panel found it: {', '.join(people)}" if people else "nobody on the panel found it"
    say(folded(f"{label}: {said}"))
    shown = [[*row[:-1], row[-1].rsplit(" ", 1)[0]] for row in rows]
    names, cells, common = told_columns(columns, shown)
    common.pop("as", None)
    if common:
        say(folded("All: " + ", ".join(str(value) for value in common.values())))
    if names:
        console().print(people_table("", names, cells))


def register(app: typer.Typer) -> None:
    """Add the commands of this file."""
    app.command("panel")(panel)
    app.command("why")(why)
    app.command("contrast")(contrast)
