"""Resources to Turtle and to JSON-LD. Written by hand, so that the same vocabulary always gives the same bytes."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from tastevocab.vocabulary.exchange.terms import PREFIXES, Iri, Listed, Resource, Text, Value

_ESCAPES = str.maketrans({"\\": "\\\\", '"': '\\"', "\n": "\\n", "\r": "\\r", "\t": "\\t"})


def turtle(resources: Iterable[Resource]) -> str:
    """RDF 1.1 Turtle (W3C Recommendation, 25 February 2014), resources in the order given."""
    parts = [f"@prefix {prefix}: <{at}> ." for prefix, at in sorted(PREFIXES.items())]
    for resource in resources:
        lines = [f"<{resource.at}> a {', '.join(resource.types)}"]
        for name, values in resource.properties:
            lines.append(f"    {name} {', '.join(_turtle_value(value) for value in values)}")
        parts += ["", " ;\n".join(lines) + " ."]
    return "\n".join(parts) + "\n"


def _turtle_value(value: Value) -> str:
    if isinstance(value, Iri):
        return f"<{value.at}>"
    if isinstance(value, Text):
        return f'"{value.text.translate(_ESCAPES)}"' + (f"@{value.language}" if value.language else "")
    if isinstance(value, Listed):
        return f"( {' '.join(_turtle_value(item) for item in value.items)} )" if value.items else "()"
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value) if isinstance(value, int) else f'"{value!r}"^^xsd:double'


def json_ld(resources: Iterable[Resource]) -> str:
    """JSON-LD 1.1 (W3C Recommendation, 16 July 2020) with its context written in, resources in the order given."""
    context = dict(sorted(PREFIXES.items()))
    document = {"@context": context, "@graph": [_json_resource(resource) for resource in resources]}
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def _json_resource(resource: Resource) -> dict[str, Any]:
    made: dict[str, Any] = {"@id": resource.at, "@type": list(resource.types)}
    for name, values in resource.properties:
        made[name] = [_json_value(value) for value in values]
    return made


def _json_value(value: Value) -> Any:
    if isinstance(value, Iri):
        return {"@id": value.at}
    if isinstance(value, Text):
        return {"@value": value.text, "@language": value.language} if value.language else {"@value": value.text}
    if isinstance(value, Listed):
        return {"@list": [_json_value(item) for item in value.items]}
    if isinstance(value, float):
        return {"@value": repr(value), "@type": "xsd:double"}
    return {"@value": value}
