"""Kerfcard: the card of the piece in hand, at the saw and at the bench."""

import os

# Our matrices are small: the helpers that numpy's linear algebra would start take the processor from the screen and
# make a look at a frame no faster. They are counted when numpy is imported, so it is said before anything can be.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

__version__ = "0.1.0"
