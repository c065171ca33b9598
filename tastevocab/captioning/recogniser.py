"""What a recogniser of speech gives, whichever it is: words with their seconds."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol


@dataclass(frozen=True, slots=True)
class Word:
    """One word as it was heard, with the marks beside it, from second `start` to `end`; `voice` whose it is ("": not
    known), `last` whether a sentence or phrase ends with it."""

    text: str
    start: float
    end: float
    voice: str = ""
    last: bool = False


class Recogniser(Protocol):
    """Turns sound into words."""

    def seconds(self, sound: Path) -> float:
        """How long a recording is. Raises `InputError` where the file is missing or holds no sound."""
        ...

    def words(self, sound: Path, hint: str, step: Callable[[float], object]) -> Iterator[Word]:
        """The words of a recording in order; `hint` are words to expect ("" for none), `step` is called with the
        seconds that were done since. Raises as `seconds`."""
        ...
