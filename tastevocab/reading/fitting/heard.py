"""What the shipped networks make of a recording, kept: the ground the judge is fitted on, where they had not learnt its
author."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from tastevocab.reading.fitting.marked import Recording
from tastevocab.reading.hand.situation import Known, known_of
from tastevocab.reading.hearing.again import Ask, Names
from tastevocab.reading.hearing.encoder import Bearings, Heard, open_encoder
from tastevocab.reading.hearing.windows import Spoken, State
from tastevocab.reading.language.sounds import mentions_heard
from tastevocab.reading.language.talk import spoken
from tastevocab.reading.records import Poured, Table, Turn
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.reading.words.utterance import Utterance


class Kept:
    """Stands in for the encoder: `heard` is what was made of one recording, and `ask` hears parts of it again, each
    once."""

    def __init__(self, heard: Sequence[Heard], bearings: Bearings, ask: Ask) -> None:
        self.heard, self.bearings = list(heard), bearings
        self._once = lru_cache(maxsize=None)(lambda turn, start, end, names: tuple(ask(turn, start, end, names)))

    def hear(self, turns: Sequence[Spoken], known: State) -> list[Heard]:
        """What was made of each turn, whoever asks."""
        return self.heard

    def again(self, turns: Sequence[Spoken]) -> Ask:
        """What answers questions about the recording."""
        return self.ask

    def ask(self, turn: int, start: int, end: int, names: Sequence[Names]) -> list[float]:
        """What a second hearing made of words of a turn."""
        return list(self._once(turn, start, end, tuple(names)))


def kept(recording: Recording, lexicon: Lexicon) -> Kept:
    """One recording as the shipped networks hear it."""
    known = known_of(table_of(recording), lexicon)
    said, encoder = said_in(recording, known, lexicon), open_encoder()
    heard = encoder.hear(said, State(0, 0, 0, len(known.coffees), known.brews[:4]))
    return Kept(heard, encoder.bearings, encoder.again(said))


def said_in(recording: Recording, known: Known, lexicon: Lexicon) -> list[Spoken]:
    """The turns of a recording as the networks see them."""
    us = [Utterance(line.text, lexicon) for line in recording.lines]
    turns = [Turn(line.text, recording.name, speaker=line.speaker) for line in recording.lines]
    return spoken(turns, us, [mentions_heard(u) for u in us], known)


def table_of(recording: Recording) -> Table:
    """What a leader would have written down before: who tasted, which coffees, which brews."""

    def named(key: str) -> list[str]:
        return list(dict.fromkeys(v for line in recording.lines if (v := getattr(line, key))))

    return Table(
        tuple(named("speaker")),
        tuple(Poured(c, (c,)) for c in named("coffee")),
        tuple((b, b) for b in named("brew")),
    )
