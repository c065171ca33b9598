"""vocabulary.json: the part of the vocabulary that a pack rests on, so that its words keep their meaning."""

from __future__ import annotations

from typing import Any

from tastevocab.feature.material import Material
from tastevocab.vocabulary.model import Descriptor, Vocabulary


def excerpt_json(material: Material) -> dict[str, Any]:
    """Every descriptor found, denied, claimed or printed, with all it hangs from, its meaning, names and references."""
    vocabulary = material.tools.vocabulary
    wanted = {f.descriptor for f in material.gathered.findings}
    wanted |= {r.descriptor for report in (material.page, *material.brews) for r in report.ladder.rungs}
    wanted |= {c.descriptor for c in material.page.claims if c.descriptor}
    kept = _with_homes(wanted, vocabulary)
    return {
        "vocabulary": {"name": vocabulary.name, "version": vocabulary.version, "hash": vocabulary.hash},
        "descriptors": [_card(d) for d in vocabulary.descriptors.values() if d.id in kept],
        "attributes": [
            {"attribute": a.id, "print": a.print, "scale": list(a.scale), "about": a.about}
            for a in vocabulary.attributes.values()
            if a.id in {f.attribute for f in material.gathered.attributes}
        ],
    }


def _with_homes(ids: set[str], vocabulary: Vocabulary) -> set[str]:
    found: set[str] = set()
    for id in ids:
        while id and id not in found and id in vocabulary.descriptors:
            found.add(id)
            id = vocabulary.descriptors[id].home or ""
    return found


def _card(d: Descriptor) -> dict[str, Any]:
    return {
        "descriptor": d.id,
        "print": d.print,
        "level": d.level,
        "home": d.home,
        "about": d.about,
        "words": {language: list(words) for language, words in d.words.items()},
        "kin": list(d.kin),
        "parts": list(d.parts),
        "span": list(d.span),
        "fault": d.fault,
        "reference": None
        if d.reference is None
        else {"make": d.reference.make, "allergens": list(d.reference.allergens), "keep": d.reference.keep},
    }
