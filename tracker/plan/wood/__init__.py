"""Wood as it is: moisture, movement, weight, standing and sagging."""

from tracker.plan.wood.assessment import Assessment, assess, seasons_of
from tracker.plan.wood.placed import SlantedField, Stand, slanted_fields, standing
from tracker.plan.wood.problems import wood_problems

__all__ = ["Assessment", "SlantedField", "Stand", "assess", "seasons_of", "slanted_fields", "standing", "wood_problems"]
