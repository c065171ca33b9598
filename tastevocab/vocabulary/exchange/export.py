"""One vocabulary to the text of one open format, and that text to a file."""

from __future__ import annotations

import json
import re
from pathlib import Path

from tastevocab.errors import VocabularyError
from tastevocab.vocabulary.exchange.skos_out import skos
from tastevocab.vocabulary.exchange.tables import graphml, plain
from tastevocab.vocabulary.exchange.terms import BASE
from tastevocab.vocabulary.exchange.writers import json_ld, turtle
from tastevocab.vocabulary.model import Vocabulary
from tastevocab.written import write_whole

_ADDRESS = re.compile(r"https?://[^\s<>\"{}|^`\\]+[/#]")


def exported(vocabulary: Vocabulary, to: str, base: str = "") -> str:
    """The vocabulary as `skos-ttl`, `skos-jsonld`, `graphml` or `json`; always the same bytes for the same vocabulary.

    `base` is the address that SKOS addresses begin with (https://vocab.example/coffee/ if empty). Raises
    `VocabularyError` if it is no address that ends in / or #.
    """
    if base and not _ADDRESS.fullmatch(base):
        raise VocabularyError(f"{base!r} is no base address", mend="give one like https://vocab.example/coffee/")
    if to == "graphml":
        return graphml(vocabulary)
    if to == "json":
        return json.dumps(plain(vocabulary), ensure_ascii=False, indent=1) + "\n"
    resources = skos(vocabulary, base or BASE)
    return turtle(resources) if to == "skos-ttl" else json_ld(resources)


def write_text(path: Path, text: str) -> None:
    """The whole file or nothing. Raises `VocabularyError` if it cannot be written."""
    write_whole(path, text.encode(), error=VocabularyError)
