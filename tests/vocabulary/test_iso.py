"""Attribute terms of the sensory standards resolve to an attribute of ours.

Terms from ISO 18794 (coffee, sensory vocabulary; headings seen in the preview of the 2018 edition, since replaced by
ISO 18794:2025) and ISO 5492:2008 (sensory vocabulary; some terms seen in paraphrase, those marked from memory).
"""

from __future__ import annotations

import pytest

from tastevocab.vocabulary.lookup import Names

TERMS = [
    ("acidity", "acidity", "ISO 18794 3.1.1 = ISO 5492 3.3"),
    ("acid", "acidity", "ISO 18794 3.3.31, with sour"),
    ("sour", "acidity", "ISO 18794 3.3.31, with acid"),
    ("bitter", "bitterness", "ISO 18794 3.1.4, a basic taste"),
    ("salty", "saltiness", "ISO 18794 3.1.4, a basic taste"),
    ("sweet", "sweetness", "ISO 18794 3.1.4, a basic taste"),
    ("umami", "savoury", "ISO 18794 3.1.4, a basic taste"),
    ("astringency", "astringency", "ISO 5492, paraphrase"),
    ("after-taste", "finish", "ISO 5492, paraphrase"),
    ("residual taste", "finish", "ISO 5492, the same entry as after-taste"),
    ("body", "body", "ISO 5492, from memory"),
    ("bitterness", "bitterness", "ISO 5492, from memory"),
    ("sourness", "acidity", "ISO 5492, from memory"),
    ("mouthfeel", "body", "ISO 5492, from memory"),
]


@pytest.mark.parametrize(("term", "attribute", "source"), TERMS)
def test_term_resolves(names: Names, term: str, attribute: str, source: str) -> None:
    senses = names.book.exact(names.keys(term))
    assert {s.value for s in senses if s.kind in ("attribute", "quality")} == {attribute}, source
