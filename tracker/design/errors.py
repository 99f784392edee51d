"""Errors raised by the readers of a build file. `Table` turns them into a Problem with its line."""

from __future__ import annotations


class BadValueError(ValueError):
    """What is wrong, as a sentence for the user, and a hint."""

    def __init__(self, what: str, hint: str = "") -> None:
        super().__init__(what)
        self.hint = hint


class AlreadyToldError(Exception):
    """A value is missing because of a problem that was already reported, so nothing more is reported."""
