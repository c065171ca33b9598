"""Speech to words by faster-whisper and a model folder of the user's; nothing is ever downloaded."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from tastevocab.captioning.recogniser import Word
from tastevocab.errors import InputError, Place

NEEDED = ("model.bin", "config.json", "tokenizer.json")
"""Files of a model in CTranslate2's form; without the last the library would look for it in the net."""

RATE = 16_000
BEAM = 5
SEED = 1
"""Where a stretch runs in circles the library draws words anew by chance; seeded, the same each time."""

_ENDS = (".", "!", "?", "…")


class Whisper:
    """A recogniser over one model, opened once. `language` is a tag like "en" ("": the model tells it)."""

    def __init__(self, folder: Path, language: str = "") -> None:
        """Open the model in `folder`. Raises `InputError` where it is no folder, no model, or the extra is missing."""
        missing = [name for name in NEEDED if not (folder / name).is_file()]
        if missing:
            what = f"holds no {', '.join(missing)}" if folder.is_dir() else "is no folder"
            raise InputError(
                f"{what}: a Whisper model in CTranslate2's form was expected",
                place=Place(os.fspath(folder)),
                mend="give the folder of a model that you have with --model; nothing is downloaded",
            )
        try:
            from faster_whisper import WhisperModel
        except ImportError:
            raise InputError("listening needs faster-whisper", mend="pip install 'tastevocab[hear]'") from None
        try:
            self._model: Any = WhisperModel(os.fspath(folder), compute_type="auto", local_files_only=True)
        except (RuntimeError, ValueError, OSError, KeyError) as problem:
            raise InputError(
                f"holds no model that can be opened: {problem}",
                place=Place(os.fspath(folder)),
                mend="give the whole folder of a Whisper model in CTranslate2's form",
            ) from None
        self._language = language.split("-")[0].lower() or None
        self._sound: dict[Path, Any] = {}

    def seconds(self, sound: Path) -> float:
        """How long a recording is. Raises `InputError` where the file is missing or holds no sound."""
        return len(self._opened(sound)) / RATE

    def words(self, sound: Path, hint: str, step: Callable[[float], object]) -> Iterator[Word]:
        """The words of a recording in order; `hint` are words to expect. The same sound gives the same words."""
        import ctranslate2

        ctranslate2.set_random_seed(SEED)
        segments, _ = self._model.transcribe(
            self._opened(sound),
            language=self._language,
            beam_size=BEAM,
            word_timestamps=True,
            vad_filter=True,
            hotwords=hint or None,
            condition_on_previous_text=False,
        )
        done = 0.0
        for segment in segments:
            heard = [w for w in segment.words or () if w.word.strip()]
            for n, w in enumerate(heard):
                text = w.word.strip()
                yield Word(text, float(w.start), float(w.end), last=n + 1 == len(heard) or text.endswith(_ENDS))
            step(segment.end - done)
            done = segment.end

    def _opened(self, sound: Path) -> Any:
        if sound not in self._sound:
            self._sound = {sound: _decoded(sound)}  # one at a time: an hour is some 230 MB
        return self._sound[sound]


def _decoded(sound: Path) -> Any:
    import av
    from faster_whisper import decode_audio

    if not sound.is_file():
        raise InputError("is no file", place=Place(os.fspath(sound)), mend="give the recording's path")
    try:
        decoded = decode_audio(os.fspath(sound), sampling_rate=RATE)
    except (av.FFmpegError, IndexError, ValueError):
        decoded = ()
    if not len(decoded):
        raise InputError(
            "holds no sound that can be read",
            place=Place(os.fspath(sound)),
            mend="give a recording: m4a, mp3, ogg, flac, wav or a film with sound",
        )
    return decoded
