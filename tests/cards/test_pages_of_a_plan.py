"""Where the words of a plan are put on its pages, and where a page ends: by hand, from the margins and sizes of type.

A4 is 210 × 297 mm (ISO 216). The margin is 12 mm, text 3.4 mm high; its lines are 1.4 of that apart (4.76 mm) where
parts are described, 1.45 (4.93 mm) elsewhere. The running head takes two lines.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from tests.cards.test_furniture import TWO, bench_of
from tracker.cards.picture.part_pages import Block, _headed, _paged, _wrapped
from tracker.cards.picture.plan_pages import drilling_pages, plan_pages
from tracker.cards.picture.view import View
from tracker.cards.template.page import Page
from tracker.plan.place import Placer

A4 = (210.0, 297.0)
TOP = 297 - 12 - 2 * 4.76
"""The top of the first block."""
ROOM = TOP - 12
HEAD = (12.0, pytest.approx(297 - 12 - 3.4), 3.4, "Tray: what is cut into its parts")


def said(page: Page) -> list[tuple[float, float, float, str]]:
    return [(each.x, each.y, each.size, each.text) for each in page.words]


def paged(*sections: Sequence[Block]) -> list[Page]:
    return list(_paged(sections, A4, "Tray"))


def block(height: float, text: str = "it") -> Block:
    return Block(height, (text,))


def names(page: Page) -> str:
    """The words below the running head."""
    return " ".join(each.text for each in page.words[1:])


def test_blocks_are_one_below_the_other_with_a_rule_between_sections() -> None:
    """A heading is 5 mm high and takes 7; a section ends with a rule in the middle of 4 mm."""
    (page,) = paged([_headed("Leg 1⁄2″"), block(10, "one"), block(20, "two")], [block(30, "three")])
    y = [TOP - 5, TOP - 7 - 3.4, TOP - 17 - 3.4, TOP - 41 - 3.4]
    assert said(page) == [
        HEAD,
        (12.0, pytest.approx(y[0]), 5.0, 'Leg 1/2"'),
        (12.0, pytest.approx(y[1]), 3.4, "one"),
        (12.0, pytest.approx(y[2]), 3.4, "two"),
        (12.0, pytest.approx(y[3]), 3.4, "three"),
    ]
    assert [[point for _, point in rule.path] for rule in page.strokes] == [
        [(12.0, pytest.approx(TOP - low)), (198.0, pytest.approx(TOP - low))] for low in (39, 73)
    ]
    assert [rule.width for rule in page.strokes] == [0.1, 0.1]
    assert (page.width, page.height) == A4
    assert paged() == []


def test_the_lines_of_a_block_and_its_picture() -> None:
    """A maker's picture has 110 × 62 mm, 2 mm below the words."""
    (page,) = paged([Block(90.0, ("one", "two"), file="wedge.png")])
    assert said(page)[1:] == [
        (12.0, pytest.approx(TOP - 3.4), 3.4, "one"), (12.0, pytest.approx(TOP - 4.76 - 3.4), 3.4, "two"),
    ]  # fmt: skip
    (picture,) = page.pictures
    assert picture.at == (12.0, pytest.approx(TOP - 2 * 4.76 - 62 - 2), 110.0, 62.0)
    assert picture.file == "wedge.png"


@pytest.mark.parametrize(("height", "pages"), [(ROOM - 100 - 4.01, 1), (ROOM - 100 - 3.99, 2)])
def test_a_section_with_its_foot_fits_on_the_page_or_begins_another(height: float, pages: int) -> None:
    """After 96 mm and the 4 below it."""
    found = paged([block(96, "one")], [block(height / 2, "two"), block(height / 2, "too")])
    assert [names(page) for page in found] == (["one two too"] if pages == 1 else ["one", "two too"])


@pytest.mark.parametrize(("more", "last"), [(-0.01, ["one", "two three"]), (0.01, ["one two", "three"])])
def test_a_section_longer_than_a_page_begins_where_it_is(more: float, last: list[str]) -> None:
    """With its foot of 4 mm it is as long as a page, or a hundredth longer."""
    blocks = [block(ROOM - 204 + more, "two"), block(200, "three")]
    assert [names(page) for page in paged([block(16, "one")], blocks)] == last


@pytest.mark.parametrize(
    ("left", "leads", "expected"),
    [
        (29.99, 0, ["a b c", "d e"]), (29.99, 1, ["a b", "c d e"]), (30.01, 1, ["a b c d", "e"]),
        (49.99, 2, ["a b", "c d e"]), (50.01, 2, ["a b c d e"]),
    ],
)  # fmt: skip
def test_a_heading_stays_with_what_follows_it(left: float, leads: int, expected: list[str]) -> None:
    """The heading `c` takes 10 mm, `d` and `e` take 20 each."""
    before = [block(100, "a"), block(ROOM - left - 100, "b")]
    section = [*before, Block(10.0, ("c",), leads=leads), block(20, "d"), block(20, "e")]
    assert [names(page) for page in paged(section)] == expected


def test_running_words_are_as_wide_as_the_page() -> None:
    """186 mm of letters, 0.49 × 3.4 mm each: 111 letters; the lines below begin with four spaces."""
    line, *more = _wrapped("a" * 55 + " " + "b" * 55 + " cc", 186.0)
    assert (line, more) == ("a" * 55 + " " + "b" * 55, ["    cc"])
    assert _wrapped("a" * 55 + " " + "b" * 56, 186.0) == ["a" * 55, "    " + "b" * 56]


def test_the_list_of_holes_goes_on_until_the_page_is_full() -> None:
    """A title of 6 mm, and 297 - 24 - 12 mm in lines of 4.93: 52 of them. A line has 109 letters of 1.7 mm."""
    build = bench_of(TWO).run.build
    lines = ["Depth 20", *(f"  {at}: No. 8" for at in range(1, 53)), "x" * 60 + " " + "y" * 60]
    first, second = drilling_pages(build, lines)
    title = (12.0, 297.0 - 12 - 6, 6.0, f"{build.name}: screws, dowels and bolts")
    rows = said(first)
    assert rows[0] == title
    assert len(rows) == 53
    assert rows[1] == (12.0, pytest.approx(297 - 12 - 12 - 4.93), 3.4, "Depth 20")
    assert rows[2] == (12.0, pytest.approx(297 - 24 - 2 * 4.93), 3.4, "  1: No. 8")
    assert [text for _, _, _, text in said(second)[1:]] == ["  52: No. 8", "x" * 60, "    " + "y" * 60]
    assert said(second)[0] == title
    assert [text for *_, text in said(drilling_pages(build, ["x" * 54 + " " + "y" * 54])[0])[1:]] == [
        "x" * 54 + " " + "y" * 54
    ]
    assert len(drilling_pages(build, ["x" * 54 + " " + "y" * 55])[0].words) == 3


def test_a_page_has_the_assembly_closed_above_and_pulled_apart_below() -> None:
    """Each in its half of what the words leave: the largest of both sides of the frame touches a border."""
    build = bench_of(TWO).run.build
    assembly = build.assembly("peg")
    (page,) = plan_pages(build, Placer(build), [assembly], View(24, 20))
    words = said(page)
    assert words[0] == (12.0, 297.0 - 12 - 6, 6.0, f"{build.name}: Peg")
    assert words[1] == (12.0, pytest.approx(297 - 18 - 1.5 * 4.93), 3.4, "300 mm × 60 mm × 40 mm over all, 2 pieces")
    head, lines = 297 - 12 - 6 - 2 * 4.93, len(words) - 2
    assert words[2][1] == pytest.approx(12 + lines * 4.93 - 4.93)
    assert words[-1][1] == pytest.approx(12)
    half = (head - 12 - (lines + 1) * 4.93) / 2
    faces = [stroke for stroke in page.strokes if stroke.fill is not None]
    upper, lower = faces[: len(faces) // 2], faces[len(faces) // 2 :]
    for drawn, bottom in ((upper, head - half), (lower, head - 2 * half)):
        points = [point for stroke in drawn for step, point in stroke.path if step != "close"]
        xs, ys = [point[0] for point in points], [point[1] for point in points]
        assert (min(xs) + max(xs), min(ys) + max(ys)) == pytest.approx((210, 2 * bottom + half)), "in the middle"
        free = 0.05 * half  # a picture keeps a twentieth of the shorter side free
        assert min(min(xs) - 12, min(ys) - bottom) == pytest.approx(free)
    assert all((stroke.width, stroke.pen) == (0.05, stroke.fill) for stroke in faces)
    edges = [stroke for stroke in page.strokes if stroke.fill is None]
    assert {(stroke.width, stroke.pen) for stroke in edges} == {(0.2, 0.0)}
    assert all(len(stroke.path) == 2 for stroke in edges)


def test_long_notes_leave_90_mm_less_the_margin_to_the_words_and_go_on_overleaf() -> None:
    """15 lines of 4.93 mm in 78 mm; a page without pictures has 55 in 273. The pictures have the rest, less a line."""
    rows = "\n".join(f"note {at}" for at in range(1, 100))
    build = bench_of(TWO.replace('by = "dry"', f'by = "dry"\nnotes = """\n{rows}"""')).run.build
    first, second, third = plan_pages(build, Placer(build), [build.assembly("peg")], View(24, 20))
    before = said(first)[2:]
    assert (len(before), before[0][1]) == (15, pytest.approx(12 + 78 - 4.93))
    overleaf = said(second)
    assert (len(overleaf), overleaf[0][1]) == (55, pytest.approx(297 - 12 - 4.93))
    assert said(third)[-1][3] == "note 99"
    assert len(before) + len(overleaf) + len(said(third)) == 99 + [text for *_, text in before].index("note 1")
    ys = [point[1] for stroke in first.strokes for step, point in stroke.path if step != "close"]
    half = (297 - 12 - 6 - 2 * 4.93 - 12 - 78 - 4.93) / 2
    assert min(ys) >= 12 + 78 + 4.93
    assert max(ys) <= 12 + 78 + 4.93 + 2 * half
    assert not second.strokes


def test_a_marked_piece_is_grey_and_the_others_by_their_light() -> None:
    """0.72 for the piece, otherwise white less 0.4 of what its face lacks of full light."""
    build = bench_of(TWO).run.build
    (page,) = plan_pages(build, Placer(build), [build.assembly("peg")], View(24, 20), [("block", 1)])
    greys = [stroke.fill for stroke in page.strokes if stroke.fill is not None]
    assert greys.count(0.72) == len(greys) / 2
    # From above, the front and the right of the cap are seen; full light would come from (-0.35, -0.55, 0.85).
    long = (0.35**2 + 0.55**2 + 0.85**2) ** 0.5
    shades = [0.62 + 0.38 * max(0.0, each / long) for each in (-0.35, 0.55, 0.85)]
    assert sorted({fill for fill in greys if fill != 0.72}) == pytest.approx([1 - 0.4 * (1 - each) for each in shades])
