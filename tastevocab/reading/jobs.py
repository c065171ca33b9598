"""Reading a large table with several processes: chunks of rows out, finished text back, in the order of the rows."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path

from tastevocab.reading.records import Reading, Turn
from tastevocab.reading.words.lexicon import Lexicon, open_lexicon

CHUNK_ROWS = 2000

# Gives one reading as text. A function of a module, so that it can be sent to another process by name.
Render = Callable[[Reading, Lexicon], str]


@dataclass(frozen=True, slots=True)
class Bench:
    """What every process needs: the vocabulary's folder and house file, the notes' defaults and language tags, how to
    render."""

    render: Render
    folder: Path | None = None
    house: Path | None = None
    defaults: Mapping[str, str] = field(default_factory=dict)
    tongues: tuple[str, ...] = ()


def read_rows(turns: Sequence[Turn], lexicon: Lexicon, bench: Bench) -> str:
    """The rows of a table read one after the other, rendered and joined."""
    from tastevocab.reading.read import read_turns, with_defaults

    readings = (read_turns([with_defaults(turn, bench.defaults)], lexicon, isolated=True) for turn in turns)
    return "".join(bench.render(reading, lexicon) for reading in readings)


def chunks(turns: Iterable[Turn], rows: int = CHUNK_ROWS) -> Iterator[list[Turn]]:
    """The turns in lists of at most `rows`."""
    source = iter(turns)
    while some := list(islice(source, rows)):
        yield some


def texts_of(turns: Iterable[Turn], bench: Bench, *, jobs: int, rows: int = CHUNK_ROWS) -> Iterator[tuple[str, int]]:
    """The rendered text of each chunk of `rows` rows and how many it held, in order, made by `jobs` processes.

    At most two chunks a process are under way at once, so that memory does not grow with the table.
    """
    waiting: deque[tuple[Future[str], int]] = deque()
    with ProcessPoolExecutor(jobs, initializer=_open, initargs=(bench,)) as pool:
        for some in chunks(turns, rows):
            waiting.append((pool.submit(_work, some), len(some)))
            if len(waiting) >= 2 * jobs:
                future, count = waiting.popleft()
                yield future.result(), count
        while waiting:
            future, count = waiting.popleft()
            yield future.result(), count


_opened: tuple[Lexicon, Bench] | None = None


def _open(bench: Bench) -> None:
    """In a new process: open the vocabulary once."""
    global _opened
    _opened = open_lexicon(bench.folder, bench.house, *bench.tongues), bench


def _work(turns: list[Turn]) -> str:
    assert _opened is not None
    return read_rows(turns, *_opened)
