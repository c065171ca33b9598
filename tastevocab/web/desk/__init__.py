"""The reading desk: one local page on which a person puts the reading of a session right."""
