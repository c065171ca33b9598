"""From sound to captions with a recogniser that says what it is told: the logic, the file, the command."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest
import typer
import webvtt as webvtt_library
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from tastevocab.captioning import whisper
from tastevocab.captioning.compare import Offer, compare
from tastevocab.captioning.hint import LONGEST, alike, hint_of, house_words
from tastevocab.captioning.listen import listen
from tastevocab.captioning.recogniser import Word
from tastevocab.captioning.write import clock, webvtt
from tastevocab.cli import hear as hear_command
from tastevocab.errors import InputError, TastevocabError
from tastevocab.reading.intake.files import turns_of
from tastevocab.reading.read import read_file
from tastevocab.reading.report.contract import in_file_order
from tastevocab.reading.review.apply import apply
from tastevocab.reading.review.context import keyed
from tastevocab.reading.review.decisions import Decisions, decided
from tastevocab.reading.words.lexicon import open_lexicon
from tastevocab.vocabulary.cache import open_vocabulary


def words(text: str, start: float = 0.0, voice: str = "") -> list[Word]:
    """A word every half second; a full stop ends a phrase."""
    return [
        Word(one, start + 0.5 * i, start + 0.5 * i + 0.4, voice, one.endswith("."))
        for i, one in enumerate(text.split())
    ]


class Told:
    """Hears what it is told to, plainly and with a hint; keeps the hints."""

    def __init__(self, plain: dict[str, str], biased: dict[str, str] | None = None, start: float = 0.0) -> None:
        self.plain, self.biased, self.start = plain, biased or plain, start
        self.hints: list[str] = []

    def seconds(self, sound: Path) -> float:
        return 60.0

    def words(self, sound: Path, hint: str, step):
        self.hints.append(hint)
        step(60.0)
        text = (self.biased if hint else self.plain)[sound.stem]
        yield from words(text, self.start + (0.25 if sound.stem == "b" else 0.0))


@pytest.fixture(scope="module")
def lexicon():
    return open_lexicon()


def heard(lexicon, plain: str, biased: str):
    return listen(Told({"a": plain}, {"a": biased}), [("mira", Path("a.m4a"))], lexicon, ("Mira",))


BERGAMOT = "citrus_crate/peel_oil/bergamot"


def test_a_flavour_that_only_the_hint_heard_stands_over_the_plain_words_and_is_asked(lexicon, tmp_path) -> None:
    made = heard(lexicon, "I get burger mottat at the back.", "I get bergamot at the back.")
    assert made.offers == (Offer(2, 4, "bergamot"),)
    assert "<ruby>burger mottat<rt.house>bergamot</rt></ruby>" in made.captions
    path = tmp_path / "table.vtt"
    path.write_text(made.captions, "utf-8")
    reading = read_file(path, lexicon)
    assert BERGAMOT not in {f.descriptor for f in reading.findings}
    (asked,) = [f for f in reading.asked if getattr(f, "descriptor", "") == BERGAMOT]
    assert (asked.spot.words, asked.spot.speaker, asked.spot.at) == ("burger mottat", "mira", 1.0)
    assert made.captions[slice(*asked.spot.span)] == "burger mottat"
    assert asked.signs == ("- only with the house's words",)
    # The words of the hearing are not what was said.
    assert "bergamot" not in " ".join(piece.words for piece in reading.said)


def test_a_person_who_says_yes_makes_it_count(lexicon, tmp_path) -> None:
    path = tmp_path / "table.vtt"
    path.write_text(heard(lexicon, "I get burger mottat here.", "I get bergamot here.").captions, "utf-8")
    reading = read_file(path, lexicon)
    decisions = Decisions(tmp_path / "none")
    pairs = keyed(in_file_order(reading), decisions.texts)
    key = next(key for key, item in pairs if getattr(item, "descriptor", "") == BERGAMOT)
    for verb, counted in (("accept", True), ("reject", False)):
        done = apply(reading, Decisions(decisions.file, (decided(key, verb, BERGAMOT),)), whole=False)
        assert (BERGAMOT in {f.descriptor for f in done.findings}) is counted
        assert BERGAMOT not in {getattr(f, "descriptor", "") for f in done.asked}


def test_what_both_heard_is_no_offer_and_neither_is_a_word_that_names_no_flavour(lexicon) -> None:
    both = heard(lexicon, "I get bergamot, and lime.", "Well I get bergamot, and some lime.")
    assert both.offers == ()
    assert "ruby" not in both.captions
    assert heard(lexicon, "I get a lot of it.", "I get a pot of it.").offers == ()
    # A known mis-hearing that the reader takes for the same flavour needs no question.
    assert heard(lexicon, "I get black current here.", "I get blackcurrant here.").offers == ()


def test_where_plainly_nothing_was_said_nothing_is_offered(lexicon) -> None:
    class Silent(Told):
        def words(self, sound, hint, step):
            yield from words("Hello there.")
            if hint:
                yield from words("Bergamot. Bergamot.", start=30.0)

    made = listen(Silent({}), [("", Path("a.m4a"))], lexicon, ("Mira",))
    assert made.offers == ()
    assert [phrase.casefold() for phrase in made.nowhere] == ["bergamot", "bergamot"]
    assert "ergamot" not in made.captions


def test_two_flavours_over_the_same_words_are_one_offer(lexicon) -> None:
    made = heard(lexicon, "I find mumble here.", "I find bergamot lychee here.")
    assert made.offers == (Offer(2, 3, "bergamot, lychee"),)


def test_seats_are_woven_by_their_seconds_with_their_voices(lexicon) -> None:
    plain = {"a": "I get lime. And burger mottat.", "b": "Me too. No honey."}
    biased = {"a": "I get lime. And bergamot.", "b": "Me too. No honey."}
    told = Told(plain, biased)
    made = listen(told, [("mira", Path("a.wav")), ("otto", Path("b.wav"))], lexicon, ("Mira",))
    turns = turns_of(made.captions, source="t.vtt").turns
    assert [(t.speaker, t.text) for t in turns] == [
        ("mira", "I get lime."),
        ("otto", "Me too. No honey."),
        ("mira", "And burger mottat."),
    ]
    (start, end, other) = turns[2].offers[0]
    assert (turns[2].text[start:end], other) == ("burger mottat.", "bergamot")
    assert told.hints.count("") == 2
    assert all(hint.startswith("Mira") for hint in told.hints if hint)
    assert (made.words, made.seconds) == (10, 60.0)


def test_without_given_words_it_listens_once(lexicon) -> None:
    told = Told({"a": "I get lime."})
    assert listen(told, [("", Path("a.wav"))], lexicon, None).offers == ()
    assert told.hints == [""]


def test_nobody_speaks(lexicon) -> None:
    with pytest.raises(InputError, match="nobody was heard to speak"):
        listen(Told({"a": ""}), [("", Path("a.wav"))], lexicon, None)


# --- the hint ---


def test_a_hint_has_what_was_given_then_flavours_like_what_was_heard(lexicon) -> None:
    plain = words("I get leechy and vergamat. Also caramel.")
    hint = hint_of(("Mira", "Vale  Alto", "Mira"), plain, lexicon).split(", ")
    assert hint[:2] == ["Mira", "Vale Alto"]
    assert {"lychee", "bergamot"} <= set(hint)
    assert "caramel" not in hint  # heard as it is
    assert not list(alike(words("I get lime, and that is it."), lexicon))


def test_a_hint_is_no_longer_than_is_taken(lexicon) -> None:
    assert len(hint_of([f"slatterberry{i}" for i in range(500)], [], lexicon)) <= LONGEST


def test_house_words_are_those_the_house_adds(tmp_path) -> None:
    house = tmp_path / "house.yaml"
    house.write_text(
        "house: bar\nnotes:\n  slatterberry:\n    under: dark_berries\n    print: slatterberry\n"
        "    about: A small dark berry.\n    words: {en: [slatterberry, slatterberries]}\n"
        "words:\n  lychee: {en: [soapberry]}\n",
        "utf-8",
    )
    assert set(house_words(open_vocabulary(None, house), open_vocabulary())) == {
        "slatterberry",
        "slatterberries",
        "soapberry",
    }


# --- the captions ---

TEXT = st.text(st.characters(codec="utf-8", exclude_categories=("Z", "C")), min_size=1, max_size=9)


@given(st.lists(st.tuples(TEXT, st.sampled_from(["", "mira", "otto"]), st.booleans()), min_size=1, max_size=30))
def test_captions_hold_every_word_in_order_and_are_webvtt(said) -> None:
    made = webvtt([Word(text, i * 0.5, i * 0.5 + 0.4, voice, last) for i, (text, voice, last) in enumerate(said)])
    captions = webvtt_library.from_string(made)
    assert " ".join(c.text for c in captions).split() == [text for text, _, _ in said] or any(
        set(text) & set("<>&-") for text, _, _ in said
    )
    assert [c.start for c in captions] == sorted(c.start for c in captions)


def test_a_word_leads_back_to_its_own_second() -> None:
    turns = turns_of(webvtt(words("I get a lot of lime & honey in it.", start=61.0)), source="t.vtt").turns
    (turn,) = turns
    assert turn.text == "I get a lot of lime & honey in it."
    assert turn.time_at(turn.text.index("lime")) == 63.5
    assert turn.time_at(turn.text.index("in it")) == 65.0


def test_cues_end_at_pauses_voices_and_sentences_and_never_in_an_offer() -> None:
    said = [*words("one two"), *words("three", start=5.0), *words("four", start=5.5, voice="mira")]
    assert webvtt(said).count("-->") == 3
    long = words(" ".join(["word"] * 40))
    made = webvtt(long, [Offer(10, 20, "bergamot")])
    assert made.count("<ruby>") == made.count("</ruby>") == 1
    assert all(block.count("<ruby>") == block.count("</ruby>") for block in made.split("\n\n"))


@pytest.mark.parametrize(
    ("seconds", "text"), [(0, "00:00:00.000"), (59.9996, "00:01:00.000"), (3723.45, "01:02:03.450")]
)
def test_clock(seconds, text) -> None:
    assert clock(seconds) == text


def test_offers_of_nothing_to_compare() -> None:
    assert compare([], [], lambda said: []).offers == ()


# --- the command ---


@pytest.fixture
def table(tmp_path: Path) -> Path:
    path = tmp_path / "table.yaml"
    path.write_text("session: t\ntasters: [mira, otto]\ncoffees: {vale: {name: Vale Alto}}\nnotes: []\n", "utf-8")
    for name in ("a.m4a", "b.m4a"):
        (tmp_path / name).write_bytes(b"sound")
    return path


@pytest.fixture
def run(monkeypatch):
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None)
    hear_command.register(app)
    app.command("other")(lambda: None)
    told = Told({"a": "I get burger mottat.", "b": "Me too."}, {"a": "I get bergamot.", "b": "Me too."})
    monkeypatch.setattr(whisper, "Whisper", lambda folder, language: told)

    def call(*args: object, status: int = 0):
        done = CliRunner().invoke(app, ["hear", *map(str, args)])
        if isinstance(done.exception, TastevocabError):
            raise done.exception
        assert done.exit_code == status, done.output
        return done

    call.told = told
    return call


def test_hear_writes_captions_beside_the_recording_and_says_how_to_go_on(run, table) -> None:
    sound = table.parent / "a.m4a"
    done = run(sound, "--session", table, "--model", "m", "--voice", "Mira")
    path = table.parent / "a.vtt"
    assert done.stdout == f"{path}\n"
    assert "<v mira>" in path.read_text("utf-8")
    assert "asked and counted for nobody: bergamot" in done.stderr
    assert "- {source: a.vtt}" in done.stderr
    assert "no voice has a name" not in done.stderr
    assert run.told.hints[1].startswith("mira, otto, Vale Alto")
    with pytest.raises(InputError, match="is there already"):
        run(sound, "--session", table, "--model", "m")
    done = run(sound, "--session", table, "--model", "m", "--force", "--plain")
    assert "no voice has a name" in done.stderr
    assert "ruby" not in path.read_text("utf-8")


def test_hear_takes_a_file_a_seat(run, table) -> None:
    a, b = table.parent / "a.m4a", table.parent / "b.m4a"
    done = run("--session", table, "--model", "m", "--voice", f"mira={a}", "--voice", f"otto={b}")
    assert done.stdout == f"{table.parent / 't.vtt'}\n"
    assert "<v otto>Me" in (table.parent / "t.vtt").read_text("utf-8")


@pytest.mark.parametrize(
    ("args", "problem"),
    [
        (("--voice", "mirra=a.m4a"), "did you mean mira"),
        (("--voice", "mira=a.m4a", "--voice", "Mira=b.m4a"), "two files"),
    ],
)
def test_hear_refuses_voices_that_are_none(run, table, args, problem) -> None:
    with pytest.raises(InputError, match=problem):
        run("--session", table, "--model", "m", *args)


@pytest.mark.parametrize(
    "args",
    [(), ("--voice", "mira"), ("a.m4a", "--voice", "mira=a.m4a"), ("a.m4a", "--voice", "mira", "--voice", "otto")],
)
def test_hear_says_how_sound_and_voices_go_together(run, table, args) -> None:
    run(*args, "--session", table, "--model", "m", status=2)


def test_hear_needs_a_session(run, table) -> None:
    with pytest.raises(InputError, match=r"none\.yaml"):
        run(table.parent / "a.m4a", "--session", table.parent / "none.yaml", "--model", "m")


# --- the adapter, as far as it goes without a model ---


def test_a_model_is_a_folder_with_its_files_and_never_a_name(tmp_path) -> None:
    for name in ("small", "org/whisper-small"):
        with pytest.raises(InputError, match="is no folder: a Whisper model") as caught:
            whisper.Whisper(Path(name))
        assert "nothing is downloaded" in caught.value.mend
    (tmp_path / "model.bin").write_bytes(b"")
    (tmp_path / "config.json").write_text(json.dumps({}), "utf-8")
    with pytest.raises(InputError, match=r"holds no tokenizer\.json"):
        whisper.Whisper(tmp_path)


def test_the_extra_is_named_where_it_is_missing(tmp_path, monkeypatch) -> None:
    for name in whisper.NEEDED:
        (tmp_path / name).write_bytes(b"")
    monkeypatch.setitem(sys.modules, "faster_whisper", None)
    with pytest.raises(InputError, match="needs faster-whisper") as caught:
        whisper.Whisper(tmp_path)
    assert "tastevocab[hear]" in caught.value.mend
