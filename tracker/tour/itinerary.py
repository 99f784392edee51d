"""The way through every screen of the app."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.tour.boards import boards
from tracker.tour.glueup import finish_and_prove, glue_up, outline_stops
from tracker.tour.guide import Guide
from tracker.tour.piece import piece_stops
from tracker.tour.shell import behind_more, first_minute, odd_files, scan_stops
from tracker.tour.wood import rough_wood


def itinerary(guide: Guide) -> Iterator[str]:
    """Go through every screen; yields the name of what is on the screen."""
    app = guide.app  # one long function: one line for each tap, one for each picture
    yield from first_minute(guide)
    guide.go("builds")
    guide.let_work()  # rows and furniture are made beside the screen
    yield "01 builds"
    guide.open("Doorstep planter")
    yield "02 queue and card at the saw"
    guide.open_item("side:1")
    guide.tap_button()
    yield "02a on to the next of the same setting"
    guide.open_item("side:1")
    yield "03 trimming a leaning side"
    guide.show_lay()
    yield "04 how it lies on the saw"
    guide.leave_panel()
    guide.go("station")
    yield "05 choosing a station"
    guide.leave_panel()
    guide.open_item("ring:1")
    yield "06 what waits for what"
    guide.tap_button()
    yield "07 going ahead anyway"
    guide.leave_panel()
    yield from glue_up(guide)
    guide.go("labels")
    yield "11 labels"
    guide.tap_button()
    guide.let_work()
    yield "11a labels to print"
    guide.tap_words("Other labels")
    yield "11b other labels"
    guide.leave_panel()
    guide.go("scan")
    yield "12 scan"
    yield from scan_stops(guide)
    app.scanned("ABCDE12345")
    yield "13 a code that is not ours"
    guide.open("Kitchen stool")
    guide.tap_button()
    guide.open_item("leg:1")
    yield "14 stool leg"
    yield from piece_stops(guide)
    yield from outline_stops(guide)
    yield from finish_and_prove(guide)
    guide.open("Hall bench")
    yield "15 hall bench at the saw"
    yield from boards(guide)
    yield from rough_wood(guide)
    guide.open("Hall bench")
    guide.move_to_station("Finishing")
    yield "16 nothing ready here"
    yield from behind_more(guide)
    yield from odd_files(guide)
