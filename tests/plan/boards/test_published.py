"""Published bin-packing sets. tests/bench/boards_published.py does the long count; these are the fast ones."""

from __future__ import annotations

import pytest
from board_checker import faults_of_cutting
from published_sets import Instance, printed, scholl_one, scholl_two, schwerin, triplets, uniform
from test_cutting import asks

from tracker.plan.boards import Progress, cut

PRINTED = [instance for instance in printed() if instance.name.startswith("u")]
MADE = [
    *(triplets(60, seed) for seed in range(2)),
    *(uniform(120, seed) for seed in range(3)),
    schwerin(100, 1),
    *(scholl_one(50, capacity, least, 0) for capacity in (100, 120, 150) for least in (1, 20, 30)),
    *(scholl_two(50, share, 0.5, 0) for share in (3, 5, 9)),
]


@pytest.mark.parametrize("instance", [*PRINTED, *MADE], ids=lambda instance: instance.name)
def test_published_sets_are_solved_to_proof(instance: Instance) -> None:
    """The printed ones at their published optimum, triplets at a third of their items, all with bound = plan."""
    proved = False
    more = asks(4_000)

    def report(progress: Progress) -> None:
        nonlocal proved
        proved = progress.length_bound >= progress.length

    cutting = cut(instance.request, lambda: not proved and more(), report)
    assert faults_of_cutting(instance.request, cutting) == []
    assert cutting.length == cutting.length_bound == len(cutting.boards)
    if instance.optimum is not None:
        assert cutting.length == instance.optimum


def test_the_printed_file_is_as_it_was_published() -> None:
    """120 items each; the triplets' sizes fill their 40 bins to the brim."""
    instances = list(printed())
    assert [(each.name, each.optimum) for each in instances] == [
        ("u120_00", 48), ("u120_04", 50), ("u120_08", 50), ("u120_15", 48), ("u120_19", 49), ("t120_00", 40),
    ]  # fmt: skip
    assert all(len(each.sizes) == 120 for each in instances)
    assert sum(instances[-1].sizes) == 40 * instances[-1].capacity
