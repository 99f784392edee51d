"""The cutting-stock solver: a plan at once, then better ones and a bound, until the two meet.

A closed package with one entry point: `cut` a `Request`, in whole numbers. Some other modules are used as tools.
"""

from tracker.plan.boards.solver.assemble import Board
from tracker.plan.boards.solver.cutting import Cutting, Progress, Proof, cut
from tracker.plan.boards.solver.knapsack import FINE, SubsetSums
from tracker.plan.boards.solver.local_search import Held, Repair
from tracker.plan.boards.solver.problem import Request, Stock

__all__ = [
    "FINE",
    "Board",
    "Cutting",
    "Held",
    "Progress",
    "Proof",
    "Repair",
    "Request",
    "Stock",
    "SubsetSums",
    "cut",
]
