"""Corpora past one machine: notes by the million to findings, and crowds by coffee, over Dask (extra `cluster`)."""
