"""`kerfcard template`: a curved piece, or a piece with odd ends, at full size on paper."""

from __future__ import annotations

from pathlib import Path

import click

from tracker.cards.reports.template import template_lines, template_report
from tracker.cards.template.drawing_files import dxf_drawing, svg_drawing
from tracker.cards.template.rule import correction
from tracker.cards.template.template import Sheet, large_sheet, sheets
from tracker.cards.template.tiles import PAPERS
from tracker.cli.arguments import FILE, JSON, load_or_exit
from tracker.cli.output import counted, print_report, stop
from tracker.design.model import Build
from tracker.design.name_lookup import nearest
from tracker.measure import parse_length
from tracker.plan.outline import Outlined, OutlineError, outlined
from tracker.plan.outline.offset import for_bush
from tracker.plan.outline.problems import said_wrong
from tracker.plan.outline.whole_piece import whole_piece
from tracker.plan.place import Placer
from tracker.whole_file import write_whole

WHOLE = "whole"


@click.command()
@FILE
@click.argument("id_", metavar="ID")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="The file to write.")
@click.option("--paper", type=click.Choice([*PAPERS, WHOLE], case_sensitive=False), help="Default: by the units.")
@click.option("--svg", "kind", flag_value="svg", help="A drawing at full size, instead of sheets.")
@click.option("--dxf", "kind", flag_value="dxf", help="The same as DXF R12, in millimetres.")
@click.option("--measured", metavar="LENGTH", help="What the printed 100 mm (4 in) measured, such as 99.6 mm.")
@click.option("--bush", metavar="DIAMETER", help="A router's guide bush: the template is made to run it along.")
@click.option("--bit", metavar="DIAMETER", help="The bit in that bush.")
@JSON
def template(
    file: Path, id_: str, output: Path | None, paper: str | None, kind: str | None, measured: str | None,
    bush: str | None, bit: str | None, as_json: bool,
) -> None:  # fmt: skip
    """Draw an outline of the build at full size: sheets of paper to lay together, one large page, or a file.

    ID is an outline's; or a part's, or one piece of it such as leg:2, for its odd ends and tapers.
    """
    build = load_or_exit(file)
    each = _for_router(build, _found(build, file, id_), bush, bit)
    if output is not None:
        done = _write(build, each, output, kind, paper, measured)
        click.echo(f"{output}: {done}", err=as_json)
    if as_json or output is None:
        report = template_report(build, each)
        print_report(report, as_json, lambda: template_lines(build, report))


def _found(build: Build, file: Path, id_: str) -> Outlined:
    placer = Placer(build)
    outline = next((written for written in build.outlines if written.id == id_), None)
    if outline is not None:
        try:
            return outlined(build, placer, outline)
        except OutlineError as wrong:
            stop(said_wrong(build, outline, wrong).at(str(file)))
    name, _, number = id_.partition(":")
    part = next((each for each in build.parts if each.id == name), None)
    if part is None or (number and not (number.isdecimal() and 1 <= int(number) <= part.quantity)):
        hint = nearest(id_, [written.id for written in build.outlines] + [each.id for each in build.parts])
        stop(f"{file}: no outline or part is called '{id_}'{f' ({hint})' if hint else ''}")
    try:
        return whole_piece(build, placer, name, part.hand(int(number or 1)))
    except OutlineError as wrong:
        stop(f"{file}:{part.line}: {part.name}: {wrong}")


def _for_router(build: Build, each: Outlined, bush: str | None, bit: str | None) -> Outlined:
    if bush is None and bit is None:
        return each
    if bush is None or bit is None:
        stop("--bush and --bit go together: the template is moved by half their difference")
    try:
        wide, narrow = (float(parse_length(text, build.units)) for text in (bush, bit))
        if not 0 < narrow < wide:
            stop("the bush is wider than its bit, and both are more than nothing")
        return for_bush(each, wide, narrow)
    except ValueError as wrong:
        stop(str(wrong))


def _write(
    build: Build, each: Outlined, output: Path, kind: str | None, paper: str | None, measured: str | None
) -> str:
    title = f"{build.name}: {each.name}"
    if kind is not None and measured is not None:
        stop("--measured is for paper: a drawing has no printer")
    if kind is not None:
        data = (svg_drawing(each, title) if kind == "svg" else dxf_drawing(each)).encode()
        done = "full size, in millimetres"
    else:
        data, done = _paper(build, each, title, paper, measured)
    try:
        write_whole(output, data)
    except OSError as error:
        stop(f"{output}: {error.strerror}")
    return done


def _paper(build: Build, each: Outlined, title: str, paper: str | None, measured: str | None) -> tuple[bytes, str]:
    from tracker.paper.template import template_pdf

    try:
        scale = correction(measured, build.units) if measured is not None else 1.0
    except ValueError as wrong:
        stop(str(wrong))
    chosen = paper or ("Letter" if build.units == "in" else "A4")
    if chosen == WHOLE:
        pages: tuple[Sheet, ...] = (large_sheet(each, title, build.units, scale),)
    else:
        pages = sheets(each, title, chosen, build.units, scale)
    said = f", enlarged by {(scale - 1) * 100:.2f} %" if measured is not None else ""
    return template_pdf(
        [sheet.page for sheet in pages], title
    ), f"{counted(len(pages), 'sheet')}{said}. Print at 100 %."
