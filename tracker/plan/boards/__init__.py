"""Which board each piece comes from and what to buy: the best plan there is, with the proof.

`plan_boards` is for a whole build; `cut` is the solver alone, on whole numbers. The road through the package:

    blanks, stretches ──► task ──► first (a plan at once)
                                   solve ◄─► counts (which boards?) ◄─► packing (can it be cut from them?)
                                   offcut (the last aim) ──► assemble ──► plan, shopping
"""

from tracker.plan.boards.blanks import BlankLength, blank_length
from tracker.plan.boards.cutting import Cutting, Progress, Proof, cut
from tracker.plan.boards.plan import BoardPlan, CutBoard, Offcut, PlacedPiece, Unplaced, WoodPlan
from tracker.plan.boards.planner import board_plans, plan_boards
from tracker.plan.boards.shopping import ShoppingLine, WoodToBuy, board_feet, shopping
from tracker.plan.boards.stretches import Stretch, clear_stretches
from tracker.plan.boards.task import Request, Stock

__all__ = [
    "BlankLength",
    "BoardPlan",
    "CutBoard",
    "Cutting",
    "Offcut",
    "PlacedPiece",
    "Progress",
    "Proof",
    "Request",
    "ShoppingLine",
    "Stock",
    "Stretch",
    "Unplaced",
    "WoodPlan",
    "WoodToBuy",
    "blank_length",
    "board_feet",
    "board_plans",
    "clear_stretches",
    "cut",
    "plan_boards",
    "shopping",
]
