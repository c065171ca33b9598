"""Opening a vocabulary fast: what was built once is remembered in the user's cache folder.

A remembered file is named by the SHA-256 of everything it was made from (the bytes of the vocabulary and house files,
the tool's own code, the Python version), carries a digest of its name and content, and holds plain data (`packed.py`).
Whatever does not fit is made anew; a folder that cannot be written is left alone.
"""

from __future__ import annotations

import contextlib
import gc
import hashlib
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from tastevocab import __version__
from tastevocab.errors import Place, TastevocabError
from tastevocab.vocabulary.folder import content_digest, default_folder
from tastevocab.vocabulary.model import Attribute, Descriptor, Form, Reference, TwoFaced, Vocabulary
from tastevocab.vocabulary.packed import packed, unpacked
from tastevocab.written import write_whole

T = TypeVar("T")

SWITCH = "TASTEVOCAB_CACHE"
KEPT_FILES = 24
_SUFFIX = ".remembered"
_DIGEST_BYTES = 32
KINDS = (Place, Reference, Descriptor, Form, Attribute, TwoFaced, Vocabulary)


def open_vocabulary(folder: Path | None = None, house: Path | None = None) -> Vocabulary:
    """The vocabulary in `folder` (the one that ships if None) with the `house` file laid over it, ready to use.

    Built once and remembered by content: a changed file is seen at once. The vocabulary's `hash` covers the house file.
    Raises `VocabularyError` with file and line at the first thing that is wrong.
    """
    folder = folder or default_folder()
    digest = content_digest(folder, *([house] if house else []))
    # Places name files as the user gave them, so the same bytes elsewhere are remembered apart.
    where = f"{os.fspath(folder)}\0{os.fspath(house) if house else ''}"

    def make() -> Vocabulary:
        from tastevocab.vocabulary.load import build, first_problem, read_draft

        draft = first_problem(read_draft(folder))
        if house is not None:
            from tastevocab.vocabulary.house import lay_house

            draft = first_problem(lay_house(draft, house))
        draft.hash = digest[:16]
        return build(draft)

    return remembered(f"vocabulary\0{digest}\0{where}", Vocabulary, make)


def remembered(key: str, kind: type[T], make: Callable[[], T], kinds: Sequence[type] = KINDS) -> T:
    """What `make` gives, from the cache if the same `key` was made before by the same code.

    `key` must name everything that `make` depends on besides the code of tastevocab (`vocabulary.hash` and what it is
    for). The value is a `kind` and may hold records of `kinds` and the plain values that `packed` takes; others are
    made anew every time.
    """
    place = _place(key)
    if place is None:
        return make()
    kept = _read(place, kinds)
    if isinstance(kept, kind):
        with contextlib.suppress(OSError):
            os.utime(place)  # what is used stays, what was made once goes
        return kept
    with _without_collector():
        made = make()
        _write(place, made, kinds)
    return made


def cache_folder() -> Path | None:
    """Where things are remembered: TASTEVOCAB_CACHE ("off" for nowhere), else the user's cache folder."""
    given = os.environ.get(SWITCH, "")
    if given.lower() in ("off", "0", "no"):
        return None
    if given:
        return Path(given)
    for variable in ("XDG_CACHE_HOME", "LOCALAPPDATA"):
        base = os.environ.get(variable, "")
        if base and Path(base).is_absolute():
            return Path(base) / "tastevocab"
    with contextlib.suppress(RuntimeError):
        return Path.home() / ".cache" / "tastevocab"
    return None


def _place(key: str) -> Path | None:
    folder = cache_folder()
    if folder is None:
        return None
    digest = hashlib.sha256("\0".join((__version__, sys.version, _code_mark(), key)).encode())
    return folder / (digest.hexdigest() + _SUFFIX)


@cache
def _code_mark() -> str:
    """Names, sizes and times of the rooms' own files: an edited tool remembers nothing of its past."""
    package = Path(__file__).resolve().parents[1]
    marks: list[str] = []
    for room in ("vocabulary", "reading/language"):
        with contextlib.suppress(OSError):
            for entry in sorted(os.scandir(package / room), key=lambda e: e.name):
                if entry.name.endswith(".py"):
                    stat = entry.stat()
                    marks.append(f"{room}/{entry.name}:{stat.st_size}:{stat.st_mtime_ns}")
    return "\n".join(marks)


def _digest(place: Path, payload: bytes) -> bytes:
    """Of the name too: a sound file under another's name is not what it says."""
    return hashlib.sha256(place.name.encode() + payload).digest()


def _read(place: Path, kinds: Sequence[type]) -> Any:
    """What stands in a file; None where it is not there or not ours."""
    try:
        data = place.read_bytes()
        payload = data[_DIGEST_BYTES:]
        if _digest(place, payload) != data[:_DIGEST_BYTES]:
            return None
        with _without_collector():
            return unpacked(payload, kinds)
    except Exception:  # a damaged or foreign file can fail in any way; it is only a copy
        return None


@contextlib.contextmanager
def _without_collector() -> Iterator[None]:
    """The cycle collector walks every new record again and again while many are made; let it rest."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _write(place: Path, value: object, kinds: Sequence[type]) -> None:
    try:
        payload = packed(value, kinds)
    except (TypeError, ValueError, OverflowError):
        return
    with contextlib.suppress(OSError, TastevocabError):
        place.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        write_whole(place, _digest(place, payload) + payload)
        _forget_old(place.parent)


def _forget_old(folder: Path) -> None:
    """Keep the files used last."""
    files = sorted(folder.glob(f"*{_SUFFIX}"), key=lambda p: p.stat().st_mtime_ns, reverse=True)
    for old in files[KEPT_FILES:]:
        with contextlib.suppress(OSError):
            old.unlink()
