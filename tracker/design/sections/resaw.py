"""`resaw` of a part: several leaves sawn from one board, through its thickness."""

from __future__ import annotations

from tracker.design import values
from tracker.design.model import Resaw, Wood
from tracker.design.toml.table import Table
from tracker.measure import Length, inches
from tracker.measure.length import ZERO
from tracker.words import say, say_many

MOST_LEAVES = 8
KERF, PLANE = inches("1/16"), inches("1/8")
"""What a bandsaw takes with its set and wander, and what is left on each leaf to plane it flat after it has moved;
common practice, no source."""
_leaves = values.count_within(2, MOST_LEAVES)


def read_resaw(table: Table, quantity: int) -> Resaw | None:
    """`resaw = 2`, or `{ leaves = 2, kerf = "1/16", plane = "1/8" }`."""
    if "resaw" not in table:
        return None
    kerf = plane = None
    if isinstance(table.peek("resaw"), dict):
        group = table.group("resaw")
        assert group is not None
        leaves = group.read("leaves", _leaves, required=True)
        kerf, plane = group.read("kerf", values.positive_length), group.read("plane", values.length)
        group.close()
    else:
        leaves = table.read("resaw", _leaves)
    if leaves is None:
        return None
    if quantity % leaves:
        table.problem(
            say_many(
                "{count} piece doesn't come from whole boards of {leaves} leaves",
                "{count} pieces don't come from whole boards of {leaves} leaves",
                quantity,
                leaves=leaves,
            ),
            "",
            "resaw",
        )
    if "sequence" in table:
        table.problem(
            say("leaves lie on one another, pieces of a sequence side by side"), say("keep one of them"), "sequence"
        )
    return Resaw(leaves=leaves, kerf=kerf or KERF, plane=PLANE if plane is None else plane)


def leaf_of(wood: Wood, resaw: Resaw) -> Length | None:
    """The thickness of the planed leaves where the file doesn't say: the most the wood gives; None where it is too
    thin."""
    left = resaw.leaf(wood.thickness)
    return left if left > ZERO else None


def fit_resaw(table: Table, wood: Wood | None, resaw: Resaw | None, thickness: Length | None) -> None:
    """Check that the leaves and the waste between them fit in the wood's thickness."""
    if wood is None or resaw is None or not wood.thickness:
        return
    if thickness is None:
        if "thickness" not in table:
            table.problem(
                say("'{wood}' is too thin to be resawn into {leaves} leaves", wood=wood.id, leaves=resaw.leaves),
                "",
                "resaw",
            )
        return
    needs = resaw.whole(thickness)
    if needs > wood.thickness:
        short = f"{float(needs - wood.thickness):.1f} mm"
        table.problem(
            say(
                "{leaves} leaves with their kerf and planing take {short} more than '{wood}' is thick",
                leaves=resaw.leaves,
                short=short,
                wood=wood.id,
            ),
            say("thicker wood, thinner leaves, or less to plane"),
            "resaw",
        )
