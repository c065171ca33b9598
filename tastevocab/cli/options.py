"""Options that several commands share."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

VocabFolder = Annotated[
    Path | None,
    typer.Option("--vocab", metavar="FOLDER", help="Vocabulary folder; the coffee one that ships if left out."),
]
HouseFile = Annotated[Path | None, typer.Option("--house", metavar="FILE", help="House file laid over the vocabulary.")]
