"""The decisions files of a session: read as they stand on disk, written whole or not at all, undone and redone.

The files are the store: every change reads them anew, so that another desk, `review` or an editor may write them too.
"""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Callable, Container, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from tastevocab.errors import InputError, Place
from tastevocab.opened import plain
from tastevocab.reading.review.decisions import Decision, beside, read_decisions, save
from tastevocab.written import locked

Entries = tuple[Decision, ...]
Files = Mapping[Path, Entries]


@dataclass(frozen=True, slots=True)
class Change:
    """One action as it was written: the decisions beside each file of notes before and after, and what to call it."""

    told: str
    before: Files
    after: Files


class Kept:
    """The decisions beside the `notes` files of one session; `known` are the ids that they may name.

    `past` and `future` are the changes of this sitting; when the past is used up, undo goes on with the last decisions
    in the files.
    """

    def __init__(self, notes: tuple[Path, ...], known: Container[str] | None = None) -> None:
        self.notes = tuple(dict.fromkeys(notes))
        self.known = known
        self.past: list[Change] = []
        self.future: list[Change] = []
        self._here = threading.RLock()
        self._read: dict[Path, tuple[bytes, Entries]] = {}

    def files(self) -> Files:
        """Every file's decisions as they stand now. Raises `InputError`, with file and line, for one that is wrong."""
        return {path: self._entries(path) for path in self.notes}

    def revision(self) -> str:
        """A word that changes whenever any of the files does."""
        made = hashlib.sha256()
        for path in self.notes:
            data = _bytes(beside(path))
            made.update(f"{len(data)}\n".encode() + data)
        return made.hexdigest()[:16]

    def _entries(self, path: Path) -> Entries:
        file = beside(path)
        data = _bytes(file)
        before = self._read.get(path)
        if before and before[0] == data:
            return before[1]
        entries = tuple(read_decisions(file, known=self.known)) if data else ()
        self._read[path] = data, entries
        return entries

    def change(self, told: str, make: Callable[[Files], Files]) -> Change:
        """Write what `make` gives for the decisions as they are now (only files that change need be in it).

        Raises what `make` raises, and `InputError` where a file cannot be written; then nothing is changed.
        """
        with self._locked():
            now = self.files()
            made = Change(told, now, {**now, **make(now)})
            if made.before != made.after:
                self._write(made.before, made.after)
                self.past.append(made)
                self.future.clear()
            return made

    def undo(self) -> str:
        """Take back the last change; what it was, "" where there is none."""
        with self._locked():
            now = self.files()
            change = self.past.pop() if self.past else _last(now)
            if change is None:
                return ""
            self._write(now, _taken_back(now, change.after, change.before))
            self.future.append(change)
            return change.told

    def redo(self) -> str:
        """Make the change that was undone last again; what it was, "" where there is none."""
        with self._locked():
            if not self.future:
                return ""
            change = self.future.pop()
            now = self.files()
            self._write(now, _taken_back(now, change.before, change.after))
            self.past.append(change)
            return change.told

    @property
    def can_undo(self) -> bool:
        """Whether there is anything to take back."""
        return bool(self.past) or any(self.files().values())

    def _write(self, before: Files, after: Files) -> None:
        """Each file whole or not at all; where one cannot be written, those written before it are put back."""
        done: list[Path] = []
        try:
            for path in self.notes:
                if after[path] != before[path]:
                    save(beside(path), after[path], path.name)
                    done.append(path)
        except InputError:
            for path in done:
                with suppress(InputError):
                    save(beside(path), before[path], path.name)
            raise

    @contextmanager
    def _locked(self) -> Iterator[None]:
        """One writer at a time on these files."""
        with self._here, locked(beside(self.notes[0])):
            yield


def _bytes(file: Path) -> bytes:
    try:
        return plain(file).read_bytes()
    except FileNotFoundError:
        return b""
    except OSError as problem:
        what = f"cannot be read: {problem.strerror}"
        raise InputError(what, place=Place(str(file)), mend="check the file and its rights") from None


def _last(now: Files) -> Change | None:
    """The last decision in the files, as a change: of the last file that has any."""
    for path in reversed(list(now)):
        if entries := now[path]:
            told = " ".join(filter(None, (entries[-1].decide, " ".join(entries[-1].words.split()))))
            return Change(told, {**now, path: entries[:-1]}, now)
    return None


def _taken_back(now: Files, made: Files, before: Files) -> Files:
    """`now` without what led from `before` to `made`; what others changed in between stays."""
    result = dict(now)
    for path in now:
        if now[path] == made[path]:
            result[path] = before[path]
            continue
        left = [d for d in now[path] if d not in made[path] or d in before[path]]
        back = [d for d in before[path] if d not in made[path] and d not in left]
        result[path] = (*left, *back)
    return result
