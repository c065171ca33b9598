"""Invented sessions as if they had been read: talk, findings and marks made up from a seed, without the encoder.

Each coffee has a character (`character` words that it is likely to be found in), tasters have habits, one in four
sessions pours a hidden duplicate. Tasters score acidity and body of every cup.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from tastevocab.archive.adding import Heard, Intake
from tastevocab.panel.gather import Gathered
from tastevocab.panel.session import Coffee, Session, Source
from tastevocab.panel.spans import Spans
from tastevocab.reading.records import AttributeFinding, Finding, Spot, Turn

PEOPLE = tuple(f"taster{i:02}" for i in range(24))
NOTES = 1000
PROCESSES = ("washed", "natural", "honey")
ORIGINS = ("Alta Vera", "Bodoro", "Cerro Lindo", "Dembi", "Esperanza", "Fogo Ridge")


class Maker:
    """Makes sessions one after the other. `habits` maps a taster to words they say of `often` (0..1) of all coffees."""

    def __init__(
        self,
        spans: Spans,
        *,
        seed: int = 1,
        people: Sequence[str] = PEOPLE,
        seats: int = 5,
        coffees: int = 2,
        talk: int = 12,
        character: int = 8,
        habits: dict[str, str] | None = None,
        often: float = 0.7,
        loses_touch: str = "",
        after: int = 0,
    ) -> None:
        self.random = np.random.default_rng(seed)
        self.spans, self.people, self.seats, self.coffees, self.talk = spans, people, seats, coffees, talk
        self.character = character
        self.habits, self.often = habits or {}, often
        self.loses_touch, self.after = loses_touch, after
        # So many whatever is added to the vocabulary: the same seed draws the same.
        self.notes = [id for id in spans.ids if spans.descriptor(id).level == "note"][:NOTES]
        weights = 1 / np.arange(1, len(self.notes) + 1)
        self.order = self.random.permutation(len(self.notes))
        self.weights = weights / weights.sum()

    def sessions(self, count: int) -> Iterator[Intake]:
        for number in range(count):
            yield self.session(number)

    def session(self, number: int) -> Intake:
        random = self.random
        id = f"table-{number:05}"
        day = (date(2020, 1, 6) + timedelta(days=number)).isoformat()
        tasters = [self.people[i] for i in sorted(random.choice(len(self.people), self.seats, replace=False))]
        cups = [self._coffee(number, i) for i in range(self.coffees)]
        if number % 4 == 0:
            cups.append(Coffee("again", "Again", duplicate_of=cups[0].id))
        characters: dict[str, np.ndarray] = {}
        turns, findings, marks = [], [], []
        for cup in cups:
            base = cup.duplicate_of or cup.id
            if base not in characters:
                characters[base] = self.order[
                    random.choice(len(self.notes), self.character, replace=False, p=self.weights)
                ]
            for taster in tasters:
                words = self._words(taster, characters[base], number)
                text = ", ".join(self.spans.descriptor(w).print for w in words) + " and so on " * self.talk
                line = len(turns) + 2
                turns.append(Turn(text, "sheet.csv", speaker=taster, coffee=cup.id, kind="cell", line=line))
                start = 0
                for word in words:
                    label = self.spans.descriptor(word).print
                    spot = Spot(
                        label, (start, start + len(label)), "sheet.csv", speaker=taster, coffee=cup.id, line=line
                    )
                    strength = float(random.choice([6.1, 17.2, 35.4]))
                    findings.append(Finding(f"f{len(findings)}", word, spot, strength=strength))
                    start += len(label) + 2
                for attribute, level in zip(("acidity", "body"), characters[base][:2] % 4, strict=False):
                    step = float(np.clip(round(1.5 + level + random.normal(0, 0.5)), 1, 5))
                    spot = Spot("marked", (0, 6), "sheet.csv", speaker=taster, coffee=cup.id, line=line)
                    marks.append(AttributeFinding(f"a{len(marks)}", attribute, "medium", step, spot))
        session = Session(
            id=id,
            file=f"{id}.yaml",
            folder=Path(),
            date=day,
            blind=True,
            tasters=tuple(tasters),
            coffees={c.id: c for c in cups},
            sources=(Source(source="sheet.csv"),),
        )
        gathered = Gathered(session, tuple(findings), tuple(marks))
        return Intake(session, gathered, (Heard("sheet.csv", True, tuple(turns), ()),), f"digest-{id}")

    def _coffee(self, number: int, place: int) -> Coffee:
        kind = int(self.random.integers(0, 300))
        facts = {"origin": ORIGINS[kind % len(ORIGINS)], "lot": f"{number // 50}"}
        return Coffee(
            f"cup{'abcdef'[place]}", f"Coffee {kind:03}", process=PROCESSES[kind % 3], roasted="2026-01-01", more=facts
        )

    def _words(self, taster: str, character: np.ndarray, number: int) -> list[str]:
        random = self.random
        lost = taster == self.loses_touch and number >= self.after
        chosen = set()
        if not lost:
            chosen = {self.notes[i] for i in character if random.random() < 0.4}
        more = 4 if lost else 2
        chosen |= {self.notes[self.order[i]] for i in random.choice(len(self.notes), more, p=self.weights)}
        if taster in self.habits and random.random() < self.often:
            chosen.add(self.habits[taster])
        return sorted(chosen, key=self.spans.order.__getitem__)
