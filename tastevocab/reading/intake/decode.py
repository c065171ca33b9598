"""Bytes to text: which encoding a file is in, and the text as everybody else counts it."""

from __future__ import annotations

import codecs
import os
import re
from dataclasses import dataclass
from pathlib import Path

from tastevocab.errors import InputError, Place
from tastevocab.opened import plain

_CHUNK = 1 << 20
_NOT_TEXT = (
    (b"PK\x03\x04", "a zip archive (Word, Excel and OpenDocument files are such archives)"),
    (b"%PDF", "a PDF document"),
    (b"\xd0\xcf\x11\xe0", "an old Word or Excel document"),
    (b"{\\rtf", "a rich-text document"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"ID3", "a sound recording"),
    (b"OggS", "a sound recording"),
    (b"fLaC", "a sound recording"),
    (b"RIFF", "a sound or film recording"),
    (b"\x1aE\xdf\xa3", "a sound or film recording"),
)
_FTYP = slice(4, 8)  # where an m4a or mp4 file says what it is
_CONTROL = re.compile("[\x00-\x08\x0e-\x1a\x1c-\x1f]")
_AS_CAPTIONS = "make captions of it first: `tastevocab hear`"
_AS_TEXT = "save it as UTF-8 text (or export the sheet as CSV) and give that file"


@dataclass(frozen=True, slots=True)
class Encoding:
    """How a file is written: a Python codec name, and a sentence for the reader where it is not plain UTF-8."""

    codec: str
    notice: str = ""


def encoding_of(path: Path) -> Encoding:
    """Find out how a file is written: UTF-8, UTF-16 (with its mark) or, failing those, Windows-1252.

    Reads the file once in pieces, so that a big table needs no more memory than a small one. Raises `InputError`
    where the file is missing, unreadable, empty, or no text at all.
    """
    source = os.fspath(path)
    codec, any_byte, utf8 = "", False, codecs.getincrementaldecoder("utf-8")()
    try:
        with plain(path).open("rb") as file:
            while chunk := file.read(_CHUNK):
                if not any_byte:
                    any_byte = True
                    _refuse_binary(chunk, source)
                    if chunk.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
                        return Encoding("utf-16", f"{source} is UTF-16; it was read as such.")
                if b"\0" in chunk:
                    raise InputError("is not text: it holds NUL bytes", place=Place(source), mend=_AS_TEXT)
                if not codec:
                    try:
                        utf8.decode(chunk)
                    except UnicodeDecodeError:
                        codec = "cp1252"
        if any_byte and not codec:
            utf8.decode(b"", final=True)
    except UnicodeDecodeError:
        codec = "cp1252"
    except OSError as problem:
        raise InputError(
            f"cannot be read: {problem.strerror or problem}", place=Place(source), mend="check the path and its rights"
        ) from None
    if not any_byte:
        raise InputError("is empty", place=Place(source), mend="give a file with notes or captions in it")
    if codec:
        return Encoding(codec, f"{source} is not UTF-8; it was read as Windows-1252: look at accented letters.")
    return Encoding("utf-8")


def read_text(path: Path) -> tuple[str, tuple[str, ...]]:
    """The text of a file and sentences about how it was read.

    Characters count as `Path.read_text(encoding="utf-8")` counts them: line ends become "\\n", and a byte-order mark of
    UTF-8 stays as the first character. Raises `InputError` where there is no text.
    """
    encoding = encoding_of(path)
    try:
        text = path.read_text(encoding=encoding.codec)
    except UnicodeDecodeError:
        raise InputError(
            "is neither UTF-8, UTF-16 nor Windows-1252 text", place=Place(os.fspath(path)), mend=_AS_TEXT
        ) from None
    refuse_control(text, os.fspath(path))
    return text, (encoding.notice,) if encoding.notice else ()


def refuse_control(text: str, source: str) -> None:
    """Raise `InputError` where a text holds characters that only a program would write."""
    first = _CONTROL.search(text)
    if first and (first.group() == "\0" or len(_CONTROL.findall(text)) * 100 > len(text)):
        line = text.count("\n", 0, first.start()) + 1
        raise InputError("is not text: it holds control characters", place=Place(source, line), mend=_AS_TEXT)


def _refuse_binary(chunk: bytes, source: str) -> None:
    for mark, what in _NOT_TEXT:
        if chunk.startswith(mark):
            mend = _AS_CAPTIONS if "recording" in what else _AS_TEXT
            raise InputError(f"is not text but {what}", place=Place(source), mend=mend)
    if chunk[_FTYP] == b"ftyp":
        raise InputError("is not text but a sound or film recording", place=Place(source), mend=_AS_CAPTIONS)
