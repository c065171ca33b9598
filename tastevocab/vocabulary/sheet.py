"""The shopping and preparation sheet for calibrating a table with kitchen references, allergens first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tastevocab.vocabulary.measures import TreeMeasures
from tastevocab.vocabulary.model import Attribute, Descriptor, Reference, Vocabulary
from tastevocab.vocabulary.tongues import said_in

MOST_IN_A_SESSION = 5


@dataclass(frozen=True, slots=True)
class Sheet:
    """What to buy, make, keep apart and watch for.

    `allergens` pairs each allergen with the labels that hold it; `choose` pairs a word too broad to taste with notes to
    choose from; `missing` are labels without a reference, `never` faults that nobody makes or tastes (label, what to do
    instead); `rules` and `cautions` come from the vocabulary's `kitchen.yaml`.
    """

    allergens: tuple[tuple[str, tuple[str, ...]], ...]
    items: tuple[tuple[str, Reference], ...]
    choose: tuple[tuple[str, tuple[str, ...]], ...]
    missing: tuple[str, ...]
    never: tuple[tuple[str, str], ...]
    rules: tuple[str, ...]
    cautions: tuple[str, ...]


def sheet(vocabulary: Vocabulary, things: Iterable[Descriptor | Attribute], *tongues: str) -> Sheet:
    """The sheet for the given descriptors and attributes, in their order, each once; beside its label each bears the
    name it has in `tongues` (tags)."""
    wanted = list({d.id: d for d in things}.values())
    held = [d for d in wanted if isinstance(d, Descriptor) and d.hold]
    wanted = [d for d in wanted if d not in held]
    items = tuple((_label(d, tongues), d.reference) for d in wanted if d.reference)
    bare = [d for d in wanted if not d.reference]
    broad = [d for d in bare if isinstance(d, Descriptor) and d.level != "note"]
    measures = TreeMeasures(vocabulary)
    return Sheet(
        allergens=_allergens(items),
        items=items,
        choose=tuple((d.print, _to_choose(vocabulary, measures.span_notes(d.id))) for d in broad),
        missing=tuple(d.print for d in bare if d not in broad),
        never=tuple((d.print, d.reference.make if d.reference else "Do not make or taste.") for d in held),
        rules=_lines(vocabulary, "rules"),
        cautions=_lines(vocabulary, "cautions"),
    )


def _label(d: Descriptor | Attribute, tongues: tuple[str, ...]) -> str:
    name = said_in(d, tongues) if isinstance(d, Descriptor) else ""
    return f"{d.print} / {name}" if name and name != d.print else d.print


def _allergens(items: tuple[tuple[str, Reference], ...]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    found: dict[str, list[str]] = {}
    for label, reference in items:
        for allergen in reference.allergens:
            found.setdefault(allergen, []).append(label)
    return tuple((allergen, tuple(labels)) for allergen, labels in sorted(found.items()))


def _to_choose(vocabulary: Vocabulary, notes: frozenset[str]) -> tuple[str, ...]:
    return tuple(d.print for id, d in vocabulary.descriptors.items() if id in notes and d.reference and not d.fault)


def _lines(vocabulary: Vocabulary, key: str) -> tuple[str, ...]:
    kitchen = vocabulary.language.get("kitchen")
    given = kitchen.get(key) if isinstance(kitchen, dict) else None
    return tuple(str(line) for line in given) if isinstance(given, list) else ()


def sheet_text(made: Sheet) -> str:
    """The sheet as Markdown, ready to print and hang up."""
    parts = ["# Kitchen references", "", "## Allergens first", ""]
    parts += [f"- **{allergen}**: {', '.join(labels)}" for allergen, labels in made.allergens]
    if not made.allergens:
        care = " Some carry cautions of their own, below." if any(r.care for _, r in made.items) else ""
        parts.append(f"- None of the listed ones.{care} Read every label all the same, and ask every taster.")
    parts += ["", "## Buy and prepare", ""]
    for label, reference in made.items:
        held = ", ".join(reference.allergens) or ("none of the listed; see care" if reference.care else "none listed")
        keeps = f" Keeps: {reference.keep}." if reference.keep else ""
        parts.append(f"- [ ] **{label}** (allergens: {held}). {reference.make}{keeps}")
        if reference.care:
            parts.append(f"  - Care: {reference.care}")
    if len(made.items) > MOST_IN_A_SESSION:
        parts += ["", f"These are {len(made.items)} references; at most {MOST_IN_A_SESSION} in one session."]
    parts += [
        line
        for label, labels in made.choose
        for line in ("", f"*{label}* is too broad to taste; choose from: {', '.join(labels) or 'nothing yet'}.")
    ]
    if made.missing:
        parts += ["", f"No reference is written yet for: {', '.join(made.missing)}."]
    for label, instead in made.never:
        parts += ["", f"**{label}**: {instead}"]
    for title, lines in (("For every reference", made.rules), ("Cautions", made.cautions)):
        if lines:
            parts += ["", f"## {title}", "", *(f"- {line}" for line in lines)]
    return "\n".join(parts) + "\n"
