"""The review: what is asked, with which candidates and effect; never twice; every decision can be taken back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from report_examples import BERGAMOT, PLUM, example, spot
from review_sittings import CELLAR, ask_of, asked, order, walk

from tastevocab.reading.records import Finding, Poured, Reading, Spot, Table, Unresolved
from tastevocab.reading.report.contract import in_file_order
from tastevocab.reading.review.apply import apply
from tastevocab.reading.review.company import Company, Effect
from tastevocab.reading.review.context import heard_around, texts_of
from tastevocab.reading.review.decisions import Decision, beside, save
from tastevocab.reading.review.question import CANDIDATES


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
    assert body.why == "counted for nobody yet (40 % sure): body: medium, or not said of it?"
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


def test_a_denied_guess_is_no_question(notes: Path) -> None:
    guess = next(f for f in example().findings if f.present and f.certainty < 1 and not f.two_faced)
    assert [a.kind for a in walk(notes, Reading(findings=(guess,))).asks()] == ["guess"]
    assert walk(notes, Reading(findings=(replace(guess, present=False),))).asks() == ()


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
