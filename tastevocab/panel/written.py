"""Files that appear whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from tastevocab.errors import InputError, Place


def write_whole(path: Path, data: bytes) -> None:
    """Write `data` under a temporary name, then rename it; folders are made. Raises `InputError` where that fails."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, part = tempfile.mkstemp(dir=path.parent, prefix=path.name, suffix=".part")
        with os.fdopen(handle, "wb") as out:
            out.write(data)
        # A temporary file is readable by its owner alone.
        os.chmod(part, path.stat().st_mode & 0o777 if path.exists() else 0o644)
        os.replace(part, path)
    except OSError as problem:
        place = Place(os.fspath(path))
        raise InputError(f"cannot be written: {problem.strerror}", place=place, mend="choose another place") from None
