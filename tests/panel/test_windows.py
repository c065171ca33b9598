"""Parts of a recording: `from` and `to` of an entry under notes."""

from __future__ import annotations

from pathlib import Path

import pytest
from panel_seats import HERE

from tastevocab.errors import InputError
from tastevocab.panel.gather import gather
from tastevocab.panel.session import Session, Source, read_session
from tastevocab.panel.session_check import check_session
from tastevocab.panel.windows import inside
from tastevocab.reading.words.lexicon import Lexicon, open_lexicon

TALK = """\
WEBVTT

00:00:02.000 --> 00:00:05.000
<v Mira>Jasmine for me.

00:01:00.000 --> 00:01:04.000
<v Mira>Mandarin for me.

01:00:10.000 --> 01:00:14.000
<v Otto>Milk chocolate for me.
"""


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    """The panel's own small vocabulary, read with the weights that ship."""
    return open_lexicon(HERE / "vocab")


@pytest.fixture
def make(tmp_path: Path):
    def run(notes: str, talk: str = TALK, name: str = "table.vtt") -> Session:
        (tmp_path / name).write_text(talk, "utf-8")
        path = tmp_path / "session.yaml"
        path.write_text(
            f"tasters: [mira, otto]\ncoffees: {{vale: {{}}, rio: {{}}}}\n"
            f"brews: {{cone: {{method: filter}}, shot: {{method: espresso}}}}\nnotes:\n{notes}",
            "utf-8",
        )
        return read_session(path)

    return run


def found(session: Session, lexicon: Lexicon) -> set[tuple[object, ...]]:
    made = gather(session, lexicon).findings
    return {(f.descriptor.rsplit("/", 1)[-1], f.spot.coffee, f.spot.brew, f.spot.moment) for f in made}


def test_times_are_seconds_minutes_or_hours(make) -> None:
    read = make(
        '  - {source: table.vtt, coffee: vale, from: 2.5, to: "1:00:10"}\n  - {source: table.vtt, from: "1:00"}'
    )
    assert [(s.since, s.until) for s in read.sources] == [(2.5, 3610.0), (60.0, None)]


def test_the_end_is_outside() -> None:
    part = Source("a.vtt", since=60.0, until=90.0)
    assert [inside(part, at) for at in (59.9, 60.0, 89.9, 90.0, None)] == [False, True, True, False, False]
    assert inside(Source("a.vtt"), None)


def test_one_file_in_parts_with_coffee_brew_and_moment_of_their_own(make, lexicon) -> None:
    notes = (
        '  - {source: table.vtt, coffee: vale, brew: cone, moment: hot, to: "1:00"}\n'
        '  - {source: table.vtt, coffee: rio, brew: shot, moment: cool, from: "1:00", to: "1:00:00"}\n'
        '  - {source: table.vtt, coffee: vale, brew: shot, moment: warm, from: "1:00:00"}\n'
    )
    assert found(make(notes), lexicon) == {
        ("jasmine", "vale", "cone", "hot"),
        ("mandarin", "rio", "shot", "cool"),
        ("milk_chocolate", "vale", "shot", "warm"),
    }


def test_what_every_part_leaves_out_is_told(make, lexicon) -> None:
    made = gather(make('  - {source: table.vtt, coffee: vale, to: "0:30"}\n'), lexicon)
    assert len(made.findings) == 1
    assert "table.vtt: 2 findings outside every from and to (the first at 1:00): left out" in made.notices


def test_a_file_without_times_cannot_be_cut(make, lexicon) -> None:
    read = make('  - {source: talk.txt, coffee: vale, to: "0:30"}\n', "Mira: I get jasmine.\n", "talk.txt")
    with pytest.raises(InputError, match=r"session.yaml:5: talk.txt has no times.*\n.*leave out `from:`"):
        gather(read, lexicon)


def test_a_silent_recording_has_times_all_the_same(make, lexicon) -> None:
    talk = "WEBVTT\n\n00:02.000 --> 00:04.000\n<v Mira>Hello.\n"
    assert gather(make('  - {source: table.vtt, coffee: vale, to: "0:30"}\n', talk), lexicon).findings == ()


@pytest.mark.parametrize(
    ("entry", "what"),
    [
        ('{source: table.vtt, from: "1:00", to: 60}', "nothing lies from 1:00 to 1:00"),
        ("{source: table.vtt, from: 61, to: 60}", "nothing lies from 1:01 to 1:00"),
        ("{taster: mira, coffee: vale, text: jasmine, to: 60}", "a text stands at no time"),
    ],
)
def test_windows_that_hold_nothing_are_refused(make, entry: str, what: str) -> None:
    (problem,) = check_session(make(f"  - {entry}\n"))
    assert (problem.code, problem.severity, problem.place.line) == ("window", "error", 5)
    assert problem.what.startswith(what)


@pytest.mark.parametrize("time", ["soon", "-4", "1:2:3:4", "true", "1:", "inf"])
def test_what_is_no_time_is_said(make, time: str) -> None:
    with pytest.raises(InputError, match=r"session.yaml:5: from: .* is no time"):
        make(f'  - {{source: table.vtt, from: "{time}"}}\n')
