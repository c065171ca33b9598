"""The wheel in words: for those who cannot see it, and the key to reading it."""

from __future__ import annotations

from tastevocab.wheel.arcs import Arc, arcs
from tastevocab.wheel.tree import Strip, WheelTree
from tastevocab.wheel.typeface import clean

CAUTION = "Likenesses tasted, not ingredients; they say nothing about allergens."
NOT_QUALITY = "Colour and size are not quality."
UNSPECIFIED = "said broadly"
LONGEST_ALT = 600
"""Characters of a text alternative at most; a page has the whole as a table."""


def counted(people: int, of: int) -> str:
    """ "3 of 5", or "" where nobody was counted."""
    return f"{people:,} of {of:,}" if of else ""


def petal_name(arc: Arc) -> str:
    """What a petal is called when it stands alone: its label, or whose unspecified part it is."""
    return f"{arc.label}, {UNSPECIFIED}" if arc.own and not arc.reach else arc.label


def full_name(arc: Arc) -> str:
    """What an arc is called where nothing is seen of it: what was said broadly says so."""
    return f"{arc.label}, {UNSPECIFIED}" if arc.own else arc.label


def title_text(tree: WheelTree) -> str:
    """The drawing's title: what the centre says, in one line."""
    return clean(", ".join(text for text in (tree.title, *tree.subtitle) if text)) or "Flavour wheel"


def percent(share: float) -> str:
    """A share 0..1 as whole percent; what is there is never 0."""
    return f"{100 * share:.0f} %" if share >= 0.005 or share <= 0 else "under 1 %"


def alt_text(tree: WheelTree) -> str:
    """The wheel in at most `LONGEST_ALT` characters: what is printed, then petals by their people, then the footer.

    What has no room is counted, never dropped in silence.
    """
    below = footer_text(tree)
    told = map_text(tree, LONGEST_ALT - len(below) - 1)
    return f"{told} {below}" if len(told) + len(below) < LONGEST_ALT else told[:LONGEST_ALT]


def footer_text(tree: WheelTree) -> str:
    """The lines below the wheel; the caution where there are none."""
    return " ".join(clean(line) for line in (tree.footer or (CAUTION,)))


def printed_text(tree: WheelTree) -> str:
    """The notes line with its people, "red fruit, 4 of 5; caramel, 3 of 5", or what is said in its place."""
    said = [
        ", ".join(part for part in (clean(w.label), counted(w.people, w.of), clean(w.leaning)) if part)
        for w in tree.printed
    ]
    return "; ".join(said) or clean(tree.headline)


def map_text(tree: WheelTree, longest: int = LONGEST_ALT) -> str:
    """What was printed and found, in a few sentences of about `longest` characters at most."""
    printed = printed_text(tree)
    head = [clean(tree.hold).rstrip(".") + "."] if clean(tree.hold) else []
    head += [f"Flavour wheel: {title_text(tree)}."]
    head += [f"{'Printed: ' if tree.printed else ''}{printed.rstrip('.')}."] if printed else []
    petals = sorted((arc for arc in arcs(tree) if arc.ring == "petal"), key=lambda a: (-a.people, -a.span))
    if not petals:
        return " ".join([*head, "Nothing was found."])
    denials = {node.id: node.denials for node in tree.nodes}
    told = [_petal_words(arc, denials) for arc in petals]
    strips = " ".join(_strip_words(strip) for strip in tree.strips)
    for count in range(len(told), -1, -1):
        more = len(told) - count
        said = "; ".join([*told[:count], *([f"{more} more"] if more else [])])
        for tail in (strips, ""):
            text = " ".join(part for part in (*head, f"Found: {said}.", tail) if part)
            if len(text) <= longest:
                return text
    return " ".join(head)[:longest]


def _petal_words(arc: Arc, denials: dict[str, int]) -> str:
    said = [clean(full_name(arc))]
    if arc.of:
        said.append(counted(arc.people, arc.of))
    if arc.hedged > 0:
        said.append(f"{percent(arc.hedged)} with doubt")
    if denials.get(arc.node):
        said.append(f"{denials[arc.node]} said no")
    return " ".join(said)


def _strip_words(strip: Strip) -> str:
    return f"{clean(strip.label).capitalize()}: {step_word(strip) or 'no median'}."


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
