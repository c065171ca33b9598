"""What a key says of a session at the desk, beside what the desk shows: how right it is.

Keys come in two forms: by exact words, one JSON object a line, or, of the afternoons in `tests/panel`, by second.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tastevocab.reading.report.answers import answer
from tastevocab.web.desk.sitting import Sitting


@dataclass(frozen=True)
class Want:
    """One thing that the key says was found (or denied): where, what; of the rest only what the key tells.

    `means` are all that is right for it (descriptors, or `acidity=high`), `typed` what one types to say it. `optional`
    may be there or not: assent without the word, parts of a likeness.
    """

    text: int
    start: int
    end: int
    means: frozenset[str]
    typed: str
    present: bool = True
    optional: bool = False
    told: tuple[tuple[str, str], ...] = ()

    def off(self, mark: dict[str, Any]) -> list[tuple[str, str]]:
        """What a mark has wrong of taster, coffee, brew and moment: (which, what is right)."""
        return [(name, value) for name, value in self.told if mark[name] != value]


def meaning(mark: dict[str, Any]) -> str:
    return f"{mark['attribute']}={mark['level']}" if mark["attribute"] else mark["descriptor"] or ""


# --- keys ---


def wants_of(sitting: Sitting, key: Path) -> list[Want]:
    """The key of a session, in the order of its texts."""
    rows = json.loads(key.read_text("utf-8")) if key.suffix == ".json" else list(lines_of(key))
    make = _of_second if key.suffix == ".json" else _of_words
    found = [w for row in rows for w in make(sitting, row)]
    return sorted(found, key=lambda w: (w.text, w.start, w.end))


def lines_of(key: Path) -> Iterator[dict[str, Any]]:
    for line in key.read_text("utf-8").splitlines():
        row = json.loads(line)
        if row["kind"] != "decoy":
            yield row


def _told(sitting: Sitting, row: dict[str, Any], who: str | None) -> tuple[tuple[str, str], ...]:
    taster = next((t for t in sitting.session.tasters if who and t.casefold() == who.casefold()), None)
    brew = (row.get("brew") or "").replace(" ", "_") or None
    said = {"taster": taster, "coffee": row.get("coffee"), "brew": brew, "moment": row.get("moment")}
    return tuple((name, value) for name, value in said.items() if value)


def _of_words(sitting: Sitting, row: dict[str, Any]) -> Iterator[Want]:
    """A row of a key by exact words."""
    text = sitting.texts[0].said.text
    words = re.findall(r"[^\s|]+", row["words"])  # cells of a table stand apart in the text
    place = re.search(r"[\s|]+".join(map(re.escape, words)), text)
    assert place, row["words"]
    where = (0, place.start(), place.end())
    told = _told(sitting, row, row.get("speaker"))
    if row["kind"] == "attribute":
        levels = [row["level"], *row.get("also", [])]
        means = frozenset(f"{row['attribute']}={level}" for level in levels)
        yield Want(*where, means, f"{row['attribute']} {row['level']}", told=told)
        return
    id = answer(sitting.lexicon, row["concept"])["descriptor"]
    optional = bool(row.get("echo")) or id is None
    yield Want(*where, frozenset({id or ""}), row["concept"], row["present"], optional, told)
    for part in row.get("parts", ()):
        other = answer(sitting.lexicon, part)["descriptor"]
        yield Want(*where, frozenset({other or ""}), part, row["present"], True)


def _of_second(sitting: Sitting, row: dict[str, Any]) -> Iterator[Want]:
    """A row of a key by second, or, without one, by who wrote it."""
    means = frozenset(d for d, p in sitting.lexicon.prints.items() if p == row["print"])
    means |= {answer(sitting.lexicon, row["print"])["descriptor"]}
    for n, text in enumerate(sitting.texts):
        for start, piece in zip(text.said.starts, text.said.pieces, strict=True):
            timed = row["at"] is not None and piece.at is not None and abs(piece.at - row["at"]) < 0.5
            written = row["at"] is None and piece.at is None and (piece.speaker or "").casefold() == row["who"]
            if not timed and not (written and row["print"].split()[-1] in piece.words):
                continue
            if written and (piece.coffee, piece.brew, piece.moment) != (row["coffee"], row["brew"], row["moment"]):
                continue
            at = piece.words.casefold().find(row["print"].split()[-1])
            from_, to = (
                (start, start + len(piece.words))
                if at < 0
                else (start + at, start + at + len(row["print"].split()[-1]))
            )
            yield Want(n, from_, to, means, row["print"], told=_told(sitting, row, row["who"]))
            return
    raise AssertionError(f"nowhere: {row}")


# --- how right it is ---


def paired(wants: Sequence[Want], pages: Sequence[dict[str, Any]]) -> tuple[dict[int, dict[str, Any]], list[Any]]:
    """Each want's mark (those that mean the same first), and the marks of findings that nobody wants."""
    marks = [(n, m) for n, page in enumerate(pages) for m in page["marks"]]
    pairs: dict[int, dict[str, Any]] = {}
    used: set[str] = set()
    for same in (2, 1, 0):
        for i, want in enumerate(wants):
            near = [
                m
                for n, m in marks
                if n == want.text and m["start"] < want.end and want.start < m["end"] and m["id"] not in used
            ]
            near = [
                m
                for m in near
                if (meaning(m) in want.means and (same == 1 or m["present"] == want.present))
                or (not same and not want.optional)
            ]
            if i not in pairs and near:
                pairs[i] = min(near, key=lambda m: (len(want.off(m)), m["kind"] in ("aside", "unknown"), m["start"]))
                used.add(pairs[i]["id"])
    left = [m for _, m in marks if m["id"] not in used and _false(m, wants)]
    return pairs, left


def _false(mark: dict[str, Any], wants: Sequence[Want]) -> bool:
    """Whether a mark that nobody wants counts and should not: what its taster finds elsewhere too counts once anyway,
    and of what a key says nothing at all (qualities, denials) it is not asked."""
    if not mark["counted"] or mark["standing"] not in ("own", None):
        return False
    if mark["attribute"] and not any("=" in m for w in wants for m in w.means):
        return False
    if mark["present"] is False and all(w.present for w in wants):
        return False
    same = [w for w in wants if meaning(mark) in w.means and mark["present"] in (w.present, None)]
    return not any({name for name, _ in w.off(mark)} <= {"moment"} for w in same)


@dataclass(frozen=True)
class Score:
    """Found, false, missed."""

    hit: int
    false: int
    missed: int

    @property
    def f1(self) -> float:
        return 2 * self.hit / max(2 * self.hit + self.false + self.missed, 1)


def score(wants: Sequence[Want], pages: Sequence[dict[str, Any]], *, flavours: bool, whole: bool) -> Score:
    """Findings that count, against the key; `whole`: with taster, coffee, brew and moment, as far as the key tells."""
    pairs, left = paired(wants, pages)
    ours = [i for i, w in enumerate(wants) if ("=" not in min(w.means)) == flavours]
    right = {i for i in ours if i in pairs and is_right(wants[i], pairs[i], whole=whole)}
    needed = [i for i in ours if not wants[i].optional]
    wrong = [pairs[i] for i in ours if i in pairs and i not in right and not wants[i].optional]
    wrong += [m for m in left if bool(m["attribute"]) != flavours]
    hit = sum(i in right for i in needed)
    return Score(hit, sum(m["counted"] for m in wrong), len(needed) - hit)


def is_right(want: Want, mark: dict[str, Any], *, whole: bool) -> bool:
    """Whether a mark counts for what is wanted; `whole`: with all that the key tells of it."""
    same = meaning(mark) in want.means and mark["present"] in (want.present, None)
    return mark["counted"] and same and not (whole and want.off(mark))
