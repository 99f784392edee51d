"""Which board each piece comes from and what to buy: the best plan found, with a proof of how good it is.

`plan_boards` plans a whole build before the first cut; `replan` plans what is still to be cut from what is `left`.
`cuts_of` gives the cuts of one board in the order of work, and `kept_offcuts` the offcuts for the rack. `cut` is the
solver alone, on whole numbers. The package's modules in order:

    blanks, stretches ──► wood_problem (nesting: shared cuts; rip: lanes) ──► solver
    solver: heuristics (a plan at once) ──► solve ◄─► master (which boards?) ◄─► packing, local_search (can it be cut?)
            longest_offcut (the last aim) ──► assemble
    ──► plan ──► crosscuts, offcuts, shopping
    replanning: fewest_moves (one wood) ◄─► fewest_moves_exact (what must change?), from what is `remaining`
"""

from tracker.plan.boards.crosscuts import SHORTEST_HELD, Crosscut, Lane, cuts_of, edge_off, lanes_of
from tracker.plan.boards.nesting import laid_again
from tracker.plan.boards.offcuts import NamedOffcut, free_names, kept_from, kept_offcuts
from tracker.plan.boards.plan import BoardPlan, CutBoard, Offcut, PieceId, PlacedPiece, Unplaced, WoodPlan
from tracker.plan.boards.planner import board_plans, plan_boards
from tracker.plan.boards.remaining import (
    BoardLeft,
    Place,
    as_left,
    bought_board,
    places,
    rack_board,
    racked_offcut,
)
from tracker.plan.boards.replanning import Replan, replan, replans
from tracker.plan.boards.shopping import ShoppingLine, WoodToBuy, board_feet, shopping
from tracker.plan.boards.solver import Cutting, Progress, Proof, Request, Stock, cut
from tracker.plan.clear_board_lengths import Stretch, clear_stretches

__all__ = [
    "SHORTEST_HELD",
    "BoardLeft",
    "BoardPlan",
    "Crosscut",
    "CutBoard",
    "Cutting",
    "Lane",
    "NamedOffcut",
    "Offcut",
    "PieceId",
    "Place",
    "PlacedPiece",
    "Progress",
    "Proof",
    "Replan",
    "Request",
    "ShoppingLine",
    "Stock",
    "Stretch",
    "Unplaced",
    "WoodPlan",
    "WoodToBuy",
    "as_left",
    "board_feet",
    "board_plans",
    "bought_board",
    "clear_stretches",
    "cut",
    "cuts_of",
    "edge_off",
    "free_names",
    "kept_from",
    "kept_offcuts",
    "laid_again",
    "lanes_of",
    "places",
    "plan_boards",
    "rack_board",
    "racked_offcut",
    "replan",
    "replans",
    "shopping",
]
