"""The line numbers of the keys of a build file, kept beside their values."""

from __future__ import annotations


class Lines(dict[str, int]):
    """The line in the build file of each key of a section. `""` is the section's own line.

    Any two `Lines` are equal, so a part that only moved in the file compares equal to the part it was.
    """

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Lines)

    def __ne__(self, other: object) -> bool:
        return not self == other

    def __hash__(self) -> int:  # type: ignore[override]
        return hash(Lines)
