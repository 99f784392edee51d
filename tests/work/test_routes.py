"""The operations that a part's features need, and every mistake of a written route with its line and its hint."""

from __future__ import annotations

import pytest
from work.one_tablet import BUILD

from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.work.grits import came_sanded_to, sanded_to
from tracker.work.routes import assembly_route, check_routes, part_route, trimmed_ends
from tracker.work.run import start_run

HEAD = """
[build]
name = "Box"
units = "mm"
[woods.ash]
species = "white ash"
thickness = 20
width = 100
lengths = [2000]
"""
PART = '[[parts]]\nid = "side"\nname = "Side"\nwood = "ash"\nlength = 500\n'
MITRED = 'end_a = { miter = 45, long = "far" }'
BEVELLED = 'end_b = { bevel = 5, long_face = "top" }'
JOINED = '[[assemblies]]\nid = "box"\nname = "Box"\njoins = { side = 1 }\n'


def build_of(text: str) -> Build:
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    return loaded.build


def route(more: str = "", head: str = HEAD, slotted: bool = False) -> str:
    build = build_of(head + PART + more)
    return " / ".join(part_route(build.parts[0], build.wood("ash"), slotted))


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ("", "cut"), ("width = 100", "cut"), ("width = 99", "cut / rip"), ("allowance = 10", "cut / trim"),
        (MITRED, "cut / trim"), (BEVELLED, "cut / trim"),
        ('holes = [{ kind = "through", end = "A", from_edge = 30, from_end = 20, diameter = 6 }]', "cut / drill"),
        ('route = ["cut", "sand 120"]', "cut / sand 120"),
        ('steps = [{ do = "mark it", after = "cut" }]', "cut / mark it"),
    ],
)  # fmt: skip
def test_what_a_part_needs(more: str, said: str) -> None:
    assert route(more) == said


@pytest.mark.parametrize(("length", "said"), [(99, "cut / rip"), (100, "cut")])
def test_across_the_grain_the_length_is_ripped(length: int, said: str) -> None:
    text = HEAD + PART.replace("length = 500", f'length = {length}\nwidth = 90\ngrain = "across"')
    build = build_of(text)
    assert " / ".join(part_route(build.parts[0], build.wood("ash"))) == said
    wider = build_of(text.replace(f"length = {length}\n", f"length = {length - 1}\nallowance = 1\n"))
    assert " / ".join(part_route(wider.parts[0], wider.wood("ash"))) == f"{said} / trim", "the allowance counts, too"


def test_screws_through_slots_are_drilled() -> None:
    assert route(slotted=True) == "cut / drill"


@pytest.mark.parametrize(
    ("more", "ends"),
    [("", "AB"), (f"allowance = 9\n{MITRED}", "AB"), (MITRED, "A"),
     (BEVELLED, "B"), (f"{MITRED}\n{BEVELLED}", "AB")],
)  # fmt: skip
def test_only_the_ends_that_need_it_are_trimmed(more: str, ends: str) -> None:
    assert "".join(trimmed_ends(build_of(HEAD + PART + more).parts[0])) == ends


GLUE = 'by = "glue"\nglue = "white glue"\n'
SCREW = 'holes = [{ kind = "pocket", end = "A", from_edge = 30, face = "bottom" }]\n'
FINISH = 'finish = { kind = "Wiping varnish", coats = 2 }\n'


@pytest.mark.parametrize(
    ("how", "said"),
    [
        ('by = "dry"\n', "dry fit"), (GLUE, "dry fit / glue"), ('by = "screws"\n', "dry fit / attach"),
        (GLUE + FINISH, "dry fit / glue / finish"), (GLUE + 'prove = ["flat"]\n', "dry fit / glue / prove"),
        (GLUE + 'route = ["glue"]\nprove = ["flat"]\n', "glue / prove"),
        (GLUE + 'route = ["glue", "prove", "sand 120"]\nprove = ["flat"]\n', "glue / prove / sand 120"),
        (GLUE + 'route = ["glue"]\n', "glue"),
        (GLUE + 'steps = [{ do = "wipe it", after = "glue" }]\n', "dry fit / glue / wipe it"),
    ],
)  # fmt: skip
def test_what_an_assembly_needs(how: str, said: str) -> None:
    build = build_of(HEAD + PART + JOINED + how)
    assert " / ".join(assembly_route(build, build.assemblies[0])) == said


def problems(text: str) -> list[tuple[str, str, str, str]]:
    """Kind, words, hint, and the line of the file that each problem points at."""
    lines = text.splitlines()
    return [(p.kind, p.what, p.hint, lines[p.line - 1].split(" = ")[0]) for p in check_routes(build_of(text))]


ORDER = "put them in working order"


@pytest.mark.parametrize(
    ("more", "found"),
    [
        ('route = ["cut", "trim", "sand 120"]', []),
        ('route = ["trim", "cut"]', [("'trim' comes before 'cut'", ORDER, "route")]),
        ('route = ["cut", "sand 120", "sand 120"]', [("'sand 120' is twice in the route", "", "route")]),
        ('route = ["cut", "trim"]\nsteps = [{ do = "mark it", after = "drill" }]',
         [("'mark it' comes after 'drill', which isn't in the route", "one of: cut, trim", "steps")]),
        ('route = ["cut", "trim"]\nsteps = [{ do = "mark it", before = "trimm" }]',
         [("'mark it' comes before 'trimm', which isn't in the route", "did you mean 'trim'?", "steps")]),
        ('route = ["cut", "mark it", "trim", "mark it"]\nsteps = [{ do = "mark it" }]',
         [("'mark it' is twice in the route", "", "route")]),
        ('route = ["cut"]\nnotes = { drill = "Slowly." }',
         [("there is a note on 'drill', which isn't in the route", "one of: cut", "notes")]),
        ('notes = { cutt = "Slowly." }',
         [("there is a note on 'cutt', which isn't in the route", "did you mean 'cut'?", "notes")]),
    ],
)  # fmt: skip
def test_each_mistake_in_a_parts_route(more: str, found: list[tuple[str, str, str]]) -> None:
    said = problems(HEAD + PART + more)
    assert [(what.removeprefix("Side: "), hint, key) for _, what, hint, key in said] == found
    assert {kind for kind, *_ in said} <= {"error", "problem", "warning"} or not said


@pytest.mark.parametrize(
    ("how", "found"),
    [
        (GLUE + 'route = ["dry fit", "glue"]', []),
        ('by = "dry"\nroute = ["dry fit", "glue"]', [("the route glues, but no glue is named", 'add glue = "..."')]),
        ('by = "dry"\nroute = ["finish"]', [("the route finishes, but no finish is named", "add finish = { ... }")]),
        (GLUE + 'route = ["glue", "dry fit"]', [("'glue' comes before 'dry fit'", ORDER)]),
    ],
)  # fmt: skip
def test_each_mistake_in_an_assemblys_route(how: str, found: list[tuple[str, str]]) -> None:
    said = problems(HEAD + PART + JOINED + how)
    assert [(what.removeprefix("Box: "), hint) for _, what, hint, _ in said] == found
    assert {key for *_, key in said} <= {"route"}


@pytest.mark.parametrize(
    ("route", "grit"), [((), 0), (("cut",), 0), (("sand 120", "sand 80"), 120), (("sand 80", "sand 240 edges"), 240)]
)
def test_the_finest_grit_of_a_route(route: tuple[str, ...], grit: int) -> None:
    assert sanded_to(route) == grit


def test_parts_came_sanded_to_the_coarsest_of_them_where_all_are_known() -> None:
    def came(first: str, second: str) -> int:
        other = PART.replace("side", "foot").replace("Side", "Foot")
        build = build_of(HEAD + PART + first + "\n" + other + second)
        return came_sanded_to(build, (("side", 1), ("foot", 1)))

    assert came('route = ["cut", "sand 120", "sand 180"]', 'route = ["cut", "sand 150"]') == 150
    assert came('route = ["cut", "sand 180"]', "") == 0
    assert came("", "") == 0
    assert came_sanded_to(build_of(HEAD + PART), ()) == 0
    assert came_sanded_to(build_of(HEAD + PART + 'route = ["cut", "sand 180"]'), (("side", 1), ("gone", 1))) == 0


def test_titles_and_the_steps_before_a_step() -> None:
    items = start_run(build_of(BUILD)).items
    assert [items[key].title for key in ("rail:2", "peg:1", "frame:1")] == ["Rail 2 of 2", "Peg 1 of 2, left", "Frame"]
    frame, rail = items["frame:1"], items["rail:1"]
    between = frame.step("between 1")
    assert between is not None
    assert [step.id for step in frame.before(between)] == ["dry fit", "spread", "clamp", "unclamp", "finish 1"]
    assert [step.id for step in rail.before(rail.route[2])] == ["cut"], "either end may be trimmed first"
    assert (rail.does("trim"), rail.does("drill"), rail.step("drill")) == (True, False, None)
    assert (rail.copy, rail.within, rail.blank, rail.shared) == (0, "", (), frozenset())
    assert {kind: span.seconds for kind, span in frame.waits.items()} == {
        "open": 480, "clamp": 2700, "cure": 86_400, "recoat": 43_200, "dry": 604_800,
    }  # fmt: skip
    assert rail.waits == {}


@pytest.mark.parametrize(
    ("written", "steps"),
    [
        ('"glue", "drive screws"', "spread clamp drive_screws unclamp"),
        ('"glue", "sand 120", "drive screws"', "spread clamp unclamp sand_120 drive_screws"),
        ('"drive screws", "glue"', "drive_screws spread clamp unclamp"),
        ('"glue"', "spread clamp unclamp"), ('"drive screws"', "drive_screws"),
        ('"glue", "drive screws", "take screws out"', "spread clamp drive_screws unclamp take_screws_out"),
        ('"glue", "finish"', "spread clamp unclamp finish_1 between_1 finish_2"),
    ],
)  # fmt: skip
def test_screws_that_follow_the_glue_are_driven_while_the_clamps_are_on(written: str, steps: str) -> None:
    finish = 'finish = { kind = "Wiping varnish", coats = 2, sand_between = 320 }\n'
    run = start_run(build_of(HEAD + PART + JOINED + GLUE + finish + f"route = [{written}]\n"))
    route = run.items["box:1"].route
    assert " ".join(step.id.replace(" ", "_") for step in route) == steps
    driven = [step.in_clamps for step in route if step.id == "drive screws"]
    assert driven in ([], [steps.startswith("spread clamp drive")])
    assert [step.grit for step in route if step.id.startswith("between")] in ([], [320])


def test_sanding_between_coats_may_be_done_though_nobody_asked_for_it() -> None:
    finish = 'finish = { kind = "Wiping varnish", coats = 3 }\n'
    run = start_run(build_of(HEAD + PART + JOINED + GLUE + finish))
    box = run.items["box:1"]
    assert [step.id for step in box.extra] == ["between 1", "between 2"], (
        "over the last coat there is nothing to sand for"
    )
    asked = start_run(build_of(HEAD + PART + JOINED + GLUE + finish.replace("3 }", "3, sand_between = 320 }")))
    assert asked.items["box:1"].extra == ()
    assert run.items["side:1"].extra == ()
