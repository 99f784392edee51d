"""Sorting things after what they need, and finding circles: for sizes that use sizes, and assemblies that join
assemblies."""

from __future__ import annotations

import graphlib
from collections.abc import Mapping, Set


def in_order(uses: Mapping[str, Set[str]]) -> tuple[list[str], list[list[str]]]:
    """All names, each after those it uses; and the circles, each from its first name (as `uses` lists them) round to
    it.

    A name in a circle is not in the order. Names that aren't keys of `uses` are left out. Finds one circle after the
    other.
    """
    place = {name: index for index, name in enumerate(uses)}
    left = {name: used & uses.keys() for name, used in uses.items()}
    circles = []
    while True:
        try:
            order = list(graphlib.TopologicalSorter(left).static_order())
        except graphlib.CycleError as error:
            circle = list(reversed(error.args[1]))[:-1]  # each uses the next one
            first = circle.index(min(circle, key=place.__getitem__))
            circles.append([*circle[first:], *circle[: first + 1]])
            left = {name: used.difference(circle) for name, used in left.items() if name not in circle}
        else:
            return order, circles
