"""A list longer than its room: the rows in view can be read, and the list shows that there are more."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import pytest
from kit import boxes, walk
from kit.driver import Driver
from kit.one_widget import app_of

from tracker.screens.toolkit.buttons import SmallButton
from tracker.screens.toolkit.list_rows import Cell, GroupRow, ListRow, RowView, StripCell
from tracker.screens.toolkit.lists import QueueList

MANY = [RowView(title=f"Leg {n} of 40", subtitle="600 mm", tone="ready", key=n) for n in range(1, 41)]


@pytest.fixture
def driver(run_app: Callable[..., Driver]) -> Driver:
    """A list of forty rows that fills the screen."""
    driver = run_app(app_of(lambda: QueueList(rows=MANY)))
    driver.run_for(0.5, 0.1)
    return driver


def rows_of(driver: Driver) -> list[ListRow]:
    """The rows that the list holds now, in view or just outside."""
    return [row for row in driver.find(ListRow) if row.get_root_window()]


def read(driver: Driver) -> list[int]:
    """The rows with both lines drawn."""
    return sorted(row.key for row in rows_of(driver) if len(boxes.words(row)) == 2)


def test_every_row_can_be_read_by_the_button_alone(driver: Driver) -> None:
    seen = set(read(driver))
    for way in ("Down", "Up"):
        while not driver.find_text(way).disabled:
            driver.tap_text(way)
            seen |= set(read(driver))
            assert not driver.judge(walk.cut_words)
        assert seen == set(range(1, 41))
        seen = set(read(driver))


def test_a_swipe_comes_to_rest_on_a_whole_row(driver: Driver) -> None:
    view = driver.app.root.ids.view
    x, y = view.to_window(*view.center)
    for far in (40, 95, 150, 333):
        driver.swipe((x, y), (x, y + far), 0.4)
        driver.run_for(2.0, 0.1)
        tops = [row.to_window(row.x, row.top)[1] for row in rows_of(driver)]
        assert min(abs(top - view.to_window(view.x, view.top)[1]) for top in tops) < 2
        assert not driver.judge(walk.cut_words)


def test_a_list_says_where_it_goes_on(driver: Driver) -> None:
    rows = driver.app.root
    assert (rows.more_above, rows.more_below) == (False, True)
    driver.tap_text("Down")
    assert (rows.more_above, rows.more_below) == (True, True)
    rows.show(40)
    driver.frames(3)
    assert (rows.more_above, rows.more_below) == (True, False)
    rows.rows = MANY[:1]
    driver.run_for(0.5, 0.1)
    assert (rows.more_above, rows.more_below) == (False, False)


def test_a_row_that_cant_be_read_is_shown_before_it_is_chosen(driver: Driver) -> None:
    chosen: list[int] = []
    rows = driver.app.root
    rows.bind(on_choose=lambda _rows, key: chosen.append(key))
    view = rows.ids.view
    row = next(row for row in rows_of(driver) if row.key == 5)
    rows._begin_at(4 * (row.height + rows.ids.rows.spacing) + 0.8 * row.height)
    driver.frames(3)
    assert 5 not in read(driver)
    place = view.to_window(view.center_x, view.top - 0.1 * row.height)
    driver.tap(place)
    assert not chosen
    assert 5 in read(driver)
    driver.tap(next(row for row in rows_of(driver) if row.key == 5))
    assert chosen == [5]


@pytest.mark.parametrize("hand", ["right", "left"])
def test_in_portrait_the_buttons_are_below_a_high_list_and_beside_a_low_one(
    hand: str, run_app: Callable[..., Driver]
) -> None:
    """A row of buttons takes 18 mm of the height; beside the rows they take 25 mm of the width, under the hand."""
    driver = run_app(app_of(lambda: QueueList(rows=MANY)), (1200, 1920), 224.0)
    driver.app.theme.window = (1200, 1920)
    driver.run_for(0.5, 0.1)
    queue = driver.app.root
    queue.handedness = hand  # what kv/shell.kv binds, which isn't loaded for a list alone
    for high_mm in (217, 70):
        queue.size_hint_y, queue.height = None, high_mm * driver.app.theme.mm
        driver.run_for(0.5, 0.1)
        rows = boxes.box_of(queue.ids.view)
        for way in ("Up", "Down"):
            button = boxes.box_of(driver.find_text(way, SmallButton))
            if high_mm > 80:
                assert button.high <= rows.low
                assert rows.width == pytest.approx(queue.width)
            else:
                assert button.left >= rows.right if hand == "right" else button.right <= rows.left
        assert driver.judge(*walk.ALL_RULES) == []


def test_rows_of_a_closed_app_never_come_back_in_the_next(run_app: Callable[..., Driver]) -> None:
    """Its lists may still exist and change: the report of a failed test, for example, keeps them."""
    first = run_app(app_of(lambda: QueueList(rows=MANY)), (1920, 1200), 224.0)
    first.run_for(0.5, 0.1)
    old, theme, theirs = first.app.root, first.app.theme, set(rows_of(first))
    first.stop()
    old.rows = MANY[:1]  # and so most of its rows are spare when the next app's list wants some
    second = run_app(app_of(lambda: QueueList(rows=MANY)), (1280, 800), 149.0)
    second.run_for(0.5, 0.1)
    second.app.root.rows = MANY[::-1]
    second.run_for(0.5, 0.1)
    assert theme is not second.app.theme
    assert rows_of(second)
    assert not theirs.intersection(rows_of(second))
    assert all(row.mm == second.app.theme.mm and row.palette is second.app.theme.palette for row in rows_of(second))


def test_a_long_strip_gets_all_its_numbers_a_few_a_frame(run_app: Callable[..., Driver]) -> None:
    """Making all cells of a large batch in one frame once delayed the screen."""
    cells = tuple(Cell(key=n, text=str(n), tone="ready") for n in range(1, 41))
    driver = run_app(app_of(lambda: QueueList(rows=MANY[:2])))
    driver.app.root.rows, driver.app.root.selected = [RowView(title="Legs", cells=cells)], 3
    shown = [0]
    while shown[-1] < len(cells) and len(shown) < 20:
        driver.frames(1)
        shown.append(len(driver.find(StripCell)))
    assert max(after - before for before, after in pairwise(shown)) <= 12
    assert [cell.key for cell in sorted(driver.find(StripCell), key=lambda cell: (-cell.y, cell.x))] == [*range(1, 41)]
    assert [cell.key for cell in driver.find(StripCell, chosen=True)] == [3]


def test_a_heading_is_drawn_only_with_the_row_below_it(run_app: Callable[..., Driver]) -> None:
    """At the foot of a list a heading alone looks like the last of them."""
    rows = [row for n in range(1, 9) for row in (RowView(title=f"Setting {n}", group=True), MANY[n])]
    driver = run_app(app_of(lambda: QueueList(rows=rows)))
    driver.run_for(0.5, 0.1)
    seen = set()
    for _ in range(12):
        drawn = [text.text for row in driver.find(GroupRow) if row.get_root_window() for text in boxes.words(row)]
        legible = {title.text.replace("\xa0", " ") for row in rows_of(driver) for title in boxes.words(row)}
        for heading in drawn:
            number = int(heading.split()[-1])
            assert any(f"Leg {number + 1} of 40" in title for title in legible), heading
            seen.add(number)
        if driver.find_text("Down").disabled:
            break
        driver.tap_text("Down")
    assert seen == set(range(1, 9))
