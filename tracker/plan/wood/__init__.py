"""Properties of wood in use: moisture, movement, weight, stability and sagging."""

from tracker.plan.wood.assessment import Assessment, assess
from tracker.plan.wood.cross_grain import held_by_contact, held_in, slots_by_part
from tracker.plan.wood.placed import SlantedField, Stand, slanted_fields, stands
from tracker.plan.wood.problems import wood_problems
from tracker.plan.wood.seasons import Found, seasons_of

__all__ = [
    "Assessment",
    "Found",
    "SlantedField",
    "Stand",
    "assess",
    "held_by_contact",
    "held_in",
    "seasons_of",
    "slanted_fields",
    "slots_by_part",
    "stands",
    "wood_problems",
]
