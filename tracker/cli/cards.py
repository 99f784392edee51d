"""`kerfcard cards`: every piece of a build."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click

from tracker.cards.reports.piece_work import joint_words, own_step_words
from tracker.cards.reports.pieces import cards_report
from tracker.cli.arguments import FILE, JSON, load_or_exit
from tracker.cli.output import print_report
from tracker.measure import Units
from tracker.measure.tape_reading import plain_words
from tracker.words.spelling import spelled
from tracker.work.run import start_run


@click.command()
@FILE
@JSON
def cards(file: Path, as_json: bool) -> None:
    """Every piece with its sizes, angles, saw settings and route."""
    report = cards_report(start_run(load_or_exit(file)))
    print_report(
        report, as_json, lambda: (line for piece in report["pieces"] for line in _lines(piece, report["units"]))
    )


def _lines(piece: dict[str, Any], units: Units) -> Iterator[str]:
    """The piece, and below it its joint, its cuts in the order of work, its marking out, and its notes."""
    yield _line(piece, units)
    for joint in piece["joints"]:
        yield f"     Joint: {joint_words(joint)}."
    sawn = [piece["rip"], *(cut for cut in piece["cuts"] if cut["operation"] == "trim" or not cut["first"])]
    for cut in filter(None, sawn):
        yield f"     {plain_words(cut['words'])}"
    for words in piece["marking"]:
        yield f"     {plain_words(words)}."
    yield from (f"     {plain_words(feature['words'])}" for feature in piece["features"])
    yield from (f"     {words}" for words in own_step_words(piece))
    if piece["notes"]:
        yield f"     Notes: {piece['notes']}"


def _line(piece: dict[str, Any], units: Units) -> str:
    hand = f" {piece['hand']}" if piece["hand"] else ""
    over = f" ({piece['left_over']})" if piece["left_over"] else ""
    miter = spelled("mitre", units)
    ends = "; ".join(
        f"{end}: {miter} {cut['miter_deg']:.1f}, bevel {cut['bevel_deg']:.1f}" for end, cut in piece["ends"].items()
    )
    size = f"{piece['length']}{over} x {piece['width']} x {piece['thickness']}"
    name = f"{piece['name']} {piece['piece']} of {piece['of']}{hand}"
    return f"{name}: {size}, blank {piece['blank']['length']}; {ends}; {', '.join(piece['route'])}"
