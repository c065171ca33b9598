"""A sitting at the desk: a session read once, a person's decisions applied anew after every action, in milliseconds."""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from tastevocab.errors import InputError
from tastevocab.panel.flavour_map import Serving
from tastevocab.panel.gather import Entry, Gathered, pooled, settled_entries
from tastevocab.panel.session import Session, read_session
from tastevocab.panel.session_check import require_sound
from tastevocab.panel.summary import Bench, Report, bench, report_of
from tastevocab.panel.under_review import Part, company_of, parts_of
from tastevocab.reading.report.contract import Item, in_file_order
from tastevocab.reading.review.apply import applied
from tastevocab.reading.review.company import Company
from tastevocab.reading.review.context import Key, keyed
from tastevocab.reading.review.decisions import Decision, Decisions, beside
from tastevocab.reading.review.kept import Files, Kept
from tastevocab.reading.review.question import Ask, Desk
from tastevocab.reading.review.queue import Sheet, queue
from tastevocab.reading.review.said import Said, said_of
from tastevocab.reading.words.lexicon import Lexicon, open_lexicon
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.web.desk.marks import Line, Mark, lines_of, marks_of, settled_items
from tastevocab.web.search import Search


@dataclass(frozen=True, slots=True)
class Text:
    """One text of the session as it was read: what was said, and its items by the key they are known again by."""

    part: Part
    name: str
    said: Said
    pairs: tuple[tuple[Key, Item], ...]

    @property
    def path(self) -> Path:
        """The file beside which decisions about it are kept."""
        return self.part.notes.path


@dataclass(frozen=True, slots=True)
class Page:
    """One text as it is now: `said` in the session's ids, its lines and its marks."""

    said: Said
    lines: tuple[Line, ...]
    marks: tuple[Mark, ...]


class View:
    """Everything as it is by the decisions in `files`: the pages, what was gathered, what is left to ask."""

    def __init__(self, sitting: Sitting, files: Files, revision: str) -> None:
        self.files, self.revision, self._sitting = files, revision, sitting
        self._reports: dict[Serving, Report] = {}
        made, entries = [], []
        for text in sitting.texts:
            notes = text.part.notes
            decisions = self._decisions(text)
            done = applied(
                notes.reading, decisions, text=text.said, strengths=sitting.lexicon.strength, pairs=text.pairs
            )
            reading = done.reading(notes.reading, decisions)
            made.append((done, reading))
            entries.append(Entry(text.part.source, reading))
        self._now = [reading for _, reading in made]
        told = settled_entries(sitting.session, entries)
        self.gathered: Gathered = pooled(told)
        pages = []
        for n, ((done, reading), entry) in enumerate(zip(made, told.entries, strict=True)):
            here = done.stretches.said
            said = here.recut(zip(here.starts, entry.reading.said, strict=True))
            marks = marks_of(n, done, settled_items(reading, entry.reading))
            pages.append(Page(said, lines_of(said), marks))
        self.pages = tuple(pages)
        self.marks: Mapping[str, tuple[int, Mark]] = {m.id: (n, m) for n, p in enumerate(pages) for m in p.marks}

    def report(self, serving: Serving) -> Report:
        """What follows from it all for one serving set (brews and moments thrown together where none is chosen).

        Raises `InputError` for a coffee or brew that is not there.
        """
        if serving not in self._reports:
            self._reports[serving] = report_of(self.gathered, serving, self._sitting.tools, pool=True)
        return self._reports[serving]

    def _decisions(self, text: Text) -> Decisions:
        return Decisions(beside(text.path), self.files[text.path], text.part.notes.texts)

    @cached_property
    def asks(self) -> tuple[tuple[Ask, str], ...]:
        """What is left to ask, what would change most first, each with its mark."""
        sitting = self._sitting
        sheets = [
            Sheet(t.path, t.part.notes.reading, self._decisions(t), now, t.pairs)
            for t, now in zip(sitting.texts, self._now, strict=True)
        ]
        rows = {(n, key): f"{n}.{i}" for n, t in enumerate(sitting.texts) for i, (key, _) in enumerate(t.pairs)}
        asks = queue(sheets, sitting.desk, company=sitting.company)
        return tuple((ask, rows[ask.sheet, ask.key]) for ask in asks if (ask.sheet, ask.key) in rows)

    @cached_property
    def found_in(self) -> Mapping[str, str]:
        """The mark of each finding, by the finding's id."""
        return {m.item.id: m.id for p in self.pages for m in p.marks if hasattr(m.item, "id")}


class Sitting:
    """One session at the desk.

    `file` is the session's file; `vocab` a folder (None: what ships), `house` the file that house words go into (None:
    none is kept). `step` hears of every entry read. Raises `InputError` for a session that is unsound or unreadable,
    or decisions that are.
    """

    def __init__(
        self,
        file: Path,
        *,
        vocab: Path | None = None,
        house: Path | None = None,
        step: Callable[[int], object] = lambda n: None,
    ) -> None:
        self.session: Session = read_session(file)
        require_sound(self.session)
        self.vocab, self.house = vocab, house
        self.company: Company = company_of(self.session)
        self.generation = 0
        self._lock = threading.RLock()
        self._view: View | None = None
        self._open(step)
        self.kept = Kept(tuple(t.path for t in self.texts), self.lexicon.prints)
        self.view()

    def _open(self, step: Callable[[int], object] = lambda n: None) -> None:
        """Read everything with the vocabulary as it is now."""
        house = self.house if self.house and self.house.exists() else None
        self.lexicon: Lexicon = open_lexicon(self.vocab, house, *self.session.languages)
        self.vocabulary = open_vocabulary(self.vocab, house)
        self.tools: Bench = bench(self.vocabulary, self.lexicon.names)
        self.search = Search(self.vocabulary, self.lexicon)
        self.desk = Desk(self.lexicon, self.vocabulary.two_faced.values(), self.search.attributes)
        self.faults = self.lexicon.names.faults
        self.texts = tuple(self._texts(step))
        self.generation += 1
        self._view = None

    def _texts(self, step: Callable[[int], object]) -> Iterator[Text]:
        for part in parts_of(self.session, self.lexicon, step=step):
            pairs = tuple(keyed(in_file_order(part.notes.reading), part.notes.texts))
            source = part.source
            name = source.source or f"note of {source.taster}"
            yield Text(part, name, said_of(part.notes.reading), pairs)

    def view(self) -> View:
        """Everything as it is now, made anew where any decisions file has changed."""
        with self._lock:
            revision = self.kept.revision()
            if self._view is None or self._view.revision != revision:
                self._view = View(self, self.kept.files(), revision)
            return self._view

    def mark(self, id: str) -> tuple[Text, Mark, Key]:
        """A mark with its text and its key. Raises `InputError` where it is no longer there."""
        number, mark = self.view().marks.get(id, (None, None))
        if number is None or mark is None:
            raise InputError("this mark is no longer there", mend="look at the page again")
        text = self.texts[number]
        if mark.row >= 0:
            return text, mark, text.pairs[mark.row][0]
        d = mark.decision
        assert d is not None
        return text, mark, d.key

    def change(self, told: str, path: Path, make: Callable[[tuple[Decision, ...]], tuple[Decision, ...]]) -> str:
        """Change the decisions beside one file; what was done, as a sentence.

        The same decisions in another order are no change: nothing is written, and it is told so.
        """

        def changed(files: Files) -> Files:
            made = make(files[path])
            return {} if Counter(made) == Counter(files[path]) else {path: made}

        with self._lock:
            done = self.kept.change(told, changed)
            return told if done.before != done.after else f"it stands so already: {told}"

    def change_all(self, told: str, make: Callable[[tuple[Decision, ...]], tuple[Decision, ...]]) -> str:
        """Change the decisions beside every file."""
        with self._lock:
            self.kept.change(told, lambda files: {path: make(entries) for path, entries in files.items()})
            return told

    def add_house_word(self, words: str, under: str) -> str:
        """Write a word into the house file and read everything again with it; the id it means from now on.

        Raises `InputError` without a house file, `VocabularyError` where the word would break a rule.
        """
        from tastevocab.vocabulary.compose import whole
        from tastevocab.vocabulary.house_edit import Addition, add_word

        if self.house is None:
            raise InputError("there is no house file to write to", mend="start the desk with --house FILE (may be new)")
        with self._lock:
            add_word(self.house, Addition(words, under), folder=self.vocab)
            self._open()
            self.kept.known = self.lexicon.prints
            meant = whole(self.lexicon.names, words)
            return (meant and meant.descriptor) or under

    def recording(self) -> Path | None:
        """The recording, where the session names one that is there."""
        path = self.session.folder / self.session.audio
        return path if self.session.audio and path.is_file() else None

    def with_words(self, words: str) -> tuple[Path, ...]:
        """The files in which something was read in these words."""
        from tastevocab.reading.review.context import folded

        wanted = folded(words)
        found = (t.path for t in self.texts if any(folded(key.words) == wanted for key, _ in t.pairs))
        return tuple(dict.fromkeys(found))
