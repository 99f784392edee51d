"""`kerfcard open`, and `kerfcard` alone: the touch app."""

from __future__ import annotations

from pathlib import Path

import click

from tracker.cli.arguments import FILE, load_or_exit
from tracker.cli.output import stop
from tracker.cli.record import home

IN_WINDOW = click.option("--window", is_flag=True, help="Open a window, for a desk; else the app fills the screen.")


@click.command("open")
@FILE
@IN_WINDOW
def open_(file: Path, window: bool) -> None:
    """Open the touch app on a build file."""
    load_or_exit(file)
    open_app(file, window)


def open_app(file: Path | None, window: bool) -> None:
    """Open the touch app and return when it is closed; exit 1 if there is no screen or no record can be kept."""
    from tracker.screens.display import NoDisplayError
    from tracker.screens.start import run_app

    try:
        run_app(home(), file, full_screen=not window)
    except NoDisplayError as missing:
        stop(f"{missing} `kerfcard tour -o FOLDER` needs no screen: it saves pictures of every one of the app's.")
    except OSError as error:
        stop(f"Kerfcard can't keep its record in {home()}: {error}. KERFCARD_HOME names another folder.")
