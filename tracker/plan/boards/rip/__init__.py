"""Wide boards ripped into narrower parts, and sheets: in stages, guillotine cuts only. One door: `RippedOrder`.

First the board is crosscut into *sections*; each section is ripped into *lanes*; a lane is crosscut into pieces, end to
end. (Two- and three-stage guillotine cutting, Gilmore & Gomory 1965; sections are the levels of Lodi, Martello & Vigo
2004.) Which board a section comes from is then the one-dimensional problem, solved exactly. A section as long as the
whole stretch is a board that is ripped first.
"""

from tracker.plan.boards.rip.ripped import RippedOrder

__all__ = ["RippedOrder"]
