"""Things and forms: what a flavour is of, whatever its form ("strawberry": fresh, jam, candied, in cream).

A note says `thing:` and `form:`. A thing is a rung of its own (level "thing", id `reach/<its name>`) that crosses the
categories: its span is every note that says it. A note without `thing:` is a thing of its own and makes no rung.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from tastevocab.vocabulary.model import Descriptor, Form, Vocabulary

PREFIX = "reach/"


def with_things(descriptors: Sequence[Descriptor]) -> list[Descriptor]:
    """The descriptors with a thing for every `thing:` that notes say (asked twice, it gives the same).

    A reach word of that name becomes the thing; else one is made. Its span is its notes, in their order; its home,
    where it says none, the home of its plain note. Retired notes are left out.
    """
    notes: dict[str, list[Descriptor]] = {}
    for d in descriptors:
        if d.thing and not d.use_instead:
            notes.setdefault(d.thing, []).append(d)
    made = [_completed(d, notes.pop(d.id)) if d.id in notes else d for d in descriptors]
    made += [_completed(_bare(id), found) for id, found in notes.items()]
    return made


def _bare(id: str) -> Descriptor:
    return Descriptor(id=id, level="thing", print=id.removeprefix(PREFIX).replace("_", " "), home=None)


def _completed(thing: Descriptor, notes: Sequence[Descriptor]) -> Descriptor:
    plain = _plain(thing.print, notes)
    forms = list(dict.fromkeys(d.form for d in notes if d.form))
    listed = f": {', '.join(forms)}" if forms else ""
    return replace(
        thing,
        level="thing",
        home=thing.home or plain.home,
        span=tuple(d.id for d in notes),
        about=thing.about or f"{thing.print.capitalize()} in any form{listed}.",
        place=thing.place if thing.place.file else plain.place,
    )


def _plain(label: str, notes: Sequence[Descriptor]) -> Descriptor:
    """The note that a thing's bare word reaches, else the first."""
    return next((d for d in notes if _is_called(d, label)), notes[0])


def _is_called(d: Descriptor, label: str) -> bool:
    return d.print == label or any(label == word for word in next(iter(d.words.values()), ()))


def thing_of(vocabulary: Vocabulary, id: str) -> Descriptor | None:
    """The thing that a note is of, or the thing itself; None where it makes no rung of its own."""
    d = vocabulary.descriptors[id]
    if d.level == "thing":
        return d
    return vocabulary.descriptors[d.thing] if d.thing else None


def bare_thing(vocabulary: Vocabulary, id: str) -> Descriptor | None:
    """The thing whose bare word `id` answers to: the thing itself, its plain note, or the family called like it
    ("plums"); None for "strawberry jam"."""
    d, thing = vocabulary.descriptors[id], thing_of(vocabulary, id)
    if d.level == "family":
        return next((vocabulary.descriptors[t] for t, ids in bare_families(vocabulary).items() if id in ids), None)
    if thing is None or d is thing:
        return thing
    return thing if _is_called(d, thing.print) else None


def bare_families(vocabulary: Vocabulary) -> dict[str, frozenset[str]]:
    """Things whose bare word reaches a family ("cherry"), with it."""
    families = [d for d in vocabulary.descriptors.values() if d.level == "family" and not d.fault]
    first = vocabulary.languages[0]
    named = {word: d.id for d in families for word in (d.print, *d.words.get(first, ()))}
    things = (d for d in vocabulary.descriptors.values() if d.level == "thing")
    return {d.id: frozenset((named[d.print],)) for d in things if d.print in named}


def form_said(forms: Mapping[str, Form], listed: str, state: str | None) -> str:
    """The form a finding came in: what its words said (`state`), where its note is of no other form (`listed`)."""
    if not state:
        return listed
    said = next((name for name, form in forms.items() if state in (name, *form.states)), "")
    plain = not listed or (listed in forms and forms[listed].plain)
    return said if said and plain else listed


def forms_told(vocabulary: Vocabulary, people: Mapping[str, int], of: int) -> str:
    """In which form a thing was found, for a customer: "as jam", "mostly as jam"; "" where no form leads.

    `people` counts those who found each form, `of` all who found the thing. A plain form (fresh) needs no telling.
    """
    if not people:
        return ""
    most = max(people, key=lambda form: (people[form], form in vocabulary.forms))
    form = vocabulary.forms.get(most)
    if form is None or form.plain or 2 * people[most] <= of:
        return ""
    return form.told if set(people) == {most} and people[most] == of else f"mostly {form.told}"


def heads(forms: Mapping[str, Form]) -> dict[str, str]:
    """Every head of a compound (an id, or the beginning of ids) with the form that it gives to what stands before."""
    return {head: name for name, form in forms.items() for head in form.heads}
