"""What a recogniser heard only with the house's words: flavours to ask about, never counted by themselves.

A recogniser that is told which words to expect hears them where nobody said them. So captions carry what it heard
without that help, and the other words beside them; a flavour that only those have waits for a person.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tastevocab.reading.language.items import Item, Judged, Scene, finding_of
from tastevocab.reading.language.mark import mentions_of
from tastevocab.reading.records import Finding, Turn
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.reading.words.utterance import Utterance

SIGN = "- only with the house's words"
MATCH = 0.5
"""How near other words are taken to be: neither is known to be right."""


def offered(turn: Turn, u: Utterance, lexicon: Lexicon, scene: Scene, found: Iterable[Item]) -> Iterator[Finding]:
    """A finding to be asked for each flavour in a turn's offers that was not `found` at the same words anyway."""
    known = {(f.descriptor, *f.spot.span) for f in found if isinstance(f, Finding)}
    for start, end, heard in turn.offers:
        words = [i for i in range(len(u.words)) if u.starts[i] < end and u.ends[i] > start]
        if not words:
            continue
        places = turn.file_position(start), turn.file_position(end - 1) + 1
        there = {id for id, first, last in known if first < places[1] and last > places[0]}
        targets = dict.fromkeys(m.target for m in mentions_of(Utterance(heard, lexicon)) if not m.quality)
        for target in targets:
            if target not in there:
                judged = Judged(
                    words[0],
                    words[-1] + 1,
                    target,
                    lexicon.weights["talk"]["bounds"]["ask"],
                    standing="informed" if scene.get("revealed") else "own",
                    via="heard",
                    match=MATCH,
                    signs=(SIGN,),
                    scene=scene,
                )
                yield finding_of(u, turn, judged, asked=True)
