"""Where the keys of a build file stand, kept beside what they say."""

from __future__ import annotations


class Lines(dict[str, int]):
    """The line of the build file of each key of a section; `""` is the section's own line.

    Any two are equal: where a thing is written isn't what it is, a part that only moved is the same part.
    """

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Lines)

    def __ne__(self, other: object) -> bool:
        return not self == other

    def __hash__(self) -> int:  # type: ignore[override]
        return hash(Lines)
