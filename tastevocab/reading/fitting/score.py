"""How well talk of authors that were held out is read: counted, asked, decoys taken, what was in hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from tastevocab.reading.fitting.heard import Kept, table_of
from tastevocab.reading.fitting.marked import Line, Marked, Recording
from tastevocab.reading.fitting.talk import FINDS, related
from tastevocab.reading.hand.situation import known_of
from tastevocab.reading.language.items import Judged
from tastevocab.reading.language.talk import Told, judge_talk
from tastevocab.reading.records import Turn
from tastevocab.reading.words.lexicon import Lexicon

IdOf = Callable[[str], str | None]


@dataclass(slots=True)
class Tally:
    """Counts over recordings. `bins` are (findings, right ones) by tenths of `sure`."""

    counts: Counter[str]
    bins: list[list[int]]

    def share(self, part: str, whole: str) -> float:
        """One count over another, 0 where there is none."""
        return self.counts[part] / max(1, self.counts[whole])

    def rates(self) -> dict[str, float]:
        """Precision, recall and F1 of what is counted, and the other figures of a row."""
        hit, false, gold = (self.counts[name] for name in ("hit", "false", "gold"))
        precision, recall = hit / max(1, hit + false), hit / max(1, gold)
        return {
            "precision": precision,
            "recall": recall,
            "F1": 2 * precision * recall / max(1e-9, precision + recall),
            "counted or asked": (hit + self.counts["hit when asked"]) / max(1, gold),
            "questions in 1000 words": 1000 * self.share("asked", "words"),
            "decoys taken": self.share("decoys taken", "decoys"),
            "qualities F1": self._qualities(),
            **{f"{name} right": self.share(f"{name} right", name) for name in ("coffee", "brew", "moment")},
        }

    def _qualities(self) -> float:
        hit, said, gold = (self.counts[f"quality {name}"] for name in ("hit", "said", "gold"))
        return 2 * hit / max(1, said + gold)


def tally(recording: Recording, hears: Kept, lexicon: Lexicon, id_of: IdOf) -> Tally:
    """What reading one recording gives against its marks."""
    made = Tally(Counter(), [[0, 0] for _ in range(10)])
    turns = [Turn(line.text, recording.name, speaker=line.speaker) for line in recording.lines]
    bounds = lexicon.weights["talk"]["bounds"]
    told = judge_talk(turns, lexicon, known_of(table_of(recording), lexicon), hears)
    for line, one in zip(recording.lines, told, strict=True):
        made.counts["words"] += len(one.u.words)
        _flavours(made, line, one, bounds, id_of)
        _qualities(made, line, one, bounds["count"])
    return made


def _flavours(made: Tally, line: Line, told: Told, bounds: Mapping[str, float], id_of: IdOf) -> None:
    gold = [m for m in line.marks if m.sign in FINDS]
    made.counts["gold"] += len(gold)
    made.counts["decoys"] += sum(m.sign in "xw" for m in line.marks)
    met: set[int] = set()
    for j in (j for j in told.judged if not j.level and j.reason is None and j.sure >= bounds["ask"]):
        over = [m for m in line.marks if _meet(told, j, m)]
        right = [m for m in over if m.sign in FINDS and id_of(m.concept) == j.target and (m.sign != "-") == j.present]
        near = any(m.sign in FINDS and (i := id_of(m.concept)) and related(i, j.target) for m in over)
        counted = j.sure >= bounds["count"]
        box = made.bins[min(9, int(j.sure * 10))]
        box[0] += 1
        box[1] += bool(right)
        made.counts["asked"] += not counted
        fresh = [m for m in right if id(m) not in met]
        if fresh:
            met.add(id(fresh[0]))
            made.counts["hit" if counted else "hit when asked"] += 1
            _scene(made, line, fresh[0], j)
        elif counted and not near:
            made.counts["false"] += 1
            made.counts["decoys taken"] += any(m.sign in "xw" for m in over) and j.present


def _meet(told: Told, j: Judged, m: Marked) -> bool:
    start, end = told.u.span(j.start, j.end)
    return m.start < end and start < m.end


def _scene(made: Tally, line: Line, mark: Marked, j: Judged) -> None:
    for name in ("coffee", "brew", "moment"):
        true = getattr(mark, name) or getattr(line, name)
        if true:
            made.counts[name] += 1
            made.counts[f"{name} right"] += j.scene.get(name) == true


def _qualities(made: Tally, line: Line, told: Told, count: float) -> None:
    gold = [m for m in line.marks if m.sign == "a"]
    said = [j for j in told.judged if j.level and j.reason is None and j.sure >= count]
    made.counts["quality gold"] += len(gold)
    made.counts["quality said"] += len(said)
    for m in gold:
        hits = [j for j in said if _meet(told, j, m) and (j.target, j.level) == (m.attribute, m.level)]
        made.counts["quality hit"] += bool(hits)


def interval(values: Sequence[float], draws: int = 1000) -> tuple[float, float]:
    """The middle 95 % of the mean over tables drawn with replacement (bootstrap; Efron 1979)."""
    import numpy as np

    some = np.random.default_rng(1).choice(np.array(values), (draws, len(values))).mean(1)
    low, high = np.percentile(some, [2.5, 97.5])
    return float(low), float(high)
