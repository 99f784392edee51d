"""Routes that a build's features need, and impossible routes."""

from __future__ import annotations

from work.one_tablet import BUILD, towel_frame

from tracker.design.load import load_build
from tracker.work.routes import check_routes
from tracker.work.run import start_run


def problems_of(text: str) -> list[str]:
    build = load_build(text).build
    assert build is not None
    return [problem.what for problem in check_routes(build)]


def test_features_make_the_route() -> None:
    items = towel_frame().items
    assert [step.id for step in items["peg:1"].route] == ["cut", "drill"]
    assert [step.id for step in items["frame:1"].route] == [
        "dry fit", "spread", "clamp", "unclamp", "finish 1", "finish 2",
    ]  # fmt: skip


def test_codes_are_the_same_on_every_tablet_and_differ_between_pieces_and_runs() -> None:
    first, again = towel_frame(), towel_frame()
    assert first.codes == again.codes
    assert len(set(first.codes.values())) == len(first.items)
    assert not set(start_run(first.build, 2).codes.values()) & set(first.codes.values())


def test_a_board_on_the_rack_has_a_code_that_no_piece_can_have() -> None:
    board = '[[rack]]\nwood = "ash"\nlength = 815\nname = "1"\n'
    part = '[[parts]]\nid = "rack"\nname = "Rack"\nwood = "ash"\nlength = 90\n'
    build = load_build(f"{BUILD}\n{board}{part}").build
    assert build is not None
    run = start_run(build)
    assert {"rack:1", "rack/1"} <= set(run.codes)
    assert run.codes["rack:1"] != run.codes["rack/1"]
    found = run.board_of(run.codes["rack/1"])
    assert found is not None
    assert found.name == "1"
    assert run.by_code[run.codes["rack:1"]] == "rack:1"
    assert run.codes["rack/1"] not in run.by_code
    assert run.board_of(run.codes["rack:1"]) is None


def test_a_route_in_the_wrong_order_is_a_problem_at_its_line() -> None:
    text = BUILD.replace("allowance = 20", 'allowance = 20\nroute = ["trim", "cut"]')
    build = load_build(text).build
    assert build is not None
    found = check_routes(build)
    assert [problem.what for problem in found] == ["Rail: 'trim' comes before 'cut'"]
    assert text.splitlines()[found[0].line - 1].startswith("route")


def test_finish_before_sanding_is_a_problem() -> None:
    assert problems_of(
        BUILD.replace('cure_time = "24 h"', 'cure_time = "24 h"\nroute = ["glue", "finish", "sand 180"]')
    )


def test_a_finish_without_a_kind_is_a_problem() -> None:
    lines = [line for line in BUILD.splitlines() if not line.startswith("finish")]
    found = problems_of(
        "\n".join(lines).replace('cure_time = "24 h"', 'cure_time = "24 h"\nroute = ["glue", "finish"]')
    )
    assert found == ["Frame: the route finishes, but no finish is named"]
