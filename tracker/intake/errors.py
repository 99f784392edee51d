"""What can be wrong with a file that is read in, as sentences."""

from __future__ import annotations

from msgspec import Struct


class IntakeError(ValueError):
    """The file can't be used at all."""


class Fault(Struct, frozen=True):
    """A cell that wasn't understood, or was interpreted: its row, from 1, the field of its column, its text, and what
    was made of it."""

    row: int
    field: str
    written: str
    what: str
