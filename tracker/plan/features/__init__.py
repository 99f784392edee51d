"""Features of a piece as solids: their positions, what they leave of it, and their problems."""

from tracker.plan.features.feature_shape import FeatureShape
from tracker.plan.features.problems import feature_problems
from tracker.plan.features.shapes import features_of
from tracker.plan.features.volume import net_volume

__all__ = ["FeatureShape", "feature_problems", "features_of", "net_volume"]
