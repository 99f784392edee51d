"""Planning again in the middle of the work while moving as little as possible. Entry points: `replan` and `replans`."""

from tracker.plan.boards.replanning.plan_again import Replan, replan, replans

__all__ = ["Replan", "replan", "replans"]
