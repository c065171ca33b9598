"""Words as the vocabulary compares them: folded, singular, one spelling.

`canonical` need not give real words ("molasses" becomes "molass"); it must only send every form of a word to one place.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from functools import cache, lru_cache

_FOLD = str.maketrans(
    {"’": "'", "‘": "'", "ʼ": "'", "´": "'", "`": "'", "ß": "ss", "ø": "o", "æ": "ae", "œ": "oe", "ł": "l"}
)
_IRREGULAR = {
    "leaves": "leaf", "loaves": "loaf", "halves": "half", "knives": "knife", "shelves": "shelf", "geese": "goose",
    "shoes": "shoe", "toes": "toe", "aloes": "aloe", "cloves": "clove", "olives": "olive", "chives": "chive",
    "moves": "move", "movies": "movy", "lens": "lens", "gas": "gas", "yes": "yes",
}  # fmt: skip
_ENDINGS_KEPT = ("ss", "us", "is", "ous")

# A name or text is cut into words with inner apostrophes; everything between them is a gap.
WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")


def fold(text: str) -> str:
    """Lower case, no accents, straight apostrophes."""
    text = text.lower().translate(_FOLD)
    if text.isascii():
        return text
    return "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))


def singular(word: str) -> str:
    """The form that `word` (folded) shares with its plural."""
    if word in _IRREGULAR:
        return _IRREGULAR[word]
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith("ie"):
        return word[:-2] + "y"
    if len(word) > 4 and word.endswith(("shes", "ches", "xes", "sses", "zzes", "oes")):
        return word[:-2]
    if len(word) > 3 and word.endswith("s") and not word.endswith(_ENDINGS_KEPT):
        return word[:-1]
    return word


def romance(word: str) -> Iterator[str]:
    """The dictionary forms that a Spanish or Portuguese `word` (folded) may be the plural or feminine of.

    "limones" gives "limon", "nueces" "nuez", "limoes" "limao", "negras" "negro"; small forms lead back to the plain
    one ("florecita", "moranguinho"). Sources: Real Academia Espanola, Nueva gramatica (2009) 3.2 and 9; Cunha and
    Cintra, Nova gramatica do portugues contemporaneo (1984) 6 and 8 (from memory).
    """
    for ending, stems in _ROMANCE:
        if len(word) > len(ending) + 1 and word.endswith(ending):
            yield from (word[: -len(ending)] + stem for stem in stems)
    if small := _SMALL.fullmatch(word):
        stem = str(small[1])
        bases: list[str] = [stem, *(stem[: -len(sound)] + plain for sound, plain in _SOUNDS if stem.endswith(sound))]
        yield from (one + end for one in bases for end in ("", "o", "a", "e"))


_ROMANCE = (
    ("ces", ("z",)), ("oes", ("ao",)), ("aes", ("ao",)), ("aos", ("ao",)), ("ais", ("al",)), ("eis", ("el", "il")),
    ("ois", ("ol",)), ("uis", ("ul",)), ("ns", ("m",)), ("ques", ("c",)), ("es", ("", "e")), ("as", ("a", "o")),
    ("os", ("o",)), ("s", ("",)), ("a", ("o", "")),
)  # fmt: skip


# Diminutives, and what spelling keeps of a sound before "i" ("juguito" of "jugo", "casquinha" of "casca").
_SMALL = re.compile(r"([a-z]{2,})(?:it|inh)[oa]s?")
_SOUNDS = (("gu", "g"), ("qu", "c"), ("ec", ""), ("c", ""), ("c", "z"), ("z", ""))


def canonical(word: str, spellings: Mapping[str, str]) -> str:
    """The one form all spellings and numbers of `word` share; `spellings` maps a variant to the standard form."""
    word = _bare(word)
    return spellings.get(word, word)


@lru_cache(maxsize=1 << 15)
def _bare(word: str) -> str:
    """Folded, without an owner's "'s", singular; remembered, for a vocabulary says few words very often."""
    word = fold(word)
    if "'" in word:
        word = word.removesuffix("'s").replace("'", "")
    return singular(word)


def split_words(text: str) -> list[str]:
    """The words of a name, marks dropped."""
    return WORD.findall(text)


@lru_cache(maxsize=1 << 16)
def bare_words(phrase: str) -> tuple[str, ...]:
    """The words of a phrase as compared, before spellings; remembered, for a vocabulary asks for a name many times."""
    return tuple(map(_bare, split_words(phrase)))


# Suffixes that make "like X" words, longest first, with the marks they leave: `ish` lowers certainty, `forward` raises
# strength (common practice among tasters, no source).
SUFFIX_MARK = {"ish": "ish", "esque": "", "like": "", "forward": "forward", "driven": "forward", "heavy": "forward"}


def roots(word: str) -> Iterator[tuple[str, str]]:
    """Words that `word` (folded) may be an adjective or derived form of, likeliest first, each with a mark.

    "lemony" gives "lemon", "rosy" gives "rose", "nuttiness" gives "nutty" and "nut", "tea-ish" is cut before.
    """
    for suffix, mark in SUFFIX_MARK.items():
        if len(word) > len(suffix) + 2 and word.endswith(suffix):
            yield from ((root, mark) for root in _undo(word[: -len(suffix)]))
    if len(word) > 6 and word.endswith("ness"):
        base = word[:-4]
        base = base[:-1] + "y" if base.endswith("i") else base
        yield base, ""
        yield from roots(base)
    for suffix, end in (("ier", "y"), ("iest", "y")):
        if len(word) > len(suffix) + 2 and word.endswith(suffix):
            yield word[: -len(suffix)] + end, ""
    for suffix in ("er", "est"):
        if len(word) > len(suffix) + 2 and word.endswith(suffix):
            yield from ((root, "er") for root in _undo(word[: -len(suffix)]))
    for suffix in ("ily", "ly", "ey", "y", "ie", "ies"):
        if len(word) > len(suffix) + 2 and word.endswith(suffix):
            if suffix == "ily":
                yield word[:-3] + "y", "ly"
            yield from ((root, "ly" if word.endswith("ly") else "") for root in _undo(word[: -len(suffix)]))


def _undo(stem: str) -> Iterator[str]:
    yield stem
    yield stem + "e"
    if len(stem) > 3 and stem[-1] == stem[-2]:
        yield stem[:-1]


@cache
def everyday(language: str, count: int = 10_000) -> frozenset[str]:
    """The commonest words of a language (wordfreq's list), folded: too common to be a flavour unasked."""
    from wordfreq import top_n_list

    return frozenset(map(fold, top_n_list(language, count)))
