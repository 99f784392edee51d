"""The names in the wood table, and how people write them. The figures are in `tracker.plan`."""

from __future__ import annotations

import re

from tracker.design.name_lookup import ByWords

SPECIES = (
    "Alder, red",
    "Ash, white",
    "Ash, black",
    "Basswood, American",
    "Beech, American",
    "Birch, paper",
    "Birch, yellow",
    "Birch, sweet",
    "Butternut",
    "Cherry, black",
    "Chestnut, American",
    "Elm, American",
    "Hackberry",
    "Hickory, pecan",
    "Hickory, true",
    "Maple, bigleaf",
    "Maple, red (soft)",
    "Maple, silver (soft)",
    "Maple, sugar (hard)",
    "Oak, red, commercial",
    "Oak, white, commercial",
    "Sweetgum",
    "Sycamore, American",
    "Walnut, black",
    "Yellow-poplar",
    "Baldcypress",
    "Cedar, eastern redcedar",
    "Cedar, western redcedar",
    "Cedar, northern white",
    "Cedar, yellow (Alaska)",
    "Douglas-fir, coast",
    "Fir, white",
    "Larch, western",
    "Pine, eastern white",
    "Pine, loblolly (southern)",
    "Pine, longleaf (southern)",
    "Pine, ponderosa",
    "Pine, sugar",
    "Redwood, old-growth",
    "Spruce, Sitka",
    "Mahogany, true (Swietenia)",
    "Khaya (African mahogany)",
    "Teak",
    "Walnut, European",
)
"""Names as the Wood Handbook (FPL-GTR-190) lists them: the genus first, then the kind."""

_OTHER_NAMES = {
    "ash": "Ash, white",
    "beech": "Beech, American",
    "cherry": "Cherry, black",
    "basswood": "Basswood, American",
    "chestnut": "Chestnut, American",
    "elm": "Elm, American",
    "sycamore": "Sycamore, American",
    "walnut": "Walnut, black",
    "alder": "Alder, red",
    "poplar": "Yellow-poplar",
    "tulipwood": "Yellow-poplar",
    "cypress": "Baldcypress",
    "bald cypress": "Baldcypress",
    "redwood": "Redwood, old-growth",
    "soft maple": "Maple, red (soft)",
    "hard maple": "Maple, sugar (hard)",
    "red maple": "Maple, red (soft)",
    "sugar maple": "Maple, sugar (hard)",
    "silver maple": "Maple, silver (soft)",
    "red oak": "Oak, red, commercial",
    "white oak": "Oak, white, commercial",
    "white pine": "Pine, eastern white",
    "loblolly pine": "Pine, loblolly (southern)",
    "longleaf pine": "Pine, longleaf (southern)",
    "douglas fir": "Douglas-fir, coast",
    "western red cedar": "Cedar, western redcedar",
    "eastern red cedar": "Cedar, eastern redcedar",
    "yellow cedar": "Cedar, yellow (Alaska)",
    "alaska cedar": "Cedar, yellow (Alaska)",
    "spruce": "Spruce, Sitka",
    "mahogany": "Mahogany, true (Swietenia)",
    "african mahogany": "Khaya (African mahogany)",
    "hickory": "Hickory, true",
    "pecan": "Hickory, pecan",
}
"""Short names of the trade, from memory. A name that may mean several woods ("pine", "maple") is left out."""


def _names() -> list[tuple[str, str]]:
    """Every name of a species, with its name in the table."""
    names = [(name, name) for name in SPECIES]
    for name in SPECIES:
        plain = re.sub(r"\(.*?\)", "", name)
        names.append((plain, name))
        if plain.startswith("Cedar,"):  # western redcedar
            names.append((plain.partition(",")[2], name))
    return names + list(_OTHER_NAMES.items())


_BY_WORDS = ByWords(_names())


def species_named(written: str) -> str | None:
    """The wood table's name for a species, regardless of word order and capitals; None when unknown."""
    return _BY_WORDS.get(written)
