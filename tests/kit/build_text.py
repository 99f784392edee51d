"""The beginning that most build files of the tests share."""

from __future__ import annotations


def one_wood(name: str, units: str, wood: str, species: str, *bought: str) -> str:
    """A build of one wood; `bought` are the lines that say how it is sold, for example `thickness = 22`."""
    return "\n".join(
        ("[build]", f'name = "{name}"', f'units = "{units}"', f"[woods.{wood}]", f'species = "{species}"', *bought, "")
    )
