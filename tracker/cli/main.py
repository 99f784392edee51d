"""The command `kerfcard`: every computation without the touch screen, for planning at a desk and for checks.

Exit code 0 for success, 1 for a wrong file or request, 2 for a wrong command line. Problems go to standard error, one
on each line as `file:line: problem (hint)`; with --json one JSON document, and nothing else, goes to standard output.
"""

from __future__ import annotations

import errno
import sys
from importlib import import_module

import click

COMMANDS = {
    "open": ("open.open_", "Open the touch app on a build file."),
    "check": ("check.check", "Say what is wrong with a build file."),
    "cards": ("cards.cards", "List every piece with its sizes, angles and route."),
    "setups": ("setups.setups", "List the saw's settings in the order of work."),
    "boards": ("boards.boards", "Plan which pieces come from which board."),
    "picture": ("picture.picture", "Draw the furniture from its pieces."),
    "screws": ("screws.screws", "List every screw with its place and what it comes near to."),
    "wood": ("wood.wood", "Say how the wood moves, opens, carries and stands."),
    "template": ("template.template", "Draw a curved piece at full size on paper."),
    "labels": ("labels.labels", "Print label sheets."),
    "scan": ("scan.scan", "Read the codes in pictures of labels."),
    "tour": ("tour.tour", "Save a picture of every screen."),
    "import-list": ("import_list.import_list", "Make a build file from a spreadsheet."),
    "import-outline": ("import_outline.import_outline", "Make an outline of a build file from a drawing."),
    "export-list": ("export_list.export_list", "Write the cut list for a spreadsheet."),
    "export": ("record.export", "Write this tablet's record to a file."),
    "import": ("record.import_", "Take in a record that was exported."),
    "backup": ("record.backup", "Back up this tablet's record now."),
    "hub": ("hub.hub", "Work together with other tablets and computers."),
    "restore": ("record.restore", "List the backups, or put one back."),
}
"""The module of each command, and its line in `--help`. A module is imported only when its command is run: `check` and
`--help` start without the code that draws labels and reads pictures."""


class _Commands(click.Group):
    """A group that finds its commands in `COMMANDS`."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module, _, name = COMMANDS[cmd_name][0].partition(".")
        command: click.Command = getattr(import_module(f"tracker.cli.{module}"), name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, summary) for name, (_, summary) in COMMANDS.items()])


_NO_ROOM = (errno.ENOSPC, errno.EFBIG, errno.EDQUOT, errno.EIO)
"""The output is redirected to a file: the disk is full, or fails."""


def main() -> None:
    """The program's entry point."""
    if getattr(sys, "frozen", False):  # packaged: a process of ours is this program, started again
        from multiprocessing import freeze_support

        freeze_support()
    try:
        commands()
    except OSError as error:
        if error.errno not in _NO_ROOM:
            raise
        sys.exit(f"The answer can't be written: {error.strerror}.")  # a command that writes a file reports that itself


@click.group(cls=_Commands, invoke_without_command=True)
@click.version_option(package_name="kerfcard")
@click.option("--window", is_flag=True, help="Open the app in a window, for a desk; else it fills the screen.")
@click.pass_context
def commands(context: click.Context, window: bool) -> None:
    """Shows the piece in hand: its angles, its length, what has been done to it and what it is waiting for.

    Without a command it opens the touch app on the last build, or on the sample builds.
    """
    if context.invoked_subcommand is None:
        from tracker.cli.open import open_app

        open_app(None, window)
