"""Screws, dowels and bolts in place: as solids, their clearances, and their best positions."""

from tracker.plan.screws.choose import Choice, choose, evened
from tracker.plan.screws.clearance import Clearance, clearance
from tracker.plan.screws.problems import row_problems, screw_problems
from tracker.plan.screws.proposing import ScrewProposal, with_places
from tracker.plan.screws.rods import Rod, Screw
from tracker.plan.screws.survey import Survey, surveys
from tracker.plan.screws.words import least_words, nearest_words, piece_words

__all__ = [
    "Choice",
    "Clearance",
    "Rod",
    "Screw",
    "ScrewProposal",
    "Survey",
    "choose",
    "clearance",
    "evened",
    "least_words",
    "nearest_words",
    "piece_words",
    "row_problems",
    "screw_problems",
    "surveys",
    "with_places",
]
