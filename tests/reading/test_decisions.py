"""Decisions: kept beside the notes, applied again and again with the same result, known again after small edits."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from report_examples import BERGAMOT, BLACKBERRY, FIG, PLUM, TEXT, example, spot

from tastevocab.errors import InputError
from tastevocab.reading.records import AttributeFinding, Finding, Reading, SetAside, Spot, Unresolved
from tastevocab.reading.report.contract import Item, in_file_order
from tastevocab.reading.review.apply import IGNORED, REJECTED, apply, settled
from tastevocab.reading.review.context import Key, Passage, Texts, fingerprint, keyed, likeness
from tastevocab.reading.review.decisions import (
    VERBS,
    Decision,
    Decisions,
    Verb,
    beside,
    decided,
    decisions_in,
    load_beside,
    read_decisions,
    rows_of,
    save,
)

ITEMS = list(in_file_order(example()))
KUMQUAT = "citrus_crate/orange_mandarin/kumquat"


def key_of(words: str, reading: Reading | None = None, text: str = TEXT) -> Key:
    return next(k for k, i in keyed(in_file_order(reading or example()), Texts.of(text)) if i.spot.words == words)


def item_of(words: str, reading: Reading) -> Item:
    return next(i for i in in_file_order(reading) if i.spot.words == words)


def decisions(*entries: Decision, text: str = TEXT) -> Decisions:
    return Decisions(Path("table.decisions.yaml"), entries, Texts.of(text))


def decide(words: str, verb: Verb, id: str | None = None, **more: bool) -> Item:
    return item_of(words, apply(example(), decisions(decided(key_of(words), verb, id, **more))))


# --- what each decision makes of an item ---


def test_an_accepted_finding_stays_and_a_two_faced_one_is_so_no_more() -> None:
    assert decide("burger mott", "accept") == item_of("burger mott", example())
    earthy = decide("earthy", "flavour", "reach/earthy")
    assert isinstance(earthy, Finding)
    assert not earthy.two_faced


def test_a_change_keeps_who_when_and_how_strong() -> None:
    before, after = item_of("Maybe a little fig", example()), decide("Maybe a little fig", "change", KUMQUAT)
    assert isinstance(before, Finding)
    assert after == replace(before, descriptor=KUMQUAT)
    heard = decide("burger mott", "change", KUMQUAT)
    assert isinstance(heard, Finding)
    assert (heard.via, heard.match) == ("word", 1.0)


def test_an_unknown_word_becomes_a_finding_in_its_place() -> None:
    reading = apply(example(), decisions(decided(key_of("kumquish"), "change", KUMQUAT)))
    made = item_of("kumquish", reading)
    assert isinstance(made, Finding)
    assert (made.descriptor, made.spot, made.present, made.standing) == (
        KUMQUAT,
        spot("kumquish", "Mira", 77.0, place="finish"),
        True,
        "own",
    )
    assert not reading.unresolved
    assert [f.spot.span for f in reading.findings] == sorted(f.spot.span for f in reading.findings)


def test_rejected_and_ignored_words_are_set_aside_not_lost() -> None:
    gone = decide("Loads of blackberry", "reject")
    assert gone == SetAside(item_of("Loads of blackberry", example()).spot, REJECTED, BLACKBERRY)
    assert decide("Bright", "reject") == SetAside(spot("Bright", "Mira", 75.0), REJECTED)
    reading = apply(example(), decisions(Decision("ignore", "KUMQUISH")))
    assert item_of("kumquish", reading) == SetAside(spot("kumquish", "Mira", 77.0, place="finish"), IGNORED)


def test_what_was_set_aside_can_be_brought_back() -> None:
    back = decide("orange kettle", "accept")
    assert isinstance(back, Finding)
    assert back.descriptor == "citrus_crate/orange_mandarin/sweet_orange"


def test_an_accepted_question_counts_from_then_on() -> None:
    reading = apply(example(), decisions(decided(key_of("Hardly any plum"), "accept")))
    plum = item_of("Hardly any plum", reading)
    assert plum == replace(example().asked[0], asked=False, sure=1.0)
    assert plum in reading.findings
    assert reading.asked == example().asked[1:]
    reading = apply(example(), decisions(decided(key_of("Rather round"), "accept")))
    body = item_of("Rather round", reading)
    assert isinstance(body, AttributeFinding)
    assert (body.attribute, body.level, body.asked, body.sure) == ("body", "medium", False, 1.0)
    assert body in reading.attributes


def test_a_changed_question_counts_as_what_was_chosen() -> None:
    reading = apply(example(), decisions(decided(key_of("Hardly any plum"), "change", FIG)))
    made = item_of("Hardly any plum", reading)
    assert isinstance(made, Finding)
    assert (made.descriptor, made.present, made.asked, made.sure) == (FIG, False, False, 1.0)
    assert made in reading.findings
    found = apply(example(), decisions(decided(key_of("Hardly any plum"), "accept", present=True)))
    plum = item_of("Hardly any plum", found)
    assert isinstance(plum, Finding)
    assert (plum.descriptor, plum.present, plum in found.findings) == (PLUM, True, True)
    flavour = apply(example(), decisions(decided(key_of("Rather round"), "change", FIG)))
    assert [f.descriptor for f in flavour.findings if f.spot.words == "Rather round"] == [FIG]
    assert flavour.asked == example().asked[:1]


def test_a_rejected_question_is_set_aside_and_one_without_decision_waits() -> None:
    reading = apply(example(), decisions(decided(key_of("Hardly any plum"), "reject")))
    assert item_of("Hardly any plum", reading) == SetAside(example().asked[0].spot, REJECTED, PLUM)
    assert reading.asked == example().asked[1:]
    other = apply(example(), decisions(decided(key_of("burger mott"), "reject")))
    assert other.asked == example().asked


def test_a_counted_finding_can_be_changed_or_denied() -> None:
    assert decide("Loads of blackberry", "change", FIG) == replace(example().findings[0], descriptor=FIG)
    denied = apply(example(), decisions(decided(key_of("Loads of blackberry"), "accept", present=False)))
    assert [f.present for f in denied.findings if f.spot.words == "Loads of blackberry"] == [False]


def test_a_house_word_names_what_is_asked_but_does_not_count_it() -> None:
    reading = apply(example(), decisions(Decision("house", "Hardly any plum", descriptor=KUMQUAT)))
    waiting = item_of("Hardly any plum", reading)
    assert isinstance(waiting, Finding)
    assert (waiting.descriptor, waiting.asked, waiting in reading.asked) == (KUMQUAT, True, True)


def test_a_decision_for_the_whole_session_takes_the_same_words_read_as_the_same() -> None:
    plum, round_ = example().asked
    assert isinstance(plum, Finding)
    again = replace(plum, id="again", spot=replace(plum.spot, span=(0, 4), speaker="Mira"))
    other = replace(plum, id="other", descriptor=FIG, spot=replace(plum.spot, span=(5, 9)))
    aside = SetAside(replace(plum.spot, span=(10, 14)), "claim", PLUM)
    reading = Reading(asked=(plum, again, other, round_), set_aside=(aside,))
    kept = decisions(decided(key_of("Hardly any plum"), "accept").wide())
    after = apply(reading, kept)
    assert {f.id for f in after.findings} == {"f8", "again"}
    assert {f.id for f in after.asked} == {"other", "a2"}
    assert after.set_aside == (aside,)
    assert apply(after, kept) == after
    rejected = apply(reading, decisions(decided(key_of("Hardly any plum"), "reject").wide()))
    assert [s.reason for s in rejected.set_aside if s.descriptor == PLUM] == [REJECTED, "claim", REJECTED]
    assert apply(Reading(), kept).notices == ()  # in a source without these words there is nothing to tell


def test_a_decision_about_one_place_outranks_one_for_the_whole_session() -> None:
    key = key_of("Hardly any plum")
    for entries in (
        (decided(key, "reject"), decided(key, "accept").wide()),
        (decided(key, "accept").wide(), decided(key, "reject")),
    ):
        assert isinstance(item_of("Hardly any plum", apply(example(), decisions(*entries))), SetAside)


def test_a_fault_is_booked_as_one() -> None:
    made = decide("earthy", "fault", "yard_faults/drying_mould/damp_earth_taint", fault=True)
    assert isinstance(made, Finding)
    assert (made.descriptor, made.fault, made.two_faced) == ("yard_faults/drying_mould/damp_earth_taint", True, False)


def test_the_later_of_two_decisions_counts() -> None:
    key = key_of("burger mott")
    reading = apply(example(), decisions(decided(key, "reject"), decided(key, "change", FIG)))
    assert isinstance(item_of("burger mott", reading), Finding)
    reading = apply(example(), decisions(decided(key, "change", FIG), decided(key, "reject")))
    assert isinstance(item_of("burger mott", reading), SetAside)


def test_one_of_two_findings_in_the_same_words_is_meant() -> None:
    echo = item_of("Same!", example())
    assert isinstance(echo, Finding)
    reading = Reading(findings=(echo, replace(echo, id="other", descriptor=BERGAMOT)))
    keys = [k for k, _ in keyed(in_file_order(reading), Texts.of(TEXT))]
    once = apply(reading, decisions(decided(keys[1], "reject")))
    assert [f.descriptor for f in once.findings] == [BLACKBERRY]
    assert [s.descriptor for s in once.set_aside] == [BERGAMOT]
    assert apply(once, decisions(decided(keys[1], "reject"))) == once


CHOICES = st.lists(
    st.builds(
        lambda i, verb, id, wild: (i, verb, id, wild),
        st.integers(0, len(ITEMS) - 1),
        st.sampled_from(VERBS),
        st.sampled_from((BERGAMOT, FIG, KUMQUAT)),
        st.booleans(),
    ),
    max_size=8,
)


def made(choices: list[tuple[int, Verb, str, bool]]) -> list[Decision]:
    keys = [k for k, _ in keyed(ITEMS, Texts.of(TEXT))]
    entries = []
    for i, verb, id, wild in choices:
        given = id if verb in ("change", "fault", "house") else None
        entries.append(Decision(verb, keys[i].words, descriptor=given) if wild else decided(keys[i], verb, given))
    return entries


@given(CHOICES)
def test_applied_twice_is_applied_once(choices: list[tuple[int, Verb, str, bool]]) -> None:
    # Decisions without a place may send one word to another's name; each alone is what people make.
    kept = decisions(*made([c for c in choices if not c[3]]))
    once = apply(example(), kept)
    assert apply(once, kept) == once
    for choice in choices:
        alone = decisions(*made([choice]))
        once = apply(example(), alone)
        assert apply(once, alone) == once


@given(CHOICES)
def test_nothing_is_lost_or_made(choices: list[tuple[int, Verb, str, bool]]) -> None:
    after = list(in_file_order(apply(example(), decisions(*made(choices)))))
    assert [i.spot for i in after] == [i.spot for i in ITEMS]


# --- known again ---


def moved(reading: Reading, by: int) -> Reading:
    def shift(item: Item) -> Item:
        start, end = item.spot.span
        return replace(item, spot=replace(item.spot, span=(start + by, end + by)))

    return Reading(
        tuple(shift(f) for f in reading.findings),  # type: ignore[misc]
        tuple(shift(a) for a in reading.attributes),  # type: ignore[misc]
        tuple(shift(s) for s in reading.set_aside),  # type: ignore[misc]
        tuple(shift(u) for u in reading.unresolved),  # type: ignore[misc]
        asked=tuple(shift(a) for a in reading.asked),  # type: ignore[misc]
    )


def test_a_decision_survives_text_put_before_it_and_a_word_changed_beside_it() -> None:
    entry = decided(key_of("burger mott"), "reject")
    later = apply(moved(example(), 9), decisions(entry, text="Kettle!\n\n" + TEXT))
    assert isinstance(item_of("burger mott", later), SetAside)
    edited = TEXT.replace("I get burger mott too", "we got burger mott too")
    later = apply(moved(example(), 1), decisions(entry, text=edited))
    assert isinstance(item_of("burger mott", later), SetAside)
    assert not later.notices


def test_a_decision_survives_another_name_for_the_speaker() -> None:
    entry = decided(key_of("burger mott"), "reject")
    f = replace(example().findings[1], spot=replace(example().findings[1].spot, speaker="Mirabel"))
    assert apply(Reading(findings=(f,)), decisions(entry)).set_aside


def test_a_decision_is_not_taken_for_the_same_words_somewhere_else() -> None:
    text = "A: one two three plum four five six. Later on, quite another cup: B says plum and nothing besides it."
    places = [text.index("plum"), text.index("plum and")]
    plums = [
        Finding(f"p{n}", FIG, Spot("plum", (at, at + 4), "t", speaker=who))
        for n, (at, who) in enumerate(zip(places, "AB", strict=True))
    ]
    first = keyed(plums, Texts.of(text))[0][0]
    kept = decisions(decided(first, "reject"), text=text)
    assert [f.id for f in apply(Reading(findings=tuple(plums)), kept).findings] == ["p1"]
    alone = apply(Reading(findings=(plums[1],)), kept)
    assert alone.findings == (plums[1],)
    assert "no 'plum' by A to reject any more" in alone.notices[0]


def test_a_decision_about_one_reading_of_a_word_is_not_taken_for_another() -> None:
    entry = decided(key_of("burger mott"), "accept")
    known_now = replace(example().findings[1], descriptor=FIG)
    assert apply(Reading(findings=(known_now,)), decisions(entry)).notices


def test_rows_without_an_id_are_told_apart_by_their_place() -> None:
    texts = Texts((Passage("plum, big", None, 2), Passage("a plum", None, 3)), table=True)
    plums = [
        Finding("p2", FIG, Spot("plum", (0, 4), "t", line=2)),
        Finding("p3", FIG, Spot("plum", (2, 6), "t", line=3)),
    ]
    keys = [k for k, _ in keyed(plums, texts)]
    assert [k.occurrence for k in keys] == [1, 2]
    kept = Decisions(Path("t.decisions.yaml"), (decided(keys[1], "reject"),), texts)
    assert [f.id for f in apply(Reading(findings=tuple(plums)), kept).findings] == ["p2"]


def test_likeness_is_dice_s_measure() -> None:
    assert likeness("a b | c d", "a b | c x") == 2 * 3 / 8
    assert likeness("|", "|") == 0.5
    assert likeness("a | b", "x | y") == 0


def test_captions_around_words_are_no_part_of_their_mark() -> None:
    text = "<v Mira>some fig</v>\n\n2\n00:00:05.000 --> 00:00:07.000\n<v Mira>and plum"
    at = text.index("plum")
    assert fingerprint(Spot("plum", (at, at + 4), "t"), Texts.of(text)) == "some fig and |"


def test_settled_findings_are_told() -> None:
    kept = decisions(decided(key_of("burger mott"), "accept"), decided(key_of("kumquish"), "change", KUMQUAT))
    after = apply(example(), kept)
    ids = settled(after, kept)
    assert {f.spot.words for f in after.findings if f.id in ids} == {"burger mott", "kumquish"}


# --- the file ---


@given(
    st.lists(
        st.builds(
            Decision,
            st.sampled_from(("accept", "reject", "ignore", "flavour")),
            st.text(min_size=1).filter(str.strip),
            st.none() | st.text(min_size=1),
            st.none() | st.text(min_size=1),
            st.integers(0, 9),
            st.text(),
            st.none(),
            st.none(),
            st.booleans(),
            st.none() | st.booleans(),
        ),
        min_size=1,
        max_size=4,
    )
)
def test_what_is_written_is_read_back(entries: list[Decision]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "t.decisions.yaml"
        save(file, entries, "t.txt")
        assert read_decisions(file) == entries
    assert decisions_in(rows_of(entries), "an archive") == entries


@given(st.text(min_size=1).filter(str.strip), st.none() | st.text(min_size=1))
def test_what_holds_everywhere_is_written_without_a_place_and_read_back(words: str, was: str | None) -> None:
    made = Decision("reject", words, "row", "Mira", 3, "around | it", was).wide()
    assert (made.note, made.speaker, made.occurrence, made.context) == (None, None, 0, "")
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "t.decisions.yaml"
        save(file, [made], "t.txt")
        assert read_decisions(file) == [made]


def test_decisions_lie_beside_the_notes_and_go_with_the_last(tmp_path: Path) -> None:
    notes = tmp_path / "table.txt"
    notes.write_text(TEXT, encoding="utf-8")
    none = load_beside(notes)
    assert (none.file, none.entries, none.texts.passages) == (tmp_path / "table.decisions.yaml", (), ())
    save(beside(notes), [decided(key_of("burger mott"), "reject")], notes.name)
    assert (tmp_path / "table.decisions.yaml").is_file()
    assert apply(example(), load_beside(notes)).set_aside[1].reason == REJECTED
    save(beside(notes), [], notes.name)
    assert not list(tmp_path.glob("*decisions*"))


def test_a_decision_about_words_that_are_gone_is_told_with_file_and_line(tmp_path: Path) -> None:
    notes = tmp_path / "table.txt"
    notes.write_text(TEXT, encoding="utf-8")
    save(beside(notes), [decided(key_of("burger mott"), "reject"), Decision("ignore", "xyzzy")], notes.name)
    lines = beside(notes).read_text(encoding="utf-8").splitlines()
    line = next(n for n, text in enumerate(lines, 1) if "xyzzy" in text)
    [told] = apply(example(), load_beside(notes)).notices
    assert told.startswith(f"{beside(notes)}:{line}: no 'xyzzy' to ignore any more")
    assert apply(example(), load_beside(notes), whole=False).notices == ()


@pytest.mark.parametrize(
    ("text", "what"),
    [
        (
            "decisions:\n- words: fig\n  decide: forget\n",
            r"d\.yaml:3: cannot decide 'forget'\n  mend: use one of accept",
        ),
        ("- words: fig\n  decide: change\n", r"d\.yaml:2: 'change' to what\?"),
        (
            "- words: fig\n  decide: change\n  descriptor: nothing/like/it\n",
            r"d\.yaml:3: 'nothing/like/it' is no descr",
        ),
        ("- decide: reject\n", r"d\.yaml:1: a decision about no words"),
        ("- words: fig\n  decide: reject\n  occurence: 1\n", r"d\.yaml:3: 'occurence' is no part of a decision"),
        ("- words: fig\n  decide: reject\n  occurrence: -1\n", r"d\.yaml:3: -1 is no number of a place"),
        ("- words: fig\n  decide: reject\n  everywhere: 1\n", r"d\.yaml:3: everywhere: 1 is no yes or no"),
        ("decisions: fig\n", r"d\.yaml:1: holds no list of decisions"),
        ("- words: [\n", r"d\.yaml:\d: is not YAML"),
    ],
)
def test_what_is_not_understood_is_told_with_file_and_line(tmp_path: Path, text: str, what: str) -> None:
    file = tmp_path / "d.yaml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=what):
        read_decisions(file, known={FIG})


def test_a_house_word_of_a_house_file_that_is_not_laid_over_changes_nothing(tmp_path: Path) -> None:
    notes = tmp_path / "table.txt"
    notes.write_text(TEXT, encoding="utf-8")
    save(beside(notes), [Decision("house", "kumquish", descriptor="orchard/own/word")], notes.name)
    assert apply(example(), load_beside(notes, known={FIG})) == example()
    made = item_of("kumquish", apply(example(), load_beside(notes, known={"orchard/own/word"})))
    assert isinstance(made, Finding)
    assert isinstance(item_of("kumquish", example()), Unresolved)
