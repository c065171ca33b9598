"""Files that appear whole or not at all, and one writer at a time.

A killed program leaves nothing for ever: what it was writing is known by a lock that ends with it, and the next writer
in that folder clears it away.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from functools import lru_cache
from pathlib import Path
from typing import BinaryIO

from tastevocab.errors import InputError, Place, TastevocabError
from tastevocab.opened import plain

MEND = "check the path and its rights"
WAIT = 20.0  # seconds a writer waits for another
_PREFIX, _SUFFIX = ".tastevocab-", ".part"


def write_whole(path: Path, data: bytes, *, error: type[TastevocabError] = InputError, mend: str = MEND) -> None:
    """Write `data` as the file `path`; errors as in `whole_file`."""
    with whole_file(path, error=error, mend=mend) as out:
        out.write(data)


def write_together(files: Mapping[Path, bytes], *, mend: str = MEND) -> None:
    """Write files that belong together: all of them are on the disk before the first takes its name, so that no full
    disk leaves some new and some old. Raises `InputError`, with nothing changed, where one cannot be written."""
    with ExitStack() as stack:
        for path, data in files.items():
            stack.enter_context(whole_file(path, mend=mend)).write(data)


@contextmanager
def whole_file(path: Path, *, error: type[TastevocabError] = InputError, mend: str = MEND) -> Iterator[BinaryIO]:
    """A file to write to, which takes the name `path` only when all is written; one that is there keeps its rights, and
    a link there goes on pointing where it did.

    Raises `error`, mended as `mend` says, where it cannot be written (its folder has to be there), and where a folder
    or anything else that is no file has that name.
    """
    try:
        target = path.resolve() if path.is_symlink() else path
        rights = _rights(target)
        with part_of(target) as (part, out):
            yield out
            out.flush()
            os.chmod(part, rights)  # a temporary file is readable by its owner alone
            if sys.platform == "win32":
                out.close()
            os.replace(part, target)
    except OSError as problem:
        what = f"cannot be written: {problem.strerror or problem}"
        raise error(what, place=Place(os.fspath(path)), mend=mend) from None


def _rights(path: Path) -> int:
    """The rights that a file has, or gets. Raises `OSError` where there is something that is no file."""
    try:
        return plain(path).stat().st_mode & 0o777
    except FileNotFoundError:
        return 0o644


@contextmanager
def part_of(path: Path) -> Iterator[tuple[str, BinaryIO]]:
    """The name of a temporary file beside `path`, and the file; it is taken away at the end, unless renamed. Raises
    `OSError`."""
    _clear(path.absolute().parent)
    while True:
        handle, part = tempfile.mkstemp(dir=path.parent, prefix=_PREFIX, suffix=_SUFFIX)
        out = os.fdopen(handle, "wb")
        if _alone(out.fileno()) and os.fstat(out.fileno()).st_nlink:
            break
        out.close()  # another writer took it for left behind before it was locked
    try:
        yield part, out
    finally:
        with suppress(OSError):  # what could not be written cannot be flushed either
            out.close()
        with suppress(OSError):  # it is gone when all went well
            os.unlink(part)


@lru_cache(maxsize=256)
def _clear(folder: Path) -> None:
    """Take away, once, what writers that were killed have left in a folder."""
    with suppress(OSError):
        for entry in os.scandir(folder):
            if entry.name.startswith(_PREFIX) and entry.name.endswith(_SUFFIX):
                _take_away(entry.path)


def _take_away(left: str) -> None:
    with suppress(OSError):
        handle = os.open(left, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
        try:
            dead = _alone(handle)
            if sys.platform == "win32":  # no open file is taken away there
                os.close(handle)
            if dead:
                os.unlink(left)
        finally:
            if sys.platform != "win32":
                os.close(handle)


def _alone(handle: int) -> bool:
    """Whether nobody else holds the lock of an open file; it is held from then on, until the file is closed."""
    if sys.platform == "win32":
        return True
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


@contextmanager
def locked(path: Path, *, error: type[TastevocabError] = InputError) -> Iterator[None]:
    """One writer at a time, of all programs that ask, for what is read, changed and written: `path` names it, and a
    lock file lies beside it meanwhile. Raises `error` where another writes for longer than `WAIT` seconds, or where no
    file can be made there.
    """
    lock = path.with_name(f".{path.name}.lock")
    until = time.monotonic() + WAIT
    while (handle := _held(lock, error)) is None:
        if time.monotonic() > until:
            raise error("another program is writing it", place=Place(os.fspath(path)), mend="try again")
        time.sleep(0.01)
    try:
        yield
    finally:
        if sys.platform != "win32":  # while it is held, so that nobody waits for a file that is gone
            with suppress(OSError):
                lock.unlink()
        os.close(handle)
        with suppress(OSError):
            if sys.platform == "win32":
                lock.unlink()


def _held(lock: Path, error: type[TastevocabError]) -> int | None:
    """The lock file, held; None where another holds it."""
    try:
        if sys.platform == "win32":  # a killed program's lock file can be taken away, one that is held cannot
            with suppress(OSError):
                lock.unlink()
            return os.open(lock, os.O_CREAT | os.O_EXCL | os.O_RDWR)
        handle = os.open(lock, os.O_CREAT | os.O_RDWR | os.O_NOFOLLOW | os.O_NONBLOCK, 0o644)
    except FileExistsError:
        return None
    except OSError as problem:
        what = f"cannot be written: {problem.strerror}"
        raise error(what, place=Place(os.fspath(lock)), mend=MEND) from None
    with suppress(OSError):
        if _alone(handle) and os.path.samestat(os.fstat(handle), os.stat(lock)):
            return handle
    os.close(handle)
    return None


def make_folder(folder: Path, *, mend: str = MEND) -> None:
    """Make a folder and those above it where they are not there. Raises `InputError` where that fails."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        what = f"cannot be written: {problem.strerror}"
        raise InputError(what, place=Place(os.fspath(folder)), mend=mend) from None
