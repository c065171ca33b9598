"""A vocabulary in open formats: SKOS (W3C Recommendation, 18 August 2009) out and in, CSV, GraphML, JSON, YAML."""
