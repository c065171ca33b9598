"""How fast talk and typed notes are read and a word is looked up, beside what a user would write with other libraries.

Run with `pytest tests/bench/test_reading_bench.py -n 0 --benchmark-enable -s`; TASTEVOCAB_NOTES names a table of
notes (csv
or jsonl), else notes are made up by a seeded generator; the talk is the marked talk of `tests/talk`. The table of MB/s
is printed at the end, no rate is asserted. The slow memory check runs where TASTEVOCAB_BIG is set. spaCy and
pyahocorasick come with the `bench` extra.
"""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import time
import tracemalloc
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tastevocab.reading.fitting.marked import recording
from tastevocab.reading.intake.files import stream_turns
from tastevocab.reading.read import read_text, read_turns, stream_file
from tastevocab.reading.records import Turn
from tastevocab.reading.report.answers import answer
from tastevocab.reading.words.lexicon import Lexicon, open_lexicon
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.vocabulary.words import split_words

NOTES = os.environ.get("TASTEVOCAB_NOTES")
TALK = Path(__file__).parents[1] / "talk"
SEED, MADE = 7, 1500
LOOP_NOTES = 40  # the n-gram loop is so slow that it gets a part of the notes
CUTOFF = 88.0
MB = 1_000_000.0
STRETCH = 30_000  # rows between two stretches that are traced
rates: dict[str, float] = {}


@cache
def lexicon() -> Lexicon:
    return open_lexicon()


@cache
def names() -> dict[str, str]:
    """Every listed name, lower case, and its descriptor: what all the readers are given."""
    return {
        word.lower(): d.id
        for d in open_vocabulary().descriptors.values()
        for words in d.words.values()
        for word in words
    }


def made_notes(count: int, seed: int = SEED) -> Iterator[str]:
    """Notes of one to four sentences over the vocabulary's own words and common turns of phrase."""
    dice = random.Random(seed)
    flavours = sorted(names())
    turns = (
        "I get {a} and {b}, maybe a hint of {c}.", "{a}, {b}, {c}.", "No {a}, more {b} on the finish.",
        "Really bright, {a} up front.",
        "As it cools it turns to {a}.", "Smells of {a} but tastes like {b}.", "Not {a} at all, kind of {b}?",
        "Medium body, low acidity.",
        "Tons of {a}, with some {b} in the background.", "A lovely cup, and I would happily drink it again tomorrow.",
    )  # fmt: skip
    for _ in range(count):
        said = (
            dice.choice(turns).format(**{k: dice.choice(flavours) for k in "abc"}) for _ in range(dice.randint(1, 4))
        )
        yield " ".join(said)


@cache
def texts() -> tuple[str, ...]:
    if NOTES:
        return tuple(turn.text for turn in stream_turns(Path(NOTES)))
    return tuple(made_notes(MADE))


def _megabytes(said: tuple[str, ...]) -> float:
    return sum(len(t.encode()) for t in said) / MB


def _timed(
    name: str, benchmark: Any, work: Callable[[tuple[str, ...]], int], said: tuple[str, ...], rounds: int = 3
) -> None:
    """Benchmark `work` over `said`, note its best rate, and check that it found anything at all."""
    took: list[float] = []

    def once() -> int:
        start = time.perf_counter()
        found = work(said)
        took.append(time.perf_counter() - start)
        return found

    found = benchmark.pedantic(once, rounds=rounds if benchmark.enabled else 1, warmup_rounds=1 if rounds > 1 else 0)
    rates[name] = _megabytes(said) / min(took)
    benchmark.extra_info.update(mb_per_s=round(rates[name], 3), found=found)
    assert found > 0


def _read_notes(said: tuple[str, ...]) -> int:
    return sum(len(read_text(text, lexicon()).findings) for text in said)


def test_typed_notes(benchmark: Any) -> None:
    _timed("tastevocab, notes", benchmark, _read_notes, texts() if benchmark.enabled else texts()[:100])


def test_talk(benchmark: Any) -> None:
    """Whole recordings, one after the other, as the encoder hears them."""
    tables = [recording(path) for path in sorted(TALK.glob("*/*.talk"))[:: 60 if benchmark.enabled else 200]]
    turns = [[Turn(line.text, r.name, speaker=line.speaker) for line in r.lines] for r in tables]
    said = tuple(t.text for table in turns for t in table)
    _timed("tastevocab, talk", benchmark, lambda _: sum(len(read_turns(t, lexicon()).findings) for t in turns), said)


def test_one_word_looked_up(benchmark: Any) -> None:
    """What `find peach` answers, with the language open."""
    lexicon()
    assert benchmark(lambda: answer(lexicon(), "peach"))["descriptor"] == "orchard/golden_stone/peach"


def test_find_peach(benchmark: Any) -> None:
    """The whole command in a process of its own: start, opening of the language, answer."""
    command = [sys.executable, "-c", "from tastevocab.cli.main import run; run()", "find", "peach"]
    rounds = 5 if benchmark.enabled else 1
    told = benchmark.pedantic(
        lambda: subprocess.run(command, capture_output=True, text=True, check=True), rounds=rounds
    )
    assert "peach" in told.stdout


def test_ngram_loop(benchmark: Any) -> None:
    """rapidfuzz `extractOne` of every 1- to 3-gram against every name: what a user would write."""
    from rapidfuzz import process
    from rapidfuzz.distance import Levenshtein

    choices = sorted(names())

    def loop(said: tuple[str, ...]) -> int:
        found = 0
        for text in said:
            words = [w.lower() for w in split_words(text)]
            for size in (1, 2, 3):
                for i in range(len(words) - size + 1):
                    gram = " ".join(words[i : i + size])
                    hit = process.extractOne(
                        gram,
                        choices,
                        scorer=Levenshtein.normalized_similarity,
                        processor=None,
                        score_cutoff=CUTOFF / 100,
                    )
                    found += hit is not None
        return found

    _timed("rapidfuzz n-grams", benchmark, loop, texts()[: LOOP_NOTES if benchmark.enabled else 3], rounds=1)


def test_phrase_matcher(benchmark: Any) -> None:
    """spaCy's PhraseMatcher on lower-cased tokens: exact words only, no meaning."""
    spacy = pytest.importorskip("spacy", reason="spaCy is not installed (extra: bench)")
    from spacy.matcher import PhraseMatcher

    nlp = spacy.blank("en")
    matcher = PhraseMatcher(nlp.vocab, attr="LOWER")
    matcher.add("names", list(nlp.tokenizer.pipe(sorted(names()))))
    _timed(
        "spaCy PhraseMatcher", benchmark, lambda said: sum(len(matcher(d)) for d in nlp.tokenizer.pipe(said)), texts()
    )


def test_automaton(benchmark: Any) -> None:
    """A pyahocorasick scan with a check of word bounds: exact words only, no meaning."""
    ahocorasick = pytest.importorskip("ahocorasick", reason="pyahocorasick is not installed (extra: bench)")
    automaton = ahocorasick.Automaton()
    for name in names():
        automaton.add_word(name, name)
    automaton.make_automaton()

    def scan(said: tuple[str, ...]) -> int:
        found = 0
        for text in said:
            low = text.lower()
            for end, name in automaton.iter_long(low):
                start = end - len(name) + 1
                found += not (low[start - 1 : start].isalnum() or low[end + 1 : end + 2].isalnum())
        return found

    _timed("pyahocorasick scan", benchmark, scan, texts())


def test_table_of_rates(benchmark: Any, capsys: pytest.CaptureFixture[str]) -> None:
    """Prints MB/s of all that ran before; runs last."""
    benchmark.pedantic(lambda: None, rounds=1)
    if not benchmark.enabled:
        pytest.skip("needs --benchmark-enable")
    own = rates["tastevocab, notes"]
    lines = [f"  {name:<22}{rate:>10.3f} MB/s{own / rate:>10.1f} x" for name, rate in rates.items()]
    with capsys.disabled():
        print(
            f"\n{len(texts())} notes, {_megabytes(texts()):.3f} MB, {len(names())} names; last column: notes against it"
        )
        print("\n".join(lines))


def test_the_same_notes_are_made_every_time() -> None:
    assert list(made_notes(20)) == list(made_notes(20))
    assert list(made_notes(20)) != list(made_notes(20, seed=8))


@pytest.mark.skipif(not os.environ.get("TASTEVOCAB_BIG"), reason="slow: set TASTEVOCAB_BIG to run")
def test_memory_stays_flat_while_a_20_mb_table_streams(tmp_path: Path) -> None:
    """What is traced over stretches of the table, far apart, leaves next to nothing behind and peaks as high.

    tracemalloc slows reading several times, so it listens to four stretches of 4,000 rows and not to the whole.
    """
    table, size = tmp_path / "notes.jsonl", 0
    with table.open("w", encoding="utf-8") as out:
        for number, text in enumerate(made_notes(10_000_000)):
            size += out.write(json.dumps({"id": str(number), "text": text}) + "\n")
            if size >= 20 * MB:
                break
    kept, peaks, rows = [], [], 0
    for rows, _ in enumerate(stream_file(table, lexicon()), start=1):
        if rows % STRETCH == STRETCH // 2:
            tracemalloc.start()
        elif rows % STRETCH == STRETCH // 2 + 4000:
            now, peak = tracemalloc.get_traced_memory()
            tracemalloc.stop()
            kept.append(now)
            peaks.append(peak)
    assert rows > 100_000
    assert len(kept) >= 4
    print(
        f"{rows} rows, {size / MB:.0f} MB; kept {[k // 1000 for k in kept]} kB, peaks {[p // 1000 for p in peaks]} kB"
    )
    assert max(kept[1:]) < 500_000
    assert max(peaks[1:]) < 1.5 * min(peaks[1:]) + 500_000
