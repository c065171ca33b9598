"""The recording in a pack: only where asked for; copied under a name that tells nothing, or found where it lies."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tastevocab.errors import InputError
from tastevocab.feature.house_style import HouseStyle
from tastevocab.feature.material import Wishes
from tastevocab.feature.pack import make_packs, write_packs
from tastevocab.feature.wording import Wording

SOUND = b"RIFF-of-ana-and-ben"


@pytest.fixture
def recorded(table, tmp_path: Path):
    """A table whose recording lies beside its session, in a folder with a space in its name."""
    (tmp_path / "the table").mkdir()
    (tmp_path / "the table" / "ana and ben.wav").write_bytes(SOUND)
    table.session = replace(table.session, folder=tmp_path / "the table", audio="ana and ben.wav")
    table.all_say("abcd", "mandarin", source="table.vtt", at=83.0)
    return table


def made(table, out: Path | None = None, **style: str):
    wishes = Wishes(out=out)
    return make_packs(table.gathered(), table.tools, HouseStyle(**style), Wording(), wishes)[0]


def test_nobody_asked(recorded) -> None:
    pack = made(recorded)
    assert b"<audio" not in pack.files["wheel.html"]
    assert not any(SOUND in data for data in pack.files.values())


def test_a_copy_lies_beside_the_page_under_a_plain_name(recorded) -> None:
    pack = made(recorded, sound="copy")
    assert pack.files["recording.wav"] == SOUND
    page = pack.files["wheel.html"].decode()
    assert 'src="recording.wav"' in page
    assert 'data-at="83"' in page
    assert "ana and ben" not in page


def test_a_link_leads_from_the_written_pack_to_the_recording(recorded, tmp_path: Path) -> None:
    out = tmp_path / "exports" / "spring"
    pack = made(recorded, out, sound="link")
    write_packs(out, [pack])
    page = (out / pack.folder / "wheel.html").read_text(encoding="utf-8")
    assert 'src="../../../the%20table/ana%20and%20ben.wav"' in page
    assert (out / pack.folder / "../../../the table/ana and ben.wav").read_bytes() == SOUND
    assert "recording.wav" not in pack.files


def test_a_table_without_a_recording_is_silent(recorded) -> None:
    recorded.session = replace(recorded.session, audio="")
    assert b"<audio" not in made(recorded, sound="copy").files["wheel.html"]


def test_what_cannot_be_heard_is_refused(recorded) -> None:
    with pytest.raises(InputError, match="a voice tells who speaks"):
        made(recorded, sound="copy", tasters="codes")
    recorded.session = replace(recorded.session, audio="gone.wav")
    with pytest.raises(InputError, match=r"no such recording: gone\.wav"):
        made(recorded, sound="copy")
