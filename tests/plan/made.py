"""Small real parts and builds for these tests."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from msgspec.structs import replace

from tracker.design.model import Build, EndCut, EndCuts, Part, RackBoard, Shop, Wood
from tracker.measure import Length, inches, millimetres
from tracker.measure.tape_reading import SIXTEENTH

SHOP = Shop(kerf=inches("1/8"), end_trim=inches("1/2"), max_miter=50, max_bevel=45, mark=SIXTEENTH)
WOOD = Wood(
    id="oak", species="white oak", section="", width=millimetres(400), thickness=millimetres(60),
    lengths=(millimetres(2400),), prices=(Decimal(20),),
)  # fmt: skip
PLAIN = Part(
    id="rail", name="Rail", quantity=1, wood="oak", length=millimetres(600), width=millimetres(80),
    thickness=millimetres(20), allowance=millimetres(0), ends=EndCuts(),
    left=0, right=0, rings=0.0, labels=True, line=0,
)  # fmt: skip


def part(**changes: Any) -> Part:
    """A square rail, 600 × 80 × 20 mm, with these changes; bare numbers are millimetres."""
    sizes = {"length", "width", "thickness", "allowance"}
    given: dict[str, Any] = {
        key: millimetres(value) if key in sizes and isinstance(value, int | float) else value
        for key, value in changes.items()
    }
    if "left" in given or "right" in given:
        given["quantity"] = given.get("left", 0) + given.get("right", 0)
    return replace(PLAIN, **given)


def ends(a: float = 0.0, b: float = 0.0, *, a_long: Any = "far", b_long: Any = "far") -> EndCuts:
    """Two mitred ends."""
    return EndCuts(a=EndCut(miter=a, long=a_long), b=EndCut(miter=b, long=b_long))


def build(*parts: Part, shop: Shop = SHOP, wood: Wood = WOOD, rack: tuple[RackBoard, ...] = ()) -> Build:
    return Build(name="Trial", units="mm", shop=shop, woods=(wood,), rack=rack, parts=parts, assemblies=(), hardware=())


def mm(length: Length) -> float:
    return float(length)
