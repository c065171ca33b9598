"""Rules about ids, homes and links."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterator

from tastevocab.errors import Place
from tastevocab.vocabulary.model import Descriptor
from tastevocab.vocabulary.rules import Facts, Hit, Rule
from tastevocab.vocabulary.words import singular

RESERVED_IDS = {"reach", "none", "all", "root"}
_ID = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")


def _links(d: Descriptor) -> Iterator[tuple[str, str]]:
    for key in ("kin", "parts", "span"):
        yield from ((key, name) for name in getattr(d, key))
    if d.use_instead:
        yield ("use_instead", d.use_instead)


def _near(name: str, facts: Facts) -> str:
    known = [*facts.by_short, *(id for id in facts.by_id if id.startswith("reach/"))]
    near = difflib.get_close_matches(name.rsplit("/", 1)[-1] if "reach/" not in name else name, known, n=3, cutoff=0.6)
    return f"did you mean {' or '.join(near)}?" if near else "add it, or take the name out"


def _called(d: Descriptor) -> str:
    return "reach word" if d.level == "reach" else d.level


def two_homes(facts: Facts) -> Iterator[Hit]:
    """The same last part of an id in two places, or the same id twice."""
    first: dict[str, Descriptor] = {}
    for d in facts.draft.descriptors:
        name = d.id if d.crosses else d.id.rsplit("/", 1)[-1]
        other = first.setdefault(name, d)
        if other is not d:
            yield Hit(d.place, {"name": name, "here": d.id, "there": other.id, "where": other.place})


def unknown_parent(facts: Facts) -> Iterator[Hit]:
    """A home that is no id, or no place to hang from."""
    for d in facts.draft.descriptors:
        if d.home and len(facts.targets(d.home)) != 1:
            place = facts.draft.place_of(d, "home")
            yield Hit(place, {"id": d.id, "home": d.home, "near": _near(d.home, facts)})


def wrong_home(facts: Facts) -> Iterator[Hit]:
    """A note that hangs from no family, a family that hangs from no category, a reach word from neither."""
    fits = {"note": ("family",), "family": ("category",), "category": (), "reach": ("category", "family")}
    fits["thing"] = fits["reach"]
    for d in facts.draft.descriptors:
        home = facts.target(d.home) if d.home else None
        if home is not None and home.level not in fits[d.level]:
            values = {"id": d.id, "level": _called(d), "home": home.id, "wrong": _called(home)}
            wanted = " or a ".join(fits[d.level]) or "nothing"
            yield Hit(facts.draft.place_of(d, "home"), values | {"wanted": wanted})


def several_roots(facts: Facts) -> Iterator[Hit]:
    """Something that hangs from nothing and is no category."""
    for d in facts.draft.descriptors:
        if d.level != "category" and not d.home and not (d.crosses and d.home is None):
            yield Hit(d.place, {"id": d.id, "level": _called(d)})


def unknown_link(key: str) -> Callable[[Facts], Iterator[Hit]]:
    """A finder for references under `key` that mean no descriptor, or more than one."""

    def find(facts: Facts) -> Iterator[Hit]:
        for d in facts.draft.descriptors:
            for link, name in _links(d):
                if link == key and len(facts.targets(name)) != 1:
                    ids = facts.targets(name)
                    near = f"write one of {', '.join(ids)}" if ids else _near(name, facts)
                    yield Hit(facts.draft.place_of(d, key), {"id": d.id, "name": name, "near": near})

    return find


def unknown_two_faced(facts: Facts) -> Iterator[Hit]:
    """A two-faced word whose flavour or fault is no descriptor of that side."""
    for t in facts.draft.two_faced:
        for side, name in (("flavour", t.flavour), ("fault", t.fault)):
            target = facts.target(name)
            if target is None or target.fault != (side == "fault"):
                near = _near(name, facts) if target is None else f"name a {side}"
                yield Hit(t.place, {"word": t.word, "side": side, "name": name, "near": near})


def cycle(facts: Facts) -> Iterator[Hit]:
    """A loop of homes, of parts, of spans or of replacements; told once, where it comes first."""
    for key in ("home", "parts", "span", "use_instead"):
        told: set[str] = set()
        for d in facts.draft.descriptors:
            loop = _loop_from(facts, d, key)
            if loop and not told.intersection(loop):
                told.update(loop)
                round_trip = " > ".join([*loop, loop[0]])
                yield Hit(facts.draft.place_of(d, key), {"id": d.id, "key": key, "loop": round_trip})


def _loop_from(facts: Facts, start: Descriptor, key: str) -> list[str]:
    """The ids from `start` back to itself along `key`, if there is such a way."""
    stack: list[tuple[Descriptor, list[str]]] = [(start, [start.id])]
    seen: set[str] = set()
    while stack:
        d, path = stack.pop()
        given = getattr(d, key) or ()
        for name in (given,) if isinstance(given, str) else given:
            target = facts.target(name)
            if target is None:
                continue
            if target.id == start.id:
                return path
            if target.id not in seen:
                seen.add(target.id)
                stack.append((target, [*path, target.id]))
    return []


def retired_used(facts: Facts) -> Iterator[Hit]:
    """A link to an id that has been retired."""
    for d in facts.draft.descriptors:
        for key, name in _links(d):
            target = facts.target(name)
            if target is not None and target.use_instead and not (d.use_instead and key != "use_instead"):
                yield _retired(facts.draft.place_of(d, key), d.id, key, target)
    for t in facts.draft.two_faced:
        for side, name in (("flavour", t.flavour), ("fault", t.fault)):
            target = facts.target(name)
            if target is not None and target.use_instead:
                yield _retired(t.place, t.word, side, target)


def _retired(place: Place, id: str, key: str, target: Descriptor) -> Hit:
    return Hit(place, {"id": id, "key": key, "target": target.id, "instead": target.use_instead})


def kin_above(facts: Facts) -> Iterator[Hit]:
    """Kin that is the descriptor itself or hangs above or below it (SKOS S27 forbids both at once)."""
    for d in facts.draft.descriptors:
        for name in d.kin:
            target = facts.target(name)
            if target is None:
                continue
            if target.id == d.id or target in facts.above(d) or d in facts.above(target):
                yield Hit(facts.draft.place_of(d, "kin"), {"id": d.id, "kin": target.id})


def empty_family(facts: Facts) -> Iterator[Hit]:
    """A category without families, a family without notes, a reach word without a span."""
    below = {"category": "family", "family": "note", "reach": "span", "thing": "span"}
    for d in facts.draft.descriptors:
        holds = d.span if d.crosses else facts.children.get(d.id)
        if d.level != "note" and not holds and not d.use_instead:
            yield Hit(d.place, {"id": d.id, "level": _called(d), "below": below[d.level]})


def missing_label(facts: Facts) -> Iterator[Hit]:
    """A descriptor or attribute that has nothing to print."""
    for d in facts.described:
        if not d.print.strip():
            yield Hit(d.place, {"id": d.id})


def missing_meaning(facts: Facts) -> Iterator[Hit]:
    """A descriptor or attribute that does not say what it is."""
    for d in facts.described:
        if not d.about.strip():
            yield Hit(d.place, {"id": d.id})


def lookalike_id(facts: Facts) -> Iterator[Hit]:
    """Ids that differ only in number or in where words are joined ("dried_fig", "driedfigs")."""
    first: dict[str, str] = {}
    for short, ids in facts.by_short.items():
        form = "".join(singular(part) for part in short.split("_"))
        other = first.setdefault(form, short)
        if other != short:
            yield Hit(facts.by_id[ids[0]].place, {"id": ids[0], "other": facts.by_short[other][0]})


def odd_id(facts: Facts) -> Iterator[Hit]:
    """An id that is no snake_case word, or one that means something to the program."""
    for d in facts.draft.descriptors:
        parts = d.id.split("/")[1:] if d.crosses else d.id.split("/")
        last = parts[-1] if parts else ""
        if not _ID.fullmatch(last) or (last in RESERVED_IDS and not d.crosses):
            yield Hit(d.place, {"id": d.id, "last": last})


def unknown_key(facts: Facts) -> Iterator[Hit]:
    """A key that nothing reads: most often a slip of the pen."""
    for odd in facts.draft.odd_keys:
        near = difflib.get_close_matches(odd.key, odd.known, n=1, cutoff=0.6)
        mend = f"did you mean {near[0]}?" if near else f"known here: {', '.join(odd.known)}"
        yield Hit(odd.place, {"key": odd.key, "near": mend})


TREE_RULES = (
    Rule(
        "two-homes",
        "error",
        "{name!r} stands twice: {here}, and {there} at {where}",
        "keep one; tie them by kin",
        two_homes,
    ),
    Rule("unknown-parent", "error", "{id} hangs from {home!r}, which is not there", "{near}", unknown_parent),
    Rule(
        "wrong-home",
        "error",
        "{id} is a {level} and hangs from {home}, a {wrong}",
        "hang it from a {wanted}",
        wrong_home,
    ),
    Rule(
        "several-roots",
        "error",
        "{id} is a {level} that hangs from nothing",
        "give it a home (a reach word: or `home: none`)",
        several_roots,
    ),
    Rule("cycle", "error", "{id}: {key} runs in a circle: {loop}", "take one of the links out", cycle),
    Rule("unknown-kin", "error", "{id} has kin {name!r}, which is no one descriptor", "{near}", unknown_link("kin")),
    Rule(
        "unknown-part", "error", "{id} has a part {name!r}, which is no one descriptor", "{near}", unknown_link("parts")
    ),
    Rule("unknown-span", "error", "{id} spans {name!r}, which is no one descriptor", "{near}", unknown_link("span")),
    Rule(
        "unknown-replacement",
        "error",
        "{id} is retired for {name!r}, which is no one descriptor",
        "{near}",
        unknown_link("use_instead"),
    ),
    Rule("unknown-two-faced", "error", "two-faced {word!r}: its {side} {name!r} is none", "{near}", unknown_two_faced),
    Rule("retired-used", "error", "{id}: {key} points at {target}, which is retired", "use {instead}", retired_used),
    Rule(
        "kin-above",
        "error",
        "{id} and its kin {kin} hang one below the other",
        "take the kin out: the tree says it",
        kin_above,
    ),
    Rule("empty-family", "error", "{id} is a {level} without any {below}", "fill it or take it out", empty_family),
    Rule(
        "missing-label",
        "error",
        "{id} has no print label",
        "write `print:` with the words a customer reads",
        missing_label,
    ),
    Rule(
        "missing-meaning", "error", "{id} does not say what it is", "write `about:` with one sentence", missing_meaning
    ),
    Rule(
        "lookalike-id",
        "error",
        "{id} looks like {other}",
        "give one an id that nobody can confuse with it",
        lookalike_id,
    ),
    Rule(
        "odd-id",
        "error",
        "{id}: {last!r} cannot be an id",
        "use small letters, digits and _; not reach, none, all, root",
        odd_id,
    ),
    Rule("unknown-key", "error", "{key!r} is no key that is read", "{near}", unknown_key),
)
