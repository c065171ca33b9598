"""Files that appear whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from tastevocab.errors import InputError, Place, TastevocabError

MEND = "check the path and its rights"


def write_whole(path: Path, data: bytes, *, error: type[TastevocabError] = InputError, mend: str = MEND) -> None:
    """Write `data` as the file `path`; errors as in `whole_file`."""
    with whole_file(path, error=error, mend=mend) as out:
        out.write(data)


@contextmanager
def whole_file(path: Path, *, error: type[TastevocabError] = InputError, mend: str = MEND) -> Iterator[BinaryIO]:
    """A file to write to, which takes the name `path` only when all is written; one that is there keeps its rights.

    Raises `error`, mended as `mend` says, where it cannot be written (its folder has to be there).
    """
    part = ""
    try:
        handle, part = tempfile.mkstemp(dir=path.parent, prefix=".tastevocab-", suffix=".part")
        with os.fdopen(handle, "wb") as out:
            yield out
        # A temporary file is readable by its owner alone.
        os.chmod(part, path.stat().st_mode & 0o777 if path.exists() else 0o644)
        os.replace(part, path)
    except OSError as problem:
        what = f"cannot be written: {problem.strerror}"
        raise error(what, place=Place(os.fspath(path)), mend=mend) from None
    finally:
        if part:
            with suppress(OSError):  # it is gone when all went well
                os.unlink(part)


def make_folder(folder: Path, *, mend: str = MEND) -> None:
    """Make a folder and those above it where they are not there. Raises `InputError` where that fails."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        what = f"cannot be written: {problem.strerror}"
        raise InputError(what, place=Place(os.fspath(folder)), mend=mend) from None
