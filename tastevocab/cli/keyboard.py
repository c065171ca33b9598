"""Keys from a plain terminal, one at a time where it allows that; else lines of which the first letter is the key."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

# Shows a prompt and gives the next key (or, if asked to, a whole typed line); "" at the end of the input.
Keys = Callable[[str, bool], str]

# What arrow and function keys send: swallowed whole, so that no letter in it is taken for an answer.
_SEQUENCE = re.compile(r"\x1b(?:\[[0-9;?]*[ -/]*[@-~]|O.|.)?", re.DOTALL)


@contextmanager
def keys() -> Iterator[Keys]:
    """Keys of standard input as it is now; a terminal is left as it was found."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        yield _lines
        return
    try:
        import termios
        import tty
    except ImportError:
        yield _lines
        return
    handle = sys.stdin.fileno()
    before = termios.tcgetattr(handle)

    def single(on: bool) -> None:
        # Neither way of switching may throw away what was typed ahead.
        if on:
            tty.setcbreak(handle, termios.TCSADRAIN)
        else:
            termios.tcsetattr(handle, termios.TCSADRAIN, before)

    try:
        single(True)
        yield Terminal(handle, single)
    finally:
        single(False)


def _lines(prompt: str, whole_line: bool) -> str:
    """A line at a time: from a pipe, or where the terminal gives no single keys."""
    sys.stdout.write(prompt)
    sys.stdout.flush()
    line = sys.stdin.readline()
    if not sys.stdin.isatty():
        sys.stdout.write("\n")
    # An empty line is no end: it is a key that means nothing.
    return line.strip() or ("\n" if line else "")


class Terminal:
    """Single keys of a terminal; what was typed ahead is kept for the next question.

    `single` switches between keys one at a time (True) and lines that can be mended while typing (False).
    """

    def __init__(self, handle: int, single: Callable[[bool], None]) -> None:
        self.handle, self.single = handle, single
        self.ahead = ""

    def __call__(self, prompt: str, whole_line: bool) -> str:
        sys.stdout.write(prompt)
        sys.stdout.flush()
        if whole_line:
            return self._line()
        while not self.ahead:
            data = os.read(self.handle, 4096)
            if not data:
                return ""
            self.ahead = _SEQUENCE.sub("", data.decode(errors="replace"))
        key, self.ahead = self.ahead[0], self.ahead[1:]
        sys.stdout.write((key if key.isprintable() else "") + "\n")
        return key

    def _line(self) -> str:
        typed, self.ahead = self.ahead, ""
        sys.stdout.write(typed.partition("\n")[0] + "\n" * ("\n" in typed))
        sys.stdout.flush()
        self.single(False)
        try:
            while "\n" not in typed:
                data = os.read(self.handle, 4096)
                if not data:
                    break
                typed += data.decode(errors="replace")
        finally:
            self.single(True)
        line, _, self.ahead = typed.partition("\n")
        return line
