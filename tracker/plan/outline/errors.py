"""The error for a bad outline, which lets `check` name its line and give its lengths in the build's units."""

from __future__ import annotations


class OutlineError(ValueError):
    """A sentence with `{}` for each of `lengths`, which are in millimetres; `key` is where in the outline the error is,
    such as `corners.2`."""

    def __init__(self, what: str, *lengths: float, key: str = "", hint: str = "") -> None:
        super().__init__(what)
        self.what, self.lengths, self.key, self.hint = what, lengths, key, hint


def quoted(text: str) -> str:
    """Words from a file, safe to insert into the sentence of an OutlineError."""
    return text.replace("{", "{{").replace("}", "}}")
