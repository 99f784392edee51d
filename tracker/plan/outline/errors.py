"""What is wrong with an outline, said so that `check` can name its line and its lengths in the build's own units."""

from __future__ import annotations


class OutlineError(ValueError):
    """A sentence with `{}` for each of `lengths`, which are in millimetres; `key` is where in the outline it is wrong,
    such as `corners.2`."""

    def __init__(self, what: str, *lengths: float, key: str = "", hint: str = "") -> None:
        super().__init__(what)
        self.what, self.lengths, self.key, self.hint = what, lengths, key, hint


def quoted(text: str) -> str:
    """Words of a file, safe to put into the sentence of an OutlineError."""
    return text.replace("{", "{{").replace("}", "}}")
