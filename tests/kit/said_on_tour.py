"""The tour in one look, without pixels, in a separate process: the visible texts at each stop, as JSON.

python -m kit.said_on_tour FILE         in the language of KERFCARD_LANGUAGE
"""

from __future__ import annotations

import json
import os
import sys
import tempfile
from pathlib import Path

from kit import display

os.environ["KERFCARD_TEST_DISPLAY"] = "null"
display.environment()
display.open_window()

from kivy.core.window import Window  # noqa: E402

from kit.boxes import words  # noqa: E402
from tracker.tour.guide import Guide  # noqa: E402
from tracker.tour.headless import HandTime, Stage  # noqa: E402
from tracker.tour.itinerary import itinerary  # noqa: E402
from tracker.tour.looks import SCREEN_SIZES, Look, app_with  # noqa: E402
from tracker.tour.pictures import TourClock  # noqa: E402


def main(file: Path, look: Look) -> None:
    """Go through every screen; the file is written after each one, so that it shows how far the tour got."""
    time = HandTime()
    width, height, dpi = SCREEN_SIZES[look.screen]
    seen: dict[str, list[str]] = {}
    with tempfile.TemporaryDirectory() as home:
        os.environ["HOME"] = home
        stage = Stage(app_with(look, Path(home) / "kerfcard", TourClock(time)), time)
        stage.start()
        stage.resize(width, height, dpi)
        for name in itinerary(Guide(stage.app, stage)):
            stage.run_for(1.0, 0.1)
            seen[name] = [each.text for child in list(Window.children) for each in words(child)]
            file.write_text(json.dumps(seen), encoding="utf-8")
        stage.stop()
    time.forget()


if __name__ == "__main__":
    main(Path(sys.argv[1]), Look(sys.argv[2] if len(sys.argv) > 2 else "1920x1200"))
