"""Corpora at the command line: `tastevocab read` into a folder, over processes or a cluster."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NamedTuple

import typer

from tastevocab.cli.options import HouseFile, VocabFolder
from tastevocab.cli.output import notice, progress
from tastevocab.cli.panel import Weight
from tastevocab.errors import InputError

if TYPE_CHECKING:
    from tastevocab.corpus.reading import Done

SchedulerOption = Annotated[
    str | None, typer.Option("--scheduler", metavar="ADDRESS", help="A Dask cluster that is there (tcp://host:8786).")
]
ColumnOption = Annotated[
    list[str] | None,
    typer.Option("--column", metavar="OURS=THEIRS", help="A corpus's own name for text, taster, coffee, brew, ..."),
]
MixOption = Annotated[
    bool, typer.Option("--mix", help="Let a folder hold parts read with other vocabularies or versions.")
]
OURS = ("text", "taster", "coffee", "brew", "moment", "bowl", "id")


class By(StrEnum):
    """What a crowd is counted by."""

    coffee = "coffee"
    brew = "brew"
    moment = "moment"


class CorpusOptions(NamedTuple):
    """What is asked of a corpus: the vocabulary and language it is read with, its columns, where it is read."""

    vocab: Path | None
    house: Path | None
    tongues: tuple[str, ...]
    columns: Sequence[str]
    jobs: int | None
    scheduler: str | None
    mix: bool


def is_corpus(files: Sequence[Path], out: str | None) -> bool:
    """Whether files are read as a corpus: into a folder, or from Parquet."""
    parquet = any(file.suffix.lower() == ".parquet" for file in files)
    return parquet or (bool(out) and (str(out).endswith(("/", os.sep)) or os.path.isdir(str(out))))


def read_corpus(
    files: Sequence[Path],
    out: str | None,
    defaults: Mapping[str, str],
    options: CorpusOptions,
) -> None:
    """Read files into a folder of findings. Exit status 1, with a list, where parts failed."""
    if out is None:
        raise InputError("Parquet is read into a folder", mend="add --out found/")
    from tastevocab.corpus.cluster import cluster, require_dask
    from tastevocab.corpus.parts import cut
    from tastevocab.corpus.reading import job_of
    from tastevocab.corpus.run import drop_stale, missing, read_parts, require_one_reader
    from tastevocab.written import make_folder

    require_dask()
    folder = Path(out)
    make_folder(folder)
    named = _named(options.columns)
    job = job_of(folder, options.vocab, options.house, *options.tongues, named=named, defaults=defaults)
    if not options.mix:
        require_one_reader(folder, job)
    parts = list(cut(files))
    drop_stale(folder, parts)
    wanted = missing(parts, job, mix=options.mix)
    done: tuple[Done, ...] = ()
    if wanted:
        processes = min(options.jobs or os.cpu_count() or 1, len(wanted))
        with cluster(options.scheduler, processes) as client, progress("reading", len(wanted)) as step:
            done = read_parts(wanted, job, client, step)
    failed = [d.failure for d in done if d.failure]
    _tell(folder, len(parts) - len(wanted), len(wanted) - len(failed), sum(d.rows for d in done))
    if failed:
        raise InputError(
            f"{len(failed):,} of {len(parts):,} parts failed:\n" + "\n".join(failed),
            mend="put them right and give the same command again: it reads what is missing",
        )


def _tell(folder: Path, kept: int, read: int, rows: int) -> None:
    there = f", {kept:,} were there" if kept else ""
    notice(f"{folder}: {read:,} part{'' if read == 1 else 's'} read{there}; {rows:,} rows written")


def _named(columns: Sequence[str]) -> dict[str, str]:
    """Columns as they were given, ours to theirs."""
    made = {}
    for given in columns:
        ours, equals, theirs = given.partition("=")
        if not equals or not theirs or ours not in OURS:
            raise typer.BadParameter(f"{given!r} is not one of {', '.join(OURS)}, =, a column", param_hint="--column")
        made[ours] = theirs
    return made


def crowd(
    found: Annotated[Path, typer.Argument(help="A folder that `read --out FOLDER/` made.")],
    out: Annotated[Path, typer.Option("--out", "-o", metavar="FOLDER", help="Write maps, lines and contrasts here.")],
    by: Annotated[By, typer.Option("--by", help="What to make a map of each of.")] = By.coffee,
    weighting: Annotated[Weight, typer.Option("--weighting", help="How findings weigh.")] = Weight.mark,
    words: Annotated[int, typer.Option("--words", min=1, max=6, help="Words on the notes line.")] = 3,
    vocab: VocabFolder = None,
    house: HouseFile = None,
    jobs: Annotated[int | None, typer.Option("--jobs", "-j", min=1, help="Processes; one a core if left out.")] = None,
    scheduler: SchedulerOption = None,
    mix: MixOption = False,
) -> None:
    """Count a corpus's findings: the map and line of every coffee, and the coffees against each other.

    The figures are those of `panel` and `contrast`, for any number of coffees and tasters.

    Example: tastevocab crowd found/ --by coffee --out maps/
    """
    from tastevocab.corpus.assembled import How
    from tastevocab.corpus.cluster import cluster, require_dask
    from tastevocab.corpus.crowds import STEPS, count_crowd
    from tastevocab.corpus.run import require_one_reader, require_vocabulary
    from tastevocab.corpus.tallies import Ask
    from tastevocab.written import make_folder

    require_dask()
    ask = Ask(by.value, str(vocab.resolve()) if vocab else None, str(house.resolve()) if house else None)
    if not mix:
        require_one_reader(found)
        require_vocabulary(found, ask.tools().vocabulary.hash)
    make_folder(out)
    how = How(weighting.value, words)
    with cluster(scheduler, jobs) as client, progress("counting", STEPS) as step:
        done = count_crowd(found.resolve(), out.resolve(), ask, client, how, step)
    notice(
        f"{out}: {done.servings:,} maps and lines of {done.tasters:,} servings, {done.compared:,} compared, from "
        f"{done.rows:,} rows"
    )


def register(app: typer.Typer) -> None:
    """Add the command of this file; `read` adds its own."""
    app.command("crowd")(crowd)
