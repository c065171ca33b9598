"""Files of a pack: names that stay in their folder, and writing them there."""

from __future__ import annotations

import unicodedata
from collections.abc import Collection, Mapping
from pathlib import Path

from tastevocab.errors import InputError, Place
from tastevocab.written import make_folder, write_together

RESERVED = {"con", "prn", "aux", "nul", *(f"{port}{i}" for port in ("com", "lpt") for i in range(1, 10))}
OTHER_FOLDER = "choose another folder with --out"


def safe_name(text: str, taken: Collection[str] = ()) -> str:
    """`text` as a folder or file name that leads nowhere else on any system, and differs from those `taken`.

    >>> safe_name("../vale alto"), safe_name("con"), safe_name("a", {"a"})
    ('vale-alto', 'con-', 'a-2')
    """
    kept = "".join(c if c.isalnum() or c in "-_" else "-" for c in unicodedata.normalize("NFC", text))
    name = "-".join(part for part in kept.split("-") if part)[:80] or "coffee"
    name = f"{name}-" if name.casefold() in RESERVED else name
    known = {t.casefold() for t in taken}
    number = 2
    made = name
    while made.casefold() in known:
        made = f"{name}-{number}"
        number += 1
    return made


def write_all(out: Path, folders: Mapping[str, Mapping[str, bytes]]) -> list[Path]:
    """Write files into folders of `out`, those of a folder all or none; gives the paths, in order.

    Raises `InputError` where a name would lead out of `out` or a file cannot be written.
    """
    written: list[Path] = []
    for folder, files in folders.items():
        made = {_target(out, folder, name): data for name, data in files.items()}
        write_together(made, mend=OTHER_FOLDER)
        written += made
    return written


def _target(out: Path, folder: str, name: str) -> Path:
    target = out / folder / name if folder else out / name
    make_folder(target.parent, mend=OTHER_FOLDER)
    inside = target.parent.resolve().is_relative_to(out.resolve()) and not target.is_symlink()
    if not inside or not name or Path(name).name != name:
        raise InputError("leads out of the chosen folder", place=Place(str(target)), mend="remove the link there")
    return target
