"""Mistakes in places are reported with their lines."""

from __future__ import annotations

import pytest
from kit.build_text import one_wood

from tracker.design.load import load_build
from tracker.plan.place import place_problems

HEAD = (
    one_wood("Box", "mm", "oak", "white oak", "thickness = 20", "width = 100", 'lengths = ["2 m"]')
    + """\
[[parts]]
id = "post"
name = "Post"
quantity = 2
wood = "oak"
length = 300
[[parts]]
id = "odd"
name = "Odd rail"
quantity = 2
wood = "oak"
length = 200
end_a = { miter = 20 }
holes = [{ kind = "blind", end = "A", from_edge = 30, from_end = 40, diameter = 8, depth = 10 }]
[[assemblies]]
id = "box"
name = "Box"
by = "dry"
"""
)
LINE = HEAD.count("\n") + 1


def said(rows: str, joins: str = "post = 2") -> list[str]:
    loaded = load_build(f"{HEAD}joins = {{ {joins} }}\n{rows}\n")
    found = list(loaded.problems)
    if loaded.build is not None:
        found += place_problems(loaded.build)
    ours = [each for each in found if each.line >= LINE]
    assert all(each.line > LINE for each in ours), "the line of the row, not of the section"
    return [each.what for each in ours]


SIZE = "size = [400, 100, 300]\n"
AT = "at = { left = 0, front = 0 }"
APART = "count = 2, step = { right = 380 }"
UPRIGHT = 'part = "post", lies = "A up, far back", at = { left = 0 }'


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (f'[{{ part = "post", lies = "A up, B right", {APART}, {AT} }}]', "A and B are not sides of the piece square"),
        (f'[{{ part = "post", lies = "A up, far down", {APART}, {AT} }}]', "up and down are not directions square"),
        (f'[{{ part = "post", lies = "A up, fur left", {APART}, {AT} }}]', "'fur' is not a side of the piece"),
        (f'[{{ part = "post", lies = "A up", {APART}, {AT} }}]', "names two sides and where each points"),
        (f'[{{ part = "post", {AT}, mirror = "left-right" }}]', "'mirror' needs the assembly's size"),
        (f'[{{ part = "post", at = {{ left = 0, right = 5, front = 0 }}, {APART} }}]', "'left' and 'right' both say"),
        (f'[{{ part = "post", {AT} }}]', "2 of 'post' are joined, and 1 placed"),
        (f'[{{ part = "past", {AT}, {APART} }}]', "'past' is not joined here"),
        ('[{ lies = "A up, far back" }]', "says which part or assembly is placed"),
        ('[{ part = "post", count = 2 }]', "'count' needs 'row' or 'step'"),
    ],
)
def test_rows_that_make_no_sense(rows: str, words: str) -> None:
    found = said(f"place = {rows}")
    assert any(words in each for each in found), found


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("size = [400, 100]", "'size' has three measures"),
        ("trim = true", "'trim' needs the size it is trimmed to"),
        (SIZE + 'place = [{ part = "post", around = [0, 90], count = 2, row = "back" }]', "'around' says how many"),
    ],
)
def test_an_assembly_that_makes_no_sense(rows: str, words: str) -> None:
    found = said(rows)
    assert any(words in each for each in found), found


def test_pieces_that_overlap_are_named_with_how_much() -> None:
    rows = f"{SIZE}place = [{{ {UPRIGHT}, count = 2, step = {{ right = 13 }} }}]"
    assert "Box: Post 1 and Post 2 overlap by 7 mm" in said(rows)


def test_pieces_that_touch_nothing_are_named() -> None:
    found = said(f"{SIZE}place = [{{ {UPRIGHT}, {APART} }}]")
    assert found == ["Box: Post 1 touches nothing", "Box: Post 2 touches nothing"]


def test_another_size_than_the_one_meant() -> None:
    rows = f"size = [410, 100, 300]\nplace = [{{ {UPRIGHT}, {APART} }}]"
    assert "Box: 410 mm wide is meant, and its pieces make 10 mm less" in said(rows)


def test_a_mirrored_piece_that_is_another_piece() -> None:
    rows = f'{SIZE}place = [{{ part = "odd", {AT}, mirror = "left-right" }}]'
    assert "Box: a mirrored Odd rail isn't the same piece" in said(rows, "odd = 2")


def test_a_piece_that_is_its_own_mirror_image_may_be_mirrored() -> None:
    rows = f'{SIZE}place = [{{ {UPRIGHT}, mirror = "left-right" }}]'
    assert [each for each in said(rows) if "mirrored" in each] == []


def test_a_trim_that_leaves_nothing_of_a_piece() -> None:
    row = 'part = "post", at = { left = 0 }, count = 2, step = { right = 400 }'
    rows = f"size = [300, 100, 20]\ntrim = true\nplace = [{{ {row} }}]"
    assert "Box: trimming to its size leaves nothing of a Post" in said(rows)


def test_a_heap_of_pieces_in_one_place_is_not_compared_for_minutes() -> None:
    loaded = load_build(
        HEAD.replace("quantity = 2", "quantity = 400", 1)
        + f'joins = {{ post = 400 }}\n{SIZE}place = [{{ {UPRIGHT}, count = 400, step = {{ right = "0.1 mm" }} }}]\n'
    )
    assert loaded.build is not None
    assert any("they aren't compared" in each.what for each in place_problems(loaded.build))


def test_trimmed_needs_the_size_that_it_is_trimmed_to() -> None:
    assert said("trim = true") == ["Box: 'trim' needs the size it is trimmed to"]
    assert said("trim = false") == []
