"""The gallery shows what the program makes today, and is small."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tastevocab.feature.gallery import SHOTS, gallery_sources, manifest

GALLERY = Path(__file__).parents[2] / "exports" / "gallery"
MEND = "the gallery is stale: run `tastevocab demo --gallery exports/gallery`"


@pytest.fixture(scope="module")
def committed():
    if not GALLERY.is_dir():
        pytest.skip("an installed package has no gallery")
    return json.loads((GALLERY / "manifest.json").read_text("utf-8"))


def test_made_from_what_the_program_makes_today(committed, demo):
    today = json.loads(manifest(gallery_sources(demo), demo.notes.vocabulary["hash"]))
    stale = sorted(name for name, digest in today.items() if committed.get(name) != digest)
    assert not stale, f"{MEND} ({', '.join(stale)})"
    assert set(committed) == set(today)


def test_every_picture_is_there(committed):
    assert [name for name in committed if not (GALLERY / name).is_file()] == []
    assert set(SHOTS) <= set(committed)
    assert {
        f"wheel-{size}-{theme}.png"
        for size in ("square", "bag", "page", "board")
        for theme in ("light", "dark", "grey")
    } <= set(committed)


def test_nothing_else_and_under_two_megabytes(committed):
    files = [p for p in GALLERY.rglob("*") if p.is_file()]
    assert {p.relative_to(GALLERY).as_posix() for p in files} == {*committed, "manifest.json", "README.md"}
    assert sum(p.stat().st_size for p in files) < 2_000_000
