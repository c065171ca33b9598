"""What files say of a table before anybody is asked: who speaks in them, which coffees and brews they name."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from tastevocab.errors import InputError, Place
from tastevocab.panel.scaffold import identifier
from tastevocab.panel.session_keys import NOTES
from tastevocab.panel.settling import mark_of
from tastevocab.reading.hand.situation import METHOD
from tastevocab.reading.intake.files import read_turns
from tastevocab.reading.records import Turn
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.reading.words.utterance import Utterance

_LEADS = "okay ok right now next so then the on to and let's do we with as for first second last start move"
LEADS = frozenset(_LEADS.split())
"""Words that may stand before a brew that opens its sentence: "okay, the filter", "now on to the flat white"."""


COUNTS = ("one", "two", "three", "four", "five", "six", "seven", "eight")
"""Numbers of cups and bowls: "bowl three" is one bowl of several, no way to brew."""
_CUP = re.compile(rf"\b((?i:cup|sample|number|coffee))\s+([A-HJ-Z]|\d{{1,3}}|{'|'.join(COUNTS)})\b")


@dataclass(frozen=True, slots=True)
class Heard:
    """What the files name, each in the order of the files: nobody has said yet that it is right. `cups` are what talk
    calls them ("cup A", "number two"), which may be of any coffee; `labels` what rows of tables call the coffees;
    `nameless` the files that name nobody."""

    files: tuple[Path, ...]
    tasters: tuple[str, ...]
    coffees: tuple[str, ...]
    brews: tuple[str, ...]
    cups: tuple[str, ...] = ()
    labels: tuple[str, ...] = ()
    nameless: tuple[Path, ...] = ()


def files_of(paths: Sequence[Path]) -> tuple[Path, ...]:
    """The files of notes among `paths`, folders opened; what a folder holds besides (a key, decisions) is left.

    Raises `InputError` for what is not there, and where no file of notes is among them.
    """
    found: list[Path] = []
    for path in paths:
        if path.is_dir():
            inside = (p for p in sorted(path.iterdir()) if p.suffix.lower() in NOTES)
            found += [p for p in inside if p.is_file() and not p.name.lower().startswith(("key-", "readme"))]
        elif path.is_file():
            found.append(path)
        else:
            raise InputError("no such file", place=Place(str(path)), mend="check the path")
    if not found:
        where = Place(str(paths[0])) if paths else Place("")
        raise InputError("holds no notes", place=where, mend=f"give captions, sheets or tables ({', '.join(NOTES)})")
    return tuple(dict.fromkeys(found))


def hear(files: Iterable[Path], lexicon: Lexicon) -> Heard:
    """What the files name. Raises `InputError` where one cannot be read."""
    files = tuple(files)
    by_file = {path: read_turns(path).turns for path in files}
    turns = [turn for path in files for turn in by_file[path]]
    tasters = _once(turn.speaker for turn in turns)
    labels = _once(turn.coffee for turn in turns)
    coffees = labels or _once(_headed(turns, lexicon))
    brews = tuple(dict.fromkeys(brew for turn in turns for brew in _brews(turn, lexicon)))
    cups = _cups(turn.text for turn in turns if turn.kind == "talk")
    nameless = tuple(path for path in files if not any(turn.speaker for turn in by_file[path]))
    return Heard(files, tasters, coffees, brews, cups, labels, nameless)


def owners(files: Iterable[Path], tasters: Sequence[str]) -> dict[Path, str]:
    """Whose a file is by its own name: "mira-notes.txt" is Mira's, where it holds the name of one taster alone."""
    found = {}
    for path in files:
        named = [t for t in tasters if f"_{identifier(t)}_" in f"_{identifier(re.sub('_', ' ', path.stem))}_"]
        if len(named) == 1:
            found[path] = named[0]
    return found


def uncalled(labels: Iterable[str], names: Iterable[str]) -> tuple[str, ...]:
    """Labels of the sheets that are no coffee's name, nor the mark in one ("A" is the cup's that is called "cup A")."""
    names = tuple(names)
    known = {identifier(name) for name in names} | {mark_of(name) for name in names}
    return tuple(one for one in labels if identifier(one) not in known and (mark_of(one) or None) not in known)


def _once(names: Iterable[str | None]) -> tuple[str, ...]:
    """Each name once, as it was first written."""
    found: dict[str, str] = {}
    for name in filter(None, names):
        found.setdefault(name.casefold(), name)
    return tuple(found.values())


def _headed(turns: Iterable[Turn], lexicon: Lexicon) -> Iterator[str]:
    """Headings of a sheet that name nothing else that is known: neither a person, a brew or moment, nor a flavour."""
    for turn in turns:
        if turn.kind == "heading" and turn.topic is None and turn.speaker is None:
            u = Utterance(turn.text, lexicon)
            if not (u.of("brew") or u.of("moment") or u.of("place") or len(u.named()) >= len(u.own)):
                yield turn.text


def _cups(texts: Iterable[str]) -> tuple[str, ...]:
    """What talk calls the cups, where it calls more than one so."""
    found = _once(f"{m[1].lower()} {m[2]}" for text in texts for m in _CUP.finditer(text))
    return found if len(found) > 1 else ()


def _brews(turn: Turn, lexicon: Lexicon) -> Iterable[str]:
    if turn.brew:
        yield turn.brew.casefold()
    u = Utterance(turn.text, lexicon)
    names = u.named()
    for cue in u.of("brew"):
        before = u.own[u.sentence_range(cue.start)[0] : cue.start]
        counted = cue.end < len(u.own) and (u.own[cue.end] in COUNTS or u.own[cue.end].isdigit())
        if cue.start not in names and LEADS.issuperset(before) and not counted:
            yield METHOD.get(cue.value, cue.value)
