"""One reader of one table: each turn in order, step by step, with what later turns inherit.

cut and find (utterance) -> mentions -> guard -> denial -> correction -> doubt -> degree -> place -> scene -> whose.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from tastevocab.reading.language import asking, degree, denial, doubt, guard, mishearing, scene, talk, unknown, where
from tastevocab.reading.language.items import Item, items_of, spot_of
from tastevocab.reading.language.levels import only_level, open_question, textures
from tastevocab.reading.language.lexicon import Lexicon
from tastevocab.reading.language.marks import STEP_OF_LEVEL
from tastevocab.reading.language.mention import Mention, in_order
from tastevocab.reading.language.naming import attribute_cell, mention_of, topic_of, without_degrees, without_overlap
from tastevocab.reading.language.qualities import attribute_mentions
from tastevocab.reading.language.scene import Scene
from tastevocab.reading.language.talk import Said
from tastevocab.reading.language.utterance import Utterance
from tastevocab.reading.records import MOMENTS, Turn


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
        self.asked_else: str | None = None

    def read(self, turn: Turn) -> list[Item]:
        """Everything one turn gives, in the order of its words."""
        typed = turn.kind in ("note", "cell") and turn.speaker is not None
        u = Utterance(turn.text, self.lexicon, isolated=self.isolated, typed=typed)
        if turn.kind == "heading":
            self.scene.moment = None
            scene.follow(u, self.scene, [], heading=True)
            self.said = None
            return []
        if self.isolated:
            self.scene, self.said, self.asked_of = Scene(), None, None
        if not u.words:
            return []
        mentions = self._mentions(u, turn)
        self._scene(u, turn, mentions)
        mentions = talk.fold(u, mentions)
        if not self.isolated:
            mentions = self._whose(u, turn, mentions)
        if turn.topic == "header":
            return items_of(u, turn, mentions, self.lexicon)
        return items_of(u, turn, mentions, self.lexicon) + unknown.unresolved(u, turn, mentions, spot_of, self.people)

    def _mentions(self, u: Utterance, turn: Turn) -> list[Mention]:
        flavours = [m for p in u.pieces if (m := mention_of(p, self.lexicon.names.faults))]
        flavours.extend(mishearing.heard(u, flavours))
        topic = turn.topic if turn.topic in self.lexicon.attribute_levels else topic_of(u, turn.topic)
        loose = topic is None and self.asked_of is not None
        waits = bool(u.words) and u.own[0] in u.lexicon.sets["waiting"]  # "let it come down a while" answers nothing
        short = self.asked_open and len(u.words) <= 8
        if loose and u.words and not waits and (short or only_level(u, self.asked_of)):
            topic = self.asked_of
        attributes = [*attribute_mentions(u, topic, loose=loose), *mishearing.heard_attributes(u)]
        flavours = attribute_cell(u, turn, topic, loose, flavours)
        flavours = [m for m in flavours if m.via == "word" or not self._somebody(u, m)]
        mentions = sorted([*flavours, *attributes], key=in_order)
        mentions = without_degrees(u, without_overlap(mentions))
        if not u.isolated:
            textures(u, mentions, self.asked_of)
        self.asked_of = None if u.isolated else open_question(u, mentions)
        self.asked_open = self.asked_of is not None
        guard.set_aside(u, mentions, self.people)
        for m in mentions:
            if m.reason == "name" and m.end - m.start == 1:
                self.people.add(u.words[m.start].lower())
        if not self.isolated:
            self._answered_else(u, turn, mentions)
            self._challenged(u, turn, mentions)
            self._reported(u, turn, mentions)
        denial.deny(u, mentions)
        talk.correct(u, mentions, self.said)
        doubt.doubt(u, mentions)
        degree.weigh(u, mentions)
        where.place(u, mentions)
        scene.brew_words(u, self.scene, mentions)
        where.nose(u, mentions)
        live = [m for m in mentions if m.attribute and m.reason is None]
        if self.asked_of is None and live and not self.isolated:
            self.asked_of = live[-1].target
        if turn.speaker is None:
            self._named(u, mentions)
        if turn.topic and denial.says_absent(turn.topic, self.lexicon):
            for m in mentions:
                m.present = False
        if turn.topic == "header":
            for m in mentions:
                m.reason = m.reason or "about the coffee"
        return mentions

    def _somebody(self, u: Utterance, m: Mention) -> bool:
        """Whether a word taken by its spelling is rather a name: a known person's, or a capital inside a sentence."""
        word = u.words[m.start]
        inside = m.start > u.sentence_range(m.start)[0] and word[0].isupper() and not self.isolated
        return word.lower() in self.people or (m.via in ("spelling", "sound") and inside)

    def _answered_else(self, u: Utterance, turn: Turn, mentions: list[Mention]) -> None:
        """ "What's in the copper pan?", "Caramel.": a bare answer to a question about another thing is about that."""
        asked = self.asked_else is not None and self.asked_else != (turn.speaker or "")
        first, last = u.sentence_range(0)
        short = sum(not u.is_filler(i) for i in range(first, last)) <= 5
        framed = any(first <= c.start < last for c in u.of("frame", "mouth", "place"))
        for m in mentions if asked and short and not framed else ():
            again = any(o.target == m.target and o.start < last for o in mentions)
            if m.reason is None and (m.start < last or (again and not m.attribute)):
                m.reason = "another thing"
        self.asked_else = (turn.speaker or "") if asking.asks_of_things(u, mentions) else None

    def _challenged(self, u: Utterance, turn: Turn, mentions: list[Mention]) -> None:
        """ "Lime? Lemon, maybe.", "Leather! Where do you get leather?": the other's word is questioned, not found."""
        said = self.said
        if said is None or said.age or (said.speaker == turn.speaker and turn.speaker is not None):
            return
        theirs = {m.target for m in said.mentions if m.present}
        for m in mentions:
            first, last = u.sentence_range(m.start)
            bare = last - first - (m.end - m.start) <= 1 and not m.attribute and m.target in theirs
            doubled = any(o.target == m.target and o.reason == "question" for o in mentions)
            more = first > 0 or any(o.start >= last and o.reason is None and not o.attribute for o in mentions)
            if u.own[last : last + 1] and u.own[last] in u.lexicon.sets["bare_no"]:
                continue  # "Caramel? No."
            bare = bare and not any(first <= c.start < m.start for c in u.of("negation.before"))
            if m.reason is None and bare and (doubled or (u.gaps[last].strip() == "?" and more)):
                m.reason = "question"

    def _reported(self, u: Utterance, turn: Turn, mentions: list[Mention]) -> None:
        """ "Ben got toffee but I didn't.": what another at the table found is theirs to say."""
        verbs = {c.start for c in u.of("decoy.verbs")}
        own = {part.lower() for part in (turn.speaker or "").split()}
        for m in mentions:
            first, _ = u.clause_range(m.start)
            others = (i for i in range(first, m.start) if u.words[i][0].isupper() and u.words[i].lower() in self.people)
            if (
                turn.speaker
                and m.reason is None
                and any(u.words[i].lower() not in own and i + 1 in verbs for i in others)
            ):
                m.reason = "report"

    def _named(self, u: Utterance, mentions: list[Mention]) -> None:
        """Words nobody is labelled for, said of a person by name: "Noor has it high", "high from Ilse"."""
        if not self.people:
            return
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
            scene.follow(u, self.scene, mentions)
        else:
            scene.header_brew(u, self.scene)
        if not (turn.moment or turn.brew or self.scene.revealed):
            return
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
            self.said.last = u.sentence_range((live or asked)[-1].start)[0]
            if turn.speaker and live:
                self.said_by[turn.speaker] = Said(self.said.mentions, turn.speaker, False, last=self.said.last)
        elif mentions:
            self.said = None
        elif self.said:
            self.said.age += 1
            if asking.asks_else(u):
                self.said = None
        self._withdraw(u, mentions)
        return [*mentions, *echoed]

    def _withdraw(self, u: Utterance, mentions: list[Mention]) -> None:
        """ "Scrap the toast" takes back what stood in an earlier turn, too."""
        for cue in u.of("correction.drop"):
            self.withdrawn.extend(m.target for m in mentions if m.start == cue.end and m.reason == "withdrawn")
