"""`tastevocab start`: from the files of an afternoon to its pack, with six questions at most."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tastevocab.cli.options import HouseFile, VocabFolder, laid
from tastevocab.cli.output import notice, progress, say
from tastevocab.errors import InputError, Place

if TYPE_CHECKING:
    from tastevocab.panel.gather import Gathered
    from tastevocab.panel.proposal import Heard
    from tastevocab.panel.scaffold import Answers
    from tastevocab.panel.session import Session
    from tastevocab.reading.words.lexicon import Lexicon

Names = list[str] | None


def start(
    files: Annotated[list[Path], typer.Argument(help="Captions, sheets and tables of the tasting, or their folder.")],
    taster: Annotated[Names, typer.Option("--taster", help="Who tasted (commas, or repeat).")] = None,
    coffee: Annotated[
        Names,
        typer.Option(
            "--coffee", help='The coffees, in serving order (commas, or repeat); "Vale Alto = cup A" for talk.'
        ),
    ] = None,
    brew: Annotated[Names, typer.Option("--brew", help="The brews (commas, or repeat).")] = None,
    blind: Annotated[
        bool | None, typer.Option("--blind/--not-blind", help="Whether the coffees were hidden; asked if left out.")
    ] = None,
    claims: Annotated[str | None, typer.Option("--claims", help='"peach, honey", or "A: peach; B: plum".')] = None,
    additions: Annotated[str | None, typer.Option("--additions", help='"none", or "A: none; B: cinnamon".')] = None,
    date: Annotated[str, typer.Option("--date", help="Day of the tasting, like 2026-03-02; never asked.")] = "",
    yes: Annotated[
        bool, typer.Option("--yes", help="Ask nothing: take what was heard, leave the rest unsaid.")
    ] = False,
    session: Annotated[
        Path | None, typer.Option("--session", metavar="FILE", help="Session file to write; beside the first file.")
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", metavar="FOLDER", help="Where the pack goes.")] = None,
    open_page: Annotated[bool, typer.Option("--open/--no-open", help="Open the page when it is done.")] = True,
    vocab: VocabFolder = None,
    house: HouseFile = None,
) -> None:
    """From an afternoon's files to its pack: asks what it cannot know, writes the session, checks, reviews, makes it.

    Example: tastevocab start table.vtt sheet.csv

    Example: tastevocab start table.vtt --coffee "Vale Alto, Rio Claro" --brew filter --blind --yes
    """
    from tastevocab.panel.proposal import files_of, hear, owners
    from tastevocab.panel.scaffold import answered_text, write_session
    from tastevocab.reading.words.lexicon import open_lexicon

    found = files_of(files)
    target = session or found[0].parent / "session.yaml"
    if target.exists():
        mend = f"go on with `tastevocab session check {target}`, or choose another name with --session"
        raise InputError("is there already", place=Place(str(target)), mend=mend)
    house = laid(house)
    lexicon = open_lexicon(vocab, house)
    heard = hear(found, lexicon)
    given = {"who": taster, "coffees": coffee, "brews": brew}
    answers = _answers(heard, given, blind, claims, additions, date, silent=yes)
    names = {path: os.path.relpath(path, target.parent).replace(os.sep, "/") for path in found}
    whose = {names[path]: taster for path, taster in owners(heard.nameless, answers.tasters).items()}
    title = target if session else files[0].resolve()
    write_session(target, answered_text(title.stem, answers, list(names.values()), whose))
    for name, one in whose.items():
        notice(f"{name} says nobody's name inside: taken for {one}'s, as the file is called")
    say(f"session: {target}")
    _go_on(target, lexicon, vocab, house, out, open_page)


# --- what nobody but the table knows ---


def _answers(
    heard: Heard,
    given: Mapping[str, Names],
    blind: bool | None,
    claims: str | None,
    additions: str | None,
    date: str,
    *,
    silent: bool,
) -> Answers:
    from tastevocab.panel.proposal import uncalled
    from tastevocab.panel.scaffold import Answers

    who = _names("Who tasted?", given["who"], heard.tasters, silent)
    calls = f' (the talk says {", ".join(heard.cups)}: write "name = {heard.cups[0]}")' if heard.cups else ""
    named = _names(f"Which coffees, in serving order?{calls}", given["coffees"], heard.coffees or heard.cups, silent)
    coffees, called = _called(named)
    while missing := uncalled(heard.labels, (*coffees, *(name for names in called.values() for name in names))):
        what = f"the sheets call a coffee {', '.join(missing)}, and none of these is called so"
        how = f'write "{coffees[0]} = {missing[0]}" where it is that one'
        if silent or given["coffees"]:
            raise InputError(what, mend=f"{how}, with --coffee")
        notice(f"{what}: {how}")
        coffees, called = _called(_names("Which coffees, in serving order?", None, named, silent))
    brews = _names("Which brews? (- for none)", given["brews"], heard.brews or ("-",), silent)
    if blind is None and not silent:
        blind = _yes_no("Were the coffees hidden (blind)? yes, no, or nothing if it is not known")
    each = f", as {coffees[0]}: ...; {coffees[-1]}: ..." if len(coffees) > 1 else ""
    if claims is None and not silent:
        claims = _text(f"What does the roaster claim{each}? (nothing if nothing)")
    if additions is None and not silent:
        additions = _text(f"What was added to the coffee, or none{each}? (nothing if it is not known)")
    return Answers(
        tasters=who,
        coffees=coffees,
        brews=tuple(b for b in brews if b.casefold() not in ("-", "none")),
        blind=blind,
        called=called,
        claims={c: tuple(_parts([text])) for c, text in _by_coffee(claims or "", coffees).items()},
        additions=_by_coffee(additions or "", coffees),
        date=date,
    )


def _parts(given: Sequence[str]) -> list[str]:
    return [part.strip() for one in given for part in one.split(",") if part.strip()]


def _names(question: str, given: Names, heard: Sequence[str], silent: bool) -> tuple[str, ...]:
    if given:
        return tuple(_parts(given))
    if silent:
        return tuple(heard)
    return tuple(_parts([typer.prompt(question, default=", ".join(heard) or None, err=True)]))


def _called(named: Sequence[str]) -> tuple[tuple[str, ...], dict[str, tuple[str, ...]]]:
    """ "Vale Alto = cup A" is the coffee, and what people call it."""
    pairs = [tuple(part.strip() for part in one.split("=") if part.strip()) for one in named]
    return tuple(p[0] for p in pairs if p), {p[0]: p[1:] for p in pairs if len(p) > 1}


def _text(question: str) -> str:
    return str(typer.prompt(question, default="", show_default=False, err=True)).strip()


def _yes_no(question: str) -> bool | None:
    while True:
        said = _text(question).casefold()
        if said in ("", "?"):
            return None
        if said[0] in "yn":
            return said[0] == "y"
        notice("yes, no, or nothing")


def _by_coffee(text: str, coffees: Sequence[str]) -> dict[str, str]:
    """ "Vale: peach; Rio: plum" by coffee; words without a coffee's name are of all of them.

    Raises `InputError` for a name that is no coffee's.
    """
    from tastevocab.errors import near

    known = {name.casefold(): name for name in coffees}
    made: dict[str, str] = {}
    for part in filter(None, (p.strip() for p in text.split(";"))):
        name, colon, rest = part.partition(":")
        if not colon:
            made |= dict.fromkeys(coffees, part)
        elif name.strip().casefold() in known:
            made[known[name.strip().casefold()]] = rest.strip()
        else:
            raise InputError(f"{name.strip()!r} is none of the coffees", mend=near(name.strip(), coffees))
    return made


# --- and all that follows from it ---


def _go_on(
    path: Path, lexicon: Lexicon, vocab: Path | None, house: Path | None, out: Path | None, open_page: bool
) -> None:
    from tastevocab.cli.feature import export_folder, tell
    from tastevocab.feature.house_style import HouseStyle
    from tastevocab.feature.material import Wishes
    from tastevocab.feature.pack import make_packs, write_packs
    from tastevocab.feature.wording import Wording
    from tastevocab.panel.session import read_session
    from tastevocab.panel.summary import bench
    from tastevocab.vocabulary.cache import open_vocabulary

    read = read_session(path)
    gathered = _review(_check(read, lexicon), lexicon, vocab, house)
    tools = bench(open_vocabulary(vocab, house), lexicon.names)
    described = {f.spot.coffee for f in gathered.findings} | {a.spot.coffee for a in gathered.attributes}
    coffees = tuple(c for c in read.coffees if c in described)
    if not coffees:
        raise InputError("nobody described any coffee", place=Place(str(path)), mend=f"see `tastevocab read {path}`")
    folder = export_folder(out or path.parent / "pack", read.id)
    with progress("making packs", len(coffees)) as step:
        packs = make_packs(gathered, tools, HouseStyle(), Wording(), Wishes(coffees), step=step)
    written = write_packs(folder, packs)
    tell(packs, folder)
    page = next((p for p in written if p.name == "notes.html"), written[0])
    say(f"page: {page}")
    if open_page and sys.stdout.isatty():
        import webbrowser

        webbrowser.open(page.resolve().as_uri())


def _check(read: Session, lexicon: Lexicon) -> Gathered:
    """Read all, and say what is wrong, with its mend; what no pack can be made of stops here."""
    from tastevocab.panel.gather import pooled, read_entries
    from tastevocab.panel.notes_check import check_told
    from tastevocab.panel.session_check import require_sound

    require_sound(read)
    with progress("reading", len(read.sources)) as step:
        told = read_entries(read, lexicon, step=step)
    problems = check_told(told, lexicon)
    for line in (*map(str, problems), *told.notices):
        notice(line)
    if any(p.severity == "error" for p in problems):
        _stop(f"mend this in {read.file}, then go on with tastevocab feature {read.file}")
    return pooled(told)


def _stop(mend: str) -> None:
    """No pack of findings that are lost or booked on nothing, unless somebody at the terminal wants it so."""
    notice(mend)
    if not (sys.stdin.isatty() and typer.confirm("Make the pack all the same?", default=False, err=True)):
        raise typer.Exit(1)


def _review(gathered: Gathered, lexicon: Lexicon, vocab: Path | None, house: Path | None) -> Gathered:
    """What is unsure or unknown, asked in a terminal; elsewhere only counted."""
    from tastevocab.panel.gather import gather

    file = Path(gathered.session.file)
    count = len(gathered.asked) + len(gathered.unresolved) + sum(f.two_faced for f in gathered.findings)
    if count and sys.stdin.isatty() and sys.stdout.isatty():
        from tastevocab.cli.review import ask_all

        ask_all(file, vocab, house)
        return gather(gathered.session, lexicon)
    if count:
        notice(f"{count} to look at before anything is printed: tastevocab review {file}")
    return gathered


def register(app: typer.Typer) -> None:
    """Add the command of this file."""
    app.command("start")(start)
