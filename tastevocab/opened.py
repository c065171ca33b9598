"""Files that are opened for reading: plain ones only, since a pipe or a device may never end, or never begin."""

from __future__ import annotations

import stat
from pathlib import Path


def plain(path: Path) -> Path:
    """The path, if a plain file is there. Raises `OSError` (its `strerror` says what is there) otherwise."""
    mode = path.stat().st_mode
    if not stat.S_ISREG(mode):
        raise OSError(0, "it is a folder" if stat.S_ISDIR(mode) else "it is no plain file")
    return path
