"""`kerfcard picture`: the piece of furniture, drawn from its pieces."""

from __future__ import annotations

from pathlib import Path

import click

from tracker.cards.picture import Picture, View, picture_of, pulled_apart, seen_from
from tracker.cards.reports.laying import order_lines, order_report
from tracker.cards.reports.picture import picture_lines, picture_report
from tracker.cli.arguments import FILE, JSON, load_or_exit
from tracker.cli.output import counted, print_report, stop
from tracker.design.joining import Numbered
from tracker.design.model import Build
from tracker.design.name_lookup import nearest
from tracker.plan.place import Placed, PlaceError, Placer
from tracker.whole_file import write_whole

PULL = 0.5


@click.command()
@FILE
@click.argument("assembly", required=False)
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    help="A .png, .svg or .pdf file; a .pdf is a plan, a page for each assembly.",
)
@click.option("--apart", is_flag=True, help="Pulled apart.")
@click.option("--mark", metavar="PIECE", help="Mark one piece, such as leg:2; all others are pale.")
@click.option("--turn", type=click.FloatRange(-360, 360), default=24.0, show_default=True, help="Degrees to the right.")
@click.option("--above", type=click.FloatRange(-89, 89), default=24.0, show_default=True, help="Degrees up.")
@click.option("--order", "laying", is_flag=True, help="Say in which order its parts are laid down, and how they lie.")
@JSON
def picture(
    file: Path, assembly: str | None, output: Path | None, apart: bool, mark: str | None, turn: float, above: float,
    laying: bool, as_json: bool,
) -> None:  # fmt: skip
    """Draw an assembly from its pieces, or say where each of them is.

    Without ASSEMBLY, the one that no other joins; a plan has all of them, and what is cut into the parts.
    """
    build = load_or_exit(file)
    placer = Placer(build)
    try:
        if output is None and not laying:
            report = picture_report(build, placer)
            print_report(report, as_json, lambda: picture_lines(report))
            return
        if output is not None and output.suffix.lower() == ".pdf":
            _plan(build, placer, assembly, output, mark, View(turn, above), file.parent)
            return
        placed = placer.placed(assembly or _whole(build, placer))
        if laying:
            print_report(order_report(build, placed), as_json, lambda: order_lines(build, placed))
            return
    except PlaceError as wrong:
        stop(f"{file}:{wrong.line}: {wrong.what}{f' ({wrong.hint})' if wrong.hint else ''}")
    except KeyError:
        stop(f"{file}: no assembly is called '{assembly}' {_hint(assembly or '', build)}".rstrip())
    assert output is not None  # without one, something was printed above
    here = _marked(mark, placed) if mark else ()
    shown = pulled_apart(placed, PULL) if apart else placed
    drawn = picture_of(shown, seen_from(shown, View(turn, above)), here)
    try:
        write_whole(output, _file(output, drawn, build.name))
    except OSError as error:
        stop(f"{output}: {error.strerror}")
    click.echo(f"{output}: {len(placed)} pieces")


def _plan(
    build: Build, placer: Placer, assembly: str | None, output: Path, mark: str | None, view: View, folder: Path
) -> None:  # fmt: skip
    """Every assembly with places, the whole first, and the cuts of the parts; or only the named assembly."""
    from tracker.cards.picture.part_pages import part_pages
    from tracker.cards.picture.plan_pages import drilling_pages, plan_pages
    from tracker.cards.reports.screws import screws_lines
    from tracker.paper.template import template_pdf
    from tracker.scan.picture import open_picture

    if assembly is not None:
        chosen = [build.assembly(assembly)]
    else:
        chosen = [each for each in reversed(build.assemblies) if placer.has_places(each.id)]
    parts = part_pages(build) if assembly is None else ()
    if not chosen and not parts:
        raise PlaceError("no assembly says where its pieces are", "place = [ { part = ... } ]")
    here = _marked(mark, placer.placed(chosen[0].id)) if mark and chosen else ()
    pages = plan_pages(build, placer, chosen, view, here) + parts
    if assembly is None and any(hole.fastens for part in build.parts for hole in part.holes):
        pages += drilling_pages(build, list(screws_lines(build)))
    try:
        write_whole(output, template_pdf(pages, build.name, lambda name: open_picture(folder / name).image))
    except OSError as error:
        stop(f"{output}: {error.strerror}")
    click.echo(f"{output}: {counted(len(pages), 'page')}")


def _file(output: Path, drawn: Picture, title: str) -> bytes:
    from tracker.paper.picture import png_picture, svg_picture

    kind = output.suffix.lower()
    if kind not in (".png", ".svg"):
        stop(f"{output}: a picture is a .png, an .svg or a .pdf file")
    return png_picture(drawn) if kind == ".png" else svg_picture(drawn, title).encode()


def _whole(build: Build, placer: Placer) -> str:
    """The assembly that is the whole build: the last one that no other joins, if its places are known."""
    joined = {id_ for assembly in build.assemblies for id_, _ in assembly.joins}
    last = [each.id for each in build.assemblies if each.id not in joined]
    if not last:
        raise PlaceError("the build has no assembly", "each assembly begins with [[assemblies]]")
    return next((each for each in reversed(last) if placer.has_places(each)), last[-1])


def _marked(mark: str, placed: tuple[Placed, ...]) -> tuple[Numbered, ...]:
    part, _, number = mark.partition(":")
    found = tuple(each.key for each in placed if each.part == part and number in ("", str(each.number)))
    if not found:
        names = sorted({each.part for each in placed})
        stop(f"no piece '{mark}' is in this picture (such as {names[0]}:1; its parts are {', '.join(names)})")
    return found


def _hint(assembly: str, build: Build) -> str:
    hint = nearest(assembly, [each.id for each in build.assemblies])
    return f"({hint})" if hint else ""
