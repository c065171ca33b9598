"""Which files make a vocabulary, and a digest of them. Light: a remembered vocabulary opens with no more than this."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from pathlib import Path

from tastevocab.errors import Place, VocabularyError
from tastevocab.opened import plain


def default_folder() -> Path:
    """Where the coffee vocabulary lies: beside the package in the source tree, inside it when installed."""
    package = Path(__file__).resolve().parents[1]
    packaged = package / "_vocab" / "coffee"
    if packaged.is_dir():
        return packaged
    beside = package.parent / "vocab" / "coffee"
    if beside.is_dir():
        return beside
    raise VocabularyError(
        "the vocabulary that ships with tastevocab is missing", place=Place(str(packaged)), mend="install it again"
    )


def content_digest(folder: Path, *more: Path) -> str:
    """SHA-256 (hex) over the names and bytes of all YAML files in `folder`, by name, then of the files in `more`."""
    digest = hashlib.sha256()
    for path in (*yaml_files(folder), *more):
        try:
            data = plain(path).read_bytes()
        except OSError as problem:
            raise VocabularyError(
                f"cannot be read: {problem.strerror}",
                place=Place(os.fspath(path)),
                mend="check the path and its rights",
            ) from None
        for part in (path.name.encode(), data.replace(b"\r\n", b"\n")):
            digest.update(part)
            digest.update(b"\0")
    return digest.hexdigest()


def content_hash(folder: Path) -> str:
    """The first 16 hex digits of `content_digest`: short enough for a footer, long enough to tell versions apart."""
    return content_digest(folder)[:16]


def yaml_files(folder: Path) -> Iterator[Path]:
    """The vocabulary's YAML files in a folder, by name."""
    if not folder.is_dir():
        raise VocabularyError("no such folder", place=Place(os.fspath(folder)), mend="check the path")
    yield from sorted(p for p in folder.iterdir() if p.suffix in (".yaml", ".yml") and not p.name.startswith("."))
