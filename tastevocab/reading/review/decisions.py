"""What a person decided about a reading: kept in a file beside the notes, applied every time they are read.

`<name>.decisions.yaml` lies beside the file in which the words stand and holds the decisions in the order they were
made; of two about the same words the later counts, and an entry deleted is a decision undone:

    notes: table.vtt
    decisions:
      - words: kumquish             # the words decided about
        speaker: Mira               # the rest tells which of them; left out: all of them
        occurrence: 1
        context: whiff of | at the end
        was: null                   # what it had been read as
        decide: change              # accept, change, reject, ignore, flavour, fault, house, add or stretch
        descriptor: citrus_crate/orange_mandarin/kumquat
        present: true               # found (true) or denied (false); left out: as it was read
        everywhere: true            # for these words read as `was`, wherever they stand in the whole session
        taster: otto                # whose it is and of what: taster, coffee, brew, moment, standing
        degree: weak                # how strong; doubt: true where it was said with doubt
      - words: a bit like plums     # found by a person where nothing was read: a descriptor, or attribute and level
        occurrence: 1
        decide: add
        descriptor: orchard/plums/plum
      - decide: stretch             # all that is said from one place to another: who, coffee, brew, moment, standing
        from: "12:30"               # a second of the recording, or {words: on to the espresso, occurrence: 1}
        to: "15:02"                 # left out: to the end
        brew: espresso

`review` and the desk write a decision that holds everywhere beside every file of the session.
"""

from __future__ import annotations

import os
from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Literal, cast, get_args

from tastevocab.errors import InputError, Place, near
from tastevocab.reading.review.context import Key, Texts, folded, texts_of
from tastevocab.reading.review.details import NOTHING, Details, details_of, details_row, mark_of, mark_row
from tastevocab.reading.review.said import Mark
from tastevocab.vocabulary.sources import Lines, parse_yaml, read_yaml
from tastevocab.written import write_whole

Verb = Literal["accept", "change", "reject", "ignore", "flavour", "fault", "house", "add", "stretch"]
VERBS: tuple[str, ...] = get_args(Verb)
PLACED = ("add", "stretch")  # about a place in the text, not about an item that was read there
SUFFIX = ".decisions.yaml"
_HEAD = "# What a person decided about these notes. Applied whenever they are read; delete an entry to undo it.\n"
_TOP = ("notes", "decisions")
# `review --list` tells more of each question; a row of it, with `decide` added, is a decision.
_TOLD = {"at", "kind", "why", "question", "before", "after", "candidates", "sure", "signs"}


@dataclass(frozen=True, slots=True)
class Decision:
    """One decision. `occurrence` 0 stands for every place of the words; `descriptor` is what they mean from now on.

    `fault` says that the descriptor is a taint, `present` that it was found or denied (None: as read). `everywhere` is
    true where it holds for these words, read as `was`, in a whole session. `details` are whose it is, of what and how.
    A stretch is about all from `start` to before `end` (None: to the end). `source` is the file it is about, if said,
    `place` where it is written.
    """

    decide: Verb
    words: str
    note: str | None = None
    speaker: str | None = None
    occurrence: int = 0
    context: str = ""
    was: str | None = None
    descriptor: str | None = None
    fault: bool = False
    present: bool | None = None
    everywhere: bool = False
    details: Details = NOTHING
    start: Mark | None = None
    end: Mark | None = None
    source: str = field(default="", compare=False)
    place: Place = field(default_factory=lambda: Place(""), compare=False)

    @property
    def key(self) -> Key:
        """Which item it is about."""
        return Key(folded(self.words), self.note, self.speaker, self.occurrence, self.context, self.was)

    @property
    def mark(self) -> Mark:
        """The place of its words."""
        return Mark(self.words, self.occurrence or 1, self.context, self.note)

    def wide(self) -> Decision:
        """The same for these words, read as `was`, wherever they stand."""
        return replace(self, note=None, speaker=None, occurrence=0, context="", everywhere=True)


@dataclass(frozen=True, slots=True)
class Decisions:
    """The decisions about one file of notes, in order, and the texts they are about; `file` is where they are kept."""

    file: Path
    entries: tuple[Decision, ...] = ()
    texts: Texts = field(default_factory=Texts)


def decided(
    key: Key,
    decide: Verb,
    descriptor: str | None = None,
    *,
    fault: bool = False,
    present: bool | None = None,
    details: Details = NOTHING,
) -> Decision:
    """A decision about the item with this key."""
    made = Decision(
        decide, key.words, key.note, key.speaker, key.occurrence, key.context, key.was, descriptor, fault, present
    )
    return replace(made, details=details)


# --- the file ---


def beside(path: Path) -> Path:
    """Where decisions about the notes in `path` are kept."""
    return path.with_name(path.name.removesuffix(path.suffix) + SUFFIX)


def load_beside(path: Path, *, known: Container[str] | None = None, text: str | None = None) -> Decisions:
    """The decisions kept beside a file of notes; none if there is no such file.

    `known` are the ids a decision may name (all if None); `text` is the note itself where it stands inside another
    file (a session's own notes). Raises `InputError`, with file and line, for a decision that is not understood.
    """
    file = beside(path)
    if not file.is_file():
        return Decisions(file)
    entries = tuple(read_decisions(file, known=known))
    if not entries:
        return Decisions(file)
    return Decisions(file, entries, texts_of(path) if text is None else Texts.of(text))


def read_decisions(file: Path, *, known: Container[str] | None = None, draft: bool = False) -> list[Decision]:
    """The decisions in a file, in order: a mapping with `decisions`, or a plain list of them (YAML or JSON).

    In a `draft`, a fault need not say which: that is settled when it is decided. Raises `InputError`, with file and
    line, for a decision that is not understood or names an id outside `known`.
    """
    return _decisions(read_yaml(file, error=InputError), os.fspath(file), known, draft)


def rows_of(entries: Iterable[Decision]) -> list[dict[str, Any]]:
    """Decisions as plain values, each as it would stand in a file; `decisions_in` reads them."""
    return [dict(entry_of(d)) for d in entries]


def decisions_in(rows: Iterable[Mapping[str, Any]], file: str) -> list[Decision]:
    """The decisions of rows as `rows_of` gives them; `file` is the name used in errors."""
    return _decisions(parse_yaml(_yaml({"decisions": list(rows)}), file, error=InputError), file, None, False)


def _decisions(top: Any, file: str, known: Container[str] | None, draft: bool) -> list[Decision]:
    for key in top if isinstance(top, Lines) else ():
        if key not in _TOP:
            raise InputError(f"{key!r} is no key that is read", place=top.place(key), mend=near(str(key), _TOP))
    entries = top.get("decisions") if isinstance(top, Lines) else top
    if entries is None:
        return []
    if not isinstance(entries, list) or not all(isinstance(e, Lines) for e in entries):
        raise InputError("holds no list of decisions", place=Place(file, 1), mend="write `decisions:` first")
    return [_decision(entry, known, draft) for entry in entries]


def _decision(entry: Lines, known: Container[str] | None, draft: bool) -> Decision:
    names = (Decision.__dataclass_fields__.keys() - {"place", "details", "start", "end"}) | {"from", "to"}
    names |= Details.__dataclass_fields__.keys()
    for name in entry:
        if name not in names | _TOLD:
            mend = near(str(name), sorted(names))
            raise InputError(f"{name!r} is no part of a decision", place=entry.place(name), mend=mend)
    verb, words, details = entry.get("decide"), entry.get("words"), details_of(entry)
    if verb not in VERBS:
        raise InputError(f"cannot decide {verb!r}", place=entry.place("decide"), mend=_one_of(VERBS))
    if verb == "stretch":
        return _stretch(entry, details)
    if not words:
        raise InputError("a decision about no words", place=entry.place(), mend="write `words:`")
    id = _descriptor(entry, known, draft, details)
    made = Decision(
        decide=cast(Verb, verb),
        words=str(words),
        details=details,
        note=_text(entry, "note"),
        speaker=_text(entry, "speaker"),
        occurrence=_count(entry),
        context=_text(entry, "context") or "",
        was=_text(entry, "was"),
        descriptor=_text(entry, "descriptor") if id else None,
        fault=entry.get("fault") is True or verb == "fault",
        present=_yes_no(entry, "present"),
        everywhere=_yes_no(entry, "everywhere") or False,
        source=_text(entry, "source") or "",
        place=entry.place(),
    )
    return made.wide() if made.everywhere and not draft else made


def _descriptor(entry: Lines, known: Container[str] | None, draft: bool, details: Details) -> str | None:
    """The id that a decision names. Raises `InputError` where it needs one, or names one that is not known."""
    verb, id = entry["decide"], entry.get("descriptor")
    if not id and verb == "add" and not (details.attribute and details.level):
        mend = "write `descriptor:` with an id, or `attribute:` and `level:`"
        raise InputError("add what?", place=entry.place("decide"), mend=mend)
    if not id and (verb == "change" or (verb == "fault" and not draft)) and not details.attribute:
        raise InputError(f"{verb!r} to what?", place=entry.place("decide"), mend="write `descriptor:` with an id")
    if id and known is not None and id not in known:
        if verb != "house":
            mend = "find its id with `tastevocab find`"
            raise InputError(f"{id!r} is no descriptor", place=entry.place("descriptor"), mend=mend)
        return None
    return str(id) if id else None


def _stretch(entry: Lines, details: Details) -> Decision:
    if details.of_stretch() == NOTHING or details.of_stretch() != details:
        mend = "write taster, coffee, brew, moment or standing, and nothing else"
        raise InputError("a stretch of what?", place=entry.place("decide"), mend=mend)
    start = mark_of(entry, "from")
    if start is None:
        mend = 'write `from:` with a time ("12:30") or {words: ..., occurrence: 1}'
        raise InputError("a stretch from where?", place=entry.place("decide"), mend=mend)
    source = _text(entry, "source") or ""
    end = mark_of(entry, "to")
    return Decision("stretch", "", details=details, start=start, end=end, source=source, place=entry.place())


def _text(entry: Lines, name: str) -> str | None:
    value = entry.get(name)
    return None if value is None else str(value)


def _yes_no(entry: Lines, name: str) -> bool | None:
    value = entry.get(name)
    if not isinstance(value, bool | None):
        raise InputError(f"{name}: {value!r} is no yes or no", place=entry.place(name), mend="write true or false")
    return value


def _count(entry: Lines) -> int:
    value = entry.get("occurrence", 0)
    if not isinstance(value, int) or isinstance(value, bool) or value < 0:
        raise InputError(f"{value!r} is no number of a place", place=entry.place("occurrence"), mend="write 1, 2, ...")
    return value


def _one_of(names: Iterable[str]) -> str:
    return f"use one of {', '.join(names)}"


def save(file: Path, entries: Iterable[Decision], notes: str) -> None:
    """Write decisions to `file`, whole or not at all; `notes` names the file they are about.

    With no decision left the file is taken away. Raises `InputError` where it cannot be written.
    """
    made = [entry_of(d) for d in entries]
    text = _HEAD + _yaml({"notes": notes, "decisions": made})
    if made:
        write_whole(file, text.encode("utf-8", errors="replace"))
        return
    try:
        file.unlink(missing_ok=True)
    except OSError as problem:
        what = f"cannot be written: {problem.strerror}"
        raise InputError(what, place=Place(os.fspath(file)), mend="check the path and its rights") from None


def _yaml(value: Mapping[str, Any]) -> str:
    import yaml

    class Dumper(yaml.SafeDumper):
        pass

    def text(dumper: yaml.SafeDumper, value: str) -> yaml.ScalarNode:
        # Line ends and the like keep their place only between double quotes, written as escapes.
        style = None if value.isprintable() else '"'
        return dumper.represent_scalar("tag:yaml.org,2002:str", value, style=style)

    Dumper.add_representer(str, text)
    return yaml.dump(value, Dumper=Dumper, sort_keys=False, allow_unicode=True, width=4096, default_flow_style=False)


def entry_of(d: Decision) -> Mapping[str, Any]:
    """What is written of a decision: what says nothing is left out, but for `was`."""
    if d.start is not None:
        ends = {"from": mark_row(d.start)} | ({"to": mark_row(d.end)} if d.end else {})
        return {"decide": d.decide, **ends, **details_row(d.details)}
    made: dict[str, Any] = {"words": d.words}
    for name in ("note", "speaker", "occurrence", "context"):
        if getattr(d, name):
            made[name] = getattr(d, name)
    if (d.occurrence or d.everywhere) and d.decide != "add":
        made["was"] = d.was
    made["decide"] = d.decide
    if d.descriptor:
        made["descriptor"] = d.descriptor
    if d.fault:
        made["fault"] = True
    if d.present is not None:
        made["present"] = d.present
    if d.everywhere:
        made["everywhere"] = True
    return made | details_row(d.details)
