"""Options that several commands share."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from tastevocab.cli.output import notice


class Paper(StrEnum):
    """Whether the colour of the paper is printed."""

    tint = "tint"
    none = "none"


class SoundName(StrEnum):
    """Whether a page plays the recording of the table, and where that lies."""

    none = "none"
    copy = "copy"
    link = "link"


class ThemeName(StrEnum):
    """Colour themes of what is printed."""

    light = "light"
    dark = "dark"
    grey = "grey"


VocabFolder = Annotated[
    Path | None,
    typer.Option("--vocab", metavar="FOLDER", help="Vocabulary folder; the coffee one that ships if left out."),
]
HouseFile = Annotated[Path | None, typer.Option("--house", metavar="FILE", help="House file laid over the vocabulary.")]
Language = Annotated[
    str,
    typer.Option(
        "--lang", metavar="TAG", help="Language and region (es-MX) whose names have the first say; several with commas."
    ),
]
CoffeeOption = Annotated[list[str] | None, typer.Option("--coffee", help="Only this coffee (may be repeated).")]
PageBrew = Annotated[str | None, typer.Option("--brew", help="The brew that is printed; else the most tasted.")]
PageMoment = Annotated[
    str | None, typer.Option("--moment", help="The moment that is printed: dry, aroma, hot, warm or cool.")
]
# How a table is poured: for printed sheets and for the live table alike.
PouredMoments = Annotated[list[str] | None, typer.Option("--moment", help="Moments (commas); hot, warm, cool if none.")]
HiddenDuplicate = Annotated[bool, typer.Option("--duplicate", help="Hide one coffee twice.")]
HouseControl = Annotated[str, typer.Option("--control", metavar="NAME", help="Pour the house control too.")]
PerSitting = Annotated[int, typer.Option("--per-sitting", min=0, help="Samples a taster gets; all if left out.")]
ThemeOption = Annotated[ThemeName | None, typer.Option("--theme", help="Colours of what is printed.")]
SoundOption = Annotated[
    SoundName | None,
    typer.Option("--sound", help="The page plays the words: a copy of the recording beside it, or a link to it."),
]
StyleFile = Annotated[Path | None, typer.Option("--style", metavar="FILE", help="House style (YAML).")]
TemplateFolder = Annotated[
    Path | None, typer.Option("--templates", metavar="FOLDER", help="Your copy of the template folder, changed.")
]
ArchiveFile = Annotated[
    Path | None,
    typer.Option(
        "--archive",
        metavar="FILE",
        help="The archive; archive.sqlite in your data folder (~/.local/share/tastevocab) if left out.",
        envvar="TASTEVOCAB_ARCHIVE",
    ),
]


def tags(given: str) -> tuple[str, ...]:
    """The language tags of `--lang`."""
    return tuple(tag.strip() for tag in given.split(",") if tag.strip())


def laid(house: Path | None) -> Path | None:
    """The house file to lay over the vocabulary: none where it is not there yet, and a sentence that says so (it is
    made with its first word)."""
    if house is None or house.exists():
        return house
    notice(f"{house} is not there yet: nothing is laid over the vocabulary")
    return None
