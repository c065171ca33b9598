"""Markdown tasting sheets to turns: whose words stand where, and what is only the sheet's head."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from tastevocab.reading.intake.layout import Layout
from tastevocab.reading.intake.markdown import Block, Entry, Heading, Table, blocks, struck
from tastevocab.reading.intake.names import Names
from tastevocab.reading.intake.people import Label, declares, label_of, people_of, speakers
from tastevocab.reading.intake.plain import by_name
from tastevocab.reading.intake.sheet_tables import table_turns
from tastevocab.reading.intake.speech import line_counter
from tastevocab.reading.intake.strand import Strand
from tastevocab.reading.records import Turn

HEADER = "header"


def sheet_turns(text: str, *, source: str, layout: Layout) -> tuple[tuple[Turn, ...], tuple[str, ...]]:
    """The turns of a sheet and sentences about it.

    Headings come as turns of their own. What stands in the sheet's head (its title, "Coffee: ...", "Tasters: ...")
    has the topic "header": nothing in it was tasted. A label or a column heading that tells a moment or a brew fills
    the turn's `moment` or `brew`; a label that names an attribute, and every column heading,
    is its `topic`, lower case.
    """
    found = list(blocks(text))
    sheet = _Sheet(found, people_of(found, text, layout), layout, source, text)
    notices = tuple(
        f'{source}:{line}: "{words}" is struck out; it was left out of the reading.' for line, words in struck(text)
    )
    return tuple(sheet.turns()), notices


@dataclass(slots=True)
class _Holder:
    """A bullet or heading that lower lines belong to: its indent or level, its speakers, moment, brew and topic."""

    depth: int
    speakers: tuple[str, ...] = ()
    moment: str | None = None
    brew: str | None = None
    topic: str | None = None


@dataclass(slots=True)
class _State:
    header: bool
    headings: list[_Holder] = field(default_factory=list)
    bullets: list[_Holder] = field(default_factory=list)

    def holder(self) -> _Holder | None:
        return self.bullets[-1] if self.bullets else self.headings[-1] if self.headings else None


class _Sheet:
    """One sheet on its way to turns."""

    def __init__(self, found: Sequence[Block], names: Names, layout: Layout, source: str, text: str) -> None:
        self.found, self.names, self.layout, self.source = found, names, layout, source
        self.line_at = line_counter(text)
        self.title = _title(found)
        self.sections = [n for n, b in enumerate(found) if isinstance(b, Heading) and n != self.title]

    def turns(self) -> Iterator[Turn]:
        """All turns in file order."""
        state = _State(header=True)
        for number, block in enumerate(self.found):
            if isinstance(block, Heading):
                state.header = number == self.title
                yield from self._heading(block, state)
            elif isinstance(block, Table):
                yield from self._table(block, state)
            else:
                yield from self._entry(block, state)

    def _heading(self, block: Heading, state: _State) -> Iterator[Turn]:
        while state.headings and state.headings[-1].depth >= block.level:
            state.headings.pop()
        state.bullets.clear()
        label = Label(block.strand.text.rstrip(":"), True, 0)
        people = () if state.header else self._only_people(label)
        state.headings.append(_Holder(block.level, people or (state.headings[-1].speakers if state.headings else ())))
        if block.strand.text:
            topic = HEADER if state.header else None
            yield self._turn(
                block.strand, block.line, kind="heading", topic=topic, speaker=people[0] if people else None
            )

    def _only_people(self, label: Label) -> tuple[str, ...]:
        """The people a heading names, if it is nothing but a name ("### Ana")."""
        found, rest = speakers(label, self.names)
        return tuple(found) if found and not rest else ()

    def _table(self, table: Table, state: _State) -> Iterator[Turn]:
        turns = list(table_turns(table, self.names, self.layout, self.source))
        if state.header and not any(t.speaker for t in turns):
            turns = [replace(t, kind="note", topic=HEADER, moment=None, brew=None) for t in turns]
        elif turns:
            state.header = False
        holder = state.headings[-1] if state.headings else None
        for turn in turns:
            if holder and holder.speakers and turn.speaker is None and turn.topic != HEADER:
                turn = replace(turn, speaker=holder.speakers[0])
            yield turn

    def _entry(self, entry: Entry, state: _State) -> Iterator[Turn]:
        while state.bullets and state.bullets[-1].depth >= entry.indent:
            state.bullets.pop()
        label = label_of(entry.strand.text)
        people, rest = speakers(label, self.names) if label else ([], "")
        if label and label.colon and not people and self._is_head(label, entry, state):
            yield self._turn(entry.strand, entry.line, kind="note", topic=HEADER)
            return
        if state.header and entry.italic and self.sections and not people:
            yield self._turn(entry.strand, entry.line, kind="note", topic=HEADER)
            return
        state.header = state.header and not people
        yield from self._said(entry, label, people, rest, state)

    def _is_head(self, label: Label, entry: Entry, state: _State) -> bool:
        """Whether a labelled line belongs to the sheet's head: the tasters' names, or facts above the first section."""
        if declares(label, entry.strand.text):
            return True
        if not state.header or self.layout.is_tasted(label.words):
            return False
        return bool(self.sections) or self.layout.is_head(label.words)

    def _named_inside(self, strand: Strand) -> bool:
        return any(name for name, _ in by_name(strand, self.names))

    def _said(
        self, entry: Entry, label: Label | None, people: Sequence[str], rest: str, state: _State
    ) -> Iterator[Turn]:
        holder = state.holder()
        mine = _Holder(entry.indent, tuple(people) or (holder.speakers if holder else ()))
        if holder:
            mine.moment, mine.brew, mine.topic = holder.moment, holder.brew, holder.topic
        words = entry.strand
        if label and people:
            self._label(mine, rest)
            words = words.cut(label.end).trim()
        elif (
            label and label.colon and (self._named_inside(words.cut(label.end)) or not words.text[label.end :].strip())
        ):
            self._label(mine, label.words, topic=True)
            words = words.cut(label.end).trim()
        if entry.indent >= 0:
            state.bullets.append(mine)
        elif not words.text:
            self._below(mine, state)
        yield from self._mouths(words, mine)

    def _below(self, holder: _Holder, state: _State) -> None:
        """A paragraph that is only a label ("Hot:", "Ana:") holds for what follows, as a lowest heading would."""
        while state.headings and state.headings[-1].depth >= 8:
            state.headings.pop()
        state.headings.append(replace(holder, depth=8))

    def _label(self, holder: _Holder, label: str, *, topic: bool = False) -> None:
        """Let a label's words set moment, brew or topic."""
        moment, brew = self.layout.scene(label)
        holder.moment = moment or holder.moment
        holder.brew = brew or holder.brew
        if topic and self.layout.is_topic(label):
            holder.topic = label.lower()

    def _mouths(self, words: Strand, holder: _Holder) -> Iterator[Turn]:
        for name, part in by_name(words, self.names):
            for speaker in (name,) if name else holder.speakers or (None,):
                yield self._turn(
                    part,
                    self.line_at(part.where(0)),
                    kind="note",
                    speaker=speaker,
                    moment=holder.moment,
                    brew=holder.brew,
                    topic=holder.topic,
                )

    def _turn(self, strand: Strand, line: int, **fields: object) -> Turn:
        turn = Turn(strand.text.replace("\n", " "), self.source, strand.offsets, line=line)
        return replace(turn, **fields)  # type: ignore[arg-type]


def _title(found: Sequence[Block]) -> int | None:
    """The first block, if it is a heading and the only one of the first level."""
    tops = [n for n, b in enumerate(found) if isinstance(b, Heading) and b.level == 1]
    return 0 if tops == [0] else None
