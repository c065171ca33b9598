"""What would be lost once the notes are read: found by the check, with the line that mends it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tastevocab.errors import Place
from tastevocab.panel.gather import Entry, Told, read_entries
from tastevocab.panel.notes_check import check_notes, check_told, line_of
from tastevocab.panel.session import Session, Source, read_session
from tastevocab.panel.settling import Settler
from tastevocab.reading.records import Reading
from tastevocab.reading.words.lexicon import Lexicon, open_lexicon

TAPE = Source("table.vtt", speakers={"Miri": "mira"}, place=Place("session.yaml", 9))


@pytest.fixture
def check(session: Session, vocabulary):
    def run(source: Source, *said, of: Session = session):
        reading = Settler(of).settle(source, Reading(said))
        return check_notes(Told(of, (Entry(source, reading),)), Lexicon(vocabulary))

    return run


def test_findings_of_no_coffee_name_the_line_to_write(check, table) -> None:
    said = (
        table.say("mira", "cola", coffee="vale", brew="shot", at=10.0),
        table.say("mira", "blackberry", brew="shot", at=65.4),
        table.say("mira", "plum_jam", coffee="vale", brew="shot", at=90.0),
        table.say("mira", "blackberry", brew="shot", at=120.0),
    )
    (problem,) = check(TAPE, *said)
    assert (problem.code, problem.severity, problem.place.line) == ("no-coffee", "error", 9)
    assert problem.what == 'table.vtt: 2 findings of 4 said of no coffee, the first "blackberry" at 1:05'
    wanted = '- {source: table.vtt, coffee: rio_claro, from: "1:05", to: "1:30", speakers: {Miri: mira}}'
    assert f"write `{wanted}`" in problem.mend


def test_where_all_is_of_no_coffee_the_whole_file_gets_one(check, table) -> None:
    (problem,) = check(replace(TAPE, speakers={}), table.say("mira", "cola", brew="shot", at=10.0))
    assert "write `- {source: table.vtt, coffee: vale}`" in problem.mend


@pytest.mark.parametrize(
    ("talk", "told"), [("Lovely a cup of it.", True), ("Now the Vale Alto.", False), ("Back to rio claro?", True)]
)
def test_all_of_one_coffee_that_nothing_names(session: Session, vocabulary, table, talk: str, told: bool) -> None:
    """A recording with two coffees put everything on one of them, and the check said "sound"."""
    found = table.say("mira", "cola", coffee="vale", brew="shot", at=10.0)
    reading = Reading((found,), said=(replace(found.spot, words=talk),))
    problems = check_notes(Told(session, (Entry(TAPE, reading),)), Lexicon(vocabulary))
    assert [p.code for p in problems] == (["one-coffee"] if told else [])
    for problem in problems:
        assert problem.severity == "error"
        assert "`- {source: table.vtt, coffee: vale, speakers: {Miri: mira}}`" in problem.mend


def test_what_follows_from_the_missing_coffee_is_not_told_again(session: Session, vocabulary, table) -> None:
    lost = Reading((table.say("mira", "cola", brew="shot", at=10.0),))
    told = Told(session, (Entry(TAPE, lost),))
    assert [p.code for p in check_told(told, Lexicon(vocabulary))] == ["no-coffee"]
    sure = Reading((table.say("mira", "cola", coffee="vale", brew="shot"),))
    whole = Told(session, (Entry(replace(TAPE, coffee="vale"), sure),))
    assert {p.code for p in check_told(whole, Lexicon(vocabulary))} == {"silent"}


def test_one_coffee_on_the_table_needs_no_naming(check, table, session: Session) -> None:
    one = replace(session, coffees={"vale": session.coffees["vale"]}, brews={})
    assert check(TAPE, table.say("mira", "cola"), of=one) == ()


def test_findings_of_no_brew_where_several_were_made(check, table) -> None:
    tape = replace(TAPE, coffee="vale", speakers={})
    (problem,) = check(tape, table.say("mira", "cola"), table.say("mira", "plum_jam", moment="dry"))
    assert problem.code == "no-brew"
    assert "1 finding of 2 said of no brew" in problem.what
    assert "write `- {source: table.vtt, coffee: vale, brew: cone}`" in problem.mend


def test_a_table_may_fill_in_its_column(check, table) -> None:
    (problem,) = check(Source("sheet.csv", brew="shot"), table.say("mira", "cola"))
    assert problem.mend.startswith(
        "fill in the column coffee, or write `- {source: sheet.csv, coffee: vale, brew: shot}`"
    )


def test_a_brew_of_two_cards_or_of_none(check, table, session: Session) -> None:
    two = replace(session, brews={**session.brews, "cone2": replace(session.brews["cone"], id="cone2")})
    tape = replace(TAPE, coffee="vale", speakers={})
    said = (table.say("mira", "cola", brew="filter"), table.say("mira", "plum_jam", brew="cold brew"))
    several, none = check(tape, *said, of=two)
    assert (several.code, several.severity) == ("no-card", "error")
    assert several.what.endswith("1 finding of 'filter', which is cone or cone2")
    assert several.mend.startswith("write `- {source: table.vtt, coffee: vale, brew: cone}`")
    assert (none.severity, none.mend) == ("warning", "add `cold_brew: {method: cold brew}` below `brews:`")


TALK = "Mira: filter. hot\nMira: I get jasmine.\nMira: espresso. hot\nMira: I get mandarin.\n"
STAMPED = (
    "[0:10] Mira: filter. hot\n[0:20] Mira: I get jasmine.\n[1:50] Mira: espresso. hot\n[2:00] Mira: I get mandarin.\n"
)


@pytest.fixture
def contradicted(tmp_path: Path):
    def run(entry: str, talk: str):
        (tmp_path / "talk.txt").write_text(talk, "utf-8")
        path = tmp_path / "session.yaml"
        path.write_text(
            "tasters: [mira]\ncoffees: [vale]\nbrews: {cone: {method: filter}, shot: {method: espresso}}\n"
            f"notes:\n  - {entry}\n",
            "utf-8",
        )
        session, lexicon = read_session(path), open_lexicon()
        return check_notes(read_entries(session, lexicon), lexicon)

    return run


def test_a_brew_that_the_talk_contradicts(contradicted) -> None:
    (problem,) = contradicted("{source: talk.txt, brew: cone}", TALK)
    assert (problem.code, problem.severity, problem.place.line) == ("brew-said", "error", 5)
    assert "brew 'cone' is given, and the talk says 'shot' of 1 finding, the first \"mandarin\"" in problem.what
    assert problem.mend == "write `- {source: talk.txt, brew: shot}`, or `- {source: talk.txt}` if it is both"


def test_a_recording_is_cut_where_the_talk_turns(contradicted) -> None:
    (problem,) = contradicted("{source: talk.txt, brew: cone}", STAMPED)
    assert problem.mend == (
        'write `- {source: talk.txt, brew: cone, to: "2:00"}` and `- {source: talk.txt, brew: shot, from: "2:00"}`'
    )
    assert contradicted('{source: talk.txt, brew: cone, to: "2:00"}', STAMPED) == ()


def test_a_brew_that_the_talk_bears_out_is_sound(contradicted) -> None:
    assert contradicted("{source: talk.txt, brew: cone}", "Mira: on to the filter. I get jasmine.\n") == ()
    assert contradicted("{source: talk.txt}", TALK) == ()


def test_a_line_is_written_so_that_it_reads_back() -> None:
    source = Source("a b.vtt", taster="no", bowl="2", reveal=3725.0, since=5.0, speakers={"Ann-Marie": "yes"})
    wanted = (
        '- {source: a b.vtt, taster: "no", bowl: "2", from: "0:05", reveal: "1:02:05", speakers: {Ann-Marie: "yes"}}'
    )
    assert line_of(source) == wanted
