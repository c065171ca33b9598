"""A coffee's words for a web shop's page: JSON-LD in schema.org's words (https://schema.org/Product)."""

from __future__ import annotations

from typing import Any

from tastevocab.feature.notes import Notes

VOCABULARY = {"@vocab": "https://schema.org/"}
"""Names the terms without a document to be fetched."""


def product_jsonld(notes: Notes) -> dict[str, Any] | None:
    """The product with its notes line, each word with its people; None where nothing may be published."""
    if not notes.publish:
        return None
    words = [
        {
            "@type": "PropertyValue",
            "name": "tasting note",
            "value": word.print,
            "description": f"{word.people} of {word.of} tasters",
        }
        for word in notes.line
    ]
    return {
        "@context": VOCABULARY,
        "@type": "Product",
        "name": notes.name,
        "category": "coffee",
        "description": f"{notes.sentence} {notes.additions}",
        "image": "wheel.png",
        "additionalProperty": [*words, {"@type": "PropertyValue", "name": "tasted by", "value": notes.base}],
    }
