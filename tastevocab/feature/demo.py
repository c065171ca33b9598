"""The demo: an invented table that ships with the package, and how its result is told."""

from __future__ import annotations

from importlib import resources
from pathlib import Path
from textwrap import shorten

from tastevocab.feature.files import write_all
from tastevocab.feature.material import Material
from tastevocab.feature.notes import Notes
from tastevocab.panel.faults import HOLD
from tastevocab.panel.telling import summary_lines
from tastevocab.panel.why import traces

QUOTED = 18
"""Letters of a quotation on the screen; `why` has them whole."""
TABLE = ("session.yaml", "table.vtt", "table.decisions.yaml", "sheet.csv")


def demo_files() -> dict[str, bytes]:
    """The demo's session, captions with what was decided about them, and sheet, by name."""
    folder = resources.files("tastevocab.feature") / "demo_table"
    return {name: (folder / name).read_bytes() for name in TABLE}


def copy_table(out: Path) -> Path:
    """Put the demo's table into `out`/table, to look at and to change; gives the session file's path."""
    write_all(out, {"table": demo_files()})
    return out / "table" / "session.yaml"


ELSEWHERE = ("The roaster's claims", HOLD, "Faults")
"""How parts of the summary begin that are told in a place of their own."""


def told(material: Material, notes: Notes, *, full: bool = False) -> list[str]:
    """The result as a person would want to read it: a hold first, then the line and who said it, brews, claims, copy.

    `full` adds why those words, the ladder, every figure, the story of hot to cool and the faults.
    """
    lines = [notes.banner, f"  {notes.banner_caution}"] if notes.banner else []
    lines += ["", f"{material.coffee.name} ({notes.base})", *_short(material, notes)]
    lines.append(f"Copy: {notes.copy.text}")
    return [*lines, *_further(material, notes)] if full else lines


def _short(material: Material, notes: Notes) -> list[str]:
    lines = [f"Notes line: {', '.join(w.print for w in notes.line) or 'none. ' + notes.verdict}"]
    counts = {w.print: f"{w.print}, {w.people} of {w.of}" for w in notes.line}
    for line in _who(material):
        word, _, said = line.strip().partition(": ")
        lines.append(f"  {counts.get(word, word)}: {said}")
    lines += [f"  as {b.how}: {b.text}" for b in notes.brews[1:]]
    if notes.claims:
        states: dict[str, list[str]] = {}
        for claim in notes.claims:
            states.setdefault(claim.state, []).append(claim.claim)
        told = "; ".join(f"{state} {', '.join(claims)}" for state, claims in states.items())
        lines.append(f"The roaster's claims: {told}")
    return lines


def _further(material: Material, notes: Notes) -> list[str]:
    lines = ["", f"Text message ({notes.message.units} of {notes.message.limit})", f"  {notes.message.text}"]
    for block in _blocks(summary_lines(material.page)[1:]):
        if not block[0].startswith(ELSEWHERE):
            lines += ["", *block]
    lines += ["", "The roaster's claims, each"]
    lines += [f"  {c.state:<7} {c.claim}, {c.people} of {c.of}. {c.printing}" for c in notes.claims]
    lines += ["", "Hot to cool", f"  {notes.story.text} {notes.story.standing}".rstrip()]
    lines += ["", "Each brew"]
    lines += [f"  {b.how}: {b.text}" for b in notes.brews]
    if notes.faults:
        lines += ["", "Faults (never on the wheel)", *_faults(material)]
    return lines


def _blocks(lines: list[str]) -> list[list[str]]:
    """Lines parted at empty ones."""
    blocks: list[list[str]] = [[]]
    for line in lines:
        if line:
            blocks[-1].append(line)
        elif blocks[-1]:
            blocks.append([])
    return [block for block in blocks if block]


def _faults(material: Material) -> list[str]:
    return [
        f"  {f.print}: {len(f.tasters)} of {f.of} ({', '.join(f.tasters)}), bowls {f.bowls_text}. Ask first: {f.ask}"
        for f in material.whole.faults
    ]


def _who(material: Material) -> list[str]:
    """The exact words behind each printed word, once a taster."""
    lines = []
    spans = material.tools.spans
    for word in material.page.line.words:
        said: dict[str, str] = {}
        for trace in traces(word, material.page.evidence.values(), spans):
            if trace.role == "counted":
                said.setdefault(trace.taster, trace.words)
        quoted = "; ".join(f"{taster} “{shorten(words, QUOTED, placeholder=' …')}”" for taster, words in said.items())
        lines.append(f"  {material.label(word)}: {quoted}")
    return lines
