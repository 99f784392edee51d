"""How the readers of a build file say that something is wrong; `Table` turns it into a Problem with its line."""

from __future__ import annotations


class BadValueError(ValueError):
    """What is wrong, as a sentence for people, and a hint."""

    def __init__(self, what: str, hint: str = "") -> None:
        super().__init__(what)
        self.hint = hint


class AlreadyToldError(Exception):
    """A value can't be had because of a problem that has been reported already: say nothing more."""
