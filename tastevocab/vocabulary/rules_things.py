"""Rules about things and forms: what a note is of, and how it comes."""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Iterator, Sequence

from tastevocab.vocabulary.model import Descriptor
from tastevocab.vocabulary.rules import Facts, Hit, Rule
from tastevocab.vocabulary.words import canonical, split_words


def unknown_form(facts: Facts) -> Iterator[Hit]:
    """A form that forms.yaml does not tell how to print, a thing without a form, or a form of no thing."""
    known = facts.draft.language.get("forms")
    for d in facts.draft.descriptors:
        if d.form and isinstance(known, dict) and d.form not in known:
            near = difflib.get_close_matches(d.form, [str(k) for k in known], n=1, cutoff=0.6)
            mend = f"did you mean {near[0]}?" if near else f"known: {', '.join(map(str, known))}"
            yield Hit(facts.draft.place_of(d, "form"), {"id": d.id, "wrong": f"has the form {d.form!r}", "mend": mend})
        elif bool(d.form) != bool(d.thing):
            has, lacks = ("thing", "form") if d.thing else ("form", "thing")
            values = {"id": d.id, "wrong": f"says its {has} and no {lacks}", "mend": f"write `{lacks}:` beside it"}
            yield Hit(facts.draft.place_of(d, has), values)


def lone_thing(facts: Facts) -> Iterator[Hit]:
    """A thing that one note alone says: most often a slip of the pen, and never a rung."""
    count = Counter(d.thing for d in facts.draft.descriptors if d.thing and not d.use_instead)
    several = [id for id, notes in count.items() if notes > 1]
    for d in facts.draft.descriptors:
        if count.get(d.thing) == 1:
            near = difflib.get_close_matches(d.thing, several, n=1, cutoff=0.75)
            mend = f"did you mean {near[0].removeprefix('reach/')}?" if near else "take `thing:` and `form:` out"
            yield Hit(
                facts.draft.place_of(d, "thing"), {"id": d.id, "thing": d.thing.removeprefix("reach/"), "mend": mend}
            )


def thing_untold(facts: Facts) -> Iterator[Hit]:
    """A note whose label names a thing ("peach pie") and that does not say it is of one."""
    for d, thing in labelled(facts.draft.descriptors):
        if (d.id, "thing") not in facts.draft.places:
            yield Hit(d.place, {"id": d.id, "label": d.print, "thing": thing.id.removeprefix("reach/")})


def labelled(descriptors: Sequence[Descriptor]) -> Iterator[tuple[Descriptor, Descriptor]]:
    """Notes of no thing whose label names one, each with that thing: only `thing: none` tells that they are not."""
    things = {_form(d.print): d for d in descriptors if d.level == "thing"}
    for d in descriptors:
        if d.level == "note" and not (d.thing or d.fault or d.use_instead):
            words = _form(d.print)
            named = (things.get(words[i:j]) for i in range(len(words)) for j in range(len(words), i, -1))
            if thing := next((t for t in named if t), None):
                yield d, thing


def _form(label: str) -> tuple[str, ...]:
    return tuple(canonical(word, {}) for word in split_words(label))


THING_RULES = (
    Rule("unknown-form", "error", "{id} {wrong}", "{mend}", unknown_form),
    Rule("lone-thing", "warning", "{id}: no other note is of the thing {thing}", "{mend}", lone_thing),
    Rule(
        "thing-untold",
        "warning",
        "{id} is called {label!r} and does not say what it is of",
        "write `thing: {thing}` and its `form:`, or `thing: none` if it is not",
        thing_untold,
    ),
)
