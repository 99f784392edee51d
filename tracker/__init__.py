"""Kerfcard: the card of the piece in hand, at the saw and at the bench."""

__version__ = "0.1.0"
