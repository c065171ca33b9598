"""The metadata track, read back by another WebVTT reader."""

from __future__ import annotations

import json

import pytest
import webvtt

from tastevocab.feature.track import flavours_vtt, stamp


@pytest.fixture
def track(demo, tmp_path):
    path = tmp_path / "flavours.vtt"
    path.write_bytes(demo.files["flavours.vtt"])
    return webvtt.read(str(path))


def test_one_cue_for_every_flavour_said_in_the_captions(track, demo_gathered):
    timed = [f for f in demo_gathered.findings if f.spot.at is not None]
    assert len(track) == len(timed)
    payloads = [json.loads(cue.text) for cue in track]
    assert [p["descriptor"] for p in payloads] == [
        f.descriptor for f in sorted(timed, key=lambda f: (f.spot.at, f.spot.span[0]))
    ]


def test_a_cue_begins_when_the_word_is_said_and_names_who(track):
    [cue] = [c for c in track if json.loads(c.text)["words"] == "Cherry cola"]
    assert cue.start == "00:02:04.000"
    assert json.loads(cue.text)["taster"] == "wren"
    assert cue.end > cue.start


def test_denials_and_echoes_say_what_they_are(track):
    payloads = [json.loads(cue.text) for cue in track]
    assert any(not p["present"] and p["print"] == "hazelnut" for p in payloads)
    assert any(p["standing"] == "echo" for p in payloads)


def test_sheets_make_no_track(table):
    table.all_say("abc", "caramel")
    assert not [name for name in table.pack().files if name.endswith(".vtt")]


def test_words_cannot_break_the_track(table, tmp_path):
    table.say("ana", "caramel", source="t.vtt", at=3.5, words='a\n\n--> 00:01 <b>"caramel"</b>')
    path = tmp_path / "x.vtt"
    path.write_text(flavours_vtt(table.material(), "t.vtt"), "utf-8")
    [cue] = webvtt.read(str(path))
    assert json.loads(cue.text)["words"] == 'a --> 00:01 <b>"caramel"</b>'
    assert "-->" not in cue.text


def test_several_recordings_make_several_tracks(table):
    table.say("ana", "caramel", source="one.vtt", at=1.0)
    table.say("ben", "caramel", source="two.srt", at=1.0)
    assert {"flavours-one.vtt", "flavours-two.vtt"} <= set(table.pack().files)


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(0, "00:00:00.000"), (83.2, "00:01:23.200"), (3661.0005, "01:01:01.000"), (59.9999, "00:01:00.000")],
)
def test_stamps(seconds, text):
    assert stamp(seconds) == text


def test_moments_to_quote_are_firm_own_words_for_printed_words(demo):
    moments = demo.notes.moments
    assert [m.at for m in moments] == sorted(m.at for m in moments)
    assert {m.print for m in moments} >= {"sour cherry", "cherry cola"}
    assert all(m.words and m.taster for m in moments)


def test_a_quotation_is_the_whole_sentence(demo):
    by_word = {m.print: m for m in demo.notes.moments}
    assert by_word["sour cherry"].words in "Oh, that's loads of sour cherry."
    assert by_word["cherry cola"].sentence == "Cherry cola."
    assert by_word["tinned mandarin"].sentence == "It's like tinned mandarin, and I still get hot chocolate."
