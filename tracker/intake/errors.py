"""What can be wrong with a file that is read in, as a sentence."""

from __future__ import annotations

from msgspec import Struct


class IntakeError(ValueError):
    """A file that can't be used at all."""


class Fault(Struct, frozen=True):
    """A cell that was not understood, or was read as something else: its row, from 1, its column's field, what is
    written there, and what was made of it."""

    row: int
    field: str
    written: str
    what: str
