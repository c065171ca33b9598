"""Who sat at the table of a sheet: declared names, columns of names, names before what is said."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tastevocab.reading.intake.layout import TASTERS, Layout, words_of
from tastevocab.reading.intake.markdown import Block, Entry, Heading, Table
from tastevocab.reading.intake.names import Names, learn, looks_like_name

_LABEL = re.compile(r"(?P<label>[^:\n]{1,70}?)(?P<mark>[ \t]*:(?=\s|$)|[ \t]+[-–—]+[ \t]+|[–—])[ \t]*")
_ASIDE = re.compile(r"\(([^()]*)\)")
_BETWEEN_NAMES = re.compile(r"\s*(?:,|;|/|&|\+|\band\b|\by\b|\be\b)\s*")


@dataclass(frozen=True, slots=True)
class Label:
    """What stands before a colon or a dash: its words, whether the mark is a colon, where what follows begins."""

    words: str
    colon: bool
    end: int


def label_of(text: str) -> Label | None:
    """The label at the start of an entry; a sentence is none."""
    match = _LABEL.match(text)
    if not match or re.search(r"[.!?;]\s", match["label"]) or len(match["label"].split()) > 9:
        return None
    return Label(match["label"].strip(), ":" in match["mark"], match.end())


def is_taster_label(label: str) -> bool:
    """Whether a label announces who tasted ("Tasters", "At the table")."""
    words = words_of(label)
    return " ".join(words) in TASTERS or (
        len(words) <= 3 and bool({"tasters", "panel", "cuppers", "panelists", "panellists"} & set(words))
    )


def declares(label: Label, text: str) -> bool:
    """Whether an entry says who tasted: such a label, and names after it ("Panel: all found plum" is none)."""
    parts = _parts(text[label.end :])
    return is_taster_label(label.words) and 2 * sum(1 for p in parts if looks_like_name(p)) > len(parts)


def _parts(words: str) -> list[str]:
    """A list of names cut into its names, what stands in brackets left out."""
    return [p for part in _BETWEEN_NAMES.split(_ASIDE.sub(" ", words).strip(" .")) if (p := " ".join(part.split()))]


def people_of(found: Sequence[Block], text: str, layout: Layout) -> Names:
    """Every taster of a sheet."""
    declared = [name for pair in _declared(found) for name in pair]
    sure = {full: full for full, _ in _declared(found)}
    columns = [name for block in found if isinstance(block, Table) for name in _in_table(block, set(sure), layout)]
    starts = [_colon(entry.strand.text) for entry in found if isinstance(entry, Entry)]
    headings = Counter(h.strand.text.rstrip(": ") for h in found if isinstance(h, Heading) and h.level > 1)
    columns += [h for h, n in headings.items() if n > 1 and h and looks_like_name(h) and not layout.names_part(h)]
    names = learn(starts, layout, whole=text, sure=[*sure, *columns], lone=False)
    return Names({**names.known, **_short_forms(declared, names, starts)})


def _colon(text: str) -> str:
    """The entry with its label closed by a colon, as `learn` expects it."""
    label = label_of(text)
    return f"{label.words.split(',')[0]}: x" if label else text


def _declared(found: Sequence[Block]) -> list[tuple[str, str]]:
    """Names that the sheet declares, each with its short form ("Noor (N)"), or "" where it has none."""
    pairs: list[tuple[str, str]] = []
    for words in _declarations(found):
        bare = _ASIDE.sub(lambda m: f"\0{m[1]}\0" if len(m[1]) <= 3 else " ", words)
        for part in _BETWEEN_NAMES.split(bare.strip(" .")):
            name, _, short = part.partition("\0")
            name = re.sub(r"(?<=\w\w)\.$", "", " ".join(name.split()))
            if name and looks_like_name(name):
                pairs.append((name, short.strip("\0 ")))
    return pairs


def _declarations(found: Sequence[Block]) -> Iterator[str]:
    for block in found:
        if isinstance(block, Entry):
            for line in block.strand.text.split("\n"):
                label = label_of(line)
                if label and label.colon and declares(label, line):
                    yield line[label.end :]
        elif isinstance(block, Table):
            for row in block.rows:
                if len(row) == 2 and is_taster_label(row[0].text) and _BETWEEN_NAMES.search(row[1].text):
                    yield row[1].text


def _in_table(table: Table, known: set[str], layout: Layout) -> Iterator[str]:
    """The names in a table: down a column headed "taster", or along the head beside known names or moments."""
    if not table.rows:
        return
    column = taster_column(table, Names({n.casefold(): n for n in known}))
    if column is not None:
        for row in table.rows[1:]:
            if column < len(row) and (name := _bare(row[column].text)) and looks_like_name(name):
                yield name
        return
    head = [_bare(cell.text) for cell in table.rows[0][1:]]
    people = [h for h in head if looks_like_name(h) and not layout.names_part(h)] if table.headed else []
    sides = [row[0].text for row in table.rows[1:] if row]
    parts = sum(1 for side in sides if layout.names_part(side))
    if len(people) > 1 and len(people) == len(head) and 2 * parts >= len(sides):
        yield from people


def taster_column(table: Table, names: Names) -> int | None:
    """The column that says who tasted: headed so, or filled with known names."""
    for number, cell in enumerate(table.rows[0]):
        if is_taster_label(cell.text) or words_of(cell.text) == ["name"]:
            return number
    filled = [row[0].text for row in table.rows if row and row[0].text]
    return 0 if filled and names and sum(1 for t in filled if names.inside(t)) * 2 > len(filled) else None


def _bare(text: str) -> str:
    return " ".join(_ASIDE.sub(" ", text).split())


def _short_forms(declared: Sequence[str], names: Names, starts: Sequence[str]) -> dict[str, str]:
    """First names, initials and bracketed short forms of names, each only where it means one person.

    A person whose first name is used before what they say goes by it.
    """
    shorts = {s: p for p, s in zip(declared[::2], declared[1::2], strict=True) if s}
    people = [p for p in dict.fromkeys(names.known.values()) if p not in shorts]
    used = {text.partition(":")[0].strip().casefold() for text in starts}
    firsts = Counter(p.split()[0].casefold() for p in people)
    initials = Counter(p[0].casefold() for p in people)
    forms: dict[str, str] = {}
    for person in people:
        first = person.split()[0]
        goes_by = first if firsts[first.casefold()] == 1 and first.casefold() in used else person
        forms[person.casefold()] = goes_by
        if firsts[first.casefold()] == 1:
            forms.setdefault(first.casefold(), goes_by)
        if initials[person[0].casefold()] == 1 and person[0].casefold() in used:
            forms.setdefault(person[0].casefold(), goes_by)
    return {**forms, **{s.casefold(): forms.get(p.casefold(), p) for s, p in shorts.items()}}


def speakers(label: Label, names: Names) -> tuple[list[str], str]:
    """Whose words follow a label, and what else the label says ("Ana, cold": Ana, "cold").

    "Ana & Ben" speaks for both; of several names otherwise, the one after "by", the one with 's, or the first.
    """
    if exact := names.say(_bare(label.words)):
        return [exact], " ".join(_ASIDE.findall(label.words))
    parts = [names.say(p) for p in _BETWEEN_NAMES.split(_bare(label.words))]
    if len(parts) > 1 and all(parts):
        return list(dict.fromkeys(p for p in parts if p)), ""
    inside = [n for n in names.inside(label.words) if len(n) > 1]
    if not inside or (not label.colon and not _begins(label.words, names)):
        return [], label.words
    best = next((n for n in inside if re.search(rf"\bby {re.escape(n)}\b", label.words)), "")
    best = best or next((n for n in inside if re.search(rf"{re.escape(n)}['’]s?\b", label.words)), "") or inside[0]
    return [best], label.words.replace(best, "", 1).strip(" ,")


def _begins(label: str, names: Names) -> bool:
    """Whether a label is a name with a word or two after it ("Dmitri, second go")."""
    first = re.match(r"[\w.'’-]+", label)
    return bool(first and names.say(first.group()) and len(label.split()) <= 5)
