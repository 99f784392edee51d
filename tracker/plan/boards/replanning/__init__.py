"""Planning again in the middle of the work, moving as little as possible. One door: `replan` and `replans`."""

from tracker.plan.boards.replanning.plan_again import Replan, replan, replans

__all__ = ["Replan", "replan", "replans"]
