"""The wheel in words: for those who cannot see it, and the key to reading it."""

from __future__ import annotations

from collections.abc import Sequence

from tastevocab.wheel.arcs import Arc, arcs
from tastevocab.wheel.tree import Strip, WheelTree
from tastevocab.wheel.typeface import clean

CAUTION = "Flavour words are likenesses tasted, not ingredients, and say nothing about allergens."
NOT_QUALITY = "Colour and size are not quality."
UNSPECIFIED = "unspecified"


def counted(people: int, of: int) -> str:
    """ "3 of 5", or "" where nobody was counted."""
    return f"{people} of {of}" if of else ""


def petal_name(arc: Arc) -> str:
    """What a petal is called when it stands alone: its label, or whose unspecified part it is."""
    return f"{arc.label}, {UNSPECIFIED}" if arc.own and not arc.reach else arc.label


def title_text(tree: WheelTree) -> str:
    """The drawing's title: what the centre says, in one line."""
    return clean(", ".join(text for text in (tree.title, *tree.subtitle) if text)) or "Flavour wheel"


def percent(share: float) -> str:
    """A share 0..1 as whole percent; what is there is never 0."""
    return f"{100 * share:.0f} %" if share >= 0.005 or share <= 0 else "under 1 %"


def alt_text(tree: WheelTree) -> str:
    """The whole wheel as a few sentences, nothing left out that the picture shows: `map_text` and the footer."""
    return f"{map_text(tree)} {footer_text(tree)}"


def footer_text(tree: WheelTree) -> str:
    """The lines below the wheel; the caution where there are none."""
    return " ".join(clean(line) for line in (tree.footer or (CAUTION,)))


def map_text(tree: WheelTree) -> str:
    """What was found and marked, in a few sentences.

    Says the title, every category with its share in whole percent, every petal with its people, what is unspecified or
    said with doubt, who said no, and the attributes with their median.
    """
    found = arcs(tree)
    total = sum(arc.span for arc in found if arc.ring == "category") or 1.0
    parts = [f"Flavour wheel: {title_text(tree)}."]
    denials = {node.id: node.denials for node in tree.nodes}
    for at, arc in enumerate(found):
        if arc.ring == "category":
            petals = _petals_of(found, at)
            told = "; ".join(_petal_words(p, denials) for p in petals)
            parts.append(f"{clean(arc.label)} {percent(arc.span / total)}: {told}.")
    if not found:
        parts.append("Nothing was found.")
    parts += [_strip_words(strip) for strip in tree.strips]
    return " ".join(parts)


def _petals_of(found: Sequence[Arc], at: int) -> list[Arc]:
    out = []
    for arc in found[at + 1 :]:
        if arc.ring == "category":
            break
        if arc.ring == "petal":
            out.append(arc)
    return out


def _petal_words(arc: Arc, denials: dict[str, int]) -> str:
    said = [clean(petal_name(arc))]
    if arc.of:
        said.append(counted(arc.people, arc.of))
    if arc.reach:
        said.append("said broadly")
    if arc.hedged > 0:
        said.append(f"{percent(arc.hedged)} with doubt")
    if denials.get(arc.node):
        said.append(f"{denials[arc.node]} said no")
    return ", ".join(said)


def _strip_words(strip: Strip) -> str:
    middle = f"median {step_word(strip)}" if strip.median is not None else "no median"
    marks = ", ".join(f"{clean(name)} {mark:g}" for name, mark in strip.marks)
    return f"{clean(strip.label)}: {middle}{f' ({marks})' if marks else ''}."


def step_word(strip: Strip) -> str:
    """The scale word nearest to the median ("soft to clear" when it lies between two)."""
    if strip.median is None or not strip.scale:
        return ""
    low = min(max(int(strip.median), 1), len(strip.scale))
    high = min(low + 1, len(strip.scale))
    between = abs(strip.median - low - 0.5) < 0.25
    return clean(
        f"{strip.scale[low - 1]} to {strip.scale[high - 1]}"
        if between and high > low
        else strip.scale[round(strip.median) - 1]
    )
