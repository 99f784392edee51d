"""Own steps: any words, at their place in the route, with numbers, notes and a jig that is made first."""

from __future__ import annotations

from fractions import Fraction

import pytest
from kit.build_text import one_wood

from tracker.design import load_build
from tracker.design.model import Build
from tracker.measure import Span, inches
from tracker.work.routes import assembly_route, check_routes, part_route

HEAD = (
    one_wood("Hub table", "in", "oak", "white oak", 'section = "4/4"', "width = 6", 'lengths = ["8 ft"]')
    + """\
[[parts]]
id = "arm"
name = "Arm"
quantity = 4
wood = "oak"
length = 20
allowance = 1
"""
)
TAIL = """
[[parts]]
id = "template"
wood = "oak"
length = 12
[[assemblies]]
id = "hub"
joins = { arm = 4 }
by = "dry"
"""


def told(lines: str) -> list[str]:
    """Every problem of a file whose first part has these lines, with its line number."""
    loaded = load_build(HEAD + lines + TAIL)
    found = [*loaded.problems, *(check_routes(loaded.build) if loaded.build else ())]
    first = HEAD.count("\n") + 1
    return [f"{each.line - first}: {each.what}" for each in found if each.kind == "problem"]


def built(lines: str, assembly: str = "") -> Build:
    loaded = load_build(HEAD + lines + TAIL + assembly)
    assert loaded.build is not None, loaded.problems
    assert check_routes(loaded.build) == ()
    return loaded.build


def route(lines: str) -> tuple[str, ...]:
    build = built(lines)
    return part_route(build.part("arm"), build.wood("oak"))


def test_a_step_comes_after_or_before_what_it_says_and_several_keep_their_order() -> None:
    assert route('steps = [{ do = "mark the face", before = "cut" }]') == ("mark the face", "cut", "trim")
    after = 'steps = [{ do = "Bandsaw the curve", after = "cut" }, { do = "fair it", after = "cut" }]'
    assert route(after) == ("cut", "Bandsaw the curve", "fair it", "trim")
    chained = 'steps = [{ do = "fair it", after = "saw it out" }, { do = "saw it out", after = "cut" }]'
    assert route(chained) == ("cut", "saw it out", "fair it", "trim")


def test_a_step_without_a_place_comes_after_all_that_shapes_the_piece_and_before_sanding() -> None:
    own = 'steps = [{ do = "sand the curve by hand" }]'
    assert route(own) == ("cut", "trim", "sand the curve by hand")
    assert route(f'route = ["cut", "trim", "sand 120"]\n{own}') == ("cut", "trim", "sand the curve by hand", "sand 120")


def test_a_route_may_name_own_steps_itself() -> None:
    lines = 'route = ["cut", "Wet the grain", "trim"]\nsteps = [{ do = "wet the grain", station = "sanding" }]'
    assert route(lines) == ("cut", "wet the grain", "trim")


def test_an_assembly_has_own_steps_before_its_finish() -> None:
    finish = 'finish = { kind = "shellac" }\nprove = ["flat"]\nsteps = [{ do = "plane it flush" }]\n'
    build = built("", finish)
    assert assembly_route(build, build.assembly("hub")) == ("dry fit", "plane it flush", "finish", "prove")


def test_numbers_are_lengths_angles_and_times() -> None:
    numbers = '{ radius = "2 1/2", tilt = "15 deg", slope = "1:1", soak = "20 min", set = "= 1 / 4" }'
    step = built(f'steps = [{{ do = "bend it", numbers = {numbers} }}]').part("arm").steps[0]
    assert dict(step.numbers) == {
        "radius": inches(Fraction(5, 2)), "tilt": 15.0, "slope": pytest.approx(45.0), "soak": Span(1200),
        "set": inches(Fraction(1, 4)),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("lines", "problem"),
    [
        ('steps = [\n{ do = "cut" }]', "1: Arm: steps: do: 'cut' is an operation that is known"),
        ('steps = [\n{ do = "a" },\n{ do = "A" }]', "2: Arm: steps: two steps are called 'A'"),
        ('steps = [\n{ after = "cut" }]', "1: Arm: steps: 'do' is missing"),
        ('steps = [\n\n{ do = "a", after = "drill" }]', "2: Arm: 'a' comes after 'drill', which isn't in the route"),
        ('steps = [\n{ do = "a", after = "b" },\n{ do = "b", after = "a" }]', "1: Arm: 'a' comes after 'b'"),
        ('steps = [\n{ do = "a", after = "cut", before = "trim" }]', "1: Arm: steps: 'after' and 'before' both say"),
        ('steps = [\n{ do = "a", station = "kitchen" }]', "1: Arm: steps: station: can't be 'kitchen'"),
        ('steps = [\n{ do = "a", picture = "../hub.png" }]', "1: Arm: steps: picture: must be a PNG or JPEG file"),
        ('steps = [\n{ do = "a", picture = "hub.svg" }]', "1: Arm: steps: picture: must be a PNG or JPEG file"),
        ('steps = [\n{ do = "a", numbers = { r = "wide" } }]', "1: Arm: steps: numbers: r: can't read"),
        ('steps = [\n{ do = "a", jig = "templat" }]', "1: Arm: steps: no part or assembly is called 'templat'"),
        ('steps = [\n{ do = "a", jig = "arm" }]', "1: Arm: steps: 'arm' would have to be made before itself"),
        ('steps = [\n{ do = "a", jig = "hub" }]', "1: Arm: steps: 'hub' would have to be made before itself"),
        ('notes = { "drill" = "x" }', "0: Arm: there is a note on 'drill', which isn't in the route"),
        ('steps = [\n{ do = "a", tol = "x" }]', "1: Arm: steps: 'tol' is not known here"),
    ],
)
def test_what_is_wrong_is_told_at_its_line(lines: str, problem: str) -> None:
    assert [each[: len(problem)] for each in told(lines)][:1] == [problem]


def test_a_jig_is_joined_to_nothing_and_nobody_asks_why() -> None:
    lines = 'steps = [{ do = "a", jig = "template" }]'
    assert [each.what for each in load_build(HEAD + lines + TAIL).problems] == []
    assert any("no assembly joins 'template'" in each.what for each in load_build(HEAD + TAIL).problems)


def test_notes_speak_of_one_step() -> None:
    part = built('notes = { trim = "Mark the inside corner first." }').part("arm")
    assert (part.notes, part.step_notes) == ("", (("trim", "Mark the inside corner first."),))
    assert built('notes = "As before."').part("arm").notes == "As before."


def test_a_note_of_a_step_has_words() -> None:
    notes = built('notes = { cut = "", trim = "mark end A" }').part("arm").step_notes
    assert notes == (("trim", "mark end A"),)
    plain = built('notes = "all of it"').part("arm")
    assert (plain.notes, plain.step_notes) == ("all of it", ())
