"""Steps of operations: by their ids, in their order, and what each one starts, ends and waits for."""

from __future__ import annotations

import pytest

from tracker.work.counting import counted, plural
from tracker.work.operations import (
    EARLIER,
    Step,
    between,
    glued_and_screwed,
    kind_of,
    own_step,
    step_named,
    steps_for,
)

ONE_STEP = (*EARLIER.keys() - {"trim", "glue", "sand", "finish"}, "sand 120", "sand 180 edges")


@pytest.mark.parametrize("operation", sorted(ONE_STEP))
def test_an_operation_of_one_step_is_found_by_its_id(operation: str) -> None:
    (step,) = steps_for(operation)
    assert (step.id, step.operation, step_named(operation)) == (operation, operation, step)
    assert (step.starts, step.closes, step.in_clamps, step.end, step.coat, step.jig) == (None, None, False, "", 0, "")
    assert step.loads is (operation in ("attach", "drive screws", "take screws out", "prove"))
    assert step.gentle is (operation in ("dry fit", "rest"))
    assert (step.grit, step.surface) == {"sand 120": (120, ""), "sand 180 edges": (180, "edges")}.get(
        operation, (0, "")
    )
    assert step.claim.count("{name}") == 1
    assert step.all_claim.count("{names}") == 1


@pytest.mark.parametrize("each", [*steps_for("trim"), *steps_for("glue"), between(2), *steps_for("finish", 2)[-1:]])
def test_each_step_of_several_is_found_by_its_id(each: Step) -> None:
    assert step_named(each.id) == each


def test_gluing_is_three_steps_and_their_clocks_follow_one_another() -> None:
    assert [(step.id, step.closes, step.starts) for step in steps_for("glue")] == [
        ("spread", None, "open"), ("clamp", "open", "clamp"), ("unclamp", "clamp", "cure"),
    ]  # fmt: skip
    assert [(step.id, step.loads, step.gentle, step.in_clamps) for step in glued_and_screwed()] == [
        ("spread", False, False, False), ("clamp", False, False, False),
        ("drive screws", False, True, True), ("unclamp", False, False, False),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("coats", "grit", "said"),
    [
        (0, 0, [("finish 1", None, "dry", 1)]),
        (1, 320, [("finish 1", None, "dry", 1)]),
        (2, 0, [("finish 1", None, "recoat", 1), ("finish 2", "recoat", "dry", 2)]),
        (3, 320, [("finish 1", None, "recoat", 1), ("between 1", None, None, 0), ("finish 2", "recoat", "recoat", 2),
                  ("between 2", None, None, 0), ("finish 3", "recoat", "dry", 3)]),
    ],
)  # fmt: skip
def test_a_finish_is_a_step_for_each_coat(coats: int, grit: int, said: list[object]) -> None:
    steps = steps_for("finish", coats, grit)
    assert [(step.id, step.closes, step.starts, step.coat) for step in steps] == said
    assert {step.grit for step in steps if step.id.startswith("between")} <= {320}


def test_a_route_may_name_its_coats() -> None:
    assert steps_for("finish 2", 3) == steps_for("finish", 3)[1:2]
    assert steps_for("finish 3", 3) == steps_for("finish", 3)[2:]


def test_only_the_ends_that_are_cut_have_a_step() -> None:
    assert [(step.id, step.end) for step in steps_for("trim")] == [("trim A", "A"), ("trim B", "B")]
    assert [step.id for step in steps_for("trim", ends=("B",))] == ["trim B"]


@pytest.mark.parametrize(
    "written",
    ["between", "between x", "finish", "finish x", "trim C", "trim A B", "sand", "sand x", "own: ", "lathe", "glue"],
)
def test_a_step_that_nobody_knows_is_one_of_its_own(written: str) -> None:
    step = step_named(written)
    assert (step.id, step.operation, step.station, step.task, step.past) == (
        written,
        written,
        "bench",
        written,
        written,
    )
    assert (step.needs, step.starts, step.end, step.coat, step.grit) == (f"still to do: {written}", None, "", 0, 0)


def test_the_trim_of_old_logs_meant_both_ends() -> None:
    step = step_named("trim")
    assert (step.id, step.end, step.task, step.past, step.station) == ("trim", "", "Trim both ends", "trimmed", "saw")


@pytest.mark.parametrize(
    ("do", "mark"),
    [("curve the apron", "curve the apron"), ("curve the aprons", "curve the aprons"),
     ("curve the aprons!", "curve"), ("straighten it all", "straighten it"),
     ("sixteen-letters--x", "sixteen-letters--x")],
)  # fmt: skip
def test_a_long_own_step_has_only_its_first_words_under_its_mark(do: str, mark: str) -> None:
    step = own_step(do, "saw", "template")
    assert (step.id, step.mark, step.station, step.jig) == (f"own: {do}", mark, "saw", "template")
    assert step_named(step.id) == own_step(do), "its station and its jig are in the build file alone"


def test_an_own_step_shows_the_makers_words_as_they_are() -> None:
    step = own_step("cut {two} laps")
    assert (step.task, step.claim.format(name="Leg"), step.needs) == (
        "Cut {two} laps", "Cut {two} laps: done", "still to do: cut {two} laps",
    )  # fmt: skip
    assert step.all_claim.format(names="Legs") == "Legs: done"


@pytest.mark.parametrize(
    ("operation", "kind"),
    [("sand 120", "sand"), ("sand 180 edges", "sand"), ("finish 2", "finish"), ("finish", "finish"),
     ("cut to length", "cut to length"), ("take screws out", "take screws out"), ("cut", "cut")],
)  # fmt: skip
def test_the_kind_of_an_operation(operation: str, kind: str) -> None:
    assert kind_of(operation) == kind


@pytest.mark.parametrize(
    ("count", "name", "said"),
    [
        (1, "Side", "Side"), (6, "Side", "6 sides"), (2, "Inner slat", "2 inner slats"), (3, "Foot", "3 feet"),
        (2, "Strip A", "2 of Strip A"), (2, "Leg 2", "2 of Leg 2"), (2, "Rail XL", "2 of Rail XL"),
        (2, "Top ab", "2 of Top ab"), (2, "Top abc", "2 top abcs"), (2, "Top aBc", "2 of Top aBc"),
        (2, "Top Rail", "2 top Rails"), (2, "Leg-2x", "2 of Leg-2x"), (0, "Side", "0 sides"),
    ],
)  # fmt: skip
def test_several_pieces_of_a_name(count: int, name: str, said: str) -> None:
    assert counted(count, name) == said


@pytest.mark.parametrize(
    ("one", "many"),
    [
        ("Shelf", "Shelves"), ("half", "halves"), ("leaf", "leaves"), ("Knife", "Knives"), ("box", "boxes"),
        ("brass", "brasses"), ("bench", "benches"), ("brush", "brushes"), ("fez", "fezes"), ("tray", "trays"),
        ("key", "keys"), ("assembly", "assemblies"), ("buoy", "buoys"), ("guy", "guys"), ("tenon", "tenons"),
        ("y", "ys"),
    ],
)  # fmt: skip
def test_a_plural(one: str, many: str) -> None:
    assert plural(one) == many
