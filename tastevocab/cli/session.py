"""`tastevocab session`: a new session file, its check, its sheets, and feedback for a taster."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from tastevocab.cli.options import (
    HiddenDuplicate,
    HouseControl,
    HouseFile,
    PerSitting,
    PouredMoments,
    VocabFolder,
    laid,
)
from tastevocab.cli.output import Format, notice, print_json, print_jsonl, progress, say

SessionFile = Annotated[Path, typer.Argument(help="A session file (YAML).")]


def _named(given: list[str] | None) -> list[str]:
    return [part.strip() for one in given or () for part in one.split(",") if part.strip()]


def _asked(given: list[str] | None, question: str) -> list[str]:
    """What was given on the command line, else what is answered; separated by commas."""
    named = _named(given)
    return named or _named([typer.prompt(question, err=True)])


def new(
    path: Annotated[Path, typer.Argument(help="The session file to write.")] = Path("session.yaml"),
    name: Annotated[str, typer.Option("--name", help="Name of the session; the file's name if left out.")] = "",
    taster: Annotated[
        list[str] | None, typer.Option("--taster", help="Tasters (commas, or repeat); asked if none.")
    ] = None,
    coffee: Annotated[
        list[str] | None, typer.Option("--coffee", help="Coffees (commas, or repeat); asked if none.")
    ] = None,
    brew: Annotated[list[str] | None, typer.Option("--brew", help="Brews (commas, or repeat).")] = None,
    date: Annotated[str, typer.Option("--date", help="Day of the tasting, like 2026-03-02.")] = "",
    bowls: Annotated[int, typer.Option("--bowls", min=0, help="Bowls poured of each coffee; 0 unsaid.")] = 0,
    to_show: Annotated[
        str | None,
        typer.Option(
            "--to-show",
            metavar="WISH",
            help="A difference you hope to show: a word, the share of tasters that finds it in one cup, and in the "
            'others ("jasmine 60 % 10 %"). Says how many tasters it takes; simulated, up to a minute.',
        ),
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
    vocab: VocabFolder = None,
    house: HouseFile = None,
) -> None:
    """Write a new session file, ready to fill in.

    With --to-show also say how many tasters it takes to show a difference between its coffees (of one coffee, between
    its brews); the answer stands in the file as a comment.

    Example: tastevocab session new table.yaml --taster "mira, otto, pilar" --coffee "Vale Alto" --brew filter
    """
    from tastevocab.panel.scaffold import session_text, write_session

    tasters = _asked(taster, "Tasters (separated by commas)")
    coffees = _asked(coffee, "Coffees (separated by commas)")
    brews = _named(brew) or ["filter"]
    text = session_text(name or path.stem, tasters, coffees, brews, date=date, bowls=bowls)
    cups = len(coffees) if len(coffees) > 1 else len(brews)
    told = _what_it_takes(to_show, cups, len(tasters), vocab, house) if to_show is not None else []
    write_session(path, "".join(f"# {line}\n" for line in told) + text, force=force)
    say(str(path))
    for line in told:
        notice(line)
    notice("add the note files under `notes:`, then run `tastevocab session check`")


def _what_it_takes(wanted: str, cups: int, tasters: int, vocab: Path | None, house: Path | None) -> list[str]:
    """The answer to --to-show, in lines."""
    from tastevocab.panel.power import TRIES, least_tasters, size_lines, wish
    from tastevocab.panel.summary import bench
    from tastevocab.reading.words.lexicon import open_lexicon
    from tastevocab.vocabulary.cache import open_vocabulary

    house = laid(house)
    tools = bench(open_vocabulary(vocab, house), open_lexicon(vocab, house).names)
    wished = wish(wanted, tools)
    with progress("simulating tables", TRIES) as step:
        return list(size_lines(least_tasters(wished, cups, tools, also=tasters, step=step), tasters))


def check(
    session: SessionFile,
    vocab: VocabFolder = None,
    house: HouseFile = None,
    format: Annotated[Format, typer.Option("--format", help="How to print it.")] = Format.table,
) -> None:
    """Say everything that is wrong with a session before it is used (exit 1 if anything is).

    Example: tastevocab session check session.yaml
    """
    from tastevocab.panel.gather import read_entries
    from tastevocab.panel.notes_check import check_told
    from tastevocab.panel.session import read_session
    from tastevocab.panel.session_check import check_session
    from tastevocab.reading.words.lexicon import open_lexicon

    read = read_session(session)
    problems = list(check_session(read))
    notices: tuple[str, ...] = ()
    if not any(p.severity == "error" for p in problems):
        with progress("reading", len(read.sources)) as step:
            lexicon = open_lexicon(vocab, laid(house))
            told = read_entries(read, lexicon, step=step)
        problems += check_told(told, lexicon)
        notices = told.notices
    if format in (Format.json, Format.jsonl):
        rows = [
            {
                "file": p.place.file,
                "line": p.place.line,
                "severity": p.severity,
                "code": p.code,
                "what": p.what,
                "mend": p.mend,
            }
            for p in problems
        ]
        print_json(rows) if format is Format.json else print_jsonl(rows)
    else:
        for problem in problems:
            say(str(problem))
        for sentence in notices:
            notice(sentence)
    errors = sum(p.severity == "error" for p in problems)
    if errors:
        notice(f"{errors} thing{'s' if errors > 1 else ''} to mend")
        raise typer.Exit(1)
    state = f"{len(problems)} to look at" if problems else "sound"
    counted = (("taster", read.tasters), ("coffee", read.coffees), ("source", read.sources))
    sizes = ", ".join(f"{len(c)} {what}{'' if len(c) == 1 else 's'}" for what, c in counted)
    notice(f"{session}: {sizes}: {state}")


def sheets(
    session: SessionFile,
    out: Annotated[Path, typer.Option("--out", metavar="FOLDER", help="Where to write sheets and key.")] = Path(
        "sheets"
    ),
    moment: PouredMoments = None,
    duplicate: HiddenDuplicate = False,
    control: HouseControl = "",
    per_sitting: PerSitting = 0,
    brew: Annotated[list[str] | None, typer.Option("--brew", help="Only this brew (commas, or repeat).")] = None,
    seed: Annotated[
        int | None, typer.Option("--seed", help="Repeats orders and codes; from the session's id and date if left out.")
    ] = None,
    vocab: VocabFolder = None,
    house: HouseFile = None,
) -> None:
    """Print tasting sheets for every brew, with blind codes in a balanced order, and the key in a file of its own.

    Example: tastevocab session sheets session.yaml --out sheets --duplicate --seed 7
    """
    from tastevocab.panel.designs import Design, numbers_in
    from tastevocab.panel.pouring import pouring
    from tastevocab.panel.session import read_session
    from tastevocab.panel.sheets import sheets as make
    from tastevocab.panel.sheets import write_all
    from tastevocab.reading.records import MOMENTS
    from tastevocab.vocabulary.cache import open_vocabulary

    read = read_session(session)
    moments = _named(moment) or ["hot", "warm", "cool"]
    unknown = [m for m in moments if m not in MOMENTS]
    if unknown:
        raise typer.BadParameter(f"{unknown[0]!r} is none of {', '.join(MOMENTS)}", param_hint="--moment")
    avoid = numbers_in(session.read_text("utf-8-sig", errors="replace"))
    design = Design(duplicate=duplicate, control=control, per_sitting=per_sitting, avoid=avoid)
    made = pouring(read, design, brews=_named(brew), seed=seed)
    attributes = open_vocabulary(vocab, house).attributes
    pages = make(made, moments, attributes, session=read.id, date=read.date, bowls=read.bowls)
    for path in write_all(out, made, pages):
        say(str(path))
    notice(made.note)
    notice("keep the key closed until every sheet is in; then name it in the session file as `key:`")


def feedback(
    session: SessionFile,
    taster: Annotated[str, typer.Option("--taster", help="Whose feedback: one taster at a time.")],
    earlier: Annotated[list[Path] | None, typer.Option("--earlier", help="Earlier session files (repeat).")] = None,
    vocab: VocabFolder = None,
    house: HouseFile = None,
    format: Annotated[Format, typer.Option("--format", help="How to print it.")] = Format.table,
) -> None:
    """For one taster's own eyes: repeated words, pet words, what only they find. For training only.

    Example: tastevocab session feedback session.yaml --taster mira --earlier january.yaml
    """
    from dataclasses import asdict

    from tastevocab.panel.feedback import CAUTION, feedback_lines
    from tastevocab.panel.feedback import feedback as make
    from tastevocab.panel.gather import gather
    from tastevocab.panel.session import read_session
    from tastevocab.panel.spans import Spans
    from tastevocab.panel.table import told_names
    from tastevocab.reading.words.lexicon import open_lexicon
    from tastevocab.vocabulary.cache import open_vocabulary

    lexicon, spans = open_lexicon(vocab, house), Spans(open_vocabulary(vocab, house))
    read = [gather(read_session(path), lexicon) for path in (session, *(earlier or ()))]
    made = make(taster, read[0], spans, read[1:])
    if format in (Format.json, Format.jsonl):
        value = {"caution": CAUTION, **asdict(made)}
        print_json(value) if format is Format.json else print_jsonl([value])
    else:
        say("\n".join(feedback_lines(made, told_names(read[0].session))))


class Test(StrEnum):
    """A forced-choice test of difference."""

    triangle = "triangle"
    tetrad = "tetrad"


def verdict(
    right: Annotated[int, typer.Option("--right", min=0, help="How many answers were right.")],
    of: Annotated[int, typer.Option("--of", min=1, help="How many answers there were, one a taster.")],
    test: Annotated[
        Test, typer.Option("--test", help="triangle: the odd one of three; tetrad: two and two of four.")
    ] = Test.triangle,
    format: Annotated[Format, typer.Option("--format", help="How to print it.")] = Format.table,
) -> None:
    """What a triangle or tetrad test showed: p, the part right, and the distance d', each with its interval.

    Example: tastevocab session verdict --test triangle --right 9 --of 12
    """
    from dataclasses import asdict

    from tastevocab.panel.discrimination import verdict as weigh
    from tastevocab.panel.discrimination import verdict_lines

    made = weigh(test.value, right, of)
    if format in (Format.json, Format.jsonl):
        print_json(asdict(made)) if format is Format.json else print_jsonl([asdict(made)])
    else:
        say("\n".join(verdict_lines(made)))


def register(app: typer.Typer) -> None:
    """Add the commands of this file."""
    group = typer.Typer(help="A session file: new, checked, with printed sheets.", no_args_is_help=True)
    group.command("new")(new)
    group.command("check")(check)
    group.command("sheets")(sheets)
    group.command("feedback")(feedback)
    group.command("verdict")(verdict)
    app.add_typer(group, name="session")
