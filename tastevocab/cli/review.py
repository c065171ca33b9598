"""`tastevocab review`: a person settles what is unsure, unknown or two-faced, in a plain terminal or from a file."""

from __future__ import annotations

import shutil
import sys
import textwrap
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tastevocab.cells import csv_text
from tastevocab.cli.keyboard import Keys, keys
from tastevocab.cli.options import HouseFile, VocabFolder
from tastevocab.cli.output import Format, md_table, print_json, print_jsonl, say
from tastevocab.errors import InputError, TastevocabError

if TYPE_CHECKING:
    from tastevocab.reading.review.company import Company
    from tastevocab.reading.review.question import Ask, Candidate, Desk
    from tastevocab.reading.review.walk import AddWord, Notes, Walk

HELP = """\
  1 2 3  take it for that candidate
  a      accept it as it was read (an unknown word: as candidate 1)
  c      change it: type a word of the vocabulary or an id
  r      reject it: no finding, set aside
  e      then 1 2 3, a, c or r: the answer holds for these words in the whole session
  h      make these words a house word (start with --house FILE)
  i      ignore these words for good, wherever they stand in this file
  u      undo the last decision
  s      skip it for now
  q      quit; every decision is kept already"""


def review(
    file: Annotated[Path, typer.Argument(help="A file of notes or captions, or a session file (YAML).")],
    list_only: Annotated[bool, typer.Option("--list", help="Only list what is to be decided.")] = False,
    decide: Annotated[
        Path | None, typer.Option("--decide", help="Take decisions from this file, without asking.")
    ] = None,
    undo: Annotated[bool, typer.Option("--undo", help="Take back the last decision kept, without asking.")] = False,
    set_aside: Annotated[bool, typer.Option("--set-aside", help="Ask about what was set aside, too.")] = False,
    everything: Annotated[
        bool, typer.Option("--all", help="Show everything, also what is counted and what was set aside.")
    ] = False,
    vocab: VocabFolder = None,
    house: HouseFile = None,
    format: Annotated[Format, typer.Option("--format", "-f", help="How to print the list.")] = Format.table,
) -> None:
    """Settle what is asked, not known or two-faced; decisions are kept beside the notes and never asked again.

    What would change most comes first: what decides whether a word is printed, then faults, then claims.

    Example: tastevocab review table.vtt --house house.yaml

    Example: tastevocab review table.vtt --list --format json

    Example: tastevocab review table.vtt --decide decided.yaml
    """
    from tastevocab.reading.review.decisions import beside, read_decisions
    from tastevocab.reading.review.walk import decide_all

    walk = _walk(file, vocab, house, set_aside or everything, everything)
    add = _adder(vocab, house)
    if list_only:
        _print_list(walk, format)
    elif undo:
        _say_undone(walk, sys.stdout.write)
    elif decide is not None:
        count = decide_all(walk, read_decisions(decide, draft=True), add)
        files = sorted({str(beside(path)) for path, _ in walk.log})
        say(f"{count} decision{'' if count == 1 else 's'} kept in {', '.join(files) or 'no file'}")
    else:
        _sit_down(walk, add if house else None)


def ask_all(file: Path, vocab: Path | None, house: Path | None) -> None:
    """Ask all that waits for a person, one after the other, in this terminal."""
    _sit_down(_walk(file, vocab, house, False, False), _adder(vocab, house) if house else None)


def _sit_down(walk: Walk, add: AddWord | None) -> None:
    width = min(shutil.get_terminal_size().columns, 100)
    with keys() as next_key:
        sit(walk, add, next_key, sys.stdout.write, width)


# --- what is under review ---


def _walk(file: Path, vocab: Path | None, house: Path | None, set_aside: bool, firm: bool) -> Walk:
    from tastevocab.reading.review.company import Company
    from tastevocab.reading.review.question import desk_of
    from tastevocab.reading.review.walk import Walk
    from tastevocab.reading.words.lexicon import open_lexicon
    from tastevocab.vocabulary.cache import open_vocabulary

    if house is not None and not house.exists():
        house = None  # it is made with its first word
    vocabulary = open_vocabulary(vocab, house)
    desk = desk_of(vocabulary, open_lexicon(vocab, house))
    company = Company()
    if file.suffix.lower() in (".yaml", ".yml"):
        company, notes = _session_notes(file, desk)
    else:
        notes = [_notes(file, desk)]
    return Walk(notes, desk, desk.lexicon.prints, company=company, set_asides=set_aside, firm=firm)


def _notes(path: Path, desk: Desk) -> Notes:
    from tastevocab.reading.read import read_file
    from tastevocab.reading.review.context import texts_of
    from tastevocab.reading.review.walk import Notes

    return Notes(path, read_file(path, desk.lexicon), texts_of(path))


def _session_notes(file: Path, desk: Desk) -> tuple[Company, list[Notes]]:
    """Who tasted what, and every text of a session: each file, and each note that stands in the session file itself."""
    from tastevocab.panel.session import read_session
    from tastevocab.panel.session_check import require_sound
    from tastevocab.panel.under_review import company_of, parts_of

    session = read_session(file)
    require_sound(session)
    return company_of(session), [part.notes for part in parts_of(session, desk.lexicon)]


def _adder(vocab: Path | None, house: Path | None) -> AddWord:
    """Writes a word into the house file and gives the id it means then."""

    def add(word: str, under: str) -> str:
        from tastevocab.reading.words.lexicon import open_lexicon
        from tastevocab.vocabulary.compose import whole
        from tastevocab.vocabulary.house_edit import Addition, add_word

        if house is None:
            raise InputError("there is no house file to add a word to", mend="give --house FILE (it may be new)")
        add_word(house, Addition(word, under), folder=vocab)
        meant = whole(open_lexicon(vocab, house).names, word)
        return (meant and meant.descriptor) or under

    return add


# --- the list ---


def _print_list(walk: Walk, format: Format) -> None:
    from tastevocab.reading.review.queue import ask_row

    asks, sheets = walk.asks(), walk.sheets()
    if format in (Format.json, Format.jsonl):
        rows = [ask_row(ask, sheets) for ask in asks]
        print_json(rows) if format is Format.json else print_jsonl(rows)
    elif format is Format.table:
        for n, ask in enumerate(asks, 1):
            say("\n".join(ask_lines(walk, ask, n)) + "\n")
        say(f"{len(asks)} to decide" if asks else "Nothing is left to decide.")
    else:
        columns = ("file", "speaker", "words", "why", "candidate 1", "candidate 2", "candidate 3")
        cells = []
        for a in asks:
            names = [c.print for c in a.candidates]
            cells.append(
                (sheets[a.sheet].path.name, a.key.speaker, a.key.words, a.why, *names, *[""] * (3 - len(names)))
            )
        sys.stdout.write(csv_text(columns, cells) if format is Format.csv else md_table(columns, cells) + "\n")


def ask_lines(walk: Walk, ask: Ask, number: int, width: int = 96) -> Iterator[str]:
    """One question as a person sees it."""
    from tastevocab.cells import visible
    from tastevocab.reading.report.told import clock

    spot = ask.item.spot
    row = f"row {ask.key.note}" if ask.key.note else ""
    who = " ".join(t for t in (spot.speaker or "", clock(spot.at)) if t)
    name = walk.notes[ask.sheet].path.name
    yield visible(f"{number} of {walk.total}   {', '.join(t for t in (name, row, who) if t)}   {ask.why}")
    gap = " " if ask.after[:1].isalnum() else ""
    text = f"{ask.before} >>{' '.join(spot.words.split())}<<{gap}{ask.after}".strip()
    yield from (f"    {line}" for line in textwrap.wrap(visible(text), width - 4, break_on_hyphens=False))
    if ask.question:
        yield f"    {ask.question}"
    if ask.signs and ask.kind != "counted":
        yield from (f"    {line}" for line in textwrap.wrap(f"why: {visible(ask.signs)}", width - 4))
    shown = [_candidate(c) for c in ask.candidates]
    column = max(map(len, shown), default=0)
    present = getattr(ask.item, "present", True)
    for n, (told, candidate) in enumerate(zip(shown, ask.candidates, strict=True), 1):
        same = candidate.descriptor == ask.key.was or not candidate.descriptor
        here = candidate.coffee in (None, spot.coffee)
        read_so = "   as read" if same and here and candidate.present == present else ""
        yield f"  {n} {told.ljust(column)}   {candidate.effect}{read_so}"
    if not shown:
        level = getattr(ask.item, "level", None)
        yield f"  a {ask.key.was} {level}   as read" if level else "    nothing in the vocabulary is like it"
    if ask.rejected:
        yield f"  r {'reject'.ljust(column)}   {ask.rejected}"


def _candidate(c: Candidate) -> str:
    name = c.print if c.present else f"no {c.print}"
    return f"{name}{' (fault)' if c.fault and c.present else ''}{f' ({c.match:.2f})' if c.match else ''}"


# --- the sitting ---


def sit(walk: Walk, add: AddWord | None, next_key: Keys, write: Callable[[str], object], width: int = 96) -> None:
    """Ask one question after the other until all is decided or the person quits. Every decision is kept at once."""
    if walk.current() is None:
        write("Nothing is left to decide.\n")
        return
    shown = None
    while (ask := walk.current()) is not None or walk.log:
        if ask is None:
            write("\nAll is decided or skipped. u undoes the last decision, q ends.\n")
        elif ask is not shown:
            write("\n" + "\n".join(ask_lines(walk, ask, walk.number, width)) + "\n")
            write("\n".join(textwrap.wrap(_keys_line(ask), width, subsequent_indent="  ")) + "\n")
        shown = ask
        key = next_key("> ", False).lower()[:1]
        if key in ("", "q", "\x04"):
            break
        if not key.isspace():
            write(f"  {_told(walk, ask, key, add, next_key)}\n")
    write(f"\n{len(walk.log)} decided, {len(walk.asks())} left. Decisions are kept and apply from now on.\n")


def _told(walk: Walk, ask: Ask | None, key: str, add: AddWord | None, next_key: Keys) -> str:
    """Do what a key asks for; what was done or what went wrong, as a sentence."""
    try:
        if key == "u":
            return _undone(walk)
        return _answer(walk, ask, key, add, next_key) if ask else f"{key!r} is no key here"
    except TastevocabError as problem:
        return str(problem)


def _numbers(ask: Ask) -> str:
    count = len(ask.candidates)
    return f"1{f'-{count}' if count > 1 else ''}, " if count else ""


def _keys_line(ask: Ask) -> str:
    numbers = _numbers(ask).replace(",", " choose,")
    return (
        f"{numbers}a accept, c change, r reject, e everywhere, h house word, i ignore, u undo, s skip, q quit, ? help"
    )


def _answer(walk: Walk, ask: Ask, key: str, add: AddWord | None, next_key: Keys) -> str:
    """Do what a key asks for, and say what was done."""
    words = " ".join(ask.key.words.split())
    if key == "e":
        key = next_key(f"  everywhere in the session: {_numbers(ask)}a, c or r? ", False).lower()[:1]
        return _settling(walk, ask, key, next_key, everywhere=True) or f"{key!r} cannot hold everywhere"
    if done := _settling(walk, ask, key, next_key):
        return done
    if key == "i":
        walk.ignore(ask)
        return f'"{words}" is ignored in this file from now on'
    if key == "h":
        return _house(walk, ask, add, next_key)
    if key == "s":
        walk.skip(ask)
        return "skipped"
    return f"what the keys do:\n{HELP}" if key == "?" else f"{key!r} is no key here; ? lists them"


def _settling(walk: Walk, ask: Ask, key: str, next_key: Keys, *, everywhere: bool = False) -> str:
    """Settle the item as a key asks for, and say how; "" where the key does not settle it."""
    where = " everywhere" if everywhere else ""
    words = f'"{" ".join(ask.key.words.split())}"{where}'
    prints = walk.desk.lexicon.prints
    if key.isdigit() and 0 < int(key) <= len(ask.candidates):
        candidate = ask.candidates[int(key) - 1]
        walk.choose(ask, candidate, everywhere=everywhere)
        return f"{words} is {candidate.print if candidate.present else f'no {candidate.print}'}"
    if key == "a":
        made = walk.accept(ask, everywhere=everywhere)
        name = prints.get(made.descriptor or made.was or "")
        return f"{words} is {name or 'accepted'}"
    if key == "c":
        id = _typed_id(walk, next_key("  word or id: ", True))
        walk.change(ask, id, everywhere=everywhere)
        return f"{words} is {prints[id]}"
    if key == "r":
        walk.reject(ask, everywhere=everywhere)
        return f"{words} is set aside"
    return ""


def _house(walk: Walk, ask: Ask, add: AddWord | None, next_key: Keys) -> str:
    if add is None:
        return "no house file was given: quit, and start again with --house FILE"
    hint = ", ".join(f"{n} {c.print}" for n, c in enumerate(ask.candidates, 1))
    given = next_key(
        f"  another word for what, or in which family? ({hint + ', or ' if hint else ''}a word or id): ", True
    )
    if given.isdigit() and 0 < int(given) <= len(ask.candidates):
        under = ask.candidates[int(given) - 1].descriptor
    else:
        under = _typed_id(walk, given)
    made = walk.house(ask, under, add)
    return f'"{ask.key.words}" is a house word now: {made.descriptor}'


def _typed_id(walk: Walk, given: str) -> str:
    from tastevocab.reading.report.answers import answer

    given = given.strip()
    if given in walk.desk.lexicon.prints:
        return given
    row = answer(walk.desk.lexicon, given, exact=True)
    if row["descriptor"]:
        return str(row["descriptor"])
    near = answer(walk.desk.lexicon, given) if given else row
    mend = (
        f"did you mean {near['print']}?" if near["descriptor"] else "type another word, or see `tastevocab vocab tree`"
    )
    raise InputError(f"{given!r} is no word of the vocabulary", mend=mend)


def _undone(walk: Walk) -> str:
    last = walk.undo()
    if last is None:
        return "there is no decision to undo"
    kept = "; the house file keeps the word" if last.decide == "house" else ""
    return f'undone: {last.decide} "{" ".join(last.words.split())}"{kept}'


def _say_undone(walk: Walk, write: Callable[[str], object]) -> None:
    write(_undone(walk) + "\n")
