"""Kerfcard: the card of the current piece, at the saw and at the bench."""

import os

# Our matrices are small: the threads that numpy's linear algebra would start take the processor from the screen and
# don't make reading a frame faster. Their number is read when numpy is imported, so it is set before any import.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

__version__ = "0.1.0"
