"""What each screen is for, short enough to be read while the saw runs down."""

from __future__ import annotations

HELP: dict[str, str] = {
    "station": "What can be done here, grouped by setup. Tap a piece or scan its label: the large number is what to "
    "cut to. Tap the blue button once it is done, and the drawing for how the piece lies on the saw.",
    "glueup": "Choose an assembly; scan its pieces in. Spread, clamps on, clamps off: each tap starts the clock that "
    "the next one waits for.",
    "boards": "Which piece comes from which board, cut by cut from end A. Tick off each cut. Spoiled one? The rest is "
    "planned anew.",
    "scan": "Hold the label to the camera, pull the trigger of a scanner, or type the ten signs under it.",
    "builds": "Tap a build to work on it. Your own build files go into the folder named below the list.",
    "labels": "A label for every piece. Choose the sheet, print it, stick one on each blank as it comes off the saw.",
    "shopping": "What to buy, with the waste that is usual for the wood, and what it costs where prices are known.",
    "clocks": "Every wait. The label on the bottle governs. A clock that is over calls until somebody answers.",
    "history": "All that happened, newest first. Anything can be taken back unless something was built on it.",
    "restore": "Tap a backup to see what putting it back would mean, then hold the button. Nothing is thrown away.",
    "settings": "How this tablet works. What a build file says of saw and tape goes before.",
}
"""By the name of the screen."""


def help_for(place: str) -> str:
    """A few sentences on a screen; on the station for one that has none."""
    return HELP.get(place, HELP["station"])
