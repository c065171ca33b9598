"""Tools for whoever carries the reader on: `python -m tastevocab.reading.language fit|score|explain|lessons|clues`.

fit [NOTES [HEARD]]  weights of typed notes from tests/talk and NOTES (a folder of notes with keys, or "-");
                   with HEARD (a folder of `train.py`'s) those of talk too: what a stretch means, how sure a finding is
score HEARD        authors held out: a row each, by manner, with intervals over tables and the calibration
explain SENTENCE [note]  what is made of a sentence of talk, or of a typed note, and what moved each judgement most
lessons FILE       marked talk as `train.py` takes it
clues HEARD FILE   what turns give away of coffee, brew and moment, as `fitting/scene.py` takes it
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from functools import lru_cache
from pathlib import Path
from typing import Any

from tastevocab.reading.language.reader import items_in
from tastevocab.reading.records import AttributeFinding, Finding, SetAside, Turn, Unresolved
from tastevocab.reading.words.lexicon import Lexicon, open_lexicon
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.vocabulary.folder import default_folder

TALK = Path("tests/talk")
HELD = (  # authors that nothing is fitted on
    "aspen", "bistort", "chicory", "figwort", "gentian", "hazel", "milkwort", "orpine", "pansy", "plantain", "tarragon",
)  # fmt: skip
BOUNDS = {"talk": {"count": 0.55, "ask": 0.2}, "typed": {"count": 0.5, "ask": 0.15}}


def fit(lexicon: Lexicon, notes: str = "-", heard: str | None = None) -> None:
    """Fit what can be fitted and write the vocabulary's `weights.yaml`."""
    import yaml

    from tastevocab.reading.fitting import talk, typed
    from tastevocab.reading.fitting.heard import stored
    from tastevocab.reading.fitting.keyed import keyed_notes
    from tastevocab.reading.fitting.marked import recordings

    tables = [r for r in recordings(TALK) if r.author not in HELD and not r.only_meaning]
    real = [] if notes == "-" else list(keyed_notes(Path(notes)))
    weights: dict[str, Any] = json.loads(json.dumps(lexicon.weights))
    weights["typed"] = {**typed.learn(tables, lexicon, real), "bounds": BOUNDS["typed"]}
    if heard:
        kept = stored(Path(heard), tables, lexicon)
        pairs = [(t, kept[f"{t.author}/{t.name}"]) for t in tables if f"{t.author}/{t.name}" in kept]
        weights |= talk.learn(pairs, lexicon, _ids(lexicon))
        weights["talk"]["bounds"] = BOUNDS["talk"]
    head = "# Fitted weights: question, answer, feature. Made by `python -m tastevocab.reading.language fit`.\n"
    text = yaml.safe_dump(weights, sort_keys=True, allow_unicode=True, width=120)
    (default_folder() / "weights.yaml").write_text(head + text, encoding="utf-8")


def score(lexicon: Lexicon, heard: str) -> None:
    """Print how authors that were held out are read."""
    from tastevocab.reading.fitting.heard import stored
    from tastevocab.reading.fitting.marked import recordings
    from tastevocab.reading.fitting.score import Tally, held_out, interval

    tables = list(recordings(TALK))
    kept = stored(Path(heard), tables, lexicon)
    at_tables = _authors_of_tables((TALK / "README.md").read_text("utf-8"))
    groups: dict[str, Tally] = {}
    scores: dict[str, list[float]] = {}
    for table, tally in held_out(tables, kept, lexicon, _ids(lexicon)):
        manner = "table" if table.author in at_tables else "recording"
        for group in (table.author, f"all in the manner of a {manner}"):
            whole = groups.setdefault(group, Tally(Counter(), [[0, 0] for _ in range(10)]))
            whole.counts += tally.counts
            whole.bins = [[a + c, b + d] for (a, b), (c, d) in zip(whole.bins, tally.bins, strict=True)]
            if tally.counts["gold"]:
                scores.setdefault(group, []).append(tally.rates()["F1"])
    for group in sorted(groups, key=lambda g: (g.startswith("all"), g)):
        low, high = interval(scores[group])
        rates = "  ".join(f"{name} {value:.2f}" for name, value in groups[group].rates().items())
        print(f"{group}: {rates}  (F1 of a table, 95 %: {low:.2f} to {high:.2f})")
        if group.startswith("all"):
            for tenth, (count, right) in enumerate(groups[group].bins):
                print(f"    sure {tenth / 10:.1f} to {tenth / 10 + 0.1:.1f}: {right} of {count} right")


def _authors_of_tables(readme: str) -> frozenset[str]:
    """The authors that the list of marked talk puts under "tables"."""
    rows = (line.split("|")[1:3] for line in readme.splitlines() if line.startswith("| tables"))
    return frozenset(name.strip() for _, names in rows for name in names.split(","))


def explain(lexicon: Lexicon, sentence: str, manner: str = "talk") -> None:
    """Print what is made of one sentence of talk, or with `manner` "note" of a typed note, and why."""
    for item in items_in([Turn(sentence, "sentence")], lexicon, isolated=manner == "note"):
        if isinstance(item, Finding):
            state = "asked" if item.asked else "counted" if item.present else "counted as denied"
            print(f"{item.spot.words!r}: {lexicon.prints[item.descriptor]}, {state}, sure {item.sure:.2f}", end="; ")
        elif isinstance(item, AttributeFinding):
            print(f"{item.spot.words!r}: {item.attribute} {item.level}, sure {item.sure:.2f}", end="; ")
        elif isinstance(item, SetAside):
            print(f"{item.spot.words!r}: set aside ({item.reason}), sure {item.sure:.2f}", end="; ")
        else:
            if isinstance(item, Unresolved):
                print(f"{item.spot.words!r}: not known")
            continue
        print(", ".join(item.signs) or "nothing moved it much")


def lessons(lexicon: Lexicon, out: str) -> None:
    """Write marked talk as the encoder learns it."""
    from tastevocab.reading.fitting.lessons import lesson
    from tastevocab.reading.fitting.marked import recordings

    tables = [lesson(r, lexicon, _ids(lexicon)) for r in recordings(TALK) if r.author not in HELD]
    names = [
        (d.id, list(dict.fromkeys((d.print, *d.words.get("en", ())))), d.about)
        for d in open_vocabulary().descriptors.values()
        if not d.use_instead
    ]
    Path(out).write_text(json.dumps({"tables": tables, "names": names}), encoding="utf-8")


def clues(lexicon: Lexicon, heard: str, out: str) -> None:
    """Write what turns give away of what is in hand, as the network that follows it learns it."""
    import numpy as np

    from tastevocab.reading.fitting import lessons
    from tastevocab.reading.fitting.heard import stored
    from tastevocab.reading.fitting.marked import recordings
    from tastevocab.reading.hand import clues as ground

    tables = {f"{r.author}/{r.name}": r for r in recordings(TALK)}
    kept = stored(Path(heard), list(tables.values()), lexicon)
    made = {key: lessons.clues(tables[key], hears, lexicon) for key, hears in kept.items()}
    grids = {f"{key}|{name}": grid for key, of in made.items() for name, grid in of.items()}
    np.savez_compressed(out, buckets=np.array(ground.BUCKETS), **grids)


def _ids(lexicon: Lexicon) -> Any:
    """A concept's descriptor by the look-up that people use."""
    from tastevocab.vocabulary.compose import whole

    def id_of(concept: str) -> str | None:
        known = whole(lexicon.names, concept)
        return known.descriptor if known else None

    return lru_cache(maxsize=None)(id_of)


def main(arguments: list[str]) -> int:
    """Run one of the tools; exit status 2 where it is called wrongly."""
    tools: dict[str, tuple[Any, tuple[int, ...]]] = {
        "fit": (fit, (0, 1, 2)),
        "score": (score, (1,)),
        "explain": (explain, (1, 2)),
        "lessons": (lessons, (1,)),
        "clues": (clues, (2,)),
    }
    if not arguments or arguments[0] not in tools or len(arguments) - 1 not in tools[arguments[0]][1]:
        print(__doc__, file=sys.stderr)
        return 2
    tools[arguments[0]][0](open_lexicon(), *arguments[1:])
    return 0
