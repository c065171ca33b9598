"""`tastevocab archive ...`: sessions kept in one file, looked after, forgotten; `archive_asking` has the questions."""

from __future__ import annotations

import json
from dataclasses import asdict
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from tastevocab.cells import csv_lines, csv_text
from tastevocab.cli import archive_asking as asking
from tastevocab.cli.archive_open import FormatOption, at
from tastevocab.cli.options import ArchiveFile, HouseFile, VocabFolder
from tastevocab.cli.output import Format, folded, notice, print_rows, progress, results_to, say
from tastevocab.errors import InputError, TastevocabError


class ExportFormat(StrEnum):
    """Forms of an export."""

    jsonl = "jsonl"
    csv = "csv"


def add(
    sessions: Annotated[list[Path], typer.Argument(help="Session files (YAML).")],
    archive: ArchiveFile = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Also take the place of a session of the same name and another date.")
    ] = False,
    anew: Annotated[
        bool, typer.Option("--anew", help="Also where somebody of it was forgotten: all named now agreed.")
    ] = False,
    vocab: VocabFolder = None,
    house: HouseFile = None,
) -> None:
    """Keep sessions in the archive.

    What was said, by whom, when, and the vocabulary they were read with. The same again is no change; a changed session
    takes the place of its old version, which is kept as history.

    Example: tastevocab archive add spring/*.yaml --archive tables.sqlite
    """
    from tastevocab.archive.adding import add as keep
    from tastevocab.panel.session import open_session
    from tastevocab.reading.words.lexicon import open_lexicon
    from tastevocab.vocabulary.cache import open_vocabulary

    lexicon, vocabulary = open_lexicon(vocab, house), open_vocabulary(vocab, house)
    failed = []
    with at(archive, make=True) as file, progress("adding", len(sessions)) as step:
        for path in sessions:
            try:
                made = keep(file, open_session(path), lexicon, vocabulary, moved=replace, anew=anew)
            except TastevocabError as problem:
                failed.append(str(path))
                notice(f"tastevocab: {problem}")
            else:
                for sentence in made.notices:
                    notice(sentence)
                number = f" (version {made.edition})" if made.state == "replaced" else ""
                say(f"{made.session}: {made.state}{number}, coffees {made.coffees}, findings {made.findings}")
            step(1)
        notice(f"archive: {file.path}")
    if failed:
        raise InputError(
            f"{len(failed)} of {len(sessions)} sessions were not added: {', '.join(failed)}",
            mend="mend them as told above and add them again; the others are kept",
        )


def reread(
    sessions: Annotated[list[str] | None, typer.Argument(help="Names of kept sessions; all if left out.")] = None,
    archive: ArchiveFile = None,
    vocab: VocabFolder = None,
    house: HouseFile = None,
    format: FormatOption = Format.table,
) -> None:
    """Read kept sessions again with today's vocabulary.

    Says what counted then and what would count now; changes nothing.

    Example: tastevocab archive reread spring-table-1 --house house.yaml
    """
    from tastevocab.archive.drift import reread as again
    from tastevocab.archive.recall import editions
    from tastevocab.panel.settling import some
    from tastevocab.reading.words.lexicon import open_lexicon
    from tastevocab.vocabulary.diff import told_finding

    lexicon = open_lexicon(vocab, house)
    with at(archive) as file:
        chosen = [e for name in sessions or [""] for e in editions(file.db, name)]
        with progress("reading", len(chosen)) as step:
            made = []
            for edition in chosen:
                made.append(again(file, edition, lexicon))
                step(1)
    if format is Format.table:
        for one in made:
            gone = f"; {one.withdrawn} withdrew, and are left out" if one.withdrawn else ""
            say(folded(f"{one.session}: {some(one.then)} then ({one.read_with}), {one.now} today{gone}"))
            for moved in one.differ:
                _, what, was, now = told_finding(moved)
                say(folded(f"  {what}: {was or '-'} > {now or '-'}"))
    else:
        rows = [(one.session, *told_finding(moved)[1:]) for one in made for moved in one.differ]
        print_rows(format, ("session", "what", "then", "now"), rows, [asdict(one) for one in made])


def export(
    archive: ArchiveFile = None,
    out: Annotated[Path | None, typer.Option("--out", metavar="FILE", help="Write to a file.")] = None,
    codes: Annotated[bool, typer.Option("--codes", help="Codes (P1, P2, ...) instead of names.")] = False,
    history: Annotated[bool, typer.Option("--history", help="Old versions of sessions too.")] = False,
    format: Annotated[ExportFormat, typer.Option("--format", help="How to write it.")] = ExportFormat.jsonl,
) -> None:
    """Every finding and mark of the archive as a row.

    Each with its session, file, words and second.

    Example: tastevocab archive export --codes --format csv --out findings.csv
    """
    from tastevocab.archive.upkeep import EXPORT, exported

    with at(archive) as file, results_to(out) as write:
        if format is ExportFormat.csv:
            write(csv_text(EXPORT, ()))
        for row in exported(file, codes=codes, history=history):
            if format is ExportFormat.csv:
                write(csv_lines([tuple(row.values())]))
            else:
                write(json.dumps(row, ensure_ascii=False, separators=(", ", ": ")) + "\n")
    if out:
        notice(f"{out}: written")


def check(archive: ArchiveFile = None) -> None:
    """Is the archive whole?

    The file, the full-text index, every session. Exit status 1 where something is wrong.

    Example: tastevocab archive check --archive tables.sqlite
    """
    from tastevocab.archive.upkeep import check as look
    from tastevocab.archive.upkeep import counts

    with at(archive) as file:
        for name, count in counts(file).items():
            say(f"{name.replace('_', ' ')}: {count}")
        wrong = look(file)
        for sentence in wrong:
            say(f"wrong: {sentence}")
        if wrong:
            raise typer.Exit(1)
        say("whole: the file, the full-text index, every session")


def forget(
    name: Annotated[str, typer.Argument(help="The taster who withdraws, as the sessions name them.")],
    also: Annotated[
        list[str] | None, typer.Option("--also", metavar="NAME", help="Another name they are called by (repeat).")
    ] = None,
    archive: ArchiveFile = None,
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask; it cannot be undone.")] = False,
) -> None:
    """A taster withdraws.

    Their name and every word they said go from the whole file; a code and the counts stay.

    Example: tastevocab archive forget mira --also Miri --yes
    """
    from tastevocab.archive.forget import forget as withdraw

    with at(archive) as file:
        if not yes and not typer.confirm(f"Forget {name!r} for good in {file.path}?", default=False, err=True):
            raise InputError("nothing was forgotten", mend="answer y, or give --yes")
        made = withdraw(file, name, also or ())
    what = f"sessions {made.sessions}, turns {made.turns}, findings {made.findings}"
    say(f"forgotten: they are {made.code} from now on ({what})")
    if made.masked:
        say(f"mentions of the name hidden in what others said: {made.masked}")
    for text in made.left:
        notice(f"left, as the name of a coffee or one of its facts: {text}")
    notice("Copies of the archive, and the session files themselves, are not touched: see to them too.")


def backup(
    to: Annotated[Path, typer.Argument(help="The file to write.")],
    archive: ArchiveFile = None,
) -> None:
    """A whole copy of the archive, also while others write.

    Example: tastevocab archive backup tables-2026-03.sqlite
    """
    from tastevocab.archive.upkeep import backup as copy

    with at(archive) as file:
        size = copy(file, to)
    say(f"{to}: {size:,} bytes")


def register(app: typer.Typer) -> None:
    """Add `archive` and its commands."""
    topic = typer.Typer(
        help="Sessions kept over time in one file: words, coffees, tasters, and how to forget.", no_args_is_help=True
    )
    for function in (
        add,
        asking.find,
        asking.coffee,
        asking.taster,
        asking.like,
        asking.worth,
        asking.rates,
        reread,
        export,
        check,
        forget,
        backup,
    ):
        topic.command(function.__name__)(function)
    app.add_typer(topic, name="archive")
