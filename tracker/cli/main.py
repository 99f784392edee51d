"""The commands: every computation without the touch screen, for people who plan at a desk and for checks.

Exit 0 when it worked, 1 when the file or the request is wrong, 2 when the command line is. Problems go to standard
error, one a line as `file:line: what (hint)`; with --json one JSON document, and nothing else, goes to standard output.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, NoReturn

import click

from tracker.cli import record
from tracker.design.load import Loaded
from tracker.design.model import Build, Part
from tracker.measure import Length

if TYPE_CHECKING:
    from tracker.paper.printout import Printout
    from tracker.plan.boards import BoardPlan

JSON = click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
FILE = click.argument("file", type=click.Path(path_type=Path))
THINK_SECONDS = 3.0
"""How long `boards` looks for a better plan before it says how good the one it has is."""


def main() -> None:
    """The command `kerfcard`."""
    commands()


@click.group(invoke_without_command=True)
@click.version_option(package_name="kerfcard")
@click.pass_context
def commands(context: click.Context) -> None:
    """Shows the piece in hand: its angles, its length, what has been done to it and what waits for what.

    Without a command it opens the touch app on the last build, or on the sample builds.
    """
    if context.invoked_subcommand is None:
        _open_app(None)


record.register(commands)


@commands.command("open")
@FILE
def open_(file: Path) -> None:
    """Open the touch app on a build file."""
    _loaded(file)
    _open_app(file)


def _open_app(file: Path | None) -> None:
    from tracker.screens.display import NoDisplayError, find_display, prepare

    try:
        prepare(display=find_display())
    except NoDisplayError as missing:
        _stop(f"{missing} `kerfcard tour -o FOLDER` needs no screen: it saves pictures of every one of the app's.")
    from tracker.screens.start import run_app

    try:
        run_app(record.home(), file)
    except OSError as error:
        _stop(f"Kerfcard can't keep its record in {record.home()}: {error}. KERFCARD_HOME names another folder.")


@commands.command()
@FILE
def check(file: Path) -> None:
    """Say what is wrong with a build file."""
    build = _loaded(file)
    for note in _read(file).notes:
        click.echo(f"note: {note.at(str(file))}")
    pieces = sum(part.quantity for part in build.parts)
    count = sum(assembly.quantity for assembly in build.assemblies)
    joined = f"{count} {'assembly' if count == 1 else 'assemblies'}"
    click.echo(f"{file}: good. {build.name}: {pieces} pieces, {joined}.")


@commands.command()
@FILE
@JSON
def cards(file: Path, as_json: bool) -> None:
    """Every piece with its sizes, angles, saw settings and route."""
    from tracker.cards.reports.pieces import cards_report
    from tracker.work.run import start_run

    report = cards_report(start_run(_loaded(file)))
    _print(report, as_json, lambda: (_card_line(piece) for piece in report["pieces"]))


def _card_line(piece: dict[str, Any]) -> str:
    hand = f" {piece['hand']}" if piece["hand"] else ""
    over = f" ({piece['left_over']})" if piece["left_over"] else ""
    ends = "; ".join(
        f"{end}: mitre {cut['miter_deg']:.1f}, bevel {cut['bevel_deg']:.1f}" for end, cut in piece["ends"].items()
    )
    size = f"{piece['length']}{over} x {piece['width']} x {piece['thickness']}"
    name = f"{piece['name']} {piece['piece']} of {piece['of']}{hand}"
    return f"{name}: {size}, blank {piece['blank']['length']}; {ends}; {', '.join(piece['route'])}"


@commands.command()
@FILE
@JSON
def setups(file: Path, as_json: bool) -> None:
    """The saw's settings in the order of work, with the cuts made at each."""
    from tracker.cards.reports.setups import setups_lines, setups_report
    from tracker.plan.setups import piece_by_piece_resets, plan_setups

    build = _loaded(file)
    plan = plan_setups(build)
    report = setups_report(build, plan, piece_by_piece_resets(build))
    _print(report, as_json, lambda: setups_lines(build, plan))


@commands.command()
@FILE
@JSON
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Write the printed sheet to this PDF instead.")
@click.option("--paper", type=click.Choice(["letter", "a4"]), help="The sheet's paper; else one that suits the units.")
def boards(file: Path, as_json: bool, output: Path | None, paper: Literal["letter", "a4"] | None) -> None:
    """Which pieces come from which board, cut by cut, and what to buy."""
    from tracker.cards.reports.boards import boards_lines, boards_report
    from tracker.floor.floor import cached_solid
    from tracker.plan.boards import plan_boards

    build = _loaded(file)
    until = time.monotonic() + THINK_SECONDS

    def blank_length(part: Part, piece: int) -> Length:
        return cached_solid(part, part.hand(piece)).blank_length

    plan = plan_boards(build, blank_length, keep_going=lambda: time.monotonic() < until)
    if output is not None:
        _write_board_sheet(build, plan, output, paper or ("letter" if build.units == "in" else "a4"))
        return
    _print(boards_report(build, plan), as_json, lambda: boards_lines(build, plan))


def _write_board_sheet(build: Build, plan: BoardPlan, output: Path, paper: Literal["letter", "a4"]) -> None:
    from tracker.cards.boards.sheet import board_sheet
    from tracker.cards.reports.boards import standing_words
    from tracker.floor.boards import laid_out
    from tracker.paper.board_sheet import write_board_sheet
    from tracker.work.run import start_run

    said = standing_words(plan)
    sheet = board_sheet(start_run(build), laid_out(plan), f"{said[:1].upper()}{said[1:]}.")
    try:
        with output.open("wb") as pdf:
            pages = write_board_sheet(pdf, sheet, paper)
    except OSError as error:
        _stop(f"{output}: {error.strerror or error}")
    click.echo(f"{output}: {_counted(len(sheet.boards), 'board')} and the shopping list on {_counted(pages, 'page')}.")


@commands.command()
@FILE
@click.option("-o", "--output", type=click.Path(path_type=Path), help="The PDF to write.")
@click.option("--png", "folder", type=click.Path(path_type=Path), help="A folder for the pages as PNG pictures.")
@click.option("--printer", metavar="NAME", help="The printer to send the pages to, through CUPS.")
@click.option("--sheet", "sheet_name", default="", help="The label sheet; else one that suits the units.")
@click.option("--dpi", type=int, default=300, show_default=True, help="The printer's dots to the inch.")
@click.option("--start", type=int, default=1, show_default=True, help="The first free place of a used sheet.")
@click.option("--only", multiple=True, metavar="KEY", help="Only this one, such as leg:2 or rack/K1; may be repeated.")
@click.option("--boards", "with_boards", is_flag=True, help="The boards on the rack as well.")
@click.option("--measuring-page", is_flag=True, help="Instead of labels, a page to measure with a rule.")
def labels(
    file: Path,
    output: Path | None,
    folder: Path | None,
    printer: str | None,
    sheet_name: str,
    dpi: int,
    start: int,
    only: tuple[str, ...],
    with_boards: bool,
    measuring_page: bool,
) -> None:
    """Print label sheets to a PDF, to pictures or on a printer.

    No tablet is told: there, tap More, Labels, `printed already`, and what has no label yet counts as labelled.
    """
    from tracker.cards.labels.labels_of_run import label_keys, labels_for
    from tracker.paper.labels import missing_signs
    from tracker.paper.printout import Printout
    from tracker.paper.sheets import DEFAULT_A4, DEFAULT_LETTER, sheet_named
    from tracker.work.run import start_run

    if output is None and folder is None and printer is None:
        raise click.UsageError("Say where to: -o FILE, --png FOLDER or --printer NAME.")
    if measuring_page and folder is not None:
        raise click.UsageError("The measuring page is a PDF: -o FILE or --printer NAME.")
    build = _loaded(file)
    run = start_run(build)
    keys = only or (label_keys(run) if with_boards else tuple(run.items))
    if strangers := [key for key in keys if key not in run.codes]:
        _stop(f"{file}: there is no {strangers[0]} in this build; there is {', '.join(run.codes)}")
    try:
        sheet = sheet_named(sheet_name or (DEFAULT_LETTER if build.units == "in" else DEFAULT_A4))
        made = None if measuring_page else lambda: labels_for(run, keys)
        printout = Printout(sheet=sheet, labels=made, title=build.name, dpi=dpi, start=start - 1)
    except ValueError as error:
        _stop(str(error))
    _print_out(
        printout, "the measuring page" if measuring_page else _counted(len(keys), "label"), output, folder, printer
    )
    if made is not None and (missing := missing_signs(made())):
        click.echo(f"note: {missing}", err=True)


def _print_out(printout: Printout, what: str, output: Path | None, folder: Path | None, printer: str | None) -> None:
    from tracker.paper.printing import PrintingError

    try:
        if output is not None:
            with output.open("wb") as pdf:
                pages = printout.write(pdf)
            click.echo(f"{output}: {what} on {_counted(pages, 'page')} of {printout.sheet.words}. Print at 100 %.")
        if folder is not None:
            for picture in printout.write_pictures(folder):
                click.echo(picture)
        if printer is not None:
            click.echo(f"{printout.send(printer)}: {what} on {printout.sheet.words}, sent to {printer}.")
    except PrintingError as error:
        _stop(str(error))
    except OSError as error:
        _stop(f"{error.filename or output}: {error.strerror or error}")


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


@commands.command()
@click.argument("pictures", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--live", type=click.Path(path_type=Path), help="A build file: its codes are read through more dirt.")
@JSON
def scan(pictures: tuple[Path, ...], live: Path | None, as_json: bool) -> None:
    """The codes found in pictures, and what they are."""
    from tracker.cards.scan import scan_lines, scan_report
    from tracker.scan import look_at_picture
    from tracker.work.run import start_run

    run = start_run(_loaded(live)) if live else None
    report: list[dict[str, Any]] = []
    wrong = False
    for picture in pictures:
        try:
            looked = look_at_picture(picture, tuple(run.codes.values()) if run else ())
        except ValueError as error:
            click.echo(f"{picture}:0: {error} (give a PNG or JPEG picture)", err=True)
            wrong = True
            continue
        codes = [(each.text, each.corners, each.valid) for each in looked.found]
        report.append(scan_report(str(picture), codes, looked.maybe, run))
    _print(report, as_json, lambda: scan_lines(report))
    if wrong:
        sys.exit(1)


@commands.command()
@click.option("-o", "--output", type=click.Path(path_type=Path), required=True, help="The folder for the pictures.")
@click.option("--few", is_flag=True, help="Two looks of each screen, not all the lights, hands and glasses.")
def tour(output: Path, few: bool) -> None:
    """Drive the real app through a sample build and save a picture of every screen; needs no display."""
    from tracker.screens.display import CANVAS, NoDisplayError, prepare

    try:
        prepare(display="offscreen", size=CANVAS, dpi=224)
    except NoDisplayError as missing:
        _stop(str(missing))
    from tracker.tour.itinerary import FEW, LOOKS, take_tour

    for picture in take_tour(output, FEW if few else LOOKS):
        click.echo(picture)


def _loaded(file: Path) -> Build:
    """The build of a file, or exit 1 with every problem on standard error."""
    loaded = _read(file)
    for problem in loaded.problems:
        if problem.kind == "problem":
            click.echo(problem.at(str(file)), err=True)
    if loaded.build is None:
        sys.exit(1)
    return loaded.build


def _read(file: Path) -> Loaded:
    from tracker.shop import read_build

    return read_build(file)


def _print(report: object, as_json: bool, lines: Callable[[], Iterable[str]]) -> None:
    if as_json:
        click.echo(json.dumps(report, ensure_ascii=False, indent=1))
    else:
        for line in lines():
            click.echo(line)


def _stop(sentence: str) -> NoReturn:
    click.echo(sentence, err=True)
    sys.exit(1)
