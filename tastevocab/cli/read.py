"""`tastevocab read`, `find` and `review`: notes to findings, words to descriptors, doubts to decisions."""

from __future__ import annotations

import sys
from collections.abc import Callable
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

import typer

from tastevocab.cells import csv_lines
from tastevocab.cli.corpus import (
    ColumnOption,
    CorpusOptions,
    MixOption,
    SchedulerOption,
    is_corpus,
    read_corpus,
)
from tastevocab.cli.options import HouseFile, Language, VocabFolder, tags
from tastevocab.cli.output import console, md_table, people_table, progress, results_to, say
from tastevocab.cli.parts import Part, parts_of
from tastevocab.cli.review import review

if TYPE_CHECKING:
    from tastevocab.reading.jobs import Bench
    from tastevocab.reading.records import Reading
    from tastevocab.reading.words.lexicon import Lexicon

Write = Callable[[str], object]


class ReadFormat(StrEnum):
    """Forms a reading can be printed in: `table` is for people, `html` the text itself, marked."""

    table = "table"
    jsonl = "jsonl"
    json = "json"
    csv = "csv"
    md = "md"
    html = "html"


class FindFormat(StrEnum):
    """Forms an answer can be printed in."""

    table = "table"
    jsonl = "jsonl"
    json = "json"


class Asked(NamedTuple):
    """What was asked of `read`."""

    format: ReadFormat
    out: Path | None
    vocab: Path | None
    house: Path | None
    explain: bool = False

    def options(self) -> tuple[str, ...]:
        """The vocabulary's options, as they are typed."""
        given = (("--vocab", self.vocab), ("--house", self.house))
        return tuple(part for name, path in given if path for part in (name, str(path)))


def read(
    files: Annotated[
        list[Path], typer.Argument(help="Captions, sheets, notes, tables of notes, or a session file (YAML).")
    ],
    format: Annotated[ReadFormat, typer.Option("--format", "-f", help="How to print it.")] = ReadFormat.table,
    out: Annotated[
        str | None,
        typer.Option("--out", "-o", metavar="FILE", help="Write here, not to standard output; a FOLDER/ for a corpus."),
    ] = None,
    vocab: VocabFolder = None,
    house: HouseFile = None,
    explain: Annotated[
        bool, typer.Option("--explain", help="Say after each item why it was judged so (table, md, html).")
    ] = False,
    jobs: Annotated[
        int | None,
        typer.Option("--jobs", "-j", min=1, help="Processes for a big table (else 1) or a corpus (else one a core)."),
    ] = None,
    taster: Annotated[str | None, typer.Option("--taster", help="Who speaks where the file does not say.")] = None,
    coffee: Annotated[str | None, typer.Option("--coffee", help="Which coffee, where the file does not say.")] = None,
    brew: Annotated[str | None, typer.Option("--brew", help="Which brew, where the file does not say.")] = None,
    moment: Annotated[
        str | None, typer.Option("--moment", help="dry, aroma, hot, warm or cool, where the file does not say.")
    ] = None,
    lang: Language = "",
    column: ColumnOption = None,
    scheduler: SchedulerOption = None,
    mix: MixOption = False,
) -> None:
    """Read notes into findings with their evidence, and show as plainly what is asked or was not counted, and why.

    A session file stands for all its sources, read with what it knows: rows then name its tasters, coffees and brews.
    With a folder for --out, or Parquet to read, the files are a corpus: parts are read side by side by processes of
    this machine or of a cluster, each to a Parquet file of its own; the same command again reads what is missing.

    Example: tastevocab read table.vtt

    Example: tastevocab read session.yaml --format jsonl

    Example: tastevocab read notes.csv --format jsonl --jobs 4 --out findings.jsonl

    Example: tastevocab read reviews/*.parquet --column text=review --out found/
    """
    from tastevocab.reading.jobs import Bench
    from tastevocab.reading.report.contract import COLUMNS
    from tastevocab.reading.words.lexicon import open_lexicon

    given = {"taster": taster, "coffee": coffee, "brew": brew, "moment": moment}
    defaults = {key: value for key, value in given.items() if value}
    if moment:
        _require_moment(moment)
    if is_corpus(files, out):
        options = CorpusOptions(vocab, house, tags(lang), column or [], jobs, scheduler, mix)
        read_corpus(files, out, defaults, options)
        return
    if column or scheduler or mix:
        raise typer.BadParameter("is for a corpus", param_hint="--column, --scheduler, --mix")
    lexicon = open_lexicon(vocab, house, *tags(lang))
    file = Path(out) if out else None
    if format in (ReadFormat.jsonl, ReadFormat.csv):
        bench = Bench(json_rows if format is ReadFormat.jsonl else csv_rows, vocab, house, defaults, tags(lang))
        with results_to(file) as write:
            if format is ReadFormat.csv:
                write(csv_lines([COLUMNS]))
            _stream(files, lexicon, bench, jobs or 1, write)
        return
    whole: list[Part] = []
    with progress("reading", len(files)) as step:
        for path in files:
            whole += parts_of(path, lexicon, defaults)
            step(1)
    with results_to(file) as write:
        _print_whole(whole, lexicon, Asked(format, file, vocab, house, explain), write)


def _require_moment(moment: str) -> None:
    from tastevocab.reading.records import MOMENTS

    if moment not in MOMENTS:
        raise typer.BadParameter(f"{moment!r} is none of {', '.join(MOMENTS)}", param_hint="--moment")


def _stream(files: list[Path], lexicon: Lexicon, bench: Bench, jobs: int, write: Write) -> None:
    """Straight through to rows for programs: a table of notes is never held whole."""
    from tastevocab.reading.review.context import TABLES
    from tastevocab.reading.review.decisions import beside

    for path in files:
        if path.suffix.lower() in TABLES and not beside(path).exists():
            _stream_table(path, lexicon, bench, jobs, write)
        else:
            for part in parts_of(path, lexicon, bench.defaults):
                write(bench.render(part.reading, lexicon))


def _stream_table(path: Path, lexicon: Lexicon, bench: Bench, jobs: int, write: Write) -> None:
    from tastevocab.reading.intake.files import stream_turns
    from tastevocab.reading.jobs import chunks, read_rows, texts_of

    turns = stream_turns(path)
    rows = _lines_in(path) if sys.stderr.isatty() else None
    if jobs > 1:
        texts = texts_of(turns, bench, jobs=jobs)
    else:
        texts = ((read_rows(some, lexicon, bench), len(some)) for some in chunks(turns))
    with progress(f"reading {path.name}", rows) as step:
        for text, count in texts:
            write(text)
            step(count)


def _lines_in(path: Path) -> int | None:
    try:
        with path.open("rb") as file:
            return sum(block.count(b"\n") for block in iter(lambda: file.read(1 << 20), b""))
    except OSError:
        return None


def _labels(lexicon: Lexicon) -> Any:
    from tastevocab.reading.report.contract import Labels

    return Labels(lexicon.prints, lexicon.levels_of)


def json_rows(reading: Reading, lexicon: Lexicon) -> str:
    """A reading as lines of JSON."""
    from tastevocab.reading.report.contract import json_lines

    return "".join(json_lines(reading, _labels(lexicon)))


def csv_rows(reading: Reading, lexicon: Lexicon) -> str:
    """A reading as lines of CSV, without the header."""
    from tastevocab.reading.report.contract import cells, in_file_order

    return csv_lines(cells(in_file_order(reading), _labels(lexicon)))


def _print_whole(whole: list[Part], lexicon: Lexicon, asked: Asked, write: Write) -> None:
    import json

    from tastevocab.reading.report.contract import rows

    if asked.format is ReadFormat.json:
        labels = _labels(lexicon)
        made = [row for part in whole for row in rows(part.reading, labels)]
        write(json.dumps(made, ensure_ascii=False, indent=2) + "\n")
        return
    from tastevocab.reading.report.marked_page import SIGN, MarkedFile, draw_page, entries
    from tastevocab.reading.report.told import Wording, report_lines
    from tastevocab.reading.review.question import desk_of
    from tastevocab.vocabulary.cache import open_vocabulary

    desk = desk_of(open_vocabulary(asked.vocab, asked.house), lexicon)
    if asked.format is ReadFormat.html:
        marked = [MarkedFile(part.name, part.reading, part.texts()) for part in whole]
        coffees = {id: name for part in whole for id, name in part.coffees.items()}
        write(draw_page(marked, Wording(desk, explain=asked.explain, coffees=coffees)))
    elif asked.format is ReadFormat.md:
        columns = ("mark", "words", "means", "also", "who", "time")
        for part in whole:
            wording = Wording(desk, explain=asked.explain, coffees=part.coffees)
            listed = entries(part.reading, wording)
            cells = ((f"{SIGN[e.kind]} {e.kind}", e.words, e.means, e.facts, e.who, e.time) for e in listed)
            write(f"## {part.name}\n\n{md_table(columns, cells)}\n\n")
    else:
        width = console().width if asked.out is None else 100
        for n, part in enumerate(whole):
            wording = Wording(desk, part.file, asked.options(), width, part.decided, asked.explain, part.coffees)
            write("\n" * bool(n) + "\n".join(report_lines(part.reading, wording)) + "\n")


def find(
    words: Annotated[
        list[str], typer.Argument(help='One phrase to look up; "-" reads a phrase a line from standard input.')
    ],
    exact: Annotated[bool, typer.Option("--exact", help="Listed names only; no guess at spelling or sound.")] = False,
    lang: Language = "",
    vocab: VocabFolder = None,
    house: HouseFile = None,
    format: Annotated[FindFormat, typer.Option("--format", "-f", help="How to print it.")] = FindFormat.table,
) -> None:
    """Look up what words mean: the descriptor, or the nearest guess with its runner-up and the gap between them.

    Example: tastevocab find orange peel

    Example: tastevocab find limón --lang es-MX

    Example: tastevocab find - --exact --format jsonl < phrases.txt
    """
    from tastevocab.reading.report.answers import answer
    from tastevocab.reading.words.lexicon import open_lexicon

    phrases = [line.rstrip("\r\n") for line in sys.stdin] if words == ["-"] else [" ".join(words)]
    lexicon = open_lexicon(vocab, house, *tags(lang))
    answers = [answer(lexicon, phrase, exact=exact) for phrase in phrases]
    if format is FindFormat.table:
        _print_answers(answers)
        return
    import json

    from tastevocab.reading.report.contract import json_line

    if format is FindFormat.json:
        say(json.dumps(answers, ensure_ascii=False, indent=2))
    else:
        sys.stdout.write("".join(json_line(row) + "\n" for row in answers))


def _print_answers(answers: list[dict[str, Any]]) -> None:
    columns = ("phrase", "means", "id", "how", "match", "runner-up", "gap")
    rows = []
    for a in answers:
        means = a["print"] or ("(attribute)" if a["attribute"] else "not known")
        told = a["form"] if a["form"] not in (None, "fresh") else ""
        means += f", {a['state'] or told}" if a["state"] or told else ""
        means = f"{a['said']} ({means})" if a["said"] not in (None, means) else means
        near = f"{a['runner_up']} {a['runner_up_match']:.2f}" if a["runner_up"] else ""
        gap = "" if a["gap"] is None else f"{a['gap']:.2f}"
        match = "" if a["match"] is None else f"{a['match']:.2f}"
        rows.append((a["phrase"], means, a["descriptor"] or a["attribute"], a["via"], match, near, gap))
    console().print(people_table("", columns, rows))


def register(app: typer.Typer) -> None:
    """Add the commands of this file."""
    app.command("read")(read)
    app.command("find")(find)
    app.command("review")(review)
