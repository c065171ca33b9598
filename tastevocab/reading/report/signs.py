"""The signs behind a judgement in words that a person can check: what spoke for it and what against."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

# By sign: what to say where it spoke for the judgement, and where against. One text: the same either way.
_WORDS: Mapping[str, tuple[str, ...]] = {
    "said": ("it was said of this cup", "it was hardly said of this cup"),
    "said at its height": ("one word was clearly said of this cup", "no word was clearly said of this cup"),
    "polarity": ("clear whether found or denied", "unclear whether found or denied"),
    "means it": ("clear which flavour is meant", "unclear which flavour is meant"),
    "heard again": ("heard again, it is meant", "heard again, it is hardly meant"),
    "likeness": ("it sounds much like it", "it sounds little like it"),
    "aside": ("it is no talk beside the cup", "it may be talk beside the cup"),
    "nothing else it may mean": ("only one flavour is possible",),
    "denied": ("it was denied",),
    "assent": ("it agrees with another",),
    "doubted": ("it was said with doubt",),
    "long": ("how many words it takes",),
    "broad": ("it is a broad word",),
    "a fault": ("it is a fault",),
    "a flavour": ("it is a flavour",),
    "own": ("the word itself was said",),
    "own share of words": ("little else was said with it", "much else was said with it"),
    "composed": ("it is named by several words",),
    "misheard": ("it is a known mis-hearing",),
    "only with the house's words": ("it was heard only with the house's words",),
    "sounds like": ("it was taken by its sound",),
    "past": ("it points back to what was said before",),
    "linked": ("it was told without its name",),
    "link": ("its meaning lies near what was said", "its meaning lies far from what was said"),
    "linked first": ("no other flavour lies nearer", "another flavour lies nearer"),
    "shares a word": ("it shares a word with what was said before",),
    "a narrower one was said": ("a narrower word for it was said",),
    "one of several": ("it is one of several words said",),
    "leaves nothing": ("no other word of weight was said",),
    "leaves one word": ("one other word of weight was said",),
    "leaves more": ("other words of weight were said",),
    "its attribute": ("clear which quality is meant", "unclear which quality is meant"),
    "its level": ("clear how much of it", "unclear how much of it"),
    "a listed word": ("it is a listed word for it", "it is no listed word for it"),
    "a question": ("it is a question",),
    "alone in its sentence": ("it stands alone in its sentence",),
    "one to four words": ("the note is short",),
    "up to twelve words": ("the note is of middle length",),
    "a longer note": ("the note is long",),
    "its own column": ("it stands in its own column",),
    "another's column": ("it stands in another's column",),
}
_KINDS: Mapping[str, str] = {
    "denial.before": "a denial", "denial.after": "a denial", "denial.pseudo": "a no that denies nothing",
    "denial.little": "a word for little", "doubt.before": "a word of doubt", "doubt.after": "a word of doubt",
    "degree.before": "a word of strength", "degree.after": "a word of strength", "level": "a word of level",
    "frame": "a word of tasting", "filler": "a filler", "small": "a small word", "nose": "a word for smelling",
    "mouth": "a word for the mouth", "place": "a place in the sip", "moment": "a moment", "brew": "a brew",
    "assent.yes": "a yes", "assent.no": "a no", "assent.deny": "a no", "question": "a word that asks",
    "reveal": "the reveal", "turn_to": "a turn to another cup",
}  # fmt: skip
_BESIDE = re.compile(
    r"(?P<kind>[a-z_.]+?)(?: (?P<value>\S.*?))?? (?P<side>before|after|over)"
    r"(?: (?P<far>beside|near|far|beyond))?(?: past a (?:name|comma))*$"
)
_SIDES = {"before": "before it", "after": "behind it", "over": "around it"}


def told_signs(signs: Iterable[str]) -> str:
    """ "it was said of this cup; against: unclear which flavour is meant" ("" where there are no signs)."""
    spoke: dict[str, list[str]] = {"+": [], "-": []}
    for sign in signs:
        mark, _, name = sign.partition(" ")
        spoke.get(mark, spoke["+"]).append(plain(name, mark == "-") if mark in spoke else sign)
    parts = [", ".join(dict.fromkeys(spoke["+"]))]
    if spoke["-"]:
        parts.append(f"against: {', '.join(dict.fromkeys(spoke['-']))}")
    return "; ".join(part for part in parts if part)


def plain(name: str, against: bool = False) -> str:
    """One sign in words; a name that is not known is given as it stands."""
    last = name.rpartition(", ")[2]  # "past, means it": the same sign, weighed by how the flavour is known
    kind, _, rest = last.partition(" leaves ")
    texts = _WORDS.get(name) or _WORDS.get(last) or (_WORDS.get(f"leaves {rest}") if kind in _WORDS else None)
    if texts is not None:
        return texts[-1] if against else texts[0]
    if name.startswith(("word before: ", "word after: ")):
        where, _, word = name.removeprefix("word ").partition(": ")
        side = "before it" if where == "before" else "behind it"
        ends = {"(start)": "nothing stands before it", "(end)": "nothing stands behind it"}
        return ends.get(word, f"another word {side}" if word == "another" else f'"{word}" {side}')
    if name.startswith("of "):
        return "what it is"
    match = _BESIDE.match(name)
    kind = match["kind"] if match else ""
    if match and (kind in _KINDS or kind.startswith("aside.")):
        return f"{_KINDS.get(kind, 'a word of something else')} {_SIDES[match['side']]}"
    return name
