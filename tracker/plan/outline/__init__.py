"""Curved pieces: outlines on their panels, what they enclose, weak places, and the tools that can follow them."""

from tracker.plan.outline.errors import OutlineError
from tracker.plan.outline.outlined import Fit, Kept, Outlined, boards, fit, outlined
from tracker.plan.outline.problems import outline_problems

__all__ = ["Fit", "Kept", "OutlineError", "Outlined", "boards", "fit", "outline_problems", "outlined"]
