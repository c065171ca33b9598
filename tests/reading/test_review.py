"""The review: what is asked, with which candidates and effect; never twice; every decision can be taken back."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from report_examples import BERGAMOT, BLACKBERRY, FIG, PLUM, TEXT, desk, example, spot

from tastevocab.errors import InputError
from tastevocab.panel.rungs import quorum as panel_quorum
from tastevocab.reading.records import Finding, Poured, Reading, Spot, Table, Unresolved
from tastevocab.reading.report.contract import in_file_order
from tastevocab.reading.review.apply import apply
from tastevocab.reading.review.company import Company, Effect, quorum
from tastevocab.reading.review.context import Texts, heard_around, texts_of
from tastevocab.reading.review.decisions import Decision, beside, load_beside, read_decisions, save
from tastevocab.reading.review.question import CANDIDATES, Ask
from tastevocab.reading.review.queue import ask_row
from tastevocab.reading.review.walk import Notes, Walk, decide_all

KUMQUAT = "citrus_crate/orange_mandarin/kumquat"
CELLAR = "yard_faults/drying_mould/damp_earth_taint"


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    path = tmp_path / "table.txt"
    path.write_text(TEXT, encoding="utf-8")
    return path


def walk(path: Path, reading: Reading | None = None, **more: object) -> Walk:
    return Walk([Notes(path, reading or example(), Texts.of(TEXT))], desk(), **more)  # type: ignore[arg-type]


def no_house(word: str, under: str) -> str:
    raise InputError("no house file")


def ask_of(sitting: Walk, words: str) -> Ask:
    return next(a for a in sitting.asks() if a.key.words == words)


def test_what_is_asked_unsure_unknown_or_two_faced_is_a_question(notes: Path) -> None:
    sitting = walk(notes)
    assert [(a.key.words, a.kind) for a in sitting.asks()] == [
        ("earthy", "two-faced"),  # it may be a fault
        ("burger mott", "sound"),
        ("Maybe a little fig", "guess"),
        ("kumquish", "not known"),  # 0.75 like a kumquat
        ("Hardly any plum", "asked"),  # 0.72 sure
        ("Rather round", "asked"),
    ]
    assert all(len(a.candidates) <= CANDIDATES for a in sitting.asks())
    assert ask_of(sitting, "burger mott").candidates[0].descriptor == BERGAMOT
    earthy = ask_of(sitting, "earthy")
    assert [c.descriptor for c in earthy.candidates[:2]] == ["reach/earthy", CELLAR]
    assert earthy.candidates[1].fault
    assert earthy.question == "Forest floor, or like a wet cellar?"
    unknown = ask_of(sitting, "kumquish")
    assert unknown.before.endswith("A whiff of")
    assert unknown.after.startswith("at the end.")


def test_an_asked_finding_says_what_it_is_about_and_why(notes: Path) -> None:
    sitting = walk(notes)
    plum = ask_of(sitting, "Hardly any plum")
    assert plum.why == "counted for nobody yet (72 % sure): plums, denied or found?"
    assert plum.signs == "clear which flavour is meant; against: unclear whether found or denied"
    assert [(c.descriptor, c.present, str(c.effect)) for c in plum.candidates[:2]] == [
        (PLUM, False, "stays 0 of 2"),
        (PLUM, True, "0 -> 1 of 2"),
    ]
    assert plum.rejected is None
    body = ask_of(sitting, "Rather round")
    assert body.why == "counted for nobody yet (40 % sure): body medium, or not said of it?"
    assert body.candidates == ()


def test_an_asked_finding_is_settled_as_it_was_read_or_the_other_way(notes: Path) -> None:
    sitting = walk(notes)
    sitting.choose(ask_of(sitting, "Hardly any plum"), ask_of(sitting, "Hardly any plum").candidates[1])
    sitting.accept(ask_of(sitting, "Rather round"))
    [sheet] = sitting.sheets()
    reading = apply(sheet.reading, sheet.decisions)
    assert reading.asked == ()
    assert [(f.descriptor, f.present) for f in reading.findings if f.spot.words == "Hardly any plum"] == [(PLUM, True)]
    assert [a.attribute for a in reading.attributes] == ["acidity", "body"]


def test_a_house_word_of_what_is_asked_leaves_the_question(notes: Path) -> None:
    save(beside(notes), [Decision("house", "Hardly any plum", descriptor=PLUM)], notes.name)
    assert "Hardly any plum" in [a.key.words for a in walk(notes).asks()]


# --- the order ---


def asked(words: str, who: str, id: str, sure: float, coffee: str = "c", **more: object) -> Finding:
    at = replace(example().findings[0].spot, words=words, speaker=who, coffee=coffee, span=(0, 0))
    return Finding(f"{words} {who}", id, at, sure=sure, asked=True, **more)  # type: ignore[arg-type]


def order(notes: Path, reading: Reading, **company: object) -> list[str]:
    known = Company(("Mira", "Otto", "Pilar"), **company)  # type: ignore[arg-type]
    return [f"{a.key.words} {a.key.speaker}" for a in walk(notes, reading, company=known).asks()]


def found(words: str, who: str, id: str, coffee: str = "c") -> Finding:
    return replace(asked(words, who, id, 1.0, coffee), asked=False)


def test_what_brings_a_word_over_the_quorum_comes_first(notes: Path) -> None:
    reading = Reading(
        findings=(found("berry", "Mira", BLACKBERRY), found("fig", "Mira", FIG, "d")),
        asked=(
            asked("plum", "Otto", PLUM, 0.7),  # one of three would be too few
            asked("fig", "Otto", FIG, 0.7),  # of another coffee than Mira's
            asked("berry", "Otto", BLACKBERRY, 0.3),  # two of three
        ),
    )
    assert order(notes, reading) == ["berry Otto", "plum Otto", "fig Otto"]


def test_several_who_are_asked_may_bring_it_over_together(notes: Path) -> None:
    pair = (asked("berry", "Otto", BLACKBERRY, 0.3), asked("berry", "Pilar", BLACKBERRY, 0.2))
    plum = asked("plum", "Otto", PLUM, 0.7)
    assert order(notes, Reading(asked=(plum, *pair))) == ["berry Otto", "berry Pilar", "plum Otto"]
    both = (found("berry", "Mira", BLACKBERRY), found("berry", "Sven", BLACKBERRY))  # reached without them
    assert order(notes, Reading(findings=both, asked=(plum, *pair))) == ["plum Otto", "berry Otto", "berry Pilar"]
    same = (*pair[:1], replace(pair[0], id="again", spot=replace(pair[0].spot, words="again")))  # one person twice
    assert order(notes, Reading(asked=(plum, *same)))[0] == "plum Otto"


def test_an_echo_moves_no_quorum(notes: Path) -> None:
    reading = Reading(
        findings=(found("berry", "Mira", BLACKBERRY),),
        asked=(asked("plum", "Otto", PLUM, 0.7), asked("berry", "Otto", BLACKBERRY, 0.3, standing="echo")),
    )
    assert order(notes, reading) == ["plum Otto", "berry Otto"]


def test_a_doubt_that_could_take_a_word_below_its_quorum_comes_first(notes: Path) -> None:
    doubtful = replace(found("burger mott", "Otto", BERGAMOT), via="heard", match=0.9)
    reading = Reading(
        findings=(found("bergamot", "Mira", BERGAMOT), doubtful),
        asked=(asked("musty", "Otto", CELLAR, 0.4),),
    )
    assert order(notes, reading) == ["burger mott Otto", "musty Otto"]
    assert order(notes, replace(reading, findings=(doubtful,))) == ["musty Otto", "burger mott Otto"]


def test_then_faults_then_claims_then_the_surest(notes: Path) -> None:
    reading = Reading(
        asked=(
            asked("low", "Mira", "reach/earthy", 0.21),
            asked("near", "Mira", PLUM, 0.49),
            asked("claimed", "Mira", BERGAMOT, 0.3),
            asked("fault", "Mira", CELLAR, 0.25),
        ),
        unresolved=example().unresolved,  # 0.75 like a kumquat
    )
    table = Table(claims=("bergamot", "no such word"))
    assert order(notes, reading, table=table) == [
        "fault Mira",
        "claimed Mira",
        "kumquish Mira",
        "near Mira",
        "low Mira",
    ]
    assert order(notes, reading)[1:3] == ["kumquish Mira", "near Mira"]


def test_what_changes_no_count_comes_after_what_does(notes: Path) -> None:
    reading = Reading(
        findings=(found("berry", "Mira", BLACKBERRY),),
        asked=(asked("again", "Mira", BLACKBERRY, 0.48), asked("plum", "Otto", PLUM, 0.22)),
    )
    assert order(notes, reading) == ["plum Otto", "again Mira"]


def test_a_taster_is_one_person_by_any_name(notes: Path) -> None:
    reading = Reading(
        findings=(found("berry", "Miri", BLACKBERRY),),
        asked=(asked("berry", "Mira", BLACKBERRY, 0.3), asked("plum", "Otto", PLUM, 0.7)),
    )
    assert order(notes, reading) == ["berry Mira", "plum Otto"]  # Miri may be anybody
    assert order(notes, reading, voices={"miri": "Mira"}) == ["plum Otto", "berry Mira"]


def test_a_coffee_is_one_by_any_name(notes: Path) -> None:
    reading = Reading(
        findings=(found("berry", "Mira", BLACKBERRY, "Vale Alto"),),
        asked=(asked("plum", "Otto", PLUM, 0.7), asked("berry", "Otto", BLACKBERRY, 0.3, "vale_alto")),
    )
    both = (Poured("vale_alto", ("Vale Alto",)), Poured("c"))
    assert order(notes, reading) == ["plum Otto", "berry Otto"]
    assert order(notes, reading, table=Table(coffees=both)) == ["berry Otto", "plum Otto"]


@pytest.mark.parametrize("tasters", range(1, 12))
def test_the_quorum_is_the_panels(tasters: int) -> None:
    assert quorum(tasters) == panel_quorum(tasters)


# --- what is never asked, and what is shown on request ---


def test_names_of_people_and_coffees_and_brewing_are_never_asked(notes: Path) -> None:
    def unknown(words: str) -> Unresolved:
        return replace(example().unresolved[0], spot=replace(spot("kumquish", "Mira"), words=words))

    words = ("Pilar", "pilar's", "Alto", "Vale Alto", "chemex", "moka pot", "kumquish")
    rose = asked("Rose", "Mira", "flower_bench/rose_petal/rose", 0.4)
    reading = Reading(
        unresolved=tuple(map(unknown, words)),
        asked=(rose, replace(rose, id="r2", spot=replace(rose.spot, words="rose"))),
        speakers={"Rose": 3},
    )
    known = Table(("Pilar",), (Poured("vale_alto", ("Vale Alto",)),), (("cone", "chemex"),))
    assert sorted(order(notes, reading, table=known)) == ["kumquish Mira", "rose Mira"]
    assert "Pilar Mira" not in order(notes, reading)  # a taster of the panel
    assert "Alto Mira" in order(notes, reading)


def test_everything_is_shown_where_wanted_and_stands_last(notes: Path) -> None:
    usual = walk(notes).asks()
    asks = walk(notes, set_asides=True, firm=True).asks()
    assert asks[: len(usual)] == usual
    assert {a.kind for a in asks[len(usual) :]} == {"set aside", "counted"}
    assert {a.key.words for a in asks} == {i.spot.words for i in in_file_order(example())}
    sitting = walk(notes, firm=True)
    berry = ask_of(sitting, "Loads of blackberry")
    assert berry.why == "counted as it stands"
    sitting.choose(berry, berry.candidates[1])
    denied = apply(sitting.sheets()[0].reading, sitting.sheets()[0].decisions)
    assert [f.present for f in denied.findings if f.spot.words == "Loads of blackberry"] == [False]


def test_context_is_shown_as_it_was_said(tmp_path: Path) -> None:
    path = tmp_path / "t.vtt"
    path.write_text(
        "WEBVTT\n\nintro\n00:00:01.000 --> 00:00:02.000 align:start position:0%\n<v Mira>some <i>fig</i> &amp;\n\n"
        "2\n00:00:03.000 --> 00:00:04.000\n<v Mira>then plum, <c.loud>and</c>\n\n"
        "00:00:05.000 --> 00:00:06.000\n<v Otto>lemon\n",
        encoding="utf-8",
    )
    texts = texts_of(path)
    at = texts.passages[0].text.index("plum")
    before, after = heard_around(Spot("plum", (at, at + 4), "t.vtt"), texts)
    assert (before, after) == ("some fig & then", ", and Otto: lemon")


def test_a_denied_two_faced_word_is_no_question(notes: Path) -> None:
    denied = Reading(findings=tuple(replace(f, present=False) for f in example().findings if f.two_faced))
    assert walk(notes, denied).asks() == ()


def test_what_was_set_aside_is_asked_where_wanted(notes: Path) -> None:
    asks = walk(notes, set_asides=True).asks()
    assert asks[-1].key.words == "orange kettle"
    assert asks[-1].why == "set aside: equipment"
    assert "orange kettle" not in [a.key.words for a in walk(notes).asks()]


def test_effects_count_people_once(notes: Path) -> None:
    berry = example().findings[0]
    said_twice = Finding("b2", BERGAMOT, spot("burger mott", "Mira", 6.0), via="heard", match=0.9)
    reading = replace(
        example(),
        findings=(
            replace(berry, spot=replace(berry.spot, speaker="Otto")),
            said_twice,
            replace(said_twice, id="b3", via="word", spot=replace(berry.spot, speaker="Mira", words="bergamot")),
        ),
    )
    company = Company(("Mira", "Otto", "Pilar", "Sven", "Tao"))
    first = ask_of(walk(notes, reading, company=company), "burger mott")
    assert first.candidates[0].effect == Effect(1, 1, 5)
    assert first.rejected == Effect(1, 1, 5)
    assert str(first.rejected) == "stays 1 of 5"
    unknown = ask_of(walk(notes, reading, company=company), "kumquish")
    assert str(unknown.candidates[0].effect) == "0 -> 1 of 5"


def test_a_coffee_is_counted_by_itself(notes: Path) -> None:
    there = replace(example().findings[1].spot, coffee="other", speaker="Otto")
    reading = Reading(findings=(example().findings[1], Finding("o", BERGAMOT, there)))
    first = walk(notes, reading).asks()[0]
    assert first.candidates[0].effect == Effect(1, 1, 2)


def test_decided_questions_are_never_asked_again(notes: Path) -> None:
    sitting = walk(notes)
    heard = ask_of(sitting, "burger mott")
    sitting.choose(heard, heard.candidates[1])
    sitting.accept(ask_of(sitting, "Maybe a little fig"))
    sitting.change(ask_of(sitting, "earthy"), CELLAR)
    sitting.accept(ask_of(sitting, "kumquish"))
    sitting.accept(ask_of(sitting, "Hardly any plum"))
    sitting.reject(ask_of(sitting, "Rather round"))
    assert sitting.current() is None
    assert walk(notes).asks() == ()
    kept = load_beside(notes).entries
    assert [d.decide for d in kept] == ["change", "accept", "fault", "change", "accept", "reject"]
    assert [d.fault for d in kept] == [False, False, True, False, False, False]
    assert kept[3].descriptor == KUMQUAT


def test_progress_is_told(notes: Path) -> None:
    sitting = walk(notes)
    assert (sitting.number, sitting.total) == (1, 6)
    sitting.skip(sitting.asks()[0])
    assert sitting.number == 2
    current = sitting.current()
    assert current is not None
    sitting.reject(current)
    assert (sitting.number, sitting.total) == (3, 6)


def test_ignored_words_are_ignored_wherever_they_stand(notes: Path) -> None:
    again = replace(example().unresolved[0], spot=replace(example().unresolved[0].spot, speaker="Otto"))
    reading = replace(example(), unresolved=(*example().unresolved, again))
    sitting = walk(notes, reading)
    assert len(sitting.asks()) == 7
    sitting.ignore(ask_of(sitting, "kumquish"))
    assert sorted(a.key.words for a in sitting.asks()) == [
        "Hardly any plum",
        "Maybe a little fig",
        "Rather round",
        "burger mott",
        "earthy",
    ]


def test_a_house_word_is_written_and_counts_everywhere(notes: Path) -> None:
    written = []

    def add(word: str, under: str) -> str:
        written.append((word, under))
        return under

    sitting = walk(notes)
    sitting.house(ask_of(sitting, "kumquish"), KUMQUAT, add)
    assert written == [("kumquish", KUMQUAT)]
    assert "kumquish" not in [a.key.words for a in sitting.asks()]


def test_nothing_can_be_accepted_for_a_word_without_candidates(notes: Path) -> None:
    bare = replace(example(), unresolved=(replace(example().unresolved[0], suggestions=()),))
    sitting = walk(notes, bare)
    with pytest.raises(InputError, match="there is no candidate to accept"):
        sitting.accept(ask_of(sitting, "kumquish"))
    assert not beside(notes).exists()


STEPS = st.lists(st.sampled_from(("accept", "reject", "ignore", "choose", "skip", "wide")), max_size=6)


@settings(max_examples=40)
@given(STEPS)
def test_undone_to_the_first_everything_is_as_it_was(steps: list[str]) -> None:
    for folder in _folders():
        path = Path(folder) / "table.txt"
        path.write_text(TEXT, encoding="utf-8")
        sitting = walk(path)
        before, files = sitting.asks(), []
        for step in steps:
            ask = sitting.current()
            if ask is None:
                break
            files.append(beside(path).read_bytes() if beside(path).exists() else b"")
            if step == "wide":
                sitting.reject(ask, everywhere=True)
            elif step == "choose" and ask.candidates:
                sitting.choose(ask, ask.candidates[-1])
            elif step == "choose":
                sitting.reject(ask)
            else:
                getattr(sitting, step)(ask)
            if step == "skip":
                files.pop()
        for content in reversed(files):
            assert sitting.undo() is not None
            assert (beside(path).read_bytes() if beside(path).exists() else b"") == content
        assert sitting.asks() == before
        assert sitting.undo() is None


def _folders() -> Iterator[str]:
    folder = tempfile.mkdtemp()
    yield folder
    shutil.rmtree(folder)


def test_an_answer_for_the_whole_session_is_kept_beside_every_file_and_undone_in_all(tmp_path: Path) -> None:
    paths = [tmp_path / "a.txt", tmp_path / "b.txt"]
    for path in paths:
        path.write_text(TEXT, encoding="utf-8")
    sitting = Walk([Notes(path, example(), Texts.of(TEXT)) for path in paths], desk())
    before = sitting.asks()
    assert len([a for a in before if a.key.words == "Hardly any plum"]) == 2
    sitting.accept(ask_of(sitting, "Hardly any plum"), everywhere=True)
    assert "Hardly any plum" not in [a.key.words for a in sitting.asks()]
    assert len(sitting.asks()) == len(before) - 2
    assert [load_beside(path).entries for path in paths] == [
        (Decision("accept", "Hardly any plum", was=PLUM, everywhere=True),)
    ] * 2
    assert sitting.undo() is not None
    assert sitting.asks() == before
    assert not list(tmp_path.glob("*.decisions.yaml"))


def test_what_was_set_aside_is_brought_back_place_by_place(notes: Path) -> None:
    sitting = walk(notes, set_asides=True)
    with pytest.raises(InputError, match="place by place"):
        sitting.accept(ask_of(sitting, "orange kettle"), everywhere=True)
    with pytest.raises(InputError, match="place by place"):
        decide_all(sitting, [Decision("accept", "orange kettle", everywhere=True)], no_house)
    sitting.accept(ask_of(sitting, "orange kettle"))
    [sheet] = sitting.sheets()
    assert "orange kettle" in [f.spot.words for f in apply(sheet.reading, sheet.decisions).findings]


def test_the_last_decision_of_an_earlier_sitting_can_be_undone(notes: Path) -> None:
    save(beside(notes), [Decision("ignore", "kumquish"), Decision("ignore", "earthy")], notes.name)
    sitting = walk(notes)
    undone = sitting.undo()
    assert undone is not None
    assert undone.words == "earthy"
    assert [d.words for d in load_beside(notes).entries] == ["kumquish"]


# --- from a file ---


def test_a_row_of_the_list_with_an_answer_is_a_decision(notes: Path, tmp_path: Path) -> None:
    import json

    sitting = walk(notes)
    rows = {a.key.words: dict(ask_row(a, sitting.sheets())) for a in sitting.asks()}
    assert rows["burger mott"]["candidates"][0]["effect"] == "stays 1 of 2"
    assert (rows["Hardly any plum"]["sure"], rows["kumquish"]["sure"]) == (0.72, None)
    answered = [
        rows["burger mott"] | {"decide": "change", "descriptor": FIG},
        rows["earthy"] | {"decide": "fault"},
        rows["kumquish"] | {"decide": "accept"},
        rows["Hardly any plum"] | {"decide": "accept", "present": True},
        rows["Rather round"] | {"decide": "reject", "everywhere": True},
    ]
    answers = tmp_path / "answers.json"
    answers.write_text(json.dumps(answered), encoding="utf-8")
    assert decide_all(sitting, read_decisions(answers, draft=True), no_house) == 5
    kept = load_beside(notes).entries
    assert [d.descriptor for d in kept] == [FIG, CELLAR, KUMQUAT, None, None]
    assert [d.present for d in kept] == [None, None, None, True, None]
    assert [d.everywhere for d in kept] == [False, False, False, False, True]
    assert kept[4] == Decision("reject", "Rather round", was="body", everywhere=True)
    assert [a.key.words for a in walk(notes).asks()] == ["Maybe a little fig"]


def test_a_word_will_do_for_an_id_and_no_place_means_every_place(notes: Path) -> None:
    sitting = walk(notes)
    count = decide_all(
        sitting,
        [Decision("change", "Loads of blackberry", descriptor="kumquat"), Decision("reject", "SAME!")],
        no_house,
    )
    assert count == 2
    kept = load_beside(notes).entries
    assert (kept[0].was, kept[0].descriptor) == (BLACKBERRY, KUMQUAT)
    assert (kept[1].words, kept[1].occurrence) == ("Same!", 1)


@pytest.mark.parametrize(
    ("wrong", "what"),
    [
        (Decision("reject", "mango"), "no 'mango' like this in table.txt"),
        (Decision("reject", "kumquish", speaker="Pilar"), "no 'kumquish' like this"),
        (Decision("reject", "kumquish", source="other.txt"), "no 'kumquish' like this"),
        (Decision("change", "kumquish", descriptor="zzz"), "'zzz' is no descriptor"),
        (Decision("fault", "Loads of blackberry"), "'Loads of blackberry': fault to what"),
        (Decision("house", "kumquish", descriptor=KUMQUAT), "no house file"),
    ],
)
def test_nothing_is_decided_if_one_decision_is_wrong(notes: Path, wrong: Decision, what: str) -> None:
    with pytest.raises(InputError, match=what):
        decide_all(walk(notes), [wrong], no_house)
    with pytest.raises(InputError, match=what):
        decide_all(walk(notes), [Decision("reject", "earthy"), wrong], no_house)
    assert not beside(notes).exists()
