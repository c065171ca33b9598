"""Turns to a reading: each step is its own function, with a record between.

cut and find (utterance) -> mentions -> corrections -> denial -> doubt -> degree -> place -> guard -> scene -> whose it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from tastevocab.reading import guard, mishearing, scope, talk, unknown, where
from tastevocab.reading.lexicon import Lexicon
from tastevocab.reading.mention import Mention
from tastevocab.reading.qualities import STEP_OF_LEVEL, attribute_mentions, only_level, open_question
from tastevocab.reading.records import (
    MOMENTS,
    AttributeFinding,
    Finding,
    Reading,
    SetAside,
    Spot,
    Suggestion,
    Turn,
    Unresolved,
)
from tastevocab.reading.talk import Said
from tastevocab.reading.utterance import Utterance
from tastevocab.reading.where import Scene
from tastevocab.vocabulary.phrases import Sense

Item = Finding | AttributeFinding | SetAside | Unresolved


class Reader:
    """Reads turns one after the other, remembering what later turns inherit (moment, brew, what was said last)."""

    def __init__(self, lexicon: Lexicon, people: Iterable[str] = (), *, isolated: bool = False) -> None:
        people = list(people)
        self.lexicon = lexicon
        self.isolated = isolated
        self.people = {part for name in people for part in (name.lower(), *name.lower().split())}
        self.full_names = {part: name for name in people for part in (name.lower(), *name.lower().split())}
        self.scene = Scene()
        self.said: Said | None = None
        self.asked_of: str | None = None
        self.asked_open = False
        self.known: dict[str, str] = {}
        self.withdrawn: list[str] = []
        self.said_by: dict[str, Said] = {}

    def read(self, turn: Turn) -> list[Item]:
        """Everything one turn gives, in the order of its words."""
        u = Utterance(turn.text, self.lexicon, isolated=self.isolated)
        if turn.kind == "heading":
            self.scene.moment = None
            where.follow(u, self.scene, [], heading=True)
            self.said = None
            return []
        if self.isolated:
            self.scene, self.said, self.asked_of = Scene(), None, None
        if not u.words:
            return []
        mentions = self._mentions(u, turn)
        self._scene(u, turn, mentions)
        if not self.isolated:
            mentions = self._whose(u, turn, mentions)
        if turn.topic == "header":
            return _items(u, turn, mentions, self.lexicon)
        return _items(u, turn, mentions, self.lexicon) + unknown.unresolved(u, turn, mentions, self._spot, self.people)

    def _mentions(self, u: Utterance, turn: Turn) -> list[Mention]:
        flavours = [m for p in u.pieces if (m := _mention(p))]
        flavours.extend(mishearing.heard(u, flavours))
        topic = turn.topic if turn.topic in self.lexicon.attribute_levels else _topic(u, turn.topic)
        loose = topic is None and self.asked_of is not None
        if loose and u.words and ((self.asked_open and len(u.words) <= 8) or only_level(u)):
            topic = self.asked_of
        attributes = attribute_mentions(u, topic, loose=loose)
        flavours = _attribute_cell(u, turn, topic, loose, flavours)
        flavours = [m for m in flavours if m.via == "word" or u.words[m.start].lower() not in self.people]
        mentions = sorted([*flavours, *attributes], key=lambda m: (m.start, m.end))
        mentions = _without_degrees(u, _without_overlap(mentions))
        self.asked_of = open_question(u, mentions)
        self.asked_open = self.asked_of is not None
        guard.set_aside(u, mentions, self.people)
        self.people.update(u.words[m.start].lower() for m in mentions if m.reason == "name" and m.end - m.start == 1)
        scope.deny(u, mentions)
        talk.correct(u, mentions)
        scope.doubt(u, mentions)
        scope.weigh(u, mentions)
        where.place(u, mentions)
        where.brew_words(u, self.scene, mentions)
        mentions = talk.fold(u, mentions)
        where.nose(u, mentions)
        live = [m for m in mentions if m.attribute and m.reason is None]
        if self.asked_of is None and live and not self.isolated:
            self.asked_of = live[-1].target
        if turn.speaker is None:
            self._named(u, mentions)
        if turn.topic and scope.says_absent(turn.topic, self.lexicon):
            for m in mentions:
                m.present = False
        if turn.topic == "header":
            for m in mentions:
                m.reason = m.reason or "about the coffee"
        return mentions

    def _named(self, u: Utterance, mentions: list[Mention]) -> None:
        """Words nobody is labelled for, said of a person by name: "Noor has it high", "high from Ilse"."""
        verbs = {c.start for c in u.of("decoy.verbs")}
        named = {i: w for i, w in enumerate(u.words) if w.lower() in self.people and w[0].isupper()}
        for m in mentions:
            first, last = u.clause_range(m.quote[1] - 1)
            for i, name in named.items():
                if first <= i < last and (i + 1 in verbs or (i and u.own[i - 1] in u.lexicon.sets["by_whom"])):
                    m.speaker = self.full_names.get(name.lower(), name)
        for i, name in named.items():
            self._second_level(u, mentions, i, self.full_names.get(name.lower(), name), verbs)

    def _second_level(self, u: Utterance, mentions: list[Mention], i: int, name: str, verbs: set[int]) -> None:
        """ "Balance: Noor has it high, Freya has it medium": the second level is of the same attribute."""
        first, last = u.clause_range(i)
        before = [m for m in mentions if m.attribute and u.sentence[m.start] == u.sentence[i] and m.quote[1] <= first]
        if i + 1 not in verbs or not before or any(first <= m.quote[1] - 1 < last for m in mentions):
            return
        levels = [c for c in u.of("level") if i < c.start < last and c.end >= last - 1]
        if levels:
            made = replace(before[-1], start=levels[0].start, end=levels[0].end, level=levels[0].value, speaker=name)
            made.step, made.first, made.last = STEP_OF_LEVEL[made.level], i, levels[0].end
            mentions.append(made)

    def _scene(self, u: Utterance, turn: Turn, mentions: list[Mention]) -> None:
        if turn.topic != "header":
            where.follow(u, self.scene, mentions)
        for m in mentions:
            m.moment = self._moment(turn.moment) if turn.moment else m.moment
            m.brew = turn.brew or m.brew
            if self.scene.revealed and m.standing == "own":
                m.standing = "informed"

    def _moment(self, text: str) -> str | None:
        """A column's own word for a moment ("when cold", "first pass") as one of the five."""
        if text not in self.known:
            plain = text.strip().lower()
            cues = sorted(Utterance(text, self.lexicon).of("moment"), key=lambda c: c.start - c.end)
            self.known[text] = cues[0].value if cues and plain not in MOMENTS else plain
        return self.known[text]

    def _whose(self, u: Utterance, turn: Turn, mentions: list[Mention]) -> list[Mention]:
        named = next((w for w in u.words if w in self.said_by and w != turn.speaker), None)
        echoed = talk.echo(u, self.said_by[named] if named else self.said, turn.speaker, mentions, named=bool(named))
        if named:
            echoed = [m for m in echoed if not m.attribute]
        live = [m for m in mentions if m.reason is None]
        asked = [m for m in mentions if m.reason == "question"]
        if live or asked:
            last = u.sentence_range(len(u.words) - 1)
            other = "?" in u.gaps[last[1]] and not any(last[0] <= m.start < last[1] for m in live or asked)
            other = other and last[1] - last[0] > 3
            self.said = Said([replace(m, reason=None) for m in live or asked], turn.speaker, not live, 0, other)
            if turn.speaker and live:
                self.said_by[turn.speaker] = Said(self.said.mentions, turn.speaker, False)
        elif mentions:
            self.said = None
        elif self.said:
            self.said.age += 1
        self._withdraw(u, mentions)
        return [*mentions, *echoed]

    def _withdraw(self, u: Utterance, mentions: list[Mention]) -> None:
        """ "Scrap the toast" takes back what stood in an earlier turn, too."""
        for cue in u.of("correction.drop"):
            self.withdrawn.extend(m.target for m in mentions if m.start == cue.end and m.reason == "withdrawn")

    @staticmethod
    def _spot(u: Utterance, turn: Turn, start: int, end: int, m: Mention | None = None) -> Spot:
        return _spot(u, turn, start, end, m)


def _attribute_cell(u: Utterance, turn: Turn, topic: str | None, loose: bool, mentions: list[Mention]) -> list[Mention]:
    """In a column about an attribute, a word that means a step of it ("tea-like" body) is no flavour."""
    if not topic or loose or not turn.topic:
        return mentions
    book = u.lexicon.beside[topic]
    return [
        m for m in mentions if not book.exact(u.own[m.start : m.end]) and not book.exact(u.own[m.start : m.end + 1])
    ]


def _topic(u: Utterance, heading: str | None) -> str | None:
    """The attribute a table column's heading names, if it names one."""
    if not heading:
        return None
    words = tuple(k for k in u.lexicon.names.keys(heading) if not k.isdigit())
    for sense in u.lexicon.names.book.exact(words):
        if sense.kind in ("quality", "attribute"):
            return sense.value
    return None


def _mention(piece: object) -> Mention | None:
    from tastevocab.vocabulary.compose import Piece

    assert isinstance(piece, Piece)
    if piece.descriptor is None:
        return None
    made = Mention(
        piece.start, piece.end, piece.descriptor, state=piece.state, parts=piece.parts, mark=piece.mark, via=piece.via
    )
    if piece.mark in ("spelling", "sound"):
        made.via, made.mark, made.match = piece.mark, "", 0.85
    if piece.via == "heard":
        made.match = 0.9
    return made


def _without_degrees(u: Utterance, mentions: list[Mention]) -> list[Mention]:
    """ "light caramel", "heavy roast": a word that can be a degree is one before what it measures; and a food that
    only describes a body ("cream mouthfeel") is no flavour."""
    degrees = {(c.start, c.end) for c in u.of("degree.before")}
    spans = [(m.quote, m.start, m.end) for m in mentions if m.attribute and m.quote != (m.start, m.end)]
    kept = []
    for m in mentions:
        follows = any(o is not m and o.start == m.end and not u.is_break(o.start) for o in mentions)
        if m.attribute and (m.start, m.end) in degrees and follows:
            continue
        if (
            not m.attribute
            and m.target != "reach/tea_like"
            and any(
                q[0] <= m.start and m.end <= q[1] and (m.end <= a or m.start >= b) and m.end in (a, q[1])
                for q, a, b in spans
            )
            and any(s.kind == "beside" for s in _beside_senses(u, m))
        ):
            continue
        kept.append(m)
    return kept


def _beside_senses(u: Utterance, m: Mention) -> tuple[Sense, ...]:
    book = u.lexicon.beside["body"]
    return book.exact(u.own[m.start : m.end])


def _without_overlap(mentions: list[Mention]) -> list[Mention]:
    """Attributes and flavours that share words: the longer one; a flavour where they tie."""
    kept: list[Mention] = []
    for m in mentions:
        clash = next((k for k in kept if k.start < m.end and m.start < k.end), None)
        if clash is None:
            kept.append(m)
        elif (m.end - m.start, not m.attribute) > (clash.end - clash.start, not clash.attribute):
            kept[kept.index(clash)] = m
    return kept


def _items(u: Utterance, turn: Turn, mentions: list[Mention], lexicon: Lexicon) -> list[Item]:
    found: list[Item] = []
    seen: set[tuple[object, ...]] = set()
    for m in sorted(mentions, key=lambda m: (m.start, m.end)):
        if m.attribute and m.reason in ("withdrawn", None):
            if m.reason:
                continue
            item: Item = _attribute(u, turn, m)
            key: tuple[object, ...] = (m.target, m.level, m.moment, m.brew, m.place)
            if key in seen:
                continue
            seen.add(key)
        elif m.attribute:
            continue
        elif m.reason:
            item = SetAside(_spot(u, turn, *m.quote, m), m.reason, m.target)
        else:
            item = _finding(u, turn, m, lexicon)
        found.append(item)
    return found


def _spot(u: Utterance, turn: Turn, start: int, end: int, m: Mention | None = None) -> Spot:
    a, b = u.span(start, end)
    first = turn.file_position(a)
    return Spot(
        words=u.text[a:b],
        span=(first, turn.file_position(b - 1) + 1),
        source=turn.source,
        note=turn.note,
        speaker=(m.speaker if m and m.speaker else turn.speaker),
        at=turn.time_at(a),
        coffee=turn.coffee,
        brew=m.brew if m else turn.brew,
        moment=m.moment if m else turn.moment,
        place=m.place if m else None,
        bowl=turn.bowl,
        line=turn.line,
    )


def _id(turn: Turn, spot: Spot, target: str) -> str:
    where_ = turn.note or turn.source
    return f"{where_}:{spot.span[0]}-{spot.span[1]}:{target}"


def _finding(u: Utterance, turn: Turn, m: Mention, lexicon: Lexicon) -> Finding:
    spot = _spot(u, turn, *m.quote, m)
    return Finding(
        id=_id(turn, spot, m.target),
        descriptor=m.target,
        spot=spot,
        present=m.present,
        standing=m.standing,  # type: ignore[arg-type]
        degree=m.degree,
        strength=lexicon.strength.get(m.degree) if m.degree else None,
        certainty=m.certainty,
        hedged=m.hedged,
        via=m.via,  # type: ignore[arg-type]
        match=m.match,
        state=m.state,
        parts=m.parts,
        fault=m.target in lexicon.names.faults,
        two_faced=m.target in lexicon.two_faced,
        nose=m.nose,
        echo=m.echo,
    )


def _attribute(u: Utterance, turn: Turn, m: Mention) -> AttributeFinding:
    spot = _spot(u, turn, *m.quote, m)
    return AttributeFinding(
        id=_id(turn, spot, m.target),
        attribute=m.target,
        level=m.level if m.present else "none",
        step=m.step if m.present else 1.0,
        spot=spot,
        present=m.present,
        standing=m.standing,  # type: ignore[arg-type]
        hedged=m.hedged,
    )


# --- whole texts and files ---


def read_turns(
    turns: Iterable[Turn], lexicon: Lexicon, notices: tuple[str, ...] = (), *, isolated: bool = False
) -> Reading:
    """The reading of turns in order. `isolated`: each stands alone (rows of a table), nothing is inherited."""
    turns = list(turns)
    people = sorted({t.speaker for t in turns if t.speaker})
    reader = Reader(lexicon, () if isolated else people, isolated=isolated)
    items: list[Item] = []
    speakers: dict[str, int] = {}
    for turn in turns:
        made = reader.read(turn)
        _take_back(items, reader.withdrawn)
        items.extend(made)
        if turn.speaker:
            speakers[turn.speaker] = speakers.get(turn.speaker, 0) + 1
    return _gathered(items, notices, speakers)


def _take_back(items: list[Item], targets: list[str]) -> None:
    """Set aside the latest finding of each withdrawn target among the last dozen items."""
    while targets:
        target = targets.pop()
        for at in range(len(items) - 1, max(-1, len(items) - 13), -1):
            item = items[at]
            if isinstance(item, Finding) and item.descriptor == target:
                items[at] = SetAside(item.spot, "withdrawn", target)
                break


def _gathered(items: Iterable[Item], notices: tuple[str, ...], speakers: Mapping[str, int]) -> Reading:
    items = list(items)
    return Reading(
        tuple(i for i in items if isinstance(i, Finding)),
        tuple(i for i in items if isinstance(i, AttributeFinding)),
        tuple(i for i in items if isinstance(i, SetAside)),
        tuple(i for i in items if isinstance(i, Unresolved)),
        notices,
        speakers,
    )


def with_defaults(turn: Turn, defaults: Mapping[str, str]) -> Turn:
    """`turn` with what it does not say itself filled in (taster, coffee, brew, moment, bowl)."""
    if not defaults:
        return turn
    return replace(
        turn,
        speaker=turn.speaker or defaults.get("taster"),
        coffee=turn.coffee or defaults.get("coffee"),
        brew=turn.brew or defaults.get("brew"),
        moment=turn.moment or defaults.get("moment"),
        bowl=turn.bowl or defaults.get("bowl"),
    )


def read_file(path: Path, lexicon: Lexicon, *, defaults: Mapping[str, str] | None = None) -> Reading:
    """The reading of one file. Raises `InputError` where it cannot be read."""
    from tastevocab.reading.files import read_turns as turns_of_file

    file = turns_of_file(path)
    rows = file.kind in ("csv", "jsonl")
    turns = (with_defaults(t, defaults or {}) for t in file.turns)
    return read_turns(turns, lexicon, tuple(file.notices), isolated=rows)


def read_text(
    text: str, lexicon: Lexicon, *, source: str = "<text>", defaults: Mapping[str, str] | None = None
) -> Reading:
    """The reading of one typed note."""
    turn = Turn(text, source, kind="note")
    return read_turns([with_defaults(turn, defaults or {})], lexicon, isolated=True)


def stream_file(path: Path, lexicon: Lexicon, *, defaults: Mapping[str, str] | None = None) -> Iterator[Reading]:
    """A reading a row of a table of notes, with memory that does not grow with the table."""
    from tastevocab.reading.files import stream_turns

    reader = Reader(lexicon, isolated=True)
    for turn in stream_turns(path):
        yield _gathered(reader.read(with_defaults(turn, defaults or {})), (), {})


__all__ = ["Reader", "Suggestion", "read_file", "read_text", "read_turns", "stream_file", "with_defaults"]
