"""What each screen is for, short enough to read while the saw runs down."""

from __future__ import annotations

from tracker.words import say

HELP: dict[str, str] = {
    "station": say(
        "Tap a number or scan a label: the big number is the size to set. Tap the blue button once it is done, "
        "All work for the rest by setup, and the drawing for how the piece lies."
    ),
    "glueup": say(
        "Choose an assembly; scan its pieces in. Glue on, clamps on, clamps off: each tap starts the next timer."
    ),
    "boards": say(
        "Which piece comes from which board, cut by cut from end A. Tick off each cut. Ruined a piece? The "
        "rest is planned again."
    ),
    "scan": say("Hold the label to the camera, use a handheld scanner, or type the ten characters on it."),
    "builds": say(
        "Tap a build to work on it. Your own build files, and cut lists to make one from, go into the folder "
        "named below the list."
    ),
    "labels": say(
        "A label for every piece. Choose the sheet, print it, stick one on each blank as it comes off the saw. "
        "Other labels has full-size templates, too."
    ),
    "shopping": say(
        "What to buy, with the waste that is usual for the wood, and what it costs. Tap a line once bought."
    ),
    "clocks": say("All timers. Go by the label on the bottle. A timer that has run out calls until somebody answers."),
    "history": say("All that happened, newest first. Anything can be undone unless later work depends on it."),
    "restore": say("Tap a backup to see what restoring would change, then hold the button. Nothing is thrown away."),
    "together": say(
        "Every tablet of the shop shows what was done on the others. Alone, each goes on working: all is kept "
        "here, and goes over by itself once the hub is reached."
    ),
    "settings": say("How this tablet works. The build file overrides saw and tape settings."),
}
"""By the name of the screen."""


def help_for(place: str) -> str:
    """A few sentences about a screen; for a screen without help, those of the station."""
    return HELP.get(place, HELP["station"])
