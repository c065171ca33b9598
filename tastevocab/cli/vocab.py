"""`tastevocab vocab ...`: look at a vocabulary, check it, add to it, compare it, carry it in and out."""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Iterator
from dataclasses import asdict
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tastevocab.cells import csv_text
from tastevocab.cli.options import ArchiveFile, HouseFile, Language, VocabFolder, tags
from tastevocab.cli.output import Format, console, folded, notice, print_json, print_jsonl, print_rows, say
from tastevocab.errors import InputError

_FORMAT = typer.Option("--format", "-f", help="table for people; json, jsonl, csv or md for programs and pages.")
PrintFormat = Annotated[Format, _FORMAT]


def check(
    folder: Annotated[Path | None, typer.Argument(help="Vocabulary folder; the one that ships if left out.")] = None,
    vocab: VocabFolder = None,
    house: HouseFile = None,
    lookalikes: Annotated[bool, typer.Option(help="Also list pairs of words that spelling can confuse.")] = False,
    format: PrintFormat = Format.table,
) -> None:
    """Everything that is wrong with a vocabulary, at once: file:line, what, and how to mend it.

    Exit status 1 if there is an error. Example: tastevocab vocab check my-vocab --house house.yaml
    """
    from tastevocab.vocabulary.check import check as check_draft
    from tastevocab.vocabulary.check import errors, over
    from tastevocab.vocabulary.check import lookalikes as pairs_of

    draft = over(folder or vocab, house)
    problems = check_draft(draft)
    if not errors(problems):
        problems = [*problems, *_wrong_patterns(draft, folder or vocab, house)]
    if format is Format.table:
        for problem in problems:
            say(str(problem))
        wrong = len(errors(problems))
        notice(f"{len(draft.descriptors)} descriptors: {wrong} errors, {len(problems) - wrong} warnings")
    else:
        rows = [(p.place.file, p.place.line, p.severity, p.code, p.what, p.mend) for p in problems]
        print_rows(format, ("file", "line", "severity", "code", "what", "mend"), rows)
    if lookalikes:
        for pair in pairs_of(draft):
            say(f"{pair.ratio:5.1f}  {pair.word} / {pair.other}  ({pair.owner} / {pair.other_owner})")
    if errors(problems):
        raise typer.Exit(1)


def _wrong_patterns(draft: Draft, folder: Path | None, house: Path | None) -> Iterator[Problem]:
    """The patterns of talk whose sentences do not come out as they say."""
    from tastevocab.reading.words.lexicon import open_lexicon
    from tastevocab.reading.words.patterns import wrong_examples
    from tastevocab.vocabulary.draft import Problem
    from tastevocab.vocabulary.tongues import TONGUE

    files: dict[str, Any] = {"": draft.language.get("rules")}
    files |= {tag: held["rules"] for tag in draft.languages if (held := draft.language.get(f"{TONGUE}{tag}"))}
    for tag, rules in files.items():
        for id, wrong in wrong_examples(open_lexicon(folder, house, *filter(None, [tag]))):
            what = f"pattern {id!r} {wrong}"
            yield Problem("example", "error", rules.place(id), what, "change the words or the sentence")


def tree(
    id: Annotated[str, typer.Argument(help="Start here: an id or a name. The whole tree if left out.")] = "",
    vocab: VocabFolder = None,
    house: HouseFile = None,
    faults: Annotated[bool, typer.Option(help="Show the fault trays too.")] = False,
    format: PrintFormat = Format.table,
) -> None:
    """The tree of categories, families and notes, in walking order.

    Example: tastevocab vocab tree citrus_crate
    """
    from tastevocab.vocabulary.cache import open_vocabulary
    from tastevocab.vocabulary.card import branch
    from tastevocab.vocabulary.pointing import point_at

    vocabulary = open_vocabulary(vocab, house)
    start = point_at(vocabulary, id).id if id else ""
    rows = [(depth, d) for depth, d in branch(vocabulary, start) if faults or start or not d.fault]
    if format is Format.table:
        for depth, d in rows:
            retired = f" (retired: use {d.use_instead})" if d.use_instead else ""
            forms = f" (a thing of {len(d.span)} notes)" if d.level == "thing" else ""
            say(f"{'  ' * depth}{d.print}  [{d.id}]{forms}{retired}")
    else:
        columns = ("depth", "level", "id", "print", "home", "about")
        print_rows(format, columns, [(n, d.level, d.id, d.print, d.home, d.about) for n, d in rows])


def show(
    words: Annotated[list[str], typer.Argument(help="An id, or a name as a taster says it.")],
    lang: Language = "",
    vocab: VocabFolder = None,
    house: HouseFile = None,
    format: PrintFormat = Format.table,
) -> None:
    """The card of one descriptor or attribute: meaning, names, neighbours, kin, and how to taste it, allergens first.

    Example: tastevocab vocab show bergamot
    """
    from tastevocab.vocabulary.cache import open_vocabulary
    from tastevocab.vocabulary.card import attribute_lines, card, card_lines
    from tastevocab.vocabulary.model import Descriptor
    from tastevocab.vocabulary.pointing import anything_at

    vocabulary = open_vocabulary(vocab, house)
    (thing,) = anything_at(vocabulary, [" ".join(words)], *tags(lang))
    if isinstance(thing, Descriptor):
        made = card(vocabulary, thing.id, *tags(lang))
        lines, row = card_lines(made), asdict(made)
    else:
        lines, row = attribute_lines(thing), asdict(thing)
        del row["place"]
    if format in (Format.json, Format.jsonl):
        print_json(row) if format is Format.json else print_jsonl([row])
    elif format is Format.table:
        width = max(len(heading) for heading, _ in lines) + 2
        for heading, text in lines:
            wrapper = textwrap.TextWrapper(console().width, heading.ljust(width), " " * width, break_on_hyphens=False)
            say(wrapper.fill(text))
    else:
        print_rows(format, ("what", "text"), lines)


def add(
    text: Annotated[str, typer.Argument(help="The word or phrase.")],
    house: Annotated[Path, typer.Option("--house", metavar="FILE", help="House file to write; made if not there.")],
    under: Annotated[str, typer.Option(metavar="ID", help="The family, note or reach word it goes under.")] = "",
    as_: Annotated[
        str,
        typer.Option("--as", metavar="KIND", help="note, name, heard, ignore, flavour or fault; guessed if left out."),
    ] = "",
    about: Annotated[str, typer.Option(help="One sentence that says what a new note is.")] = "",
    language: Annotated[str, typer.Option(help="Language tag of the word; the vocabulary's first if left out.")] = "",
    vocab: VocabFolder = None,
) -> None:
    """Add a word to the house file and show what changed; refused if it would break a rule.

    Example: tastevocab vocab add slatterberry --under dark_berries --as note --house house.yaml
    """
    from tastevocab.vocabulary.house_edit import Addition, add_word

    changed = add_word(house, Addition(text, under, as_, about, language), folder=vocab)
    sys.stdout.write(changed)
    notice(f"{house}: {'written' if changed else 'says so already'}")


def sheet(
    wanted: Annotated[str, typer.Option("--for", metavar="WORDS", help="Notes to taste, with commas between.")],
    lang: Language = "",
    vocab: VocabFolder = None,
    house: HouseFile = None,
    format: PrintFormat = Format.md,
) -> None:
    """The shopping and preparation sheet for a calibration, allergens first.

    Example: tastevocab vocab sheet --for "peach, apricot, jasmine"

    Example: tastevocab vocab sheet --for "limón, durazno" --lang es-MX
    """
    from tastevocab.vocabulary.cache import open_vocabulary
    from tastevocab.vocabulary.pointing import anything_at
    from tastevocab.vocabulary.sheet import sheet as make
    from tastevocab.vocabulary.sheet import sheet_text

    vocabulary = open_vocabulary(vocab, house)
    tongues = tags(lang)
    made = make(vocabulary, anything_at(vocabulary, [w for w in wanted.split(",") if w.strip()], *tongues), *tongues)
    if format in (Format.table, Format.md):
        sys.stdout.write(sheet_text(made))
    elif format is Format.csv:
        rows = [(label, r.make, "; ".join(r.allergens), r.keep, r.care) for label, r in made.items]
        print_rows(format, ("note", "make", "allergens", "keep", "care"), rows)
    else:
        row = asdict(made)
        print_json(row) if format is Format.json else print_jsonl([row])


if TYPE_CHECKING:
    from tastevocab.vocabulary.draft import Draft, Problem


class Exchange(StrEnum):
    """What a vocabulary can be exported to."""

    skos_ttl = "skos-ttl"
    skos_jsonld = "skos-jsonld"
    csv = "csv"
    graphml = "graphml"
    json = "json"


def export(
    out: Annotated[Path, typer.Argument(help="File to write; - for standard output.")],
    to: Annotated[Exchange, typer.Option("--to", help="The format.")] = Exchange.skos_ttl,
    base: Annotated[str, typer.Option(metavar="ADDRESS", help="Address that all SKOS addresses begin with.")] = "",
    vocab: VocabFolder = None,
    house: HouseFile = None,
) -> None:
    """Write the vocabulary in an open format: SKOS as Turtle or JSON-LD, CSV, GraphML or JSON.

    Example: tastevocab vocab export --to skos-ttl coffee.ttl
    """
    from tastevocab.vocabulary.cache import open_vocabulary
    from tastevocab.vocabulary.exchange.export import exported, write_text
    from tastevocab.vocabulary.exchange.tables import rows

    vocabulary = open_vocabulary(vocab, house)
    text = csv_text(*rows(vocabulary)) if to is Exchange.csv else exported(vocabulary, to.value, base)
    if str(out) == "-":
        sys.stdout.write(text)
    else:
        write_text(out, text)
        notice(f"{out}: written ({to.value})")


def import_(
    file: Annotated[Path, typer.Argument(help="A SKOS file: .ttl, .nt, .jsonld or .json.")],
    out: Annotated[Path | None, typer.Option(metavar="FOLDER", help="Write it as a new vocabulary folder.")] = None,
) -> None:
    """Read a SKOS thesaurus: ours comes back as it was, a foreign one with a report of what it lacks.

    Example: tastevocab vocab import coffee.ttl --out my-vocab
    """
    from tastevocab.vocabulary.check import check as check_draft
    from tastevocab.vocabulary.check import lacks
    from tastevocab.vocabulary.exchange.skos_in import read_skos
    from tastevocab.vocabulary.exchange.yaml_out import write_folder

    imported = read_skos(file)
    count = len(imported.draft.descriptors)
    say(f"{imported.draft.name} {imported.draft.version}: {count} descriptors")
    for sentence in (*imported.report, *lacks(check_draft(imported.draft))):
        say(f"- {sentence}")
    if out is not None:
        write_folder(imported.draft, out)
        notice(f"{out}: written; language data (cues, decoys, spellings ...) is not part of SKOS: copy it over")


def diff(
    old: Annotated[Path | None, typer.Argument(help="A vocabulary folder, or a house file.")] = None,
    new: Annotated[Path | None, typer.Argument(help="A vocabulary folder, or a house file.")] = None,
    session: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Say which findings of this session would move.")
    ] = None,
    over: Annotated[
        bool,
        typer.Option("--over-archive", help="Compare what kept sessions were read with to today's (or to one named)."),
    ] = False,
    archive: ArchiveFile = None,
    vocab: VocabFolder = None,
    format: PrintFormat = Format.table,
) -> None:
    """What changed between two vocabularies: ids added, retired, renamed; words moved. Nothing is changed by it.

    Over an archive also what old findings become, and which words it did not know then and does now.

    Example: tastevocab vocab diff old-vocab new-vocab --session spring-table.yaml; then
    tastevocab vocab diff --over-archive --archive tables.sqlite
    """
    from tastevocab.panel.settling import some
    from tastevocab.vocabulary.diff import compare, open_side, told

    if over:
        _over_archive(old, archive, vocab, format)
        return
    if old is None or new is None:
        raise InputError("a comparison takes two vocabularies", mend="name OLD and NEW, or give --over-archive")
    before, after = open_side(old, vocab), open_side(new, vocab)
    rows = told(compare(before, after))
    rows += _rebooked_rows(session, old, new, vocab) if session else []
    if format is Format.table:
        _say_rows(rows)
        versions = f"{before.name} {before.version} ({before.hash}) > {after.version} ({after.hash})"
        notice(f"{versions}: {some(len(rows), 'change')}")
    else:
        print_rows(format, ("change", "what", "old", "new"), rows)


def _say_rows(rows: list[tuple[str, str, str, str]]) -> None:
    for kind, what, was, now in rows:
        say(folded(f"{kind:10}  {what}: {was or '-'} > {now or '-'}"))


def _over_archive(side: Path | None, archive: Path | None, vocab: Path | None, format: Format) -> None:
    """Every vocabulary that kept sessions were read with, against `side` (None: the one of today)."""
    from tastevocab.archive.drift import became_rows, drifts, learnt
    from tastevocab.cli.archive_open import at
    from tastevocab.panel.claims import exact_finder
    from tastevocab.panel.settling import some
    from tastevocab.reading.words.lexicon import open_lexicon
    from tastevocab.vocabulary.cache import open_vocabulary
    from tastevocab.vocabulary.diff import parts_of, told

    parts = parts_of(side, vocab) if side else (vocab, None)
    today = open_vocabulary(*parts)
    find = exact_finder(open_lexicon(*parts).names, today)
    with at(archive) as file:
        found = drifts(file, today)
        words = learnt(file, find)
    rows = [row for drift in found for row in (*told(drift.change), *became_rows(drift))]
    rows += [
        ("learnt", f"{w.words!r}, said {some(w.times, 'time')} in {some(w.sessions, 'session')}", "", w.descriptor)
        for w in words
    ]
    if format is not Format.table:
        print_rows(format, ("change", "what", "old", "new"), rows)
        return
    _say_rows(rows)
    for drift in found:
        notice(f"{some(drift.sessions, 'session')} read with {drift.name} {drift.version} ({drift.hash})")
    notice(f"held against {today.name} {today.version} ({today.hash}): {some(len(rows), 'change')}")


def _rebooked_rows(path: Path, old: Path, new: Path, vocab: Path | None) -> list[tuple[str, str, str, str]]:
    from tastevocab.panel.gather import gather
    from tastevocab.panel.session import read_session
    from tastevocab.reading.words.lexicon import open_lexicon
    from tastevocab.vocabulary.diff import Mention, parts_of, rebooked, told_finding

    session = read_session(path)

    def mentions(side: Path) -> list[Mention]:
        found = gather(session, open_lexicon(*parts_of(side, vocab))).findings
        return [Mention(f.spot.source, f.spot.note or "", *f.spot.span, f.spot.words, f.descriptor) for f in found]

    return [told_finding(moved) for moved in rebooked(mentions(old), mentions(new))]


def register(app: typer.Typer) -> None:
    """Add `vocab` and its commands."""
    topic = typer.Typer(help="Look at, check, extend and exchange the vocabulary.", no_args_is_help=True)
    for function in (check, tree, show, add, sheet, diff, export, import_):
        topic.command(function.__name__.rstrip("_"))(function)
    app.add_typer(topic, name="vocab")
