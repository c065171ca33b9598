"""Importing a thesaurus asks nothing of the network and opens no other file, whatever the file points at."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from tastevocab.vocabulary.exchange.skos_in import read_skos

TURTLE = """\
@prefix skos: <http://www.w3.org/2004/02/skos/core#> .
@prefix owl: <http://www.w3.org/2002/07/owl#> .
@prefix x: <{there}ns#> .
@base <{there}> .
x:s a skos:ConceptScheme ; owl:imports <{there}more.ttl> , <{file}> .
x:a a skos:Concept ; skos:prefLabel "plum"@en ; skos:topConceptOf x:s ; skos:exactMatch <{there}match> .
"""
JSON_LD = """\
{{"@context": ["{there}context.jsonld", {{"skos": "http://www.w3.org/2004/02/skos/core#"}}],
  "@graph": [{{"@id": "{there}a", "@type": "skos:Concept", "skos:prefLabel": "plum"}}]}}
"""
RDF_XML = """\
<?xml version="1.0"?>
<!DOCTYPE rdf:RDF [<!ENTITY inside SYSTEM "{file}"><!ENTITY outside SYSTEM "{there}entity">]>
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#" xmlns:skos="http://www.w3.org/2004/02/skos/core#">
  <skos:Concept rdf:about="{there}a"><skos:prefLabel>&outside;&inside;</skos:prefLabel></skos:Concept>
</rdf:RDF>
"""


@pytest.fixture
def heard() -> Iterator[tuple[str, list[bytes]]]:
    """An address that listens, and what was asked of it."""
    asked: list[bytes] = []
    with socket.create_server(("127.0.0.1", 0)) as door:
        door.settimeout(0.05)
        stop = threading.Event()

        def listen() -> None:
            while not stop.is_set():
                try:
                    wire, _ = door.accept()
                except TimeoutError:
                    continue
                with wire:
                    asked.append(wire.recv(200))

        thread = threading.Thread(target=listen)
        thread.start()
        try:
            yield f"http://127.0.0.1:{door.getsockname()[1]}/", asked
        finally:
            stop.set()
            thread.join()


@pytest.mark.parametrize(("name", "text"), [("a.ttl", TURTLE), ("a.jsonld", JSON_LD), ("a.rdf", RDF_XML)])
def test_nothing_is_loaded_from_outside(tmp_path: Path, heard, name: str, text: str) -> None:
    there, asked = heard
    secret = tmp_path / "secret.txt"
    secret.write_text("quince of this machine")
    (tmp_path / name).write_text(text.format(there=there, file=secret.as_uri()))
    told = ""
    try:
        told = repr(read_skos(tmp_path / name))
    except Exception as refused:  # also an answer, as long as nothing was asked
        told = str(refused)
    assert "quince of this machine" not in told
    assert asked == []


def test_the_ear_hears(heard) -> None:
    """What the test above rests on."""
    there, asked = heard
    port = int(there.rsplit(":", 1)[1].strip("/"))
    with socket.create_connection(("127.0.0.1", port)) as wire:
        wire.sendall(b"GET")
        wire.recv(1)
    assert asked == [b"GET"]
