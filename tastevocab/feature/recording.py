"""The recording of a table beside its page, so that words can be heard: people's voices, so only where asked for."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

from tastevocab.errors import InputError, Place
from tastevocab.feature.house_style import HouseStyle
from tastevocab.panel.session import Session

COPY = "recording"
"""What a copy is called in a pack, before its ending: the name of the table's own file may tell who sat there."""


def heard_from(session: Session, style: HouseStyle, out: Path | None) -> str:
    """Where the page of a pack finds the recording, from its own place; "" where nothing is to be heard.

    `out` is the folder that packs are written to, each in a folder of its own. Raises `InputError` where the recording
    is not there, where tasters have codes (a voice tells who speaks), and where no way leads from the pack to it.
    """
    if style.sound == "none" or not session.audio:
        return ""
    file, named = session.folder / session.audio, Place(session.file)
    if style.tasters == "codes":
        raise InputError("a voice tells who speaks", place=named, mend="leave sound out, or codes for tasters")
    if not file.is_file():
        raise InputError(f"no such recording: {session.audio}", place=named, mend=f"paths start at {session.folder}")
    if style.sound == "copy":
        return _copied(file)
    try:
        way = os.path.relpath(file.resolve(), (out or session.folder).resolve() / "coffee")
    except ValueError:  # another drive
        raise InputError("no way leads from the pack to the recording", place=named, mend="use sound: copy") from None
    return quote(Path(way).as_posix())


def recording_file(session: Session, style: HouseStyle) -> Iterator[tuple[str, bytes]]:
    """Name and content of the copy that a pack holds, where the style asks for one."""
    if style.sound == "copy" and session.audio:
        file = session.folder / session.audio
        yield _copied(file), file.read_bytes()


def _copied(file: Path) -> str:
    ending = "".join(c for c in file.suffix.lower() if c.isascii() and (c.isalnum() or c == "."))
    return f"{COPY}{ending}"
