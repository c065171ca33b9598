"""Opening a vocabulary fast: what was built once is remembered in the user's cache folder.

A remembered file is named by the SHA-256 of everything it was made from (the bytes of the vocabulary and house files,
the tool's own code, the Python version), carries its own digest, and is read back by an unpickler that makes nothing
but tastevocab's records. Whatever does not fit is made anew; a folder that cannot be written is left alone.
"""

from __future__ import annotations

import contextlib
import gc
import hashlib
import io
import os
import pickle
import sys
import tempfile
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any, TypeVar, cast

from tastevocab import __version__
from tastevocab.vocabulary.folder import content_digest, default_folder
from tastevocab.vocabulary.model import Vocabulary

T = TypeVar("T")

SWITCH = "TASTEVOCAB_CACHE"
KEPT_FILES = 24
_SUFFIX = ".remembered"
_DIGEST_BYTES = 32
_PLAIN = {("builtins", name) for name in ("set", "frozenset", "tuple", "list", "dict", "str", "int", "float", "bool")}


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

    return remembered(f"vocabulary\0{digest}\0{where}", make)


def remembered(key: str, make: Callable[[], T]) -> T:
    """What `make` gives, from the cache if the same `key` was made before by the same code.

    `key` must name everything that `make` depends on besides the code of tastevocab (`vocabulary.hash` and what it is
    for). The value may hold records of tastevocab and plain Python values; others are made anew every time.
    """
    place = _place(key)
    if place is None:
        return make()
    found, value = _read(place)
    if found:
        return cast(T, value)
    made = make()
    _write(place, made)
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


class _Records(pickle.Unpickler):
    """Reads back tastevocab's records and plain values; anything else in a file is refused, never run."""

    def find_class(self, module: str, name: str) -> Any:
        if (module, name) in _PLAIN:
            return super().find_class(module, name)
        if module.startswith("tastevocab.") and "." not in name:
            found = super().find_class(module, name)
            if isinstance(found, type):
                return found
        raise pickle.UnpicklingError(f"{module}.{name} is no record of tastevocab")


def _read(place: Path) -> tuple[bool, Any]:
    try:
        data = place.read_bytes()
    except OSError:
        return False, None
    payload = data[_DIGEST_BYTES:]
    if hashlib.sha256(payload).digest() != data[:_DIGEST_BYTES]:
        return False, None
    try:
        with _without_collector():
            return True, _Records(io.BytesIO(payload)).load()
    except Exception:  # a damaged or foreign file can fail in any way; it is only a copy
        return False, None


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


def _write(place: Path, value: object) -> None:
    try:
        payload = pickle.dumps(value, protocol=5)
    except (pickle.PicklingError, TypeError, AttributeError, RecursionError):
        return
    with contextlib.suppress(OSError):
        place.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        handle, name = tempfile.mkstemp(dir=place.parent, suffix=".part")
        try:
            with os.fdopen(handle, "wb") as out:
                out.write(hashlib.sha256(payload).digest() + payload)
            os.replace(name, place)
        except OSError:
            with contextlib.suppress(OSError):
                os.unlink(name)
            raise
        _forget_old(place.parent)


def _forget_old(folder: Path) -> None:
    files = sorted(folder.glob(f"*{_SUFFIX}"), key=lambda p: p.stat().st_mtime_ns, reverse=True)
    for old in files[KEPT_FILES:]:
        with contextlib.suppress(OSError):
            old.unlink()
