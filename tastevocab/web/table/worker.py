"""Reading and counting in processes of their own, so that they keep nobody's note from being kept.

`python -m tastevocab.web.table.worker` reads requests, one JSON object a line, and answers each with one line. It ends
when its input does, so that it outlives no server, however that ended.
"""

from __future__ import annotations

import asyncio
import json
import os
import sys
from collections.abc import Callable, Mapping
from contextlib import suppress
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from tastevocab.errors import TastevocabError
from tastevocab.web.table.setting import from_json
from tastevocab.web.table.state import State, total
from tastevocab.web.table.store import Event

if TYPE_CHECKING:
    from tastevocab.reading.words.lexicon import Lexicon
    from tastevocab.vocabulary.model import Vocabulary
    from tastevocab.web.search import Search
    from tastevocab.web.table.ending import Tools
    from tastevocab.web.table.marks import Reader

Row = dict[str, Any]
MOST_FOUND = 12


class Failed(Exception):
    """A piece of work that could not be done, with the reason in words for people."""


class Asks(Protocol):
    """Whatever does a table's reading and counting."""

    async def ask(self, what: str, *given: Any) -> Any:
        """What the function of `Work` called `what` gives. Raises `Failed`."""

    async def stop(self) -> None:
        """End it."""


class Work:
    """What can be asked, with one vocabulary and its house file (None: the one that ships, no house), at a table of
    these language tags."""

    def __init__(self, vocab: Path | None = None, house: Path | None = None, *tongues: str) -> None:
        self._vocab, self._house, self._tongues = vocab, house, tongues

    @cached_property
    def tools(self) -> Tools:
        from tastevocab.web.table.ending import open_tools

        return open_tools(self._vocab, self._house, *self._tongues)

    @cached_property
    def _opened(self) -> tuple[Vocabulary, Lexicon]:
        from tastevocab.reading.words.lexicon import open_lexicon
        from tastevocab.vocabulary.cache import open_vocabulary

        return open_vocabulary(self._vocab, self._house), open_lexicon(self._vocab, self._house, *self._tongues)

    @cached_property
    def reader(self) -> Reader:
        from tastevocab.web.table.marks import Reader

        return Reader(*self._opened)

    @cached_property
    def search(self) -> Search:
        from tastevocab.web.search import Search

        return Search(*self._opened)

    def read(self, text: str, moment: str, bowl: str) -> list[Row]:
        """How a note is read."""
        return self.reader.read(text, moment, bowl)

    def find(self, words: str) -> list[Row]:
        """Descriptors that a few letters, or a word, may mean."""
        found = [hit for hit in self.search.find(words, most=3 * MOST_FOUND) if hit.descriptor]
        return [
            {"descriptor": hit.descriptor, "print": hit.print, "as": hit.named, "home": hit.where}
            for hit in found[:MOST_FOUND]
        ]

    def print_of(self, descriptor: str) -> str | None:
        """The label of a descriptor, None if there is none."""
        return self.reader.tops.get(descriptor)

    def results(self, session: str, setting: Row, events: list[Row]) -> dict[str, Any]:
        """The counts of the rounds that were shown."""
        from tastevocab.panel.session import read_session
        from tastevocab.web.table.ending import results_of

        return dict(results_of(read_session(Path(session)), from_json(setting), _state(events), self.tools))

    def write(self, session: str, setting: Row, events: list[Row], folder: str) -> list[str]:
        """Write the table as a session into `folder`; gives the files."""
        from tastevocab.panel.session import read_session
        from tastevocab.web.table.ending import write_session

        made = write_session(Path(folder), read_session(Path(session)), from_json(setting), _state(events), self.tools)
        return [str(path) for path in made]

    def pack(self, folder: str, style: str = "") -> list[str]:
        """Make the feature pack of the session written into `folder` in a house style; gives its folders."""
        from tastevocab.web.table.ending import make_pack

        return make_pack(Path(folder), self.tools, Path(style) if style else None)

    def do(self, what: str, given: list[Any]) -> Any:
        """Do one of the above by its name."""
        if what not in ("read", "find", "print_of", "results", "write", "pack"):
            raise ValueError(what)
        return getattr(self, what)(*given)


def _state(events: list[Row]) -> State:
    return total(Event(**e) for e in events)


class WorkHere:
    """Work in this process: for tests."""

    def __init__(self, work: Work | None = None) -> None:
        self._work = work or Work()

    async def ask(self, what: str, *given: Any) -> Any:
        try:
            return await asyncio.to_thread(self._work.do, what, json.loads(json.dumps(given)))
        except TastevocabError as problem:
            raise Failed(str(problem)) from None

    async def stop(self) -> None: ...


class WorkBeside:
    """Work in a process of its own, started when first asked; one that died is started anew."""

    def __init__(self, vocab: Path | None = None, house: Path | None = None, *tongues: str) -> None:
        self._command = [sys.executable, "-m", __name__, str(vocab or ""), str(house or ""), *tongues]
        self._process: asyncio.subprocess.Process | None = None
        self._listener: asyncio.Task[None] | None = None
        self._waiting: dict[int, asyncio.Future[Any]] = {}
        self._count = 0
        self._starting = asyncio.Lock()

    async def _start(self) -> asyncio.StreamWriter:
        async with self._starting:
            if self._process is None or self._process.returncode is not None:
                self._process = await asyncio.create_subprocess_exec(
                    *self._command,
                    stdin=asyncio.subprocess.PIPE,
                    stdout=asyncio.subprocess.PIPE,
                    limit=2**26,
                    env={**os.environ, "PYTHONUTF8": "1"},
                    start_new_session=True,  # Ctrl-C is the server's to handle
                )
                self._listener = asyncio.create_task(self._listen(self._process))
        assert self._process.stdin is not None
        return self._process.stdin

    async def _listen(self, process: asyncio.subprocess.Process) -> None:
        assert process.stdout is not None
        async for line in process.stdout:
            answer = json.loads(line)
            waiting = self._waiting.pop(answer["id"], None)
            if waiting is not None and not waiting.done():
                _settle(waiting, answer)
        lost, self._waiting = self._waiting, {}
        for waiting in lost.values():
            if not waiting.done():
                waiting.set_exception(Failed("the reader stopped; it starts again with the next note"))

    async def ask(self, what: str, *given: Any) -> Any:
        pipe = await self._start()
        self._count += 1
        waiting = self._waiting[self._count] = asyncio.get_running_loop().create_future()
        pipe.write(json.dumps({"id": self._count, "what": what, "given": given}).encode() + b"\n")
        with suppress(ConnectionError):  # then the listener says so
            await pipe.drain()
        return await waiting

    async def stop(self) -> None:
        process, self._process = self._process, None
        if process is None:
            return
        assert process.stdin is not None
        process.stdin.close()
        with suppress(asyncio.TimeoutError):
            await asyncio.wait_for(process.wait(), 3)
        if process.returncode is None:
            with suppress(ProcessLookupError):
                process.kill()
            await process.wait()
        if self._listener is not None:
            await self._listener


def _settle(waiting: asyncio.Future[Any], answer: Mapping[str, Any]) -> None:
    if "fails" in answer:
        waiting.set_exception(Failed(answer["fails"]))
    else:
        waiting.set_result(answer["gives"])


def _answer(work: Work, asked: Mapping[str, Any]) -> dict[str, Any]:
    try:
        return {"id": asked["id"], "gives": work.do(asked["what"], asked["given"])}
    except TastevocabError as problem:
        return {"id": asked["id"], "fails": str(problem)}
    except Exception as problem:  # one note that cannot be read must not stop the reading of the others
        return {"id": asked["id"], "fails": f"{type(problem).__name__}: {problem}"}


def main(vocab: str, house: str, *tongues: str) -> None:
    """Answer requests on standard input until it ends; what libraries print goes to standard error."""
    work = Work(Path(vocab) if vocab else None, Path(house) if house else None, *tongues)
    out, sys.stdout = sys.stdout, sys.stderr
    make: Callable[[Any], str] = json.dumps
    for line in sys.stdin:
        out.write(make(_answer(work, json.loads(line))) + "\n")
        out.flush()


if __name__ == "__main__":
    with suppress(KeyboardInterrupt, BrokenPipeError):
        main(*sys.argv[1:])
