"""The desk without its page: what each action writes, what follows from it, and that every other command agrees."""

from __future__ import annotations

import threading
from collections import Counter
from contextlib import suppress
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from trials import TIMES

from tastevocab.errors import InputError
from tastevocab.panel.gather import gather
from tastevocab.panel.session import read_session
from tastevocab.reading.records import Finding
from tastevocab.reading.review.decisions import Decision, beside, read_decisions
from tastevocab.reading.review.details import Details
from tastevocab.reading.review.kept import Kept
from tastevocab.web.desk import timeline
from tastevocab.web.desk.doing import ACTS, Elsewhere, do
from tastevocab.web.desk.sitting import Sitting
from tastevocab.web.desk.state import opening, state
from tastevocab.web.guard import Refused

ASKED = "cherry"
SLOE, BERGAMOT = "orchard/plums/sloe", "citrus_crate/peel_oil/bergamot"


def marks(s: Sitting, text: int = 0) -> list[dict]:
    return state(s)["pages"][text]["marks"]


def mark(s: Sitting, words: str, nth: int = 0, text: int = 0) -> dict:
    return [m for m in marks(s, text) if m["words"] == words][nth]


def place(s: Sitting, words: str, text: int = 0) -> dict:
    start = s.texts[text].said.text.index(words)
    return {"text": text, "start": start, "end": start + len(words)}


def kept(s: Sitting, text: int = 0) -> list[Decision]:
    file = beside(s.texts[text].path)
    return read_decisions(file) if file.exists() else []


def found(findings) -> Counter:
    return Counter(
        (f.descriptor, f.spot.speaker, f.spot.coffee, f.spot.brew, f.spot.moment, f.present, f.standing, f.degree)
        for f in findings
    )


# --- opened ---


def test_unknown_words_that_are_somebodys_name_are_set_aside_as_such(tmp_path: Path) -> None:
    (tmp_path / "s.yaml").write_text(
        "session: s\ntasters: [kumquish, mira]\ncoffees: [one]\n"
        "notes: [{taster: mira, text: 'kumquish found slatterberry, and plum'}]\n",
        encoding="utf-8",
    )
    shown = {m["words"]: (m["kind"], m["reason"]) for m in marks(Sitting(tmp_path / "s.yaml"))}
    assert shown == {
        "kumquish": ("aside", "name"), "slatterberry": ("unknown", None), "plum": ("finding", None)}  # fmt: skip


# --- what each action does ---


def test_it_opens_with_everything_in_its_place(quay: Sitting) -> None:
    now = state(quay)
    text = opening(quay)["texts"][0]["text"]
    assert all(" ".join(text[m["start"] : m["end"]].split()) == m["words"] for m in now["pages"][0]["marks"])
    assert {m["kind"] for m in now["pages"][0]["marks"]} >= {"finding", "denial", "echo", "asked", "aside", "attribute"}
    lines = [(text[a:b], who) for a, b, who, _, _ in now["pages"][0]["lines"]]
    assert ("Now the espresso, still Alder Bank.", "mira") in lines
    assert any(who is None and "Toffee, yes" in said for said, who in lines)
    assert {a["mark"] for a in now["asks"]} <= {m["id"] for m in now["pages"][0]["marks"]}
    assert (now["past"], now["future"], now["decided"]) == (False, False, 0)


def test_keep_counts_and_wrong_sets_aside(quay: Sitting) -> None:
    ask = mark(quay, ASKED)
    assert ask["kind"] == "asked"
    do(quay, {"do": "keep", "mark": ask["id"], "seen": None})
    assert mark(quay, ASKED)["kind"] == "finding"
    assert ask["id"] not in [a["mark"] for a in state(quay)["asks"]]
    do(quay, {"do": "wrong", "mark": ask["id"], "seen": "accept"})
    assert (mark(quay, ASKED)["kind"], mark(quay, ASKED)["reason"]) == ("aside", "rejected by review")
    assert [d.decide for d in kept(quay)] == ["reject"]
    do(quay, {"do": "forget", "mark": ask["id"]})
    assert (mark(quay, ASKED)["kind"], kept(quay)) == ("asked", [])


def test_change_to_a_flavour_a_denial_a_quality_and_back(quay: Sitting) -> None:
    id = mark(quay, "A whiff of walnut")["id"]
    do(quay, {"do": "change", "mark": id, "descriptor": BERGAMOT})
    assert mark(quay, "A whiff of walnut")["means"] == "bergamot"
    do(quay, {"do": "change", "mark": id, "descriptor": BERGAMOT, "present": False})
    assert mark(quay, "A whiff of walnut")["kind"] == "denial"
    do(quay, {"do": "set", "mark": id, "taster": "mira", "moment": "warm"})
    do(quay, {"do": "change", "mark": id, "attribute": "body", "level": "low"})
    now = mark(quay, "A whiff of walnut")
    assert (now["means"], now["taster"], now["moment"]) == ("body: low", "mira", "warm")
    assert len(kept(quay)) == 1


def test_what_stands_so_already_is_told_and_not_written(quay: Sitting) -> None:
    walnut = {"do": "change", "mark": mark(quay, "A whiff of walnut")["id"], "attribute": "bitterness", "level": "none"}
    assert not do(quay, walnut).startswith("it stands so already")
    do(quay, {"do": "wrong", "mark": mark(quay, "black tea")["id"]})
    before = beside(quay.texts[0].path).read_bytes()
    assert do(quay, walnut) == "it stands so already: “A whiff of walnut” is bitterness: none"
    assert (beside(quay.texts[0].path).read_bytes(), len(quay.kept.past)) == (before, 2)
    assert not do(quay, {**walnut, "level": "low"}).startswith("it stands so already")
    assert mark(quay, "A whiff of walnut")["means"] == "bitterness: low"


def test_everything_about_a_finding_can_be_said(quay: Sitting) -> None:
    id = mark(quay, "black tea")["id"]
    given = {
        "taster": "pilar",
        "coffee": "rook",
        "brew": "espresso",
        "moment": "cool",
        "degree": "weak",
        "doubt": True,
        "place": "finish",
    }
    for name, value in given.items():
        do(quay, {"do": "set", "mark": id, name: value})
    do(quay, {"do": "set", "mark": id, "standing": "echo", "present": False})
    now = mark(quay, "black tea")
    assert {name: now[name] for name in given} == given
    assert (now["standing"], now["present"], len(kept(quay))) == ("echo", False, 1)
    do(quay, {"do": "set", "mark": id, "moment": "", "degree": ""})
    assert (mark(quay, "black tea")["moment"], mark(quay, "black tea")["degree"]) == (None, None)


def test_a_finding_is_added_moved_changed_and_taken_away(quay: Sitting) -> None:
    do(quay, {"do": "add", **place(quay, "orange kettle."), "descriptor": SLOE})
    made = mark(quay, "orange kettle")
    assert (made["kind"], made["taster"], made["coffee"], made["brew"], made["at"]) == (
        "finding", "pilar", "alder", "filter", 12.0,
    )  # fmt: skip
    do(quay, {"do": "set", "mark": made["id"], "taster": "otto", "degree": "strong"})
    do(quay, {"do": "change", "mark": mark(quay, "orange kettle")["id"], "descriptor": BERGAMOT})
    now = mark(quay, "orange kettle")
    assert (now["means"], now["taster"], now["degree"], len(kept(quay))) == ("bergamot", "otto", "strong", 1)
    assert any("bergamot" in w["print"] for w in state(quay)["map"]["words"])
    do(quay, {"do": "wrong", "mark": now["id"]})
    assert (kept(quay), beside(quay.texts[0].path).exists()) == ([], False)


def test_a_quality_is_added(quay: Sitting) -> None:
    do(quay, {"do": "add", **place(quay, "boozy"), "attribute": "body", "level": "high"})
    assert mark(quay, "boozy")["means"] == "body: high"


def test_ask_me_no_more_and_everywhere(quay: Sitting) -> None:
    do(quay, {"do": "never", "mark": mark(quay, "toffee")["id"]})
    assert [m["kind"] for m in marks(quay) if m["words"] == "toffee"] == ["aside", "aside"]
    assert [(d.decide, d.words, d.occurrence) for d in kept(quay)] == [("ignore", "toffee", 0)]
    do(quay, {"do": "undo"})
    do(quay, {"do": "keep", "mark": mark(quay, "toffee")["id"], "everywhere": True})
    assert [m["kind"] for m in marks(quay) if m["words"] == "toffee"] == ["finding", "finding"]
    assert [d.everywhere for d in (*kept(quay, 0), *kept(quay, 1))] == [True, True]
    do(quay, {"do": "forget", "mark": mark(quay, "toffee")["id"]})
    assert (kept(quay, 0), kept(quay, 1)) == ([], [])


def test_a_stretch_names_voices_and_moves_what_was_in_hand(quay: Sitting) -> None:
    assert mark(quay, "apricot")["taster"] is None
    start = quay.texts[0].said.text.index("Then it turns")
    do(quay, {"do": "stretch", "text": 0, "start": start, "to": "0:20", "taster": "pilar"})
    do(quay, {"do": "stretch", "text": 0, "from": "0:20", "to": "0:24", "taster": "otto", "moment": "warm"})
    assert mark(quay, "apricot")["taster"] == "pilar"
    silky = next(m for m in marks(quay) if m["attribute"] == "texture")
    assert (silky["taster"], silky["moment"]) == ("otto", "warm")
    rook = quay.texts[0].said.text.index("Rook Hill now")
    do(quay, {"do": "stretch", "text": 0, "start": rook, "brew": "filter", "coffee": "rook"})
    assert mark(quay, "Strawberry jam, loads of it")["brew"] == "filter"
    assert state(quay)["homeless"] == 0
    written = beside(quay.texts[0].path).read_text("utf-8")
    assert "from: 0:36" in written
    assert "to: 0:24" in written


def test_a_voice_without_a_name_is_named_wherever_it_speaks(tmp_path: Path) -> None:
    said = ("<v Mira>Plum.</v>", "Peach.", "<v Mira>Honey.</v>", "Silky.", "<v Mira>Lemon.</v>", "Cocoa.")
    cues = (f"00:00:{4 * n:02}.000 --> 00:00:{4 * n + 4:02}.000\n{words}\n" for n, words in enumerate(said))
    (tmp_path / "t.vtt").write_text("WEBVTT\n\n" + "\n".join(cues), encoding="utf-8")
    (tmp_path / "s.yaml").write_text(
        "tasters: [mira, otto]\ncoffees: [one]\nnotes: [{source: t.vtt}]\n", encoding="utf-8"
    )
    s = Sitting(tmp_path / "s.yaml")
    lane = state(s)["pages"][0]["lanes"]["taster"]
    assert [value for _, _, value, _ in lane] == ["mira", None] * 3
    told = do(s, {"do": "stretch", "text": 0, "start": lane[3][0], "lane": "taster", "alike": True, "taster": "otto"})
    assert told == "3 stretches: taster otto"
    assert [value for _, _, value, _ in state(s)["pages"][0]["lanes"]["taster"]] == ["mira", "otto"] * 3
    assert mark(s, "Cocoa")["taster"] == "otto"
    do(s, {"do": "undo"})
    assert kept(s) == []


def test_a_border_is_dragged_to_both_sides(quay: Sitting) -> None:
    runs = state(quay)["pages"][0]["lanes"]["brew"]
    assert [r[2] for r in runs][:2] == ["filter", "espresso"]
    border = runs[1][0]
    later = quay.texts[0].said.text.index("I get dark chocolate too")
    do(quay, {"do": "border", "text": 0, "lane": "brew", "border": border, "start": later})
    assert [r[:3] for r in state(quay)["pages"][0]["lanes"]["brew"]][1][0] == later
    assert mark(quay, "A whiff of walnut")["brew"] == "filter"
    earlier = quay.texts[0].said.text.index("Plum for me")
    do(quay, {"do": "border", "text": 0, "lane": "brew", "border": later, "start": earlier})
    assert (mark(quay, "a bit of bergamot")["brew"], mark(quay, "black tea")["brew"]) == ("espresso", "filter")
    with pytest.raises(InputError, match="no such border"):
        do(quay, {"do": "border", "text": 0, "lane": "brew", "border": later, "start": earlier})


def test_lanes_cover_the_text_without_gap(quay: Sitting) -> None:
    for number, text in enumerate(quay.texts):
        said = quay.view().pages[number].said
        for name in timeline.LANES:
            runs = timeline.lane(said, name)
            assert runs[0].start == 0
            assert runs[-1].end == len(text.said.text)
            assert all(a.end == b.start and a.value != b.value for a, b in pairwise(runs))


def test_a_house_word_needs_a_house_file(quay: Sitting) -> None:
    with pytest.raises(InputError, match="no house file"):
        do(quay, {"do": "house", **place(quay, "orinje"), "descriptor": "orchard/plums"})


def test_a_house_word_is_known_at_once(tmp_path: Path) -> None:
    (tmp_path / "s.yaml").write_text(
        "tasters: [mira]\ncoffees: [one]\nnotes: [{taster: mira, text: 'plum and orinje'}]\n", encoding="utf-8"
    )
    s = Sitting(tmp_path / "s.yaml", house=tmp_path / "house.yaml")
    told = do(s, {"do": "house", **place(s, "orinje"), "descriptor": "orchard/plums"})
    assert "house word" in told
    assert s.generation == 2
    assert "orinje" in (tmp_path / "house.yaml").read_text("utf-8")
    assert {m["words"]: m["kind"] for m in marks(s)}["orinje"] == "finding"


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"do": "fly"}, "nothing that can be done"),
        ({"do": "keep", "mark": "9.99"}, "no longer there"),
        ({"do": "set", "mark": "0.0"}, "nothing was said"),
        ({"do": "set", "mark": "0.0", "taster": "nobody"}, "not of this session"),
        ({"do": "set", "mark": "0.0", "moment": "tepid"}, "not of this session"),
        ({"do": "set", "mark": "0.0", "standing": ""}, "not of this session"),
        ({"do": "change", "mark": "0.0"}, "not said what it is"),
        ({"do": "change", "mark": "0.0", "descriptor": "x/y/z"}, "no descriptor"),
        ({"do": "change", "mark": "0.0", "attribute": "body"}, "how much"),
        ({"do": "add", "text": 0, "start": 0, "end": 0, "descriptor": SLOE}, "no words"),
        ({"do": "add", "text": 0, "start": 0, "end": 4}, "not said what it is"),
        ({"do": "add", "text": 7, "start": 0, "end": 4}, "whole number"),
        ({"do": "stretch", "text": 0, "start": 0}, "nothing is said"),
        ({"do": "stretch", "text": 0, "from": "soon", "brew": "filter"}, "no place"),
        ({"do": "stretch", "text": 0, "from": "0:30", "to": "0:10", "brew": "filter"}, "no words"),
        ({"do": "border", "text": 0, "lane": "weather", "border": 1, "start": 2}, "lane"),
        ({"do": "forget", "mark": "0.0"}, "nothing was decided"),
    ],
)
def test_what_cannot_be_done_is_refused_and_writes_nothing(quay: Sitting, given: dict, said: str) -> None:
    with pytest.raises((InputError, Refused)) as problem:
        do(quay, given)
    assert said in str(getattr(problem.value, "why", problem.value))
    assert kept(quay) == []


# --- the decisions are everybody's ---


ACTIONS = st.lists(
    st.tuples(
        st.sampled_from(["keep", "wrong", "change", "set", "add", "stretch", "undo", "redo"]), st.integers(0, 40)
    ),
    min_size=1,
    max_size=8,
)


def acted(s: Sitting, name: str, n: int) -> None:
    """One action on the n-th mark or word; what cannot be done there is not done."""
    here = marks(s)
    id = here[n % len(here)]["id"]
    given = {
        "change": {"descriptor": BERGAMOT, "present": n % 3 > 0},
        "set": {"taster": s.session.tasters[n % 3], "degree": "weak", "doubt": n % 2 == 0},
        "add": {"text": 0, "start": 9 * n, "end": 9 * n + 12, "descriptor": SLOE},
        "stretch": {"text": 0, "start": 11 * n, "end": 11 * n + 60, "moment": "warm", "taster": "otto"},
    }.get(name, {})
    with suppress(InputError):
        do(s, {"do": name, "mark": id, **given})


@settings(
    max_examples=12,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(actions=ACTIONS)
def test_whatever_is_done_every_reading_obeys_and_undo_leads_back(quay: Sitting, actions, monkeypatch_reader) -> None:
    for path in quay.kept.notes:
        beside(path).unlink(missing_ok=True)
    quay.kept.past.clear()
    quay.kept.future.clear()
    before = found(quay.view().gathered.findings)
    for name, n in actions:
        acted(quay, name, n)
    now = quay.view().gathered
    again = gather(read_session(Path(quay.session.file)), quay.lexicon)
    assert found(again.findings) == found(now.findings)
    assert found(f for f in again.asked if isinstance(f, Finding)) == found(
        f for f in now.asked if isinstance(f, Finding)
    )
    after = quay.kept.files()
    back = 0
    while quay.kept.undo():
        back += 1
    assert found(quay.view().gathered.findings) == before
    assert not any(beside(path).exists() for path in quay.kept.notes)
    for _ in range(back):
        quay.kept.redo()
    assert quay.kept.files() == after


@pytest.fixture
def monkeypatch_reader(quay: Sitting, monkeypatch: pytest.MonkeyPatch):
    """Sources are read by the encoder once: the session's own way gets the same raw readings."""
    import tastevocab.panel.gather as gathering

    raw = {t.part.source.source or t.part.source.text: t.part.notes.reading for t in quay.texts}
    monkeypatch.setattr(gathering, "read_source", lambda session, source, lexicon: raw[source.source or source.text])


def test_two_desks_on_one_file_see_each_other_or_are_told(quay: Sitting) -> None:
    other = Kept(quay.kept.notes, quay.lexicon.prints)
    id = mark(quay, ASKED)["id"]
    path = quay.texts[0].path
    revision = quay.kept.revision()
    other.change("", lambda files: {path: (*files[path], Decision("ignore", ASKED))})
    assert quay.kept.revision() != revision
    assert mark(quay, ASKED)["kind"] == "aside"
    with pytest.raises(Elsewhere):
        do(quay, {"do": "keep", "mark": id, "seen": None})
    assert [d.decide for d in kept(quay)] == ["ignore"]


def test_undo_takes_back_ones_own_and_leaves_what_others_did(quay: Sitting) -> None:
    other = Kept(quay.kept.notes)
    path = quay.texts[0].path
    do(quay, {"do": "keep", "mark": mark(quay, ASKED)["id"]})
    other.change("", lambda files: {path: (*files[path], Decision("ignore", "cocoa"))})
    do(quay, {"do": "undo"})
    assert [(d.decide, d.words) for d in kept(quay)] == [("ignore", "cocoa")]
    do(quay, {"do": "redo"})
    assert Counter(d.decide for d in kept(quay)) == {"ignore": 1, "accept": 1}


def test_undo_goes_on_into_what_was_kept_before(quay: Sitting) -> None:
    for words in (ASKED, "cocoa"):
        do(quay, {"do": "wrong", "mark": mark(quay, words)["id"]})
    quay.kept.past.clear()  # as if the desk had been started anew
    assert do(quay, {"do": "undo"}) == "undone: reject cocoa"
    assert do(quay, {"do": "undo"}) == f"undone: reject {ASKED}"
    assert do(quay, {"do": "undo"}) == "there is nothing to undo"
    do(quay, {"do": "redo"})
    do(quay, {"do": "redo"})
    assert sorted(d.words for d in kept(quay)) == sorted(("cocoa", ASKED))


def test_many_writers_lose_nothing(tmp_path: Path) -> None:
    note = tmp_path / "t.vtt"
    note.write_text("WEBVTT\n", encoding="utf-8")

    def write(n: int) -> None:
        mine = Kept((note,))
        for i in range(10):
            mine.change("", lambda files, i=i: {note: (*files[note], Decision("ignore", f"w{n}-{i}"))})

    threads = [threading.Thread(target=write, args=(n,)) for n in range(4)]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert len({d.words for d in Kept((note,)).files()[note]}) == 40
    assert sorted(p.name for p in tmp_path.iterdir()) == ["t.decisions.yaml", "t.vtt"]


def test_a_file_that_cannot_be_written_leaves_all_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    notes = [tmp_path / "a.vtt", tmp_path / "b.vtt"]
    mine = Kept(tuple(notes))
    import tastevocab.reading.review.kept as module

    real = module.save

    def save(file: Path, entries, notes: str) -> None:
        if file.name.startswith("b") and entries:
            raise InputError("disk full")
        real(file, entries, notes)

    monkeypatch.setattr(module, "save", save)
    with pytest.raises(InputError, match="disk full"):
        mine.change("", lambda files: {n: (Decision("ignore", "x"),) for n in notes})
    assert list(tmp_path.iterdir()) == []
    assert not mine.past


def test_a_broken_decisions_file_is_told_by_line(quay: Sitting) -> None:
    file = beside(quay.texts[0].path)
    file.write_text("decisions:\n- {words: plum, decide: perhaps}\n", encoding="utf-8")
    with pytest.raises(InputError, match="cannot decide 'perhaps'") as problem:
        state(quay)
    assert problem.value.place.line == 2
    file.unlink()


# --- search ---


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("bergam", "bergamot"),
        ("acidity low", "acidity: low"),
        ("blckberry", "blackberry"),
        ("strawberry j", "strawberry jam"),
        ("savoury none", "savoury taste: none"),
        ("complexity h", "complexity: high"),
        ("bitter none", "bitterness: none"),
        ("Bitter -> none", "bitterness: none"),
        ("bitterness: none", "bitterness: none"),
        ("low syrupy", "body: low"),
        ("syrupy", "body: high"),
    ],
)
def test_search_as_one_types(sitting: Sitting, typed: str, first: str) -> None:
    assert sitting.search.find(typed)[0].print == first


def test_search_finds_descriptors_by_their_printed_names(sitting: Sitting) -> None:
    """One in nine of them, or all."""
    known = [d for d in sitting.vocabulary.descriptors.values() if not d.use_instead]
    for d in known[:: 1 if TIMES > 1 else 9]:
        assert d.id in [h.descriptor for h in sitting.search.find(d.print)], d.id


def test_search_finds_qualities_by_what_is_said_of_them(sitting: Sitting) -> None:
    for quality in sitting.vocabulary.attributes.values():
        for word, step in quality.words.items():
            found = {h.level for h in sitting.search.find(word) if h.attribute == quality.id}
            assert quality.levels[step - 1] in found, word
            assert sitting.search.find(f"{word} none")[0].level == "none", word


def test_no_two_things_that_may_be_chosen_look_the_same(sitting: Sitting) -> None:
    """A note and its thing in any form bear one name: the note comes first, and the other says what it is."""
    shown = Counter((hit.print, hit.where) for hit in sitting.search.hits.values())
    assert [name for name, times in shown.items() if times > 1] == []
    assert [h.where for h in sitting.search.find("walnut")[:2]] == ["brown nuts", "in any form"]


def test_nothing_typed_finds_nothing(sitting: Sitting) -> None:
    assert sitting.search.find("  ") == []


def test_places_are_typed_as_times_or_lines(sitting: Sitting) -> None:
    said, note = sitting.texts[0].said, sitting.texts[1].said
    assert said.text[timeline.place_typed(said, "0:24") :].startswith("Now the espresso")
    assert timeline.place_typed(said, "99:00") == len(said.text)
    assert timeline.place_typed(note, "line 1") == 0
    with pytest.raises(InputError, match='like "12:30"'):
        timeline.place_typed(said, "later")


def test_every_action_has_a_name_of_its_own() -> None:
    assert len(ACTS) == len(set(ACTS.values()))
    assert replace(Details(taster="a"), taster=None) == Details()
