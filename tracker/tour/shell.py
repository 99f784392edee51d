"""The tour's stops around the work: the first minute, the places behind More, the settings, the lock, the backups."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

from tracker.assets import asset_dir
from tracker.tour.guide import Guide
from tracker.words import say
from tracker.work.sync_status import SyncStatus, Tablet

PATIENCE = 60.0
SLIP = "quantitty"
"""A build file with a typing slip."""
SHELF = """
[build]
name = "One shelf"
units = "in"
[shop]
mark = "1/64"
[woods.oak]
species = "white oak"
section = "1x6"
lengths = ["8 ft"]
[[parts]]
id = "shelf"
name = "Shelf"
quantity = 1
wood = "oak"
length = "12 3/64"
"""


def first_minute(guide: Guide) -> Iterator[str]:
    """A new user is shown a sample, and three things in it."""
    from tracker.screens.overlays.first_steps import SIGHTS

    guide.let_work()
    guide.stage.run_for(0.5, 0.1)
    for at in range(len(SIGHTS)):
        yield f"00{'abc'[at]} first steps"
        guide.tap_words("Next" if at + 1 < len(SIGHTS) else "Begin")


def scan_stops(guide: Guide) -> Iterator[str]:
    """Ways to a card without a camera."""
    app = guide.app
    app.shop.settings["camera"] = "no camera"  # even if the machine that runs the tour has one
    guide.tap_words("Camera")
    end = time.perf_counter() + PATIENCE
    while app.root.screen.watching and time.perf_counter() < end:  # a separate process looks for it, in real time
        time.sleep(0.005)
        guide.stage.frames(1)
    yield "12a no camera answers"
    guide.tap_words("From a picture")
    yield "12b no picture yet"
    guide.tap_button()
    yield "12c typing a code"
    guide.leave_panel()


def behind_more(guide: Guide) -> Iterator[str]:
    """The places that aren't on the rail."""
    from tracker.screens.places.settings import SCREEN, TOGETHER

    guide.go("more")
    yield "50 more, and help"
    guide.go("settings")
    yield "51 settings"
    guide.choose_row("Hand")
    yield "52 which hand"
    guide.leave_panel()
    guide.app.root.screen.ids.list.show(SCREEN)
    guide.stage.run_for(0.3, 0.1)
    guide.choose_row("Screen")
    yield "52a how large the screen is"
    guide.tap_words("Not now")
    guide.app.root.screen.ids.list.show(TOGETHER)
    guide.stage.run_for(0.3, 0.1)
    guide.choose_row("Together")
    yield "52b on its own, without a hub"
    guide.app.together.status = _an_evening(guide)
    guide.app.redraw()
    yield "52c together, and what two did apart"
    guide.app.together.status = SyncStatus()
    guide.choose_tile("wipe")
    yield "53 wiping the screen"
    guide.app.root.children[0].close()
    guide.go("restore")
    yield "54 backups"


def _an_evening(guide: Guide) -> SyncStatus:
    """A shop with three tablets, one of which is lost, and one that was copied."""
    now = datetime.now(UTC)
    others = (
        Tablet(login="1", word="Saw", met=now, mine=True, keeper=True),
        Tablet(login="2", word="Bench", met=now, keeper=True),
        Tablet(login="3", word="Finishing", met=now - timedelta(hours=3), copied=True),
        Tablet(login="4", word="Drill", out=True),
    )
    apart = say(
        "{name} was marked as {past} on {first} and on {second} while they were apart. It counts once: "
        "look whether it was really done twice.",
        name="Foot 2",
        past=say("cut"),
        first="Bench",
        second="Saw",
    )
    guide.app.shop.keep_news([apart])
    return SyncStatus(state="together", since=now, shop="Tillerman", word="Saw", keeper=True, others=others)


def odd_files(guide: Guide) -> Iterator[str]:
    """A build file with a mistake, one with a single board that joins nothing, and two with the same name."""
    folder = guide.app.shop.library.folder
    stool = (asset_dir("sample_projects") / "stool.toml").read_text(encoding="utf-8")
    (folder / "tray.toml").write_text(stool.replace("quantity", SLIP), encoding="utf-8")
    (folder / "shelf.toml").write_text(SHELF, encoding="utf-8")
    guide.open("tray.toml")
    yield "40 a build file that can't be opened"
    guide.tap_words("OK")
    (folder / "shelf_long.toml").write_text(SHELF.replace("12 3/64", "36"), encoding="utf-8")
    guide.open("One shelf")
    guide.tap_words(say("Go to {there}", there=say("the saw")))
    yield "41 a build of one board, in 64ths"
    guide.go("glueup")
    yield "42 nothing to glue"
    guide.go("builds")
    yield "43 two builds of one name"
