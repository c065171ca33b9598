"""Walking a person through the review queue: one question at a time, every decision kept at once, the last undone."""

from __future__ import annotations

from collections.abc import Callable, Container, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from tastevocab.errors import InputError
from tastevocab.reading.records import Finding, Reading, SetAside, Unresolved
from tastevocab.reading.report.contract import Item, in_file_order
from tastevocab.reading.review.apply import matched
from tastevocab.reading.review.company import NOBODY, Company
from tastevocab.reading.review.context import Key, Texts, folded, keyed
from tastevocab.reading.review.decisions import PLACED, Decision, Decisions, Verb, beside, decided, entry_of
from tastevocab.reading.review.details import Details
from tastevocab.reading.review.kept import Entries, Files, Kept
from tastevocab.reading.review.question import Ask, Candidate, Desk
from tastevocab.reading.review.queue import Sheet, queue
from tastevocab.reading.review.said import said_of
from tastevocab.reading.review.stretches import ends_of

_BY_PLACE = "what was set aside is brought back place by place"

# Writes a word into the shop's house file (word, id it goes under) and gives the id it means from then on.
AddWord = Callable[[str, str], str]
ByWords = dict[str, list[tuple[Key, Item]]]


@dataclass(frozen=True, slots=True)
class Notes:
    """One text under review: the file it stands in, its reading without decisions, the texts its spans count in."""

    path: Path
    reading: Reading
    texts: Texts


class Walk:
    """A sitting: what is still to be asked, what was decided, and the files in which decisions are kept.

    Decisions so far are read from beside the notes (`known`: the ids that they may name); `company` is what is known of
    who tasted what.
    With `set_asides` what was set aside is asked about, too, with `firm` what is counted without doubt.

    An answer `everywhere` holds for the same words, read as the same, in all of the notes; it is kept beside each file.
    """

    def __init__(
        self,
        notes: Sequence[Notes],
        desk: Desk,
        known: Container[str] | None = None,
        *,
        company: Company = NOBODY,
        set_asides: bool = False,
        firm: bool = False,
    ) -> None:
        self.notes, self.desk, self.company, self.set_asides, self.firm = notes, desk, company, set_asides, firm
        self.store = Kept(tuple(n.path for n in notes), known)
        self.log: list[tuple[Path, Decision]] = []
        self.skipped: set[tuple[int, Key]] = set()
        self._asks: tuple[Ask, ...] | None = None
        self.total = len(self.asks())

    def sheets(self) -> list[Sheet]:
        """The notes with the decisions about them."""
        kept = self.store.files()
        return [Sheet(n.path, n.reading, Decisions(beside(n.path), kept[n.path], n.texts)) for n in self.notes]

    def asks(self) -> tuple[Ask, ...]:
        """What is not decided yet, with effects on the counts as they are now."""
        if self._asks is None:
            self._asks = queue(
                self.sheets(), self.desk, company=self.company, set_asides=self.set_asides, firm=self.firm
            )
        return self._asks

    def current(self) -> Ask | None:
        """The question to ask now; None when all is decided or skipped."""
        return next((a for a in self.asks() if (a.sheet, a.key) not in self.skipped), None)

    @property
    def number(self) -> int:
        """The how-manieth question the current one is, of `total`."""
        left = sum((a.sheet, a.key) not in self.skipped for a in self.asks())
        return max(self.total - left + 1, 1)

    def skip(self, ask: Ask) -> None:
        """Leave a question for another time."""
        self.skipped.add((ask.sheet, ask.key))

    def accept(self, ask: Ask, *, everywhere: bool = False) -> Decision:
        """Take an item as it was read; an unknown word for its first candidate; a set-aside for what it names.

        Raises `InputError` where there is nothing to take it for.
        """
        if ask.kind == "which coffee" and ask.item.spot.coffee:
            return self.place(ask, ask.item.spot.coffee)
        id = ask.key.was if not isinstance(ask.item, Unresolved) else None
        if id is None:
            if not ask.candidates:
                raise InputError("there is no candidate to accept", mend="change it to a descriptor, or reject it")
            return self.choose(ask, ask.candidates[0], everywhere=everywhere)
        return self._keep(ask, decided(ask.key, "accept", fault=id in self.desk.lexicon.names.faults), everywhere)

    def choose(self, ask: Ask, candidate: Candidate, *, everywhere: bool = False) -> Decision:
        """Take an item for one of its candidates; which coffee it is holds for the whole stretch that may be of it."""
        if candidate.coffee:
            return self.place(ask, candidate.coffee)
        read_so = not isinstance(ask.item, Finding) or ask.item.present
        present = None if candidate.present == read_so else candidate.present
        return self.change(ask, candidate.descriptor, present=present, everywhere=everywhere)

    def place(self, ask: Ask, coffee: str) -> Decision:
        """Say of which coffee the stretch is that a question is about. Raises `InputError` where it is about none."""
        crossing = getattr(ask.item, "crossing", None)
        notes = self.notes[ask.sheet]
        said = said_of(notes.reading)
        ends = [said.at_file(p) for p in (crossing.start, crossing.end)] if crossing else []
        if not ends or ends[0] is None:
            raise InputError("there is no stretch here", mend="say it of the words: c, and the coffee at the desk")
        start, end = (None if p is None else said.mark_at(p, notes.texts) for p in ends)
        made = Decision("stretch", "", details=Details(coffee=coffee), start=start, end=end)
        return self._keep(ask, made)

    def change(self, ask: Ask, id: str, *, present: bool | None = None, everywhere: bool = False) -> Decision:
        """Take an item for the descriptor `id`; the two sides of a two-faced word are kept as flavour or fault.

        `present` says that it was found or denied (None: as it was read).
        """
        verb = verb_for(ask, id, self.desk)
        fault = id in self.desk.lexicon.names.faults
        return self._keep(ask, decided(ask.key, verb, id, fault=fault, present=present), everywhere)

    def reject(self, ask: Ask, *, everywhere: bool = False) -> Decision:
        """Set an item aside for good."""
        return self._keep(ask, decided(ask.key, "reject"), everywhere)

    def ignore(self, ask: Ask) -> Decision:
        """Set these words aside wherever they stand in this file, now and later."""
        return self._keep(ask, Decision("ignore", ask.key.words))

    def house(self, ask: Ask, under: str, add: AddWord) -> Decision:
        """Make the words a house word under an id, wherever they stand. Raises what `add` raises."""
        return self._keep(ask, Decision("house", ask.key.words, descriptor=add(ask.key.words, under)))

    def undo(self) -> Decision | None:
        """Take back the last decision (of this sitting; then the last one kept); None if there is none."""
        made = self.log.pop() if self.log else self._last_kept()
        if made is None:
            return None
        path, last = made

        def change(files: Files) -> Files:
            return {here: _without(last, files[here]) for here in (files if last.everywhere else (path,))}

        self.store.change("", change)
        self.skipped.clear()
        self._asks = None
        return last

    def _last_kept(self) -> tuple[Path, Decision] | None:
        files = self.store.files()
        return next(((n.path, files[n.path][-1]) for n in reversed(self.notes) if files[n.path]), None)

    def _keep(self, ask: Ask, decision: Decision, everywhere: bool = False) -> Decision:
        if everywhere and isinstance(ask.item, SetAside):
            raise InputError(_BY_PLACE, mend="answer for this place only")
        decision = decision.wide() if everywhere else decision
        self.keep([(self.notes[ask.sheet].path, decision)])
        return decision

    def keep(self, made: Sequence[tuple[Path, Decision]]) -> None:
        """Keep decisions, each beside the file it is about; one that holds everywhere beside every file. What others
        wrote there meanwhile stays."""

        def change(files: Files) -> Files:
            now = {path: list(entries) for path, entries in files.items()}
            for path, decision in made:
                for here in now if decision.everywhere else (path,):
                    now[here].append(decision)
            return {path: tuple(entries) for path, entries in now.items()}

        self.store.change("", change)
        self.log += made
        self._asks = None


def _without(last: Decision, entries: Entries) -> Entries:
    """Entries without the last one that is written as `last` is."""
    written = entry_of(last)
    n = next((n for n in reversed(range(len(entries))) if entry_of(entries[n]) == written), len(entries))
    return (*entries[:n], *entries[n + 1 :])


def verb_for(ask: Ask, id: str, desk: Desk) -> Verb:
    """What choosing `id` decides: accept what it was read as, the side of a two-faced word, or a change."""
    pair = desk.asked_as(ask.item) if isinstance(ask.item, Finding) and ask.kind == "two-faced" else None
    if pair and id in (pair.flavour, pair.fault):
        return "flavour" if id == pair.flavour else "fault"
    return "accept" if id == ask.key.was and not isinstance(ask.item, SetAside) else "change"


# --- from a file ---


def decide_all(walk: Walk, drafts: Sequence[Decision], add: AddWord) -> int:
    """Take decisions from a list, all or none: every one is understood before the first is kept. Gives how many.

    Raises `InputError`, with file and line, for one whose words are not there or whose meaning is not known.
    """
    index = [(notes, _by_words(notes)) for notes in walk.notes]
    ready = [(path, made) for draft in drafts for path, made in _ready(walk, draft, index)]
    for n, (path, decision) in enumerate(ready):
        if decision.decide == "house":
            ready[n] = path, replace(decision, descriptor=add(decision.words, decision.descriptor or ""))
    walk.keep(ready)
    return len(ready)


def _by_words(notes: Notes) -> ByWords:
    """The items of a text by their words as compared."""
    made: dict[str, list[tuple[Key, Item]]] = {}
    for key, item in keyed(in_file_order(notes.reading), notes.texts):
        made.setdefault(folded(key.words), []).append((key, item))
    return made


def _ready(walk: Walk, draft: Decision, index: Sequence[tuple[Notes, ByWords]]) -> list[tuple[Path, Decision]]:
    """A draft as full decisions: one for each item it is about, or one for a file where it is about all such words."""
    if draft.decide in PLACED:
        return _placed(walk, draft)
    found: list[tuple[Path, Decision]] = []
    for notes, by_words in index:
        if draft.source and Path(draft.source.partition(":")[0]).name != notes.path.name:
            continue
        pairs = by_words.get(folded(draft.words), [])
        chosen, _ = matched(pairs, [replace(draft, everywhere=False)])
        meant = [i for i in sorted(chosen) if not (draft.everywhere and isinstance(pairs[i][1], SetAside))]
        if chosen and not meant:
            raise InputError(f"{draft.words!r}: {_BY_PLACE}", place=draft.place, mend="leave out `everywhere:`")
        made = [_settled(draft, *pairs[i], walk.desk) for i in meant]
        if made and draft.decide in ("ignore", "house"):
            made = [replace(draft, descriptor=made[0].descriptor)]
        found.extend((notes.path, d) for d in made)
    if not found:
        files = ", ".join(sorted({n.path.name for n in walk.notes}))
        mend = f"see `tastevocab review {files} --list` for what there is"
        raise InputError(f"no {draft.words!r} like this in {files}", place=draft.place, mend=mend)
    if draft.everywhere:  # once, however many files it was found in
        first: dict[Decision, Path] = {}
        for path, decision in found:
            first.setdefault(decision, path)
        return [(path, decision) for decision, path in first.items()]
    return list(dict.fromkeys(found))


def _placed(walk: Walk, draft: Decision) -> list[tuple[Path, Decision]]:
    """A draft about a place in the text, with the file in which the place is."""
    for notes in walk.notes:
        if draft.source and Path(draft.source.partition(":")[0]).name != notes.path.name:
            continue
        said = said_of(notes.reading)
        if draft.start is not None:
            there = ends_of(draft, said, Decisions(beside(notes.path), texts=notes.texts)) is not None
        else:
            there = said.find(draft.mark, notes.texts) is not None
        if there:
            id = _id(draft, walk.desk) if draft.descriptor else None
            fault = id in walk.desk.lexicon.names.faults
            return [(notes.path, replace(draft, descriptor=id, fault=fault, everywhere=False))]
    files = ", ".join(sorted({n.path.name for n in walk.notes}))
    what = f"no {draft.words!r}" if draft.start is None else "no such stretch"
    raise InputError(f"{what} in {files}", place=draft.place, mend="look at the words, or at the times, in the file")


def _settled(draft: Decision, key: Key, item: Item, desk: Desk) -> Decision:
    """The draft as a decision about this very item."""
    id = draft.descriptor and _id(draft, desk)
    verb = draft.decide
    if verb == "fault" and id is None:
        pair = desk.asked_as(item) if isinstance(item, Finding) else None
        id = pair.fault if pair else None
    elif verb == "accept" and isinstance(item, Unresolved):
        verb, id = "change", id or (item.suggestions[0].descriptor if item.suggestions else None)
    if id is None and verb in ("change", "fault"):
        mend = "write `descriptor:` with an id"
        raise InputError(f"{draft.words!r}: {draft.decide} to what?", place=draft.place, mend=mend)
    means = id or key.was or ""
    fault = means in desk.lexicon.names.faults
    made = decided(key, verb, id, fault=fault, present=draft.present, details=draft.details)
    return made.wide() if draft.everywhere else made


def _id(draft: Decision, desk: Desk) -> str:
    """The id that a draft names, by itself or by a word for it."""
    from tastevocab.vocabulary.compose import whole

    given = draft.descriptor or ""
    if given in desk.lexicon.prints:
        return given
    meant = whole(desk.lexicon.names, given)
    if meant is None or meant.descriptor is None:
        mend = f"find its id with `tastevocab find {given}`"
        raise InputError(f"{given!r} is no descriptor", place=draft.place, mend=mend)
    return meant.descriptor
