"""How time and memory grow with what is given: each case at two sizes, one four times the other, each in a process.

`python tests/bench/growth.py` prints a table at a tenth of the full sizes, `growth.py 1` at the full ones, and
`growth.py 0.01 "one line of talk"` one case alone. The last column is the growth of CPU seconds for four times as much:
what the last three quarters take beside the three before (a run of a sixteenth tells what it takes to begin); 4 is
linear, on a machine that does nothing else.
"""

from __future__ import annotations

import json
import os
import resource
import sys
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

WORDS = ("jasmine", "with a little lemon", "no cocoa", "maybe plum", "very bright", "orange kettle", "good morning")


def talk(words: int) -> str:
    return " ".join(WORDS[n % len(WORDS)] + ("." if n % 5 == 4 else ",") for n in range(words))


def unknown(number: int) -> str:
    """A word that no list has."""
    letters = "bdfgklmnprstvz"
    made = ""
    while number or not made:
        number, at = divmod(number, len(letters))
        made += letters[at] + "aeiou"[at % 5]
    return f"{made}quish"


def read(path: Path) -> object:
    from tastevocab.reading.read import read_file
    from tastevocab.reading.words.lexicon import open_lexicon

    return read_file(path, open_lexicon())


def one_line_typed(folder: Path, size: int) -> object:
    """A note of so many characters on one line."""
    (folder / "a.jsonl").write_text(json.dumps({"text": talk(size // 12)}) + "\n")
    return read(folder / "a.jsonl")


def one_line_of_talk(folder: Path, size: int) -> object:
    (folder / "a.txt").write_text(f"Mira: {talk(size // 12)}\n")
    return read(folder / "a.txt")


def file_of_rows(folder: Path, size: int) -> object:
    """A table of so many characters, read row by row."""
    from tastevocab.reading.read import stream_file
    from tastevocab.reading.words.lexicon import open_lexicon

    row = f'"{talk(12)}"\n'
    with (folder / "a.csv").open("w") as file:
        file.write("text\n")
        for _ in range(size // len(row)):
            file.write(row)
    return sum(len(reading.findings) for reading in stream_file(folder / "a.csv", open_lexicon()))


def cues(folder: Path, count: int) -> object:
    """Captions of so many cues, as far as turns: what is said in them is talk like any other."""
    from tastevocab.reading.intake.files import read_turns

    with (folder / "a.vtt").open("w") as file:
        file.write("WEBVTT\n")
        for n in range(count):
            a, b = (
                f"{n // 3600:02}:{n // 60 % 60:02}:{n % 60:02}.000",
                f"{n // 3600:02}:{n // 60 % 60:02}:{n % 60:02}.900",
            )
            file.write(f"\n{a} --> {b}\n<v {'Mira' if n % 3 else 'Otto'}>{WORDS[n % len(WORDS)]}\n")
    return len(list(read_turns(folder / "a.vtt").turns))


def unknown_words(folder: Path, count: int) -> object:
    (folder / "a.csv").write_text("text\n" + "".join(f"I get {unknown(n)}.\n" for n in range(count)))
    return read(folder / "a.csv")


def review(folder: Path, count: int) -> object:
    """So many unknown words to decide, all decided from a file."""
    from tastevocab.cli.review import _walk
    from tastevocab.reading.review.decisions import Decision
    from tastevocab.reading.review.walk import decide_all

    (folder / "a.csv").write_text("text\n" + "".join(f"I get {unknown(n)}.\n" for n in range(count)))
    walk = _walk(folder / "a.csv", None, None, False, False)
    asks = walk.asks()
    return decide_all(walk, [Decision("reject", ask.key.words) for ask in asks], lambda word, under: under)


def calibration(folder: Path, count: int) -> object:
    """So many words asked for at `vocab sheet`."""
    from tastevocab.vocabulary.cache import open_vocabulary
    from tastevocab.vocabulary.pointing import anything_at
    from tastevocab.vocabulary.sheet import sheet, sheet_text

    vocabulary = open_vocabulary()
    names = [d.print for d in vocabulary.descriptors.values() if d.level == "note"]
    return sheet_text(sheet(vocabulary, anything_at(vocabulary, [names[n % len(names)] for n in range(count)])))


def coffees(folder: Path, count: int) -> object:
    """A session of so many coffees with fifty claims each, five tasters, all maps made."""
    from tastevocab.panel.flavour_map import Serving
    from tastevocab.panel.gather import gather
    from tastevocab.panel.session import read_session
    from tastevocab.panel.summary import bench, map_of
    from tastevocab.reading.words.lexicon import open_lexicon
    from tastevocab.vocabulary.cache import open_vocabulary

    vocabulary = open_vocabulary()
    names = [d.print for d in vocabulary.descriptors.values() if d.level == "note"]
    lines = ["session: many", "tasters: [a, b, c, d, e]", "brews: {filter: {method: filter}}", "coffees:"]
    rows = ["taster,coffee,brew,moment,text"]
    for n in range(count):
        claims = ", ".join(f'"{names[(n + 7 * k) % len(names)]}"' for k in range(50))
        lines.append(f"  c{n}: {{name: Coffee {n}, claims: [{claims}]}}")
        rows += [f"{t},c{n},filter,hot,{names[(n + k) % len(names)]} and plum" for k, t in enumerate("abcde")]
    (folder / "s.csv").write_text("\n".join(rows))
    (folder / "s.yaml").write_text("\n".join([*lines, "notes: [{source: s.csv}]"]))
    gathered = gather(read_session(folder / "s.yaml"), open_lexicon())
    tools = bench(vocabulary)
    return [map_of(gathered, Serving(f"c{n}", "filter"), tools) for n in range(count)]


def deep_skos(folder: Path, depth: int) -> object:
    from tastevocab.vocabulary.exchange.skos_in import read_skos

    head = "@prefix skos: <http://www.w3.org/2004/02/skos/core#> .\n@prefix : <urn:a:> .\n:s a skos:ConceptScheme .\n"
    made = [f':c{n} a skos:Concept ; skos:prefLabel "word {unknown(n)}"@en ; skos:inScheme :s' for n in range(depth)]
    lines = [f"{c}{f' ; skos:broader :c{n - 1}' if n else ' ; skos:topConceptOf :s'} ." for n, c in enumerate(made)]
    (folder / "a.ttl").write_text(head + "\n".join(lines))
    return read_skos(folder / "a.ttl")


def patterns(folder: Path, size: int) -> object:
    """The words of every pattern again and again, so many characters of each, looked through for cues."""
    from tastevocab.reading.words.lexicon import open_lexicon
    from tastevocab.reading.words.utterance import Utterance

    lexicon = open_lexicon()
    found = 0
    for pattern in lexicon.patterns:
        for glue in (" ", ", "):
            longest = max(pattern.words, key=len)
            half = longest.rsplit(" ", 1)[0]  # begun again before it ends
            u = Utterance((half + glue) * (size // (len(half) + len(glue)) + 1), lexicon)
            found += len(u.of(pattern.kind)) + len(u.named())
    return found


CASES: Mapping[str, tuple[Callable[[Path, int], object], int, str]] = {
    "one line, typed": (one_line_typed, 10_000_000, "characters"),
    "one line of talk": (one_line_of_talk, 10_000_000, "characters"),
    "file of rows": (file_of_rows, 100_000_000, "characters"),
    "cues": (cues, 1_000_000, "cues"),
    "unknown words": (unknown_words, 100_000, "words"),
    "words to vocab sheet": (calibration, 20_000, "words"),
    "review of unknowns": (review, 10_000, "words"),
    "coffees with 50 claims": (coffees, 200, "coffees"),
    "deep SKOS": (deep_skos, 2_000, "levels"),
    "every pattern's words": (patterns, 20_000, "characters each"),
}


def measured(case: Callable[[Path, int], object], size: int) -> tuple[float, float, str]:
    """CPU seconds, MiB at most, and how it was refused ("" if it was not), in a child."""
    here, there = os.pipe()
    child = os.fork()
    if not child:
        told = ""
        try:
            with tempfile.TemporaryDirectory() as folder:
                case(Path(folder), size)
        except Exception as problem:  # said in the table
            told = f"{type(problem).__name__}: {problem}".splitlines()[0]
        used = resource.getrusage(resource.RUSAGE_SELF)
        os.write(there, f"{used.ru_utime + used.ru_stime}\t{used.ru_maxrss / 1024}\t{told[:90]}".encode())
        os._exit(0)
    os.close(there)
    with os.fdopen(here) as file:
        seconds, most, told = file.read().split("\t")
    os.waitpid(child, 0)
    return float(seconds), float(most), told


def best(case: Callable[[Path, int], object], size: int) -> tuple[float, float, str]:
    """The quickest of three runs where they are short: other work on the machine only ever adds."""
    runs = [measured(case, size)]
    while len(runs) < 3 and runs[0][0] < 5:
        runs.append(measured(case, size))
    return min(runs)


def main(part: float, only: str) -> None:
    print("| given | sizes | CPU s | MiB | growth |\n| --- | --- | --- | --- | --- |", flush=True)
    for name, (case, full, unit) in CASES.items():
        if only not in name:
            continue
        measured(case, 1)  # the vocabulary is remembered from here on
        large = max(int(full * part), 16)
        runs = [(size, *best(case, size)) for size in (large // 16, large // 4, large)]
        tiny, small, whole = (seconds for _, seconds, _, _ in runs)
        told = next((told for *_, told in runs if told), "") or f"{(whole - small) / max(small - tiny, 0.01):.1f}"
        print(
            f"| {name} | {' and '.join(f'{size:,}' for size, *_ in runs[1:])} {unit} | {small:.1f} and {whole:.1f} | "
            f"{' and '.join(f'{most:.0f}' for _, _, most, _ in runs[1:])} | {told} |",
            flush=True,
        )


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 0.1, sys.argv[2] if len(sys.argv) > 2 else "")
