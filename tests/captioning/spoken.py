"""Twenty sentences of three voices, spoken by a machine, heard and read: what of them arrives.

`python tests/captioning/spoken.py FOLDER` (a Whisper model in CTranslate2's form; needs espeak-ng) prints it.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from rapidfuzz.distance import Levenshtein

from tastevocab.captioning.listen import Listened, listen
from tastevocab.captioning.recogniser import Recogniser
from tastevocab.panel.claims import exact_finder
from tastevocab.reading.read import read_file
from tastevocab.reading.records import Finding, Poured, Reading, Table
from tastevocab.reading.words.lexicon import Lexicon, open_lexicon
from tastevocab.vocabulary.cache import open_vocabulary

VOICES = {"mira": "en-gb", "otto": "en-us", "pilar": "en-gb-scotland"}

# Whose, what is said, and the flavours that are found in it ("no X" for a denial). Written before any was heard.
SENTENCES: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("pilar", "Hot, I find raspberry, and a little vanilla.", ("raspberry", "vanilla")),
    ("mira", "I get tangerine straight away, it is really clear.", ("tangerine",)),
    ("otto", "No tangerine for me, but plenty of dark chocolate.", ("no tangerine", "dark chocolate")),
    ("pilar", "Could you pass me the lemon kettle, please?", ()),
    ("mira", "There is a whiff of lavender when it is hot.", ("lavender",)),
    ("otto", "I taste walnut, and a touch of maple syrup.", ("walnut", "maple syrup")),
    ("pilar", "Warm now, it is nectarine, and something like quince.", ("nectarine", "quince")),
    ("mira", "The roaster promised blueberry, and I do not taste blueberry.", ("no blueberry",)),
    ("otto", "I have gooseberry, and then green tea.", ("gooseberry", "green tea")),
    ("pilar", "Definitely pomegranate, it is front and centre.", ("pomegranate",)),
    ("mira", "I wrote down papaya, and maybe guava.", ("papaya", "guava")),
    ("otto", "Give it another thirty seconds before you pour.", ()),
    ("pilar", "It ends on cocoa, with some licorice.", ("cocoa", "licorice")),
    ("mira", "Cool, this becomes plum for me, ripe plum.", ("plum",)),
    ("otto", "I find cherry, and a bit of rose.", ("cherry", "rose")),
    ("pilar", "My flatmate had a banana for breakfast, that is all.", ()),
    ("mira", "There is chamomile in the finish, I think.", ("chamomile",)),
    ("otto", "It reminds me of nougat, and roasted peanut.", ("nougat", "peanut")),
    ("pilar", "Three words: raspberry, nectarine, cocoa.", ("raspberry", "nectarine", "cocoa")),
    ("mira", "Mine are tangerine, papaya and plum.", ("tangerine", "papaya", "plum")),
)
PAUSE = 1.2


@dataclass(frozen=True, slots=True)
class Measured:
    """What arrived: word errors over the words said, and flavours counted right, counted though nobody said them
    (or denied), asked right, asked though nobody said them; of how many that were said."""

    errors: float
    said: int
    right: int
    invented: tuple[str, ...]
    asked_right: int
    asked_wrong: tuple[str, ...]


def speak(folder: Path) -> list[tuple[str, Path]]:
    """A sound file a voice, with the others' sentences as silence, all on one clock."""
    import wave

    sounds: dict[str, list[bytes]] = {who: [] for who in VOICES}
    rate = 22_050
    for number, (who, text, _) in enumerate(SENTENCES):
        path = folder / f"{number}.wav"
        subprocess.run(["espeak-ng", "-v", VOICES[who], "-s", "150", "-w", str(path), text], check=True)
        with wave.open(str(path)) as file:
            rate = file.getframerate()
            frames = file.readframes(file.getnframes()) + bytes(2 * int(PAUSE * rate))
        for name, parts in sounds.items():
            parts.append(frames if name == who else bytes(len(frames)))
    made = []
    for name, parts in sounds.items():
        path = folder / f"{name}.wav"
        with wave.open(str(path), "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(rate)
            file.writeframes(b"".join(parts))
        made.append((name, path))
    return made


def words_of(text: str) -> list[str]:
    """Words in small letters without marks."""
    return re.findall(r"[^\W_]+", text.casefold())


def word_errors(captions: str) -> float:
    """Words wrong of words said, voice by voice."""
    wrong = total = 0
    for who in VOICES:
        said = words_of(" ".join(text for name, text, _ in SENTENCES if name == who))
        cues = [block.split("\n", 1)[1] for block in captions.split("\n\n")[1:] if f"<v {who}>" in block]
        plain = re.sub(r"<rt.house>[^<]*</rt>|<[^>]*>", " ", " ".join(cues))
        wrong += Levenshtein.distance(said, words_of(plain))
        total += len(said)
    return wrong / total


def measure(made: Listened, folder: Path, lexicon: Lexicon) -> Measured:
    """Read the captions as a session would, and hold what was found against what was said."""
    path = folder / "table.vtt"
    path.write_text(made.captions, "utf-8")
    reading = read_file(path, lexicon, table=Table(tuple(VOICES), (Poured("cup"),)))
    return _measured(word_errors(made.captions), reading, lexicon)


def _measured(errors: float, reading: Reading, lexicon: Lexicon) -> Measured:
    find = exact_finder(lexicon.names, open_vocabulary())
    wanted = {
        (who, ("no " if name.startswith("no ") else "") + lexicon.prints[find(name.removeprefix("no ")) or ""])
        for who, _, names in SENTENCES
        for name in names
    }
    counted = _named(reading.findings, lexicon)
    asked = _named((a for a in reading.asked if isinstance(a, Finding)), lexicon) - counted
    return Measured(
        errors,
        len(wanted),
        len(counted & wanted),
        tuple(sorted(f"{who}: {name}" for who, name in counted - wanted)),
        len(asked & wanted),
        tuple(sorted(f"{who}: {name}" for who, name in asked - wanted)),
    )


def _named(found: Iterable[Finding], lexicon: Lexicon) -> set[tuple[str, str]]:
    return {(f.spot.speaker or "", ("" if f.present else "no ") + lexicon.prints[f.descriptor]) for f in found}


def heard(recogniser: Recogniser, folder: Path, given: Sequence[str] | None) -> tuple[Listened, Measured]:
    """The sentences spoken, heard (told to expect the words `given` and their like; plainly if None) and measured."""
    lexicon = open_lexicon()
    made = listen(recogniser, speak(folder), lexicon, given)
    return made, measure(made, folder, lexicon)


if __name__ == "__main__":
    from tastevocab.captioning.whisper import Whisper

    with tempfile.TemporaryDirectory() as name:
        for what, given in (("plainly", None), ("with the house's words", tuple(VOICES))):
            made, told = heard(Whisper(Path(sys.argv[1]), "en"), Path(name), given)
            print(what, told, [o.heard for o in made.offers], made.nowhere, sep="\n  ")
            print(made.captions)
