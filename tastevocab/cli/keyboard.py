"""Keys from a plain terminal, one at a time where it allows that; else lines of which the first letter is the key."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable

# Shows a prompt and gives the next key (or, if asked to, a whole typed line); "" at the end of the input.
Keys = Callable[[str, bool], str]

# What arrow and function keys send: swallowed whole, so that no letter in it is taken for an answer.
_SEQUENCE = re.compile(r"\x1b(?:\[[0-9;?]*[ -/]*[@-~]|O.|.)?", re.DOTALL)


def keys() -> Keys:
    """Keys of standard input as it is now."""
    if sys.stdin.isatty() and sys.stdout.isatty():
        try:
            import termios  # noqa: F401
        except ImportError:
            return _lines
        return Terminal(sys.stdin.fileno())
    return _lines


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
    """Single keys of a terminal; what was typed ahead is kept for the next question."""

    def __init__(self, handle: int) -> None:
        self.handle = handle
        self.ahead = ""

    def __call__(self, prompt: str, whole_line: bool) -> str:
        sys.stdout.write(prompt)
        sys.stdout.flush()
        if whole_line:
            return self._line()
        key = self._key()
        sys.stdout.write((key if key.isprintable() else "") + "\n")
        return key

    def _line(self) -> str:
        typed, self.ahead = self.ahead, ""
        while "\n" not in typed:
            data = os.read(self.handle, 4096)
            if not data:
                break
            typed += data.decode(errors="replace")
        line, _, self.ahead = typed.partition("\n")
        return line

    def _key(self) -> str:
        import termios
        import tty

        before = termios.tcgetattr(self.handle)
        try:
            tty.setcbreak(self.handle)
            while not self.ahead:
                data = os.read(self.handle, 4096)
                if not data:
                    return ""
                self.ahead = _SEQUENCE.sub("", data.decode(errors="replace"))
        finally:
            termios.tcsetattr(self.handle, termios.TCSADRAIN, before)
        key, self.ahead = self.ahead[0], self.ahead[1:]
        return key
