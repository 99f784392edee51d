"""The page about the build file is right: its examples load, and its tables are the program's."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tracker.design import load_build
from tracker.design.one_blank import needs_thickness
from tracker.design.route_words import OPERATIONS
from tracker.design.sections.cuts import FLATTEST_CORNER, JOINTS, SHARPEST_CORNER
from tracker.design.sections.features import KEYS, OTHER_NAMES
from tracker.design.tables.finishes import FINISHES, finish_named
from tracker.design.tables.glues import GLUES, glue_named
from tracker.design.tables.grades import GRADES
from tracker.design.tables.lumber import section_named
from tracker.measure import inches, parse_span
from tracker.plan.feasibility import check
from tracker.plan.outline import outline_problems
from tracker.work.routes import check_routes, part_route

PAGE = (Path(__file__).parents[2] / "sample_projects" / "BUILD_FILE.md").read_text("utf-8")
TEXT = " ".join(PAGE.split())


def rows(head: str) -> list[list[str]]:
    """The cells of the table whose head begins with these words."""
    table = PAGE[PAGE.index(f"| {head} |") :].partition("\n\n")[0]
    return [[cell.strip() for cell in row.strip("| ").split("|")] for row in table.splitlines()[2:]]


EXAMPLES = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)


def example_with(words: str) -> str:
    """The only example that contains these words."""
    (found,) = (each for each in EXAMPLES if words in each and each not in EXAMPLES[:2])
    return str(found)


def test_its_quick_start_loads_and_fits_a_screen() -> None:
    loaded = load_build(EXAMPLES[0])
    assert loaded.build is not None
    assert loaded.problems == ()
    assert [each for each in check(loaded.build) if each.kind == "problem"] == []
    assert EXAMPLES[0].count("\n") <= 36


def test_its_example_is_a_good_build_file() -> None:
    example = EXAMPLES[1]
    assert load_build(example).problems == ()


def test_its_example_of_places_loads() -> None:
    example = example_with("place = [")
    head = '[build]\nname = "x"\nunits = "in"\n[woods.oak]\nspecies = "ash"\nsection = "2x2"\nlengths = ["8 ft"]\n'
    parts = "".join(
        f'[[parts]]\nid = "{name}"\nquantity = {count}\nwood = "oak"\nlength = 16\n'
        for name, count in (("leg", 2), ("rail", 1))
    )
    assert load_build(head + parts + example).problems == ()


def test_its_example_of_air_and_loads_loads() -> None:
    example = example_with("[[loads]]")
    head = (
        '[build]\nname = "x"\nunits = "mm"\n[woods.oak]\nspecies = "white oak"\nsection = "1x12"\nlengths = ["8 ft"]\n'
    )
    part = '[[parts]]\nid = "shelf"\nwood = "oak"\nlength = 920\n'
    assert [each.kind for each in load_build(head + part + example).problems] == ["note"]  # nothing is joined


def test_its_example_of_screws_dowels_and_bolts_loads() -> None:
    example = example_with('kind = "dowel"')
    head = (
        '[build]\nname = "x"\nunits = "in"\n[woods.oak]\nspecies = "white oak"\nsection = "1x4"\nlengths = ["8 ft"]\n'
    )
    loaded = load_build(head + example)
    assert loaded.build is not None
    kinds = [hole.kind for hole in loaded.build.part("rail").holes]
    assert kinds == ["pocket", "pocket", "screw", "screw", "dowel", "dowel", "dowel", "bolt"]


def test_its_example_of_outlines_loads_and_fits() -> None:
    example = example_with("[[outlines]]")
    head = '[build]\nname = "x"\nunits = "mm"\n[woods.ash]\nspecies = "ash"\nsection = "38x300"\nlengths = ["3 m"]\n'
    part = '[[parts]]\nid = "board"\nquantity = 3\nwood = "ash"\nlength = 1000\nsequence = "panel"\n'
    panel = '[[assemblies]]\nid = "panel"\njoins = { board = 3 }\nby = "dry"\n'
    build = load_build(head + part + panel + example).build
    assert build is not None
    assert [each for each in outline_problems(build) if each.kind == "problem"] == []


def test_its_example_of_own_steps_loads() -> None:
    head = '[build]\nname = "x"\nunits = "in"\n[woods.oak]\nspecies = "ash"\nsection = "2x4"\nlengths = ["8 ft"]\n'
    loaded = load_build(head + example_with("bandsaw the curve"))
    assert [each.kind for each in loaded.problems] == ["note"]  # nothing is joined
    assert loaded.build is not None
    assert check_routes(loaded.build) == ()
    assert [row[0] for row in rows("key of a step")] == [
        "`do`", "`after`, `before`", "`station`", "`numbers`", "`notes`, `tool`", "`jig`", "`picture`",
    ]  # fmt: skip


def test_its_example_of_fastenings_loads() -> None:
    example = example_with("fastens.top")
    head = '[build]\nname = "x"\nunits = "in"\n[woods.oak]\nspecies = "ash"\nsection = "1x12"\nlengths = ["8 ft"]\n'
    parts = "".join(
        f'[[parts]]\nid = "{name}"\nwood = "oak"\nlength = 16\n' for name in ("base", "top", "door", "panel", "bearer")
    )
    problems = load_build(head + parts + example).problems
    assert [each.what for each in problems] == ["no assembly joins 'bearer'"]


def test_its_example_of_resawing_loads() -> None:
    """Two leaves of 3/4 in, 1/8 in planed off each and a kerf of 1/16 are the 1 13/16 in that 8/4 gives."""
    loaded = load_build('[build]\nname = "x"\nunits = "in"\n' + example_with("resaw = {"))
    assert [each.kind for each in loaded.problems] == ["note"]
    assert loaded.build is not None
    part = loaded.build.part("panel")
    assert part.resaw is not None
    assert part_route(part, loaded.build.wood("walnut")) == ("cut", "joint", "resaw", "rest", "plane", "rip")
    assert needs_thickness(part) == loaded.build.wood("walnut").thickness


def test_its_example_of_rough_wood_loads() -> None:
    head = '[build]\nname = "x"\nunits = "in"\n'
    part = '[[parts]]\nid = "rail"\nwood = "oak"\nlength = 20\nwidth = 2\n'
    loaded = load_build(head + example_with('grade = "FAS"') + part)
    assert [each.what for each in loaded.problems] == ["no assembly is given: the pieces are cut and nothing is joined"]
    for grade, row in zip(GRADES, rows("grade"), strict=True):
        said = [grade.name, f"{float(grade.narrowest.per('in')):g} in wide", f"{int(grade.clear * 100)} %"]
        assert row == [*said, f"{grade.over.least} to {grade.over.most} %"]


def test_its_example_of_features_loads_and_fits() -> None:
    head = '[build]\nname = "x"\nunits = "in"\n[woods.oak]\nspecies = "ash"\nsection = "1x4"\nlengths = ["8 ft"]\n'
    build = load_build(head + example_with('kind = "mortise"')).build
    assert build is not None
    assert [each for each in check(build) if each.kind == "problem"] == []
    named = {word for row in rows("kind | needs | may have") for word in re.findall(r"`(\w+)`", row[0])}
    assert named == {*KEYS, *OTHER_NAMES}


def test_its_glues_are_the_glue_table() -> None:
    table = rows("glue")
    assert [row[0] for row in table] == [glue.name for glue in GLUES]
    for row, glue in zip(table, GLUES, strict=True):
        assert [parse_span(cell) for cell in row[1:4]] == [glue.open_time, glue.clamp_time, glue.cure_time]
        assert row[4] == f"{glue.coldest:g} °C"
        assert all(glue_named(name) is glue for name in row[5].split(", "))


def test_its_finishes_are_the_finish_table() -> None:
    table = rows("finish")
    assert [row[0].removesuffix(" †") for row in table] == [finish.name for finish in FINISHES]
    for row, finish in zip(table, FINISHES, strict=True):
        assert row[1] == str(finish.coats)
        assert [parse_span(cell) for cell in row[2:4]] == [finish.recoat, finish.cure]
        assert row[0].endswith("†") is finish.rags_heat
        assert all(finish_named(name) is finish for name in row[4].split(", "))


@pytest.mark.parametrize(
    ("name", "thickness"),
    [("4/4", "13/16"), *re.findall(r"`(\d+/4)` (\d[ \d]*/?\d*)", TEXT[TEXT.index("`5/4` 1 1/16") :][:160])],
)
def test_its_hardwood_thicknesses_are_the_table(name: str, thickness: str) -> None:
    assert section_named(name).thickness == inches(thickness)


def test_it_names_every_joint_and_every_measure_of_a_taper() -> None:
    ends = TEXT[TEXT.index("### Ends and joints") : TEXT.index("### Tapers")]
    assert all(f"`{joint}`" in ends for joint in JOINTS)
    assert f"from {SHARPEST_CORNER:g} to {FLATTEST_CORNER:g}°" in ends
    assert [row[0] for row in rows("key | means")] == ["`start` or `length`", "`leave`", "`angle`"]


def test_it_names_every_operation() -> None:
    routes = TEXT[TEXT.index("### Routes") : TEXT.index("### Assemblies")]
    assert all(f"`{operation}`" in routes for operation in OPERATIONS)
