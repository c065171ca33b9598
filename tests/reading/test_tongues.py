"""Spanish and Portuguese notes: by which looks they are known, how a mixed table is read, and what captions give."""

from __future__ import annotations

from pathlib import Path

import pytest

from tastevocab.panel.gather import gather
from tastevocab.panel.session import open_session
from tastevocab.panel.session_check import check_session
from tastevocab.reading.read import read_file, read_text
from tastevocab.reading.records import Reading, Turn
from tastevocab.reading.review.question import Desk
from tastevocab.reading.words.lexicon import Lexicon, open_lexicon
from tastevocab.reading.words.looks import language_of, languages_of
from tastevocab.reading.words.patterns import wrong_examples
from tastevocab.vocabulary.cache import open_vocabulary


def said(reading: Reading) -> set[tuple[str, str]]:
    """Each finding's last part of an id, and how it stands."""
    return {
        (f.descriptor.rsplit("/", 1)[-1], "denied" if not f.present else "doubted" if f.hedged else "found")
        for f in reading.findings
    }


@pytest.mark.parametrize("tag", ["es", "pt"])
def test_every_pattern_is_found_in_its_example_alone(tag: str) -> None:
    assert list(wrong_examples(open_lexicon(None, None, tag))) == []


@pytest.mark.parametrize("tag", ["es", "pt"])
def test_the_languages_notice_what_english_does(tag: str) -> None:
    """Every kind of pattern that a typed note is weighed by has words in the other languages too."""
    talk = {"reveal", "planned", "put_off", "closing", "turn_to", "small", "brew", "other_cup", "compared"}
    kinds = {p.kind for p in open_lexicon().patterns} - talk
    assert kinds - {p.kind for p in open_lexicon(None, None, tag).patterns} == set()


@pytest.mark.parametrize(
    ("text", "language"),
    [
        ("Peach and a bit of lemon", "en"), ("sabe a durazno con un poco de limón", "es"),
        ("sabe a pêssego com um pouco de limão", "pt"), ("Jasmine, bergamot", "en"), ("fresa, frambuesa, cereza", "es"),
        ("não tem acidez", "pt"), ("muy rico", "es"), ("ha ha ha", "en"), ("", "en"), ("super sweet, full body", "en"),
    ],
)  # fmt: skip
def test_a_note_shows_its_language(text: str, language: str) -> None:
    assert language_of(text, open_lexicon().looks, "en") == language


def test_the_told_language_is_kept_where_a_note_shows_none() -> None:
    looks = open_lexicon().looks
    assert language_of("chocolate", looks, "pt") == "pt"
    assert language_of("tastes like lemon to me, and that is it", looks, "pt") == "en"


def test_a_turn_of_another_language_must_be_plainly_so() -> None:
    looks = open_lexicon().looks
    english = ["I get peach and a bit of lemon, and it is really nice.", "It is so much nicer when it cools down."]
    talk = [*english, "La Pera", "Sabe a panela con un poco de canela, y está muy rico."]
    assert languages_of([Turn(t, "t") for t in talk], looks, "en") == ["en", "en", "en", "es"]


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("Durazno, nada de jazmín.", {("peach", "found"), ("jasmine", "denied")}),
        ("No percibo canela. Puede que sea cacao.", {("cinnamon", "denied"), ("dark_choc", "doubted")}),
        ("Coco, para nada", {("coconut_flesh", "denied")}),
        ("Pêssego, sem canela", {("peach", "found"), ("cinnamon", "denied")}),
        ("Talvez figo; mel de certeza", {("fig", "doubted"), ("honeys", "found")}),
        ("Menta não há, é mel", {("mint", "denied"), ("honeys", "found")}),
    ],
)
def test_denial_and_doubt(text: str, wanted: set[tuple[str, str]]) -> None:
    assert said(read_text(text, open_lexicon())) == wanted


@pytest.mark.parametrize(
    ("text", "decoy"),
    [
        ("Pásame la tetera naranja. Sabe a miel.", "naranja"),
        ("El paquete promete lavanda; yo digo miel", "lavanda"),
        ("A chaleira laranja ferveu. Sabe a mel.", "laranja"),
        ("O rótulo promete lavanda; eu digo mel", "lavanda"),
    ],
)
def test_what_is_no_finding_is_set_aside(text: str, decoy: str) -> None:
    reading = read_text(text, open_lexicon())
    assert said(reading) == {("honeys", "found")}
    assert decoy in {s.spot.words for s in reading.set_aside}


@pytest.mark.parametrize(
    ("text", "attribute", "level"),
    [  # the language is told: a note of two words shows none
        ("acidez alta", "acidity", "high"), ("sin acidez", "acidity", "none"), ("cuerpo medio", "body", "medium"),
        ("amargor bajo", "bitterness", "low"), ("final muy largo", "finish", "high"),
        ("muy dulce", "sweetness", "high"),
        ("acidez elevada", "acidity", "high"), ("corpo leve", "body", "low"), ("sem amargor", "bitterness", "none"),
        ("doçura média", "sweetness", "medium"), ("final curto", "finish", "low"),
    ],
)  # fmt: skip
def test_levels_of_qualities(text: str, attribute: str, level: str) -> None:
    told = "pt" if text.startswith(("acidez elevada", "corpo", "sem", "doçura", "final curto")) else "es"
    found = read_text(text, open_lexicon(None, None, told)).attributes
    assert [(a.attribute, a.level) for a in found] == [(attribute, level)]


@pytest.mark.parametrize("told", [(), ("es",), ("pt",)])
@pytest.mark.parametrize(
    ("text", "asks"),
    [("muy terroso y ahumado", 2), ("bem terroso e mel", 1), ("earthy, with plum", 1), ("earth, with plum", 0)],
)
def test_a_word_that_may_be_a_fault_is_asked_in_every_language(text: str, asks: int, told: tuple[str, ...]) -> None:
    lexicon = open_lexicon(None, None, *told)
    desk = Desk(lexicon, open_vocabulary().two_faced.values())
    found = [desk.asked_as(f) for f in read_text(text, lexicon).findings]
    assert sum(pair is not None for pair in found) == asks


def test_a_table_may_be_mixed(tmp_path: Path) -> None:
    """Three tasters in three languages: the Mexican limón is a lime, so is the Brazilian limão, the lemon is none."""
    (tmp_path / "notes.csv").write_text(
        "taster,coffee,text\nana,vale,limón con un poco de panela\nrui,vale,limão e um pouco de mel\n"
        "kim,vale,lemon and a touch of honey\n",
        "utf-8",
    )
    session = tmp_path / "s.yaml"
    session.write_text(
        "session: s\nlanguage: [es-MX, pt-BR]\ntasters: [ana, rui, kim]\ncoffees: [vale]\nnotes: [notes.csv]\n"
    )
    opened = open_session(session)
    assert [p for p in check_session(opened) if p.severity == "error"] == []
    found = {(f.spot.speaker, f.descriptor.rsplit("/", 1)[-1]) for f in gather(opened, open_lexicon()).findings}
    assert {("ana", "lime"), ("rui", "lime"), ("kim", "lemon")} <= found
    assert {("ana", "block_cane_sugar"), ("rui", "honeys"), ("kim", "honeys")} <= found


def test_a_wrong_tag_is_told_with_its_mend(tmp_path: Path) -> None:
    session = tmp_path / "s.yaml"
    session.write_text(
        "session: s\nlanguage: español\ntasters: [ana]\ncoffees: [vale]\nnotes: [{taster: ana, text: mora}]\n"
    )
    told = [p for p in check_session(open_session(session)) if p.code == "language"]
    assert "es-MX" in told[0].mend


def captions(tmp_path: Path) -> Path:
    path = tmp_path / "mesa.vtt"
    path.write_text(
        "WEBVTT\n\n00:01.000 --> 00:04.000\n<v Ana>Sabe a panela con un poco de canela, muy rico.\n\n"
        "00:05.000 --> 00:08.000\n<v Luz>Yo no siento canela, para mí es cacao.\n",
        "utf-8",
    )
    return path


def test_captions_in_spanish_are_read_turn_by_turn_and_say_so(tmp_path: Path) -> None:
    reading = read_file(captions(tmp_path), open_lexicon())
    assert {(f.spot.speaker, f.descriptor.rsplit("/", 1)[-1], f.present) for f in reading.findings} == {
        ("Ana", "block_cane_sugar", True),
        ("Ana", "cinnamon", True),
        ("Luz", "cinnamon", False),
        ("Luz", "dark_choc", True),
    }
    assert reading.findings[0].spot.at == 1.0
    assert any("2 of 2 turns are in es" in sentence for sentence in reading.notices)


def test_english_talk_says_nothing_of_languages() -> None:
    data = Path(__file__).with_name("data")
    assert not any("turns are in" in sentence for sentence in read_file(data / "table.vtt", open_lexicon()).notices)


def test_small_words_stand_for_english_ones() -> None:
    """The weights know English words: every word that a Spanish or Portuguese one stands for is one of them."""
    known = open_lexicon().small | open_lexicon().ordinary | {"strong", "slightly"}
    for tag in ("es", "pt"):
        lexicon = open_lexicon(None, None, tag)
        assert {like for like in lexicon.alike.values() if like not in known} == set(), tag


def test_a_lexicon_made_by_hand_reads_its_own_language() -> None:
    lexicon = Lexicon(open_vocabulary(), "es")
    assert lexicon.of("pt") is lexicon
    assert lexicon.language == "es"
