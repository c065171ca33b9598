"""`tastevocab archive find|coffee|taster|like|worth`: what is asked of the sessions that were kept."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tastevocab.cli.archive_open import FormatOption, at, tools_of
from tastevocab.cli.options import ArchiveFile, CoffeeOption, HouseFile, VocabFolder, laid
from tastevocab.cli.output import (
    Format,
    console,
    folded,
    notice,
    people_table,
    print_json,
    print_jsonl,
    print_rows,
    say,
    say_folded,
    told_columns,
)
from tastevocab.errors import InputError

if TYPE_CHECKING:
    from tastevocab.archive.search import Hit
    from tastevocab.panel.summary import Bench


def find(
    words: Annotated[list[str], typer.Argument(help="A flavour, or any words that were said.")],
    coffee: Annotated[str, typer.Option("--coffee", help="Only coffees of this name (or a part of it).")] = "",
    taster: Annotated[str, typer.Option("--taster", help="Only what this taster said.")] = "",
    session: Annotated[str, typer.Option("--session", help="Only this session.")] = "",
    fact: Annotated[
        list[str] | None,
        typer.Option("--fact", metavar="KEY=VALUE", help="Only coffees with this fact, as process=washed (repeat)."),
    ] = None,
    since: Annotated[str, typer.Option("--since", metavar="DATE", help="From this day on.")] = "",
    until: Annotated[str, typer.Option("--until", metavar="DATE", help="To this day.")] = "",
    most: Annotated[int, typer.Option("--most", min=1, help="Places to show, newest first.")] = 50,
    archive: ArchiveFile = None,
    vocab: VocabFolder = None,
    house: HouseFile = None,
    format: FormatOption = Format.table,
) -> None:
    """When was it found or said?

    And of which coffee, by whom, in which words, at which second.

    Example: tastevocab archive find jasmine --fact process=washed --since 2026-01-01
    """
    from tastevocab.archive.search import Wanted
    from tastevocab.archive.search import find as search
    from tastevocab.panel.settling import some

    tools, phrase = tools_of(vocab, house), " ".join(words)
    id = phrase if phrase in tools.vocabulary.descriptors else tools.find(phrase)
    wanted = Wanted(
        words="" if phrase == id else phrase,
        descriptors=_at_or_below(id, tools) if id else (),
        coffee=coffee,
        taster=taster,
        session=session,
        facts=[_pair(one) for one in fact or ()],
        since=since,
        until=until,
    )
    with at(archive) as file:
        hits, count = search(file, wanted, most=most)
    columns = ("date", "session", "coffee", "taster", "words", "as", "counts", "at", "where")
    rows = (_told(hit, tools) for hit in hits)
    if format is not Format.table:
        print_rows(format, columns, rows, [asdict(hit) for hit in hits])
        return
    what = f"{tools.vocabulary.descriptors[id].print} ({id}), and talk" if id else "talk"
    shown = f", the newest {len(hits)} shown" if len(hits) < count else ""
    say(folded(f"{what} with {phrase!r}: {some(count, 'place')}{shown}"))
    if hits:
        names, cells, common = told_columns(columns, list(rows))
        if common.get("as") == common.get("words"):
            common.pop("as", None)
        if common:
            say(folded("All: " + ", ".join(common.values())))
        console().print(people_table("", names, cells))


def _told(hit: Hit, tools: Bench) -> tuple[str, ...]:
    """One place as a row to read."""
    from tastevocab.panel.why import clock

    found = tools.vocabulary.descriptors.get(hit.descriptor)
    label = found.print if found else hit.descriptor
    said = hit.words if hit.words or not hit.descriptor else "(withdrawn)"
    where = f"{hit.source}:{hit.line}" if hit.line else hit.source
    name, counts = hit.name or hit.coffee, hit.counts or "said"
    return hit.date, hit.session, name, hit.taster, said, label, counts, clock(hit.at), where


def _at_or_below(id: str, tools: Bench) -> tuple[str, ...]:
    if id in tools.spans.supports:
        return tuple(sorted(tools.spans.supports[id]))
    return tuple(d for d in tools.vocabulary.descriptors if d == id or d.startswith(id + "/"))


def _pair(text: str) -> tuple[str, str]:
    key, mark, value = text.partition("=")
    if not mark or not key.strip() or not value.strip():
        raise InputError(f"--fact {text!r} is no KEY=VALUE", mend="write it as process=washed")
    return key.strip(), value.strip()


def coffee(
    name: Annotated[str, typer.Argument(help="A coffee's name, or its id in the sessions.")],
    archive: ArchiveFile = None,
    vocab: VocabFolder = None,
    house: HouseFile = None,
    format: FormatOption = Format.table,
) -> None:
    """One coffee over time.

    Its tastings, and what parts each from the one before.

    Example: tastevocab archive coffee "Vale Alto"
    """
    from tastevocab.archive.history import history, history_json, history_lines

    with at(archive) as file:
        made = history(file, name, tools_of(vocab, house))
    if format is Format.table:
        say_folded(history_lines(made))
    elif format in (Format.json, Format.jsonl):
        print_json(history_json(made)) if format is Format.json else print_jsonl([history_json(made)])
    else:
        columns = ("date", "session", "batch", "tasters", "agreed", "vocabulary")
        rows = (
            (
                s.date,
                s.session,
                s.batch,
                s.tasters,
                ", ".join(f"{w} ({k} of {s.tasters})" for w, k in s.agreed),
                s.vocabulary,
            )
            for s in made.sittings
        )
        print_rows(format, columns, rows)


def taster(
    name: Annotated[str, typer.Argument(help="The taster, as the sessions name them.")],
    chart: Annotated[
        Path | None, typer.Option("--chart", metavar="FILE", help="Write it as a page with charts (HTML).")
    ] = None,
    archive: ArchiveFile = None,
    vocab: VocabFolder = None,
    house: HouseFile = None,
    format: FormatOption = Format.table,
) -> None:
    """One taster over time, for their own eyes.

    Habits, agreement with the table, blind repeats, scored attributes, drift. For training only.

    Example: tastevocab archive taster mira --chart mira.html
    """
    from tastevocab.archive.taster import taster_report
    from tastevocab.archive.telling_taster import report_lines

    with at(archive) as file:
        made = taster_report(file, name, tools_of(vocab, house).spans)
    if format in (Format.json, Format.jsonl):
        print_json(asdict(made)) if format is Format.json else print_jsonl([asdict(made)])
    elif format is Format.table:
        say_folded(report_lines(made))
    else:
        columns = ("word", "coffees", "of", "expected", "ratio", "low", "high", "p", "q", "habit")
        rows = (
            (
                p.print, p.coffees, p.of, f"{p.expected:.1f}", f"{p.lift.ratio:.2f}", f"{p.lift.low:.2f}",
                f"{p.lift.high:.2f}", f"{p.p:.4f}", f"{p.q:.4f}", p.habit,
            )
            for p in made.pets
        )  # fmt: skip
        print_rows(format, columns, rows)
    if chart:
        from tastevocab.archive.chart_taster import write_page

        write_page(made, chart)
        notice(f"page: {chart}")


def like(
    session: Annotated[Path, typer.Argument(help="A session file (YAML); it need not be in the archive.")],
    coffee: CoffeeOption = None,
    most: Annotated[int, typer.Option("--most", min=1, help="Coffees to show for each.")] = 5,
    archive: ArchiveFile = None,
    vocab: VocabFolder = None,
    house: HouseFile = None,
    format: FormatOption = Format.table,
) -> None:
    """The nearest coffees to those of a session.

    What they share with each, and what parts them.

    Example: tastevocab archive like table.yaml --coffee vale_alto --most 3
    """
    from tastevocab.archive.alike import alike_lines, map_shares, nearest
    from tastevocab.cli.panel import open_panel
    from tastevocab.panel.flavour_map import Serving
    from tastevocab.panel.servings import serving_sets
    from tastevocab.panel.summary import map_of

    gathered, tools = open_panel(session, vocab, house)
    found = []
    with at(archive) as file:
        for serving in serving_sets(gathered, coffee or ()):
            shares = map_shares(map_of(gathered, Serving(serving.coffee), tools, pool=True))
            own = (gathered.session.id, serving.coffee)
            found.append((serving.coffee, nearest(file, shares, tools.spans, apart_from=own, most=most)))
    if format is Format.table:
        say_folded(line for id, made in found for line in alike_lines(gathered.session.coffees[id].name, made))
        return
    rows = [{"of": id, **asdict(one)} for id, made in found for one in made]
    columns = ("of", "steps", "session", "date", "coffee", "name", "tasters")
    print_rows(format, columns, (tuple(row[c] for c in columns) for row in rows), rows)


def worth(
    session: Annotated[
        Path | None, typer.Argument(help="A session file (YAML): what sets its coffees apart. Left out: all words.")
    ] = None,
    coffee: CoffeeOption = None,
    most: Annotated[int, typer.Option("--most", min=1, help="Words to show.")] = 40,
    archive: ArchiveFile = None,
    vocab: VocabFolder = None,
    house: HouseFile = None,
    format: FormatOption = Format.table,
) -> None:
    """What a word is worth here.

    How often this archive's tables agree on it, and what makes a coffee distinct.

    Example: tastevocab archive worth table.yaml --coffee vale_alto
    """
    from tastevocab.archive.worth import LEAST, coffee_worth

    if session is None:
        _base_rates(archive, tools_of(vocab, house), most, format)
        return
    from tastevocab.cli.panel import open_panel
    from tastevocab.panel.servings import serving_sets

    gathered, tools = open_panel(session, vocab, house)
    rows_told: list[dict[str, Any]] = []
    with at(archive) as file:
        for serving in serving_sets(gathered, coffee or ()):
            made = coffee_worth(file, gathered, serving.coffee, tools)
            if format is Format.table:
                say(gathered.session.coffees[serving.coffee].name)
                lacking = f"Fewer than {LEAST} other coffees are in the archive: nothing can be said yet."
                say_folded(f"  {line}" for line in [w.sentence for w in made[:most]] or [lacking])
            rows_told += [{"coffee": serving.coffee, **asdict(w)} for w in made]
    if format is not Format.table:
        columns = ("coffee", "word", "people", "of", "agreed_on", "coffees", "ratio", "low", "high", "q", "apart")
        rows = (
            (
                r["coffee"], r["base"]["print"], r["people"], r["of"], r["base"]["coffees"], r["base"]["of"],
                f"{r['lift']['ratio']:.3f}", f"{r['lift']['low']:.3f}", f"{r['lift']['high']:.3f}", f"{r['q']:.4f}",
                r["apart"],
            )
            for r in rows_told
        )  # fmt: skip
        print_rows(format, columns, rows, rows_told)


def rates(archive: ArchiveFile = None, vocab: VocabFolder = None, house: HouseFile = None) -> None:
    """How often this house names each word, as a part of the house file (add it there): what chance then goes by.

    Example: tastevocab archive rates
    """
    from tastevocab.archive.worth import ENOUGH, rates_here
    from tastevocab.vocabulary.cache import open_vocabulary

    with at(archive) as file:
        notes, found = rates_here(file, open_vocabulary(vocab, laid(house)))
    if notes < ENOUGH:
        raise InputError(
            f"the archive holds {notes} notes that name a flavour, one a taster and coffee; rates need {ENOUGH}",
            mend="keep on with the rates that the vocabulary brings, and add more sessions (`archive add`)",
        )
    say(f"base_rates:                # of {notes} notes, one a taster and coffee (archive rates)")
    for id, rate in found.items():
        say(f"  {id}: {rate:.5f}")


def _base_rates(archive: Path | None, tools: Bench, most: int, format: Format) -> None:
    from tastevocab.archive.worth import base_rates

    with at(archive) as file:
        bases = base_rates(file, tools.spans)
    columns = ("word", "descriptor", "agreed_on", "coffees", "people", "seats")
    print_rows(format, columns, ((b.print, b.descriptor, b.coffees, b.of, b.people, b.seats) for b in bases[:most]))
