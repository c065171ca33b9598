"""Actions as the page sends them, done on a sitting: each understood in full before anything is written."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from tastevocab.cells import visible
from tastevocab.errors import InputError
from tastevocab.reading.hearing.windows import DEGREES, LEVELS
from tastevocab.reading.records import MOMENTS
from tastevocab.reading.review.context import Key
from tastevocab.reading.review.decisions import Verb
from tastevocab.reading.review.details import NOTHING, PLACES, STANDINGS, Details, time_of
from tastevocab.web.body import flag_of, number_of, text_of
from tastevocab.web.desk import acts, timeline
from tastevocab.web.desk.acts import Meaning
from tastevocab.web.desk.marks import Mark
from tastevocab.web.desk.sitting import Sitting, Text
from tastevocab.web.guard import Refused

Given = dict[str, Any]
LONG = 200


class Elsewhere(Exception):
    """Somebody else decided about the same mark since the page last looked."""


def do(sitting: Sitting, given: Given) -> str:
    """Do one action; what was done, as a sentence.

    Raises `Refused` for what is no action, `Elsewhere` where another decided about the mark meanwhile, `InputError` or
    `VocabularyError` where it cannot be done.
    """
    name = text_of(given, "do", 20, least=1)
    act = ACTS.get(name)
    if act is None:
        raise Refused(400, f"{visible(name)!r} is nothing that can be done")
    return act(sitting, given)


# --- what is sent ---


def _mark(sitting: Sitting, given: Given) -> tuple[Text, Mark, Key]:
    text, mark, key = sitting.mark(text_of(given, "mark", LONG, least=1))
    seen = given.get("seen", False)
    now = mark.decision.decide if mark.decision else None
    if seen is not False and seen != now:
        raise Elsewhere
    return text, mark, key


def _meaning(sitting: Sitting, given: Given) -> Meaning:
    descriptor, attribute = text_of(given, "descriptor", LONG), text_of(given, "attribute", LONG)
    level = text_of(given, "level", LONG)
    if descriptor and descriptor not in sitting.lexicon.prints:
        raise InputError(f"{visible(descriptor)!r} is no descriptor", mend="type a word and choose from the list")
    if attribute and attribute not in sitting.search.attributes:
        raise InputError(f"{visible(attribute)!r} is no attribute", mend="type a word and choose from the list")
    if level and level not in LEVELS:
        raise Refused(400, "level: none, low, medium or high was expected")
    if attribute and not level:
        raise InputError("how much of it was not said", mend="choose none, low, medium or high")
    fault = descriptor in sitting.faults
    return Meaning(descriptor or None, attribute or None, level or None, _yes_no(given, "present"), fault)


def _yes_no(given: Given, name: str) -> bool | None:
    return None if given.get(name) is None else flag_of(given, name)


def _details(sitting: Sitting, given: Given) -> Details:
    """What is said beside the word; a key that is left out stays as it was, "" says that it is not said."""
    session = sitting.session
    known: Mapping[str, tuple[str, ...]] = {
        "taster": session.tasters,
        "coffee": tuple(session.coffees),
        "brew": tuple(session.brews) or _heard_brews(sitting),
        "moment": MOMENTS,
        "place": PLACES,
        "standing": STANDINGS,
        "degree": DEGREES,
        "level": LEVELS,
    }
    said: dict[str, Any] = {"doubt": _yes_no(given, "doubt")}
    for name, choices in known.items():
        if given.get(name) is None:
            continue
        value = text_of(given, name, LONG)
        if value not in choices and (value or name in ("standing", "level")):
            raise InputError(f"{name}: {visible(value)!r} is not of this session", mend=f"one of {', '.join(choices)}")
        said[name] = value
    return Details(**said)


def _heard_brews(sitting: Sitting) -> tuple[str, ...]:
    """Without brew cards: the ways of brewing that were heard."""
    return tuple(sorted({p.brew for page in sitting.view().pages for p in page.said.pieces if p.brew}))


def _text(sitting: Sitting, given: Given) -> Text:
    return sitting.texts[number_of(given, "text", 0, len(sitting.texts) - 1)]


# --- one finding ---


def _keep(sitting: Sitting, given: Given) -> str:
    text, mark, key = _mark(sitting, given)
    told = f"kept: {_said(mark)}"
    if flag_of(given, "everywhere"):
        return _everywhere(sitting, mark, key, "accept", Meaning(), told)
    return sitting.change(told, text.path, lambda e: acts.keep(e, mark, key, present=_yes_no(given, "present")))


def _wrong(sitting: Sitting, given: Given) -> str:
    text, mark, key = _mark(sitting, given)
    told = f"set aside: {_said(mark)}"
    if flag_of(given, "everywhere") and not mark.added:
        return _everywhere(sitting, mark, key, "reject", Meaning(), told)
    return sitting.change(told, text.path, lambda e: acts.wrong(e, mark, key))


def _change(sitting: Sitting, given: Given) -> str:
    text, mark, key = _mark(sitting, given)
    meaning = _meaning(sitting, given)
    told = f"{_said(mark)} is {_name(sitting, meaning)}"
    if flag_of(given, "everywhere") and not mark.added and not meaning.empty:
        return _everywhere(sitting, mark, key, "change", meaning, told)
    return sitting.change(told, text.path, lambda e: acts.change(e, mark, key, meaning))


def _everywhere(sitting: Sitting, mark: Mark, key: Key, verb: Verb, meaning: Meaning, told: str) -> str:
    if mark.kind == "aside" and mark.decision is None:
        raise InputError("what was set aside is brought back place by place", mend="decide about this place only")
    if verb == "accept" and key.was is None:
        raise InputError("this is not known to the vocabulary", mend="say what it is, or set it aside")

    def make(entries: acts.Entries) -> acts.Entries:
        return acts.everywhere(entries, key, verb, meaning)

    return sitting.change_all(f"{told}, everywhere", make)


def _set(sitting: Sitting, given: Given) -> str:
    text, mark, key = _mark(sitting, given)
    details, present = _details(sitting, given), _yes_no(given, "present")
    if details == NOTHING and present is None:
        raise Refused(400, "nothing was said of it")
    told = f"{_said(mark)}: {_told(details, present)}"
    return sitting.change(told, text.path, lambda e: acts.keep(e, mark, key, details, present))


def _forget(sitting: Sitting, given: Given) -> str:
    text, mark, key = _mark(sitting, given)
    told = f"as it was read: {_said(mark)}"
    if mark.decision and mark.decision.everywhere:
        gone = mark.decision
        return sitting.change_all(f"{told}, everywhere", lambda e: tuple(d for d in e if d != gone))
    return sitting.change(told, text.path, lambda e: acts.forget(e, mark, key))


def _never(sitting: Sitting, given: Given) -> str:
    _, mark, key = _mark(sitting, given)
    paths = sitting.with_words(key.words)

    def make(files: Mapping[Any, acts.Entries]) -> Mapping[Any, acts.Entries]:
        return {path: acts.never(files[path], key.words) for path in paths}

    told = f"{_said(mark)}: asked about no more"
    sitting.kept.change(told, make)
    return told


def _add(sitting: Sitting, given: Given) -> str:
    text = _text(sitting, given)
    place = number_of(given, "start", 0, len(text.said.text)), number_of(given, "end", 0, len(text.said.text))
    meaning, details = _meaning(sitting, given), _details(sitting, given)
    start, end = acts.trimmed(text.said, *place)
    told = f"added: “{visible(text.said.text[start:end])}” is {_name(sitting, meaning)}"
    texts = text.part.notes.texts

    def make(entries: acts.Entries) -> acts.Entries:
        return acts.add(entries, text.said, texts, (start, end), meaning, details)

    return sitting.change(told, text.path, make)


def _house(sitting: Sitting, given: Given) -> str:
    text = _text(sitting, given)
    place = number_of(given, "start", 0, len(text.said.text)), number_of(given, "end", 0, len(text.said.text))
    start, end = acts.trimmed(text.said, *place)
    words, meaning = " ".join(text.said.text[start:end].split()), _meaning(sitting, given)
    if not meaning.descriptor:
        raise InputError("under what is it to stand?", mend="choose a family for a note, or a note it is a name of")
    made = sitting.add_house_word(words, meaning.descriptor)
    told = f"“{visible(words)}” is a house word now: {sitting.lexicon.prints.get(made, made)}"
    if words and any(words.casefold() == key.words.casefold() for key, _ in text.pairs):
        sitting.change(told, text.path, lambda e: acts.house(e, words, made))
    return told


# --- stretches ---


def _stretch(sitting: Sitting, given: Given) -> str:
    text, number = _text(sitting, given), number_of(given, "text", 0, len(sitting.texts) - 1)
    start, end = _place(text, given, "start", "from") or 0, _place(text, given, "end", "to")
    details = _details(sitting, given).of_stretch()
    told, places = f"from {_when(text, start)} to {'the end' if end is None else _when(text, end)}", [(start, end)]
    if flag_of(given, "alike"):
        runs = timeline.alike(sitting.view().pages[number].said, _lane(given), start)
        told, places = f"{len(runs)} stretches", [(run.start, run.end) for run in runs]
    made = tuple(timeline.stretch(text.said, text.part.notes.texts, *place, details) for place in places)
    return sitting.change(f"{told}: {_told(details)}", text.path, lambda e: (*e, *made))


def _border(sitting: Sitting, given: Given) -> str:
    text, number = _text(sitting, given), number_of(given, "text", 0, len(sitting.texts) - 1)
    name = _lane(given)
    most = len(text.said.text)
    border = number_of(given, "border", 0, most)
    to = _place(text, given, "start", "from")
    said = sitting.view().pages[number].said
    start, end, value = timeline.moved(said, name, border, most if to is None else to)
    made = timeline.stretch(text.said, text.part.notes.texts, start, end, _one(name, value))
    told = f"{name} from {_when(text, start)} to {_when(text, end)}: {value or 'not said'}"
    return sitting.change(told, text.path, lambda e: (*e, made))


def _lane(given: Given) -> str:
    name = text_of(given, "lane", 20, least=1)
    if name not in timeline.LANES:
        raise Refused(400, "lane: coffee, brew, moment or taster was expected")
    return name


def _one(name: str, value: str) -> Details:
    said: dict[str, Any] = {name: value}
    return Details(**said)


def _place(text: Text, given: Given, place: str, typed: str) -> int | None:
    """A place of the text, as a number or as it was typed; None where neither was sent."""
    words = text_of(given, typed, 40)
    if words:
        return timeline.place_typed(text.said, words)
    return None if given.get(place) is None else number_of(given, place, 0, len(text.said.text))


def _when(text: Text, place: int) -> str:
    if place >= len(text.said.text):
        return "the end"
    at = text.said.pieces[text.said.piece(place)].at
    if at is not None:
        return time_of(round(at))
    return f"line {sum(start <= place for start in timeline.line_starts(text.said))}"


# --- back and forth ---


def _undo(sitting: Sitting, given: Given) -> str:
    told = sitting.kept.undo()
    return f"undone: {told}" if told else "there is nothing to undo"


def _redo(sitting: Sitting, given: Given) -> str:
    told = sitting.kept.redo()
    return f"done again: {told}" if told else "there is nothing to do again"


ACTS: Mapping[str, Callable[[Sitting, Given], str]] = {
    "keep": _keep,
    "wrong": _wrong,
    "change": _change,
    "set": _set,
    "forget": _forget,
    "never": _never,
    "add": _add,
    "house": _house,
    "stretch": _stretch,
    "border": _border,
    "undo": _undo,
    "redo": _redo,
}


# --- in words ---


def _said(mark: Mark) -> str:
    return f"“{visible(' '.join(mark.item.spot.words.split()))}”"


def _name(sitting: Sitting, meaning: Meaning) -> str:
    if meaning.attribute:
        return f"{sitting.search.attributes[meaning.attribute]}: {meaning.level}"
    name = sitting.lexicon.prints.get(meaning.descriptor or "", "nothing")
    return f"no {name}" if meaning.present is False else name


def _told(details: Details, present: bool | None = None) -> str:
    said = [] if present is None else ["found" if present else "denied"]
    if details.doubt is not None:
        said.append("with doubt" if details.doubt else "without doubt")
    for name in ("taster", "coffee", "brew", "moment", "place", "standing", "degree", "level"):
        value = getattr(details, name)
        if value is not None:
            said.append(f"{name} {value or 'not said'}")
    return ", ".join(said)
