"""Names as recognisers mis-hear them: words that sound like a name of the vocabulary and are written as others
("sin a man", "burger mott").

How words sound stands in `model/sounds.txt`, made by `fitting/sounds.py`. Two runs of words are compared where their
consonants are of the same kinds in the same order, by the share of their sounds that agree (Levenshtein 1966, with
vowels that lie near each other taken as one).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from functools import cache, lru_cache
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

from tastevocab.reading.language.mark import Mention, mentions_of
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.reading.words.utterance import Utterance
from tastevocab.vocabulary.lookup import flavour_sense
from tastevocab.vocabulary.words import fold

SOUNDS = Path(__file__).parent / "model" / "sounds.txt"
NEAR, REST = 0.85, 0.8  # share of sounds that must agree: of all, and of the words that are not the same
LONGEST = 5  # words a name may be cut into
SPOKEN = "en"  # the language whose sounds are known
LEAST = 5  # sounds of the shortest name that is known by its sound

# The phones of the Carnegie Mellon dictionary, each with its letter here.
PHONES = {
    "AA": "a", "AE": "A", "AH": "u", "AO": "o", "AW": "w", "AY": "y", "B": "b", "CH": "C", "D": "d", "DH": "D",
    "EH": "e", "ER": "R", "EY": "E", "F": "f", "G": "g", "HH": "h", "IH": "i", "IY": "I", "JH": "j", "K": "k",
    "L": "l", "M": "m", "N": "n", "NG": "N", "OW": "O", "OY": "Y", "P": "p", "R": "r", "S": "s", "SH": "S", "T": "t",
    "TH": "T", "UH": "v", "UW": "U", "V": "V", "W": "W", "Y": "J", "Z": "z", "ZH": "Z",
}  # fmt: skip
_VOWELS = "aAuowyeREiIOYvU"
# Sounds that are taken for one another: by the first of each group.
_NEAR_VOWELS = str.maketrans("IeEAuwyoRUYO", "iiiaaaaaavvv")
_KINDS = str.maketrans(
    dict.fromkeys(_VOWELS, "a") | dict(zip("bpdtDTgkfVzsZSjCmnNlrWJ", "pptttt" "kk" "ff" "ssssss" "nnn" "ll" "ww",
                                           strict=True)) | {"h": ""}
)  # fmt: skip


class Name(NamedTuple):
    """A name of the vocabulary: its sounds, its words as compared, its descriptor."""

    sounds: str
    words: tuple[str, ...]
    descriptor: str


@cache
def sounds_of_words() -> dict[str, str]:
    """The sounds of every word that is known."""
    lines = SOUNDS.read_text("utf-8").splitlines()
    return dict(line.split() for line in lines if not line.startswith("#"))


def kinds(sounds: str) -> str:
    """The kinds of consonants in their order, vowels between them as one."""
    made = sounds.translate(_KINDS)
    return "".join(b for a, b in pairwise(f" {made}") if not a == b == "a")


@lru_cache(maxsize=8)
def sound_book(lexicon: Lexicon) -> SoundBook:
    """The names of a lexicon by their sounds; made when talk is first read."""
    return SoundBook(lexicon)


def mentions_heard(u: Utterance) -> list[Mention]:
    """What a turn of talk names, with the names that its words only sound like (in the language of `SPOKEN`)."""
    named = mentions_of(u)
    return [*named, *sound_book(u.lexicon).mentions(u, named)] if u.lexicon.language == SPOKEN else named


class SoundBook:
    """The names of a lexicon by their kinds of consonants: those whose every word is known, of words people use."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.names: dict[str, list[Name]] = defaultdict(list)
        for path, senses in lexicon.names.book:
            sense = flavour_sense(senses)
            if sense is None or sense.detail != "word" or sense.value in lexicon.names.faults:
                continue
            sounds = "" if lexicon.rare.intersection(path) else _sounds(path)
            if len(sounds) >= LEAST:
                self.names[kinds(sounds)].append(Name(sounds, tuple(path), sense.value))

    def mentions(self, u: Utterance, named: Sequence[Mention]) -> list[Mention]:
        """Runs of two words or more that sound like a name, where no name is written; the likest first."""
        found: list[Mention] = []
        for m in sorted(self._alike(u, named), key=lambda m: (-m.match, m.start, -m.end, m.target)):
            if all(m.end <= f.start or f.end <= m.start for f in found):
                found.append(m)
        return sorted(found)

    def _alike(self, u: Utterance, named: Sequence[Mention]) -> Iterator[Mention]:
        words, small = [fold(w) for w in u.words], u.lexicon.small
        written = {i for m in named if not m.quality for i in range(m.start, m.end)}
        for start in (i for i, word in enumerate(u.own) if word not in small):
            for end in range(start + 2, min(len(words), start + LONGEST) + 1):
                if u.own[end - 1] in small or written.issuperset(range(start, end)):
                    continue
                sounds = _sounds(words[start:end])
                for name in self.names.get(kinds(sounds), ()) if sounds else ():
                    match = alike(sounds, name.sounds)
                    if match >= NEAR and _unwritten(u.own[start:end], words[start:end], name.words):
                        yield Mention(start, end, name.descriptor, via="sound", match=round(match, 2))


def alike(one: str, other: str) -> float:
    """The share of sounds that agree, 0..1."""
    from rapidfuzz.distance.Levenshtein import normalized_similarity

    return float(normalized_similarity(one.translate(_NEAR_VOWELS), other.translate(_NEAR_VOWELS)))


def _sounds(words: Sequence[str]) -> str:
    """The sounds of words in a row, without an r that closes a syllable; nothing where a word is not known."""
    known = sounds_of_words()
    made = [known.get(word, "") for word in words]
    whole = "".join(made) if all(made) else ""
    beside = zip(f" {whole}", whole, f"{whole[1:]} ", strict=False)
    return "".join(b for a, b, c in beside if not (b == "r" and a in _VOWELS and c not in _VOWELS))


def _unwritten(own: Sequence[str], said: Sequence[str], name: Sequence[str]) -> bool:
    """Whether the name is not what is written, and what differs from it sounds like what is missing ("chocolate
    source" is the sauce, "a cinnamon bomb" no bun)."""
    rest = [word for key, word in zip(own, said, strict=True) if key not in name]
    missing = [word for word in name if word not in own]
    if not rest or not missing or "".join(own) == "".join(name):
        return False
    return alike(_sounds(rest), _sounds(missing)) >= REST
