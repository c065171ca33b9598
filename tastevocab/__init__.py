"""tastevocab: a tasting table's loose words as counted, traceable flavour maps."""

__version__ = "0.1.0"
