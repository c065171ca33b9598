"""WebVTT and SubRip: the grammar of the W3C's text, and talk as people really caption it."""

from __future__ import annotations

import io

import pytest
import webvtt
from turn_checks import read, said, sliced

from tastevocab.errors import InputError
from tastevocab.reading.intake.captions import srt_seconds, vtt_seconds
from tastevocab.reading.intake.files import turns_of

# W3C, WebVTT (w3c/webvtt index.bs, commit 92a85cc): a time stamp is [HH:]MM:SS.mmm.
ACCEPTED = {
    "00:00.000": 0.0,
    "59:59.999": 3599.999,
    "00:00:00.000": 0.0,
    "100:00:00.000": 360000.0,
    "1:00:00.000": 3600.0,  # a parser reads it, a writer must not write it
}
REFUSED = ["0:00.000", "00:00,000", "00:60.000", "00:00.00", "00:00.0000", "60:00.000", "-00:01.000", "", "00:00"]


@pytest.mark.parametrize(("stamp", "seconds"), ACCEPTED.items())
def test_webvtt_times_are_read(stamp: str, seconds: float) -> None:
    assert vtt_seconds(stamp) == pytest.approx(seconds)


@pytest.mark.parametrize("stamp", REFUSED)
def test_what_is_no_webvtt_time_is_refused(stamp: str) -> None:
    assert vtt_seconds(stamp) is None


def test_subrip_times_take_a_comma_or_a_full_stop() -> None:
    assert srt_seconds("01:02:03,004") == srt_seconds("01:02:03.004") == pytest.approx(3723.004)
    assert srt_seconds("01:62:03,004") is None


# The two examples of the W3C's text whose voices another reader (webvtt-py) gives as well.
VOICES = (
    "WEBVTT\n\n00:01.000 --> 00:02.000\n<v Ana>Bright &amp; clean\n\n00:03.000 --> 00:04.000\n<v.loud Ben K>hi</v>\n"
)


def test_voices_agree_with_an_independent_reader() -> None:
    theirs = webvtt.from_buffer(io.StringIO(VOICES))
    assert [t.speaker for t in read(VOICES).turns] == [caption.voice for caption in theirs] == ["Ana", "Ben K"]
    assert [t.text for t in read(VOICES).turns] == ["Bright & clean", "hi"]


def test_times_and_texts_of_plain_cues_agree_with_an_independent_reader() -> None:
    cues = [f"{n:02d}:00.500 --> {n:02d}:02.000 line:{n}%\nwords number {n}.\n" for n in range(12)]
    text = "WEBVTT - a table\nKind: captions\n\nNOTE not said\n\n" + "\n".join(cues)
    theirs = webvtt.from_buffer(io.StringIO(text))
    ours = read(text).turns
    assert [(t.text, t.times[0][1]) for t in ours] == [(c.text, c.start_in_seconds + 0.5) for c in theirs]


def test_blocks_that_are_not_talk_are_left_out() -> None:
    text = (
        "\ufeffWEBVTT some words after it\nKind: captions\n\nREGION\nid:left width:40%\n\n"
        "STYLE\n::cue(v[voice=Ana]) { color: peachpuff }\n\nNOTE the lemon was for the water\nand stayed there\n\n"
        "opening\n00:01.000 --> 00:02.000 align:start position:10%\n<v Ana>Plum.\n\nNOTE\nfig\n"
    )
    assert said(text) == [("Ana", "Plum.")]


def test_several_voices_in_one_cue_are_several_turns() -> None:
    text = "WEBVTT\n\n00:01.000 --> 00:04.000\n- <v Ana>Plum.</v>\n- <v Ben>Not plum.\n<v Cy>Fig.\n"
    assert said(text) == [("Ana", "Plum."), ("Ben", "Not plum."), ("Cy", "Fig.")]


def test_tags_times_and_entities_go_and_every_word_keeps_its_place() -> None:
    text = (
        "WEBVTT\n\n00:01.000 --> 00:04.000\n"
        "<v Ana><c.high>Earl&nbsp;grey</c> <00:00:02.000>&amp; <i>black</i> <lang en>tea</lang> &lt;3</v>\n"
    )
    file = read(text)
    assert file.turns[0].text == "Earl\xa0grey & black tea <3"
    assert sliced(file, 0, "grey") == "grey"
    assert sliced(file, 0, "black") == "black"
    assert sliced(file, 0, "tea") == "tea"
    assert sliced(file, 0, "black tea") == "black</i> <lang en>tea"


def test_a_phrase_cut_across_two_cues_is_joined_with_both_times() -> None:
    first = "WEBVTT\n\n00:01.000 --> 00:04.000\n<v Ana>so then some dried\n"
    text = first + "\n00:04.100 --> 00:06.000\n<v Ana>apricot on the end\n"
    file = read(text)
    (turn,) = file.turns
    assert turn.text == "so then some dried apricot on the end"
    assert turn.times == ((0, 1.0), (19, 4.1))
    assert turn.time_at(turn.text.index("apricot")) == 4.1
    assert sliced(file, 0, "apricot") == "apricot"
    assert sliced(file, 0, "dried apricot").startswith("dried\n\n00:04.100")


def test_a_long_silence_ends_a_turn() -> None:
    cue = "00:{}.000 --> 00:{}.000\n<v Ana>{}\n\n"
    near = "WEBVTT\n\n" + cue.format("01", "05", "plum") + cue.format("25", "30", "fig")
    far = "WEBVTT\n\n" + cue.format("01", "05", "plum") + cue.format("26", "30", "fig")
    assert [len(read(text).turns) for text in (near, far)] == [1, 2]


def test_overlapping_and_out_of_order_cues_stay_in_file_order() -> None:
    text = (
        "WEBVTT\n\n00:05.000 --> 00:09.000\n<v Ana>plum\n\n00:04.000 --> 00:06.000\n<v Ben>yeah same\n\n"
        "00:01.000 --> 00:02.000\n<v Ana>fig\n"
    )
    assert [(t.text, t.times[0][1]) for t in read(text).turns] == [("plum", 5.0), ("yeah same", 4.0), ("fig", 1.0)]


def test_a_missing_blank_line_or_a_broken_time_costs_no_words() -> None:
    text = (
        "WEBVTT\n\n1\n00:01.000 --> 00:02.000\n<v Ana>plum.\n2\n00:02.000 --> 00:03.000\n<v Ben>fig.\n\n"
        "00:0x.000 --> 00:04.000\n<v Cy>date --> prune.\n"
    )
    file = read(text)
    assert [(t.speaker, t.text) for t in file.turns] == [("Ana", "plum."), ("Ben", "fig."), ("Cy", "date --> prune.")]
    assert file.turns[2].times == ()
    assert file.notices == ("table.txt:10: the time of this cue cannot be read; its words are kept without a time.",)


def test_unlabelled_cues_are_never_merged_into_one_mouth() -> None:
    text = (
        "WEBVTT\n\n00:01.000 --> 00:02.000\nI get plum.\n\n00:02.000 --> 00:03.000\nYeah, and some dried\n\n"
        "00:03.000 --> 00:04.000\napricot on the end.\n\n00:04.000 --> 00:05.000\n- Really?\n- Yes!\n"
    )
    assert said(text) == [
        (None, "I get plum."),
        (None, "Yeah, and some dried apricot on the end."),
        (None, "Really?"),
        (None, "Yes!"),
    ]


def test_turn_marks_change_the_mouth_even_in_the_middle_of_a_cue() -> None:
    text = (
        "WEBVTT\n\n00:01.000 --> 00:02.000\n&gt;&gt; so i get plum and\n\n00:02.000 --> 00:03.000\n"
        "fig &gt;&gt; yeah same\n\n00:03.000 --> 00:04.000\nme too\n"
    )
    assert said(text) == [(None, "so i get plum and fig"), (None, "yeah same me too")]


def test_machine_captions_that_roll_up_say_each_line_once_and_run_on() -> None:
    text = (
        "WEBVTT\n\n00:00:01.000 --> 00:00:03.000 align:start\n"
        " \nso<00:00:01.400><c> some</c><00:00:01.900><c> dried</c>\n\n"
        "00:00:03.000 --> 00:00:03.010\nso some dried\n \n\n"
        "00:00:03.010 --> 00:00:05.000\nso some dried\napricot<00:00:03.500><c> there</c>\n\n"
        "00:00:09.000 --> 00:00:10.000\nyeah<00:00:09.500><c> same</c>\n"
    )
    file = read(text)
    assert [t.text for t in file.turns] == ["so some dried apricot there", "yeah same"]
    assert file.notices == ()
    assert sliced(file, 0, "apricot") == "apricot"


SUBRIP = """1
00:00:01,000 --> 00:00:02,000 X1:40 X2:600
{\\an8}ANA: <font color="#fff">plum</font> and

2
00:00:02.100 --> 00:00:03.000
fig, I think.
3
00:00:03,100 --> 00:00:04,000
[Ben] not plum

4
00:00:04,100 --> 00:00:05,000
- Ana: Body: medium.
- Ben: thin.

5
00:00:05,100 --> 00:00:06,000
>> Ana: hot: cherry. >> Ben: no.

6
00:00:06,100 --> 00:00:07,000
Body: medium.
"""


def test_subrip_names_in_all_their_shapes() -> None:
    file = read(SUBRIP)
    assert file.kind == "srt"
    assert [(t.speaker, t.text) for t in file.turns] == [
        ("Ana", "plum and fig, I think."),
        ("Ben", "not plum"),
        ("Ana", "Body: medium."),
        ("Ben", "thin."),
        ("Ana", "hot: cherry."),
        ("Ben", "no. Body: medium."),
    ]
    assert sliced(file, 0, "plum") == "plum"


def test_a_tasting_word_before_a_colon_is_no_name() -> None:
    text = "".join(
        f"{n}\n00:00:0{n},000 --> 00:00:0{n},900\n{w}: medium.\n\n" for n, w in enumerate(["Body", "Hot"], 1)
    )
    assert said(text) == [(None, "Body: medium."), (None, "Hot: medium.")]


@pytest.mark.parametrize("kind", ["vtt", "srt"])
def test_captions_without_a_cue_are_an_error_that_says_what_was_expected(kind: str) -> None:
    with pytest.raises(InputError, match=r"table\.txt: holds no (WebVTT|SubRip) cue: a line such as"):
        read("just some words\n", kind)


def test_a_missing_header_is_told_and_the_rest_is_read() -> None:
    file = read("00:01.000 --> 00:02.000\n<v Ana>plum\n", "vtt")
    assert [(t.speaker, t.text) for t in file.turns] == [("Ana", "plum")]
    assert file.notices[0].startswith("table.txt:1: the first line of a WebVTT file should be WEBVTT")


HEARD_TWICE = """WEBVTT

00:00:01.000 --> 00:00:04.000
<v mira>I get <00:00:01.500><ruby>burger &amp; mottat<rt.house>bergamot &amp; lime</rt></ruby> <00:00:02.250>here

00:00:04.000 --> 00:00:06.000
<v mira>and <ruby>kan<rt>reading</rt></ruby> <00:00:05.100>too
"""


def test_what_stands_over_words_is_none_of_them_and_kept_beside() -> None:
    (turn,) = turns_of(HEARD_TWICE, source="t.vtt").turns
    assert turn.text == "I get burger & mottat here and kan too"
    ((start, end, heard),) = turn.offers  # an annotation that is no offer is passed over
    assert (turn.text[start:end], heard) == ("burger & mottat", "bergamot & lime")


def test_times_within_a_cue_are_those_of_their_words() -> None:
    (turn,) = turns_of(HEARD_TWICE, source="t.vtt").turns
    at = {word: turn.time_at(turn.text.index(word)) for word in ("I", "burger", "here", "and", "too")}
    assert at == {"I": 1.0, "burger": 1.5, "here": 2.25, "and": 4.0, "too": 5.1}
