"""Tools for whoever carries the reader on: `python -m tastevocab.reading.language fit|score|explain|lessons|clues`.

fit [NOTES [AUTHOR ...]]  weights of typed notes from tests/talk and NOTES (a folder of notes with keys, or "-"); from
                   authors that the networks have not learnt those of talk too: what is meant, how sure a finding is
score [AUTHOR ...] how authors are read (of none told: those held back): a row each, and by manner with intervals over
                   tables and the calibration
explain SENTENCE [note]  what is made of a sentence of talk, or of a typed note, and what moved each judgement most
lessons FILE [AUTHOR ...]  marked talk as `train.py` takes it, and `rehear.py`, for which authors are told that the
                   networks have not learnt
clues FILE AUTHOR ...  what turns give away of coffee, brew and moment, as `fitting/scene.py` takes it, of authors that
                   the networks have not learnt
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

from tastevocab.errors import InputError, Place
from tastevocab.reading.fitting.heard import Kept, kept
from tastevocab.reading.fitting.marked import Recording, recordings
from tastevocab.reading.language.reader import items_in
from tastevocab.reading.records import AttributeFinding, Finding, SetAside, Turn, Unresolved
from tastevocab.reading.words.lexicon import Lexicon, open_lexicon
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.vocabulary.folder import default_folder

TALK = Path("tests/talk")
HELD = (  # authors that nothing is fitted on
    "aspen", "bistort", "chicory", "figwort", "gentian", "hazel", "milkwort", "orpine", "pansy", "plantain", "tarragon",
)  # fmt: skip
BOUNDS = {"talk": {"count": 0.6, "ask": 0.2}, "typed": {"count": 0.5, "ask": 0.15}}


def fit(lexicon: Lexicon, notes: str = "-", *authors: str) -> None:
    """Fit what can be fitted and write the vocabulary's `weights.yaml`."""
    import yaml

    from tastevocab.reading.fitting import talk, typed
    from tastevocab.reading.fitting.keyed import keyed_notes

    tables = [r for r in recordings(TALK) if r.author not in HELD and not r.only_meaning]
    real = [] if notes == "-" else list(keyed_notes(Path(notes)))
    weights: dict[str, Any] = json.loads(json.dumps(lexicon.weights))
    weights["typed"] = {**typed.learn(tables, lexicon, real), "bounds": BOUNDS["typed"]}
    if authors:
        weights |= talk.learn(_heard(lexicon, [a for a in authors if a not in HELD]), lexicon, _ids(lexicon))
        weights["talk"]["bounds"] = BOUNDS["talk"]
    head = "# Fitted weights: question, answer, feature. Made by `python -m tastevocab.reading.language fit`.\n"
    text = yaml.safe_dump(weights, sort_keys=True, allow_unicode=True, width=120)
    (default_folder() / "weights.yaml").write_text(head + text, encoding="utf-8")


def _heard(lexicon: Lexicon, authors: Sequence[str]) -> list[tuple[Recording, Kept]]:
    """The recordings of these authors, as the shipped networks hear them.

    Raises `InputError` where one of them has none.
    """
    missing = [a for a in authors if not any((TALK / a).glob("*.talk"))]
    if missing:
        raise InputError(f"holds nothing by {', '.join(missing)}", place=Place(str(TALK)), mend="name its folders")
    return [(r, kept(r, lexicon)) for r in recordings(TALK) if r.author in authors and not r.only_meaning]


def score(lexicon: Lexicon, *authors: str) -> None:
    """Print how authors are read."""
    from tastevocab.reading.fitting.score import Tally, interval, tally

    at_tables = _authors_of_tables((TALK / "README.md").read_text("utf-8"))
    groups: dict[str, Tally] = {}
    scores: dict[str, list[float]] = {}
    for table, hears in _heard(lexicon, authors or HELD):
        found = tally(table, hears, lexicon, _ids(lexicon))
        manner = "table" if table.author in at_tables else "recording"
        for group in (table.author, f"all in the manner of a {manner}"):
            whole = groups.setdefault(group, Tally(Counter(), [[0, 0] for _ in range(10)]))
            whole.counts += found.counts
            whole.bins = [[a + c, b + d] for (a, b), (c, d) in zip(whole.bins, found.bins, strict=True)]
            if found.counts["gold"]:
                scores.setdefault(group, []).append(found.rates()["F1"])
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


def lessons(lexicon: Lexicon, out: str, *authors: str) -> None:
    """Write marked talk as the encoder learns it; of `authors` also how they are cut before that."""
    from tastevocab.reading.fitting.lessons import cuts, lesson

    ids, tables = _ids(lexicon), []
    for r in (r for r in recordings(TALK) if r.author not in HELD):
        found = cuts(r, kept(r, lexicon), lexicon, ids) if r.author in authors else ()
        tables.append({**lesson(r, lexicon, ids), "cuts": list(found)})
    names = [(d.id, lexicon.called[d.id], d.about) for d in open_vocabulary().descriptors.values() if not d.use_instead]
    Path(out).write_text(json.dumps({"tables": tables, "names": names}), encoding="utf-8")


def clues(lexicon: Lexicon, out: str, *authors: str) -> None:
    """Write what turns give away of what is in hand, as the network that follows it learns it."""
    import numpy as np

    from tastevocab.reading.fitting import lessons
    from tastevocab.reading.hand import clues as ground

    made = {f"{r.author}/{r.name}": lessons.clues(r, hears, lexicon) for r, hears in _heard(lexicon, authors)}
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
    tools: dict[str, tuple[Any, int, int]] = {  # with how many words it is called, at least and at most
        "fit": (fit, 0, 999),
        "score": (score, 0, 999),
        "explain": (explain, 1, 2),
        "lessons": (lessons, 1, 999),
        "clues": (clues, 2, 999),
    }
    call, least, most = tools.get(arguments[0] if arguments else "", (None, 0, 0))
    if not call or not least <= len(arguments) - 1 <= most:
        print(__doc__, file=sys.stderr)
        return 2
    call(open_lexicon(), *arguments[1:])
    return 0
