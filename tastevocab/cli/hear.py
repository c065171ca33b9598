"""`tastevocab hear`: a recording to captions, by a recogniser and a model that the user has."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tastevocab.cli.options import HouseFile, VocabFolder, laid
from tastevocab.cli.output import notice, progress, say
from tastevocab.errors import InputError, Place, near

if TYPE_CHECKING:
    from tastevocab.captioning.listen import Listened
    from tastevocab.panel.session import Session

NAMED = 12
"""Flavours named in a sentence at most."""


def hear(
    session: Annotated[Path, typer.Option("--session", metavar="FILE", help="The session that was recorded.")],
    model: Annotated[
        Path,
        typer.Option("--model", metavar="FOLDER", help="A Whisper model in CTranslate2's form. Nothing is downloaded."),
    ],
    sound: Annotated[
        Path | None, typer.Argument(help="The recording; left out where each seat has a file of its own.")
    ] = None,
    voice: Annotated[
        list[str] | None,
        typer.Option(
            "--voice",
            metavar="WHO",
            help="Whose voice: one taster for the whole recording (mira), or a file a seat (mira=a.m4a, repeated). "
            "Left out: voices have no name until you name them at the desk.",
        ),
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="The captions; beside the recording if left out.")
    ] = None,
    plain: Annotated[bool, typer.Option("--plain", help="Listen once, without the house's words.")] = False,
    force: Annotated[bool, typer.Option("--force", help="Write over captions that are there.")] = False,
    vocab: VocabFolder = None,
    house: HouseFile = None,
) -> None:
    """Make captions of a recording, with the second of every word.

    It listens twice: plainly, and told which words to expect (names, the house's words, flavours that sound like what
    was heard). A flavour that only the second has is asked, never counted: who expects words hears them.

    Ask everybody at the table before you record. The sound stays on this machine.

    Example: tastevocab hear table.m4a --session table.yaml --model whisper-small
    """
    from tastevocab.captioning.hint import house_words
    from tastevocab.captioning.listen import listen
    from tastevocab.captioning.whisper import Whisper
    from tastevocab.panel.session import open_session
    from tastevocab.reading.words.lexicon import open_lexicon
    from tastevocab.vocabulary.cache import open_vocabulary
    from tastevocab.written import make_folder, write_whole

    read = open_session(session)
    sounds = _sounds(sound, voice or [], read)
    path = out or (sound.with_suffix(".vtt") if sound else read.folder / f"{read.id}.vtt")
    if path.exists() and not force:
        raise InputError("is there already", place=Place(str(path)), mend="choose another with --out, or --force")
    recogniser = Whisper(model, read.languages[0] if read.languages else "")
    house = laid(house)
    lexicon = open_lexicon(vocab, house, *read.languages)
    own = house_words(open_vocabulary(vocab, house), open_vocabulary(vocab)) if house else ()
    names = (*read.tasters, *(name for c in read.coffees.values() for name in (c.name, *c.names)))
    total = sum(recogniser.seconds(file) for _, file in sounds) * (1 if plain else 2)
    with progress("listening", round(total)) as step:
        made = listen(recogniser, sounds, lexicon, None if plain else (*names, *own), step=step)
    make_folder(path.parent)
    write_whole(path, made.captions.encode())
    say(str(path))
    _tell(made, sounds, path)


def _sounds(sound: Path | None, voices: list[str], session: Session) -> list[tuple[str, Path]]:
    """Whose voice and which file, one a sound; an empty name is nobody's."""
    pairs = [(who.strip(), file.strip()) for who, _, file in (voice.partition("=") for voice in voices)]
    files = [file for _, file in pairs if file]
    if sound is None and (not pairs or len(files) < len(pairs)):
        raise typer.BadParameter("give a recording, or a file for every --voice (mira=a.m4a)", param_hint="--voice")
    if sound is not None and (files or len(pairs) > 1):
        raise typer.BadParameter(
            "a recording has one voice (--voice mira) or none; give each seat's file without it (--voice mira=a.m4a)",
            param_hint="--voice",
        )
    people = {name.casefold(): name for name in (*session.tasters, *session.speakers)}
    for who, _ in pairs:
        if who.casefold() not in people:
            raise InputError(f"{who!r} is no taster", place=session.place, mend=near(who, session.tasters))
    named = [people[who.casefold()] for who, _ in pairs]
    twice = next((name for name in named if named.count(name) > 1), None)
    if twice:
        raise InputError(f"{twice!r} has two files", place=session.place, mend="give each seat one file")
    if sound is not None:
        return [(named[0] if named else "", sound)]
    return [(name, Path(file)) for name, (_, file) in zip(named, pairs, strict=True)]


def _tell(made: Listened, sounds: list[tuple[str, Path]], path: Path) -> None:
    notice(f"{made.words:,} words of {made.seconds / 60:.1f} minutes")
    if made.offers:
        heard = list(dict.fromkeys(offer.heard for offer in made.offers))
        shown = ", ".join(heard[:NAMED]) + (f" and {len(heard) - NAMED} more" if len(heard) > NAMED else "")
        notice(f"heard only with the house's words, asked and counted for nobody: {shown}")
    if made.nowhere:
        notice(f"heard only with the house's words, where plainly nothing was said: {', '.join(made.nowhere[:NAMED])}")
    if not all(voice for voice, _ in sounds):
        notice("no voice has a name: give the speakers theirs at the desk (`tastevocab desk`)")
    notice(f"name the captions in the session: `- {{source: {path.name}}}` under notes:, and the recording as audio:")


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("hear")(hear)
