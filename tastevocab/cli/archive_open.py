"""What the archive's commands share: the file, today's vocabulary, and the form of their answers."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tastevocab.cli.output import Format

if TYPE_CHECKING:
    from tastevocab.archive.store import Archive
    from tastevocab.panel.summary import Bench

FormatOption = Annotated[Format, typer.Option("--format", help="How to print it.")]


@contextmanager
def at(file: Path | None, *, make: bool = False) -> Iterator[Archive]:
    """The archive in `file`, or in the user's data folder."""
    from tastevocab.archive.store import default_path, opened

    with opened(file or default_path(), make=make) as archive:
        yield archive


def tools_of(vocab: Path | None, house: Path | None) -> Bench:
    """The vocabulary of today, made ready."""
    from tastevocab.panel.summary import bench
    from tastevocab.reading.words.lexicon import open_lexicon
    from tastevocab.vocabulary.cache import open_vocabulary

    return bench(open_vocabulary(vocab, house), open_lexicon(vocab, house).names)
