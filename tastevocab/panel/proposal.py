"""What files say of a table before anybody is asked: who speaks in them, which coffees and brews they name."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from tastevocab.errors import InputError, Place
from tastevocab.reading.intake.files import read_turns
from tastevocab.reading.language.lexicon import Lexicon
from tastevocab.reading.language.situation import METHOD
from tastevocab.reading.language.utterance import Utterance
from tastevocab.reading.records import Turn

SUFFIXES = (".vtt", ".srt", ".txt", ".md", ".markdown", ".csv", ".tsv", ".jsonl")
_LEADS = "okay ok right now next so then the on to and let's do we with as for first second last start move"
LEADS = frozenset(_LEADS.split())
"""Words that may stand before a brew that opens its sentence: "okay, the filter", "now on to the flat white"."""


@dataclass(frozen=True, slots=True)
class Heard:
    """What the files name, each in the order of the files: nobody has said yet that it is right."""

    files: tuple[Path, ...]
    tasters: tuple[str, ...]
    coffees: tuple[str, ...]
    brews: tuple[str, ...]


def files_of(paths: Sequence[Path]) -> tuple[Path, ...]:
    """The files of notes among `paths`, folders opened; what a folder holds besides (a key, decisions) is left.

    Raises `InputError` for what is not there, and where no file of notes is among them.
    """
    found: list[Path] = []
    for path in paths:
        if path.is_dir():
            inside = (p for p in sorted(path.iterdir()) if p.suffix.lower() in SUFFIXES)
            found += [p for p in inside if p.is_file() and not p.name.lower().startswith(("key-", "readme"))]
        elif path.is_file():
            found.append(path)
        else:
            raise InputError("no such file", place=Place(str(path)), mend="check the path")
    if not found:
        where = Place(str(paths[0])) if paths else Place("")
        raise InputError("holds no notes", place=where, mend=f"give captions, sheets or tables ({', '.join(SUFFIXES)})")
    return tuple(dict.fromkeys(found))


def hear(files: Iterable[Path], lexicon: Lexicon) -> Heard:
    """What the files name. Raises `InputError` where one cannot be read."""
    files = tuple(files)
    turns = [turn for path in files for turn in read_turns(path).turns]
    spoken = Counter(t.speaker for t in turns if t.speaker)
    tasters = {name.casefold(): name for name in reversed(list(spoken))}
    coffees = {t.coffee.casefold(): t.coffee for t in reversed(turns) if t.coffee}
    brews = dict.fromkeys(brew for turn in turns for brew in _brews(turn, lexicon))
    return Heard(files, tuple(reversed(tasters.values())), tuple(reversed(coffees.values())), tuple(brews))


def _brews(turn: Turn, lexicon: Lexicon) -> Iterable[str]:
    if turn.brew:
        yield turn.brew.casefold()
    u = Utterance(turn.text, lexicon)
    names = u.named()
    for cue in u.of("brew"):
        before = u.own[u.sentence_range(cue.start)[0] : cue.start]
        if cue.start not in names and LEADS.issuperset(before):
            yield METHOD.get(cue.value, cue.value)
