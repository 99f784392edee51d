"""What is computed beside a check, by hand: the sag of a shelf under the load that the check names, and what rocks."""

from __future__ import annotations

import pytest
from wood.test_assessment_borders import assembly, built, part
from work.one_tablet import Bench

from tracker.cards.reports.wood import wood_lines, wood_report
from tracker.cards.wood.at_proof import proof_sums
from tracker.design.model import Build
from tracker.floor.floor import Floor
from tracker.plan.place import Placer
from tracker.plan.wood_properties import find
from tracker.work.run import start_run

LOAD = '[[loads]]\non = "shelf"\nweight = "20 kg"\n'


def beside(build: Build, check: str) -> str:
    bench = Bench(start_run(build))
    return proof_sums(Floor(bench.run, bench.state, bench.now), build.assemblies[0].id, check)


@pytest.mark.parametrize(
    ("check", "times"),
    [
        ("the shelf holds", 1), ("Shelves: each shelf carries 40 kg", 2), ("a shelf with 10.5 kg", 0.525),
        ("shelf carries 44.1 lb", 44.1 * 0.45359237 / 20),
        ("shelf: 1 lbs", 0.45359237 / 20),
    ],
)  # fmt: skip
def test_a_shelf_sags_by_the_load_that_its_check_names(check: str, times: float) -> None:
    """5 W L³ / 384 E I, and twice that after years (Wood Handbook, chapters 4 and 9); usually 1 in 600 at most."""
    oak = find("white oak")
    assert oak is not None
    assert oak.stiffness is not None
    now = times * 5 / 384 * 20 * 9.80665 * 900**3 / (oak.stiffness * 200 * 20**3 / 12)
    more = " (1.5 mm is the usual most)" if 2 * now > 1.5 else ""
    sags = f"Shelf sags {now:.1f} mm at once, {2 * now:.1f} mm in years{more}."
    build = built(part("shelf", 1, length=900) + assembly("shelf = 1") + LOAD)
    assert beside(build, check) == f"By arithmetic: {sags} Try it."


@pytest.mark.parametrize("check", ["diagonals alike", "shelved", "the lid closes", "80 kg"])
def test_a_check_that_names_nothing_known_has_no_sum(check: str) -> None:
    assert beside(built(part("shelf", 1, length=900) + assembly("shelf = 1") + LOAD), check) == ""


def leaning(lean: int) -> Build:
    """A board on its edge, or leaning to the left: then it touches the floor along one line."""
    lies = f'part = "a", lies = "B right, top up", lean = {{ left = {lean} }}'
    row = f"place = [{{ {lies}, at = {{ left = 0, front = 0, bottom = 0 }} }}]\n"
    return built(part("a", 1) + assembly("a = 1", more=row))


@pytest.mark.parametrize("check", ["stands flat", "does not rock: it sits", "it tips?", "Steady"])
def test_what_touches_the_floor_along_one_line_rocks(check: str) -> None:
    build = leaning(10)
    said = beside(build, check)
    assert said.startswith("By arithmetic: It weighs ")
    assert said.endswith(" kg. It rocks: fewer than three feet are level. Try it.")
    assert "Whole rocks: fewer than three feet are level." in list(wood_lines(build, wood_report(build, Placer(build))))
    assert "rocks" not in beside(leaning(0), check)
