"""All words and drawings of a build: the output of commands, each card at each step of its route, each page."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from functools import lru_cache
from pathlib import Path

from said.besides import besides
from said.laid_out import laid_out as drawings_laid_out
from said.lines import lines_of, properties_of, stamp
from said.queues import with_batches
from work.one_tablet import Bench

from tests.cards.board_shop import Saw
from tracker.cards.boards.boards import boards_card
from tracker.cards.boards.sheet import board_sheet, shopping_sheet
from tracker.cards.clocks.clocks import clocks_card
from tracker.cards.glueup.checklist import checklist_card
from tracker.cards.glueup.glueup import assembly_card, assembly_rows
from tracker.cards.glueup.plugs import plugs_card
from tracker.cards.glueup.prove import prove_card
from tracker.cards.glueup.screws import screws_card
from tracker.cards.history import history_card
from tracker.cards.labels.labels_of_run import label_keys, labels_for
from tracker.cards.picture.furniture import assembly_in_place, build_in_place, piece_in_place
from tracker.cards.picture.part_pages import part_pages
from tracker.cards.picture.picture import picture_of, pulled_apart
from tracker.cards.picture.plan_pages import drilling_pages, plan_pages
from tracker.cards.picture.view import View
from tracker.cards.picture.visible_faces import seen_from
from tracker.cards.piece.piece import piece_card
from tracker.cards.piece.piece_options import options_card
from tracker.cards.rack.rack import rack_card
from tracker.cards.reports.boards import boards_lines, boards_report
from tracker.cards.reports.cut_list import cut_list_csv
from tracker.cards.reports.laying import order_lines, order_report
from tracker.cards.reports.picture import picture_lines, picture_report
from tracker.cards.reports.pieces import cards_report
from tracker.cards.reports.screws import screws_lines, screws_report
from tracker.cards.reports.setups import setups_lines, setups_report
from tracker.cards.reports.template import template_lines, template_report
from tracker.cards.reports.wood import wood_lines, wood_report
from tracker.cards.station.station import STATION_WORDS
from tracker.cards.template.drawing_files import dxf_drawing, svg_drawing
from tracker.cards.template.outline_card import found, outline_card, template_choices
from tracker.cards.template.template import large_sheet, sheets
from tracker.cards.wood.at_work import wood_card
from tracker.design.load import Loaded
from tracker.design.model import Build
from tracker.floor.boards import laid_out, planned
from tracker.floor.floor import Floor
from tracker.floor.replanning import new_plans, replan_request, to_follow
from tracker.plan.boards import plan_boards
from tracker.plan.feasibility import check as feasible
from tracker.plan.outline import outline_problems
from tracker.plan.place import Placer, place_problems
from tracker.plan.screws import screw_problems
from tracker.plan.setups import piece_by_piece_resets, plan_setups
from tracker.plan.wood import wood_problems
from tracker.shop import read_build
from tracker.work.checklist import checklist
from tracker.work.decide.decide import Check, Do
from tracker.work.decide.intents import KeepBoards
from tracker.work.run import Item, Run, start_run

DAY = 86_400.0
MOST_CUT = 30
"""The number of cuts that are followed on the screen of boards."""
LOOKS = 400
"""The number of times that the search for boards may ask whether to go on: a limit that is the same on every
machine."""


def told(text: bytes, section: str) -> Iterator[str]:
    """One section of the words about a build file, as lines; a line that begins with `--` is a heading."""
    loaded = _loaded(text)
    if section == "check":
        yield from (each.at("file") for each in loaded.problems)
    if loaded.build is None:
        return
    yield from SECTIONS[section](loaded.build, start_run(loaded.build))


@lru_cache(maxsize=4)
def _loaded(text: bytes) -> Loaded:
    """One after another, all sections of a build are asked for."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "build.toml"
        file.write_bytes(text)
        return read_build(file)


def _check(build: Build, run: Run) -> Iterator[str]:
    for problems in (place_problems, screw_problems, outline_problems, wood_problems, feasible):
        yield from (each.at("file") for each in sorted(problems(build)))


# -- what commands print -----------------------------------------------------------------------------------------------


def _cards(build: Build, run: Run) -> Iterator[str]:
    report = cards_report(run)
    seen = set()
    for each in (*report["pieces"], *report["assemblies"]):
        name = (each.get("part", each.get("assembly")), each.get("hand"))
        if name not in seen:
            seen.add(name)
            yield f"-- {name[0]} {name[1] or ''}".rstrip()
            yield from lines_of(each, str(name[0]))
    yield "-- drawings laid out"
    yield from drawings_laid_out(build, run)


def _setups(build: Build, run: Run) -> Iterator[str]:
    plan = plan_setups(build)
    yield f"json {stamp(setups_report(build, plan, piece_by_piece_resets(build)))}"
    yield from setups_lines(build, plan)


def _boards(build: Build, run: Run) -> Iterator[str]:
    plan = plan_boards(build, keep_going=_looks())
    yield f"json {stamp(boards_report(build, plan))}"
    yield from boards_lines(build, plan)
    bench = Bench(run)
    yield "-- card"
    yield from lines_of(boards_card(Floor(run, bench.state, bench.now), plan, False, ""), "card")
    yield "-- sheets"
    yield from lines_of(board_sheet(run, laid_out(plan), "said"), "sheet")
    yield from lines_of(shopping_sheet(run, laid_out(plan)), "shopping")


def _screws(build: Build, run: Run) -> Iterator[str]:
    yield f"json {stamp(screws_report(build))}"
    yield from screws_lines(build)


def _wood(build: Build, run: Run) -> Iterator[str]:
    report = wood_report(build, Placer(build))
    yield f"json {stamp(report)}"
    yield from wood_lines(build, report)


def _picture(build: Build, run: Run) -> Iterator[str]:
    placer = Placer(build)
    report = picture_report(build, placer)
    yield f"json {stamp(report)}"
    yield from picture_lines(report)
    for assembly in build.assemblies:
        if placer.has_places(assembly.id):
            placed = placer.placed(assembly.id)
            yield f"{assembly.id}: json {stamp(order_report(build, placed))}"
            yield from order_lines(build, placed)
            for shown in (placed, pulled_apart(placed)):
                picture = picture_of(shown, seen_from(shown, View(24, 20)), [placed[0].key])
                yield f"{assembly.id}: drawn {stamp(picture)}"


def _pages(build: Build, run: Run) -> Iterator[str]:
    placer = Placer(build)
    shown = [each for each in build.assemblies if placer.has_places(each.id)]
    pages = (*part_pages(build), *plan_pages(build, placer, shown, View(24, 20)))
    for page in (*pages, *drilling_pages(build, list(screws_lines(build)))):
        yield f"page of {page.width} × {page.height}: drawn {stamp(page)}"
        yield from (words.text for words in page.words)
    yield from cut_list_csv(build).splitlines()


def _templates(build: Build, run: Run) -> Iterator[str]:
    for choice in template_choices(build):
        yield f"-- {choice.id}"
        yield from lines_of(choice)
        yield from lines_of(outline_card(build, choice.id))
        each = found(build, choice.id)
        report = template_report(build, each)
        yield f"json {stamp(report)}"
        yield from template_lines(build, report)
        for sheet in (*sheets(each, "title", "A4", build.units), large_sheet(each, "title", build.units)):
            yield f"drawn {stamp(sheet)}"
            yield from (words.text for words in sheet.page.words)
        yield f"svg {stamp(svg_drawing(each, 'title'))}, dxf {stamp(dxf_drawing(each))}"


def _labels(build: Build, run: Run) -> Iterator[str]:
    keys = label_keys(run)
    for key, label in zip(keys, labels_for(run, keys), strict=True):
        yield f"{key}: {stamp(label)}"


# -- what cards say while all of it is made ----------------------------------------------------------------------------


def _work(build: Build, run: Run) -> Iterator[str]:
    """Make every item to its end, with the card of the first piece of each part and hand, and of each assembly, before
    each step."""
    bench, shown, begun = Bench(run), set[tuple[str, str | None]](), False
    yield "-- around, nothing done"
    yield from _around(bench)
    for item in run.items.values():
        if item.kind == "assembly" and not begun:
            begun = True
            yield "-- around, all pieces made"
            yield from _around(bench)
        is_first = (item.id, item.hand) not in shown
        shown.add((item.id, item.hand))
        for step in item.route:
            if is_first:
                yield f"-- {item.key}: {step.id}"
                yield from _card(bench, item)
                yield f"-- {item.key}: {step.id}, beside it"
                yield from besides(_floor(bench), item)
            _do(bench, item, step.id)
        if is_first:
            yield f"-- {item.key}: done"
            yield from _card(bench, item)
    yield "-- around, all done"
    yield from _around(bench)


def _saw(build: Build, run: Run) -> Iterator[str]:
    """Cut all blanks from the planned boards; the fifth is spoiled, and its boards are planned again."""
    saw = Saw(run)
    boards = planned(laid_out(plan_boards(build, keep_going=_looks())))
    if boards:  # of wood that is bought by volume none is known before it is there
        saw.must(KeepBoards(boards))
    for cut in range(MOST_CUT):
        yield f"-- cut {cut}"
        card = saw.card()
        yield from lines_of(card)
        yield f"-- cut {cut}, beside it"
        yield from properties_of(card)
        if card.board is None or not isinstance(card.board.action.intent, Do):
            break
        saw.must(card.board.action.intent)
        saw.time += 60.0
        if cut == 4:
            saw.spoil(card.board.action.intent.item)
            *_, proposal = new_plans(build, replan_request(saw.floor), keep_going=_looks())
            yield "-- one is spoiled"
            yield from lines_of(saw.card(answer=proposal))
            yield from lines_of(saw.card(answer=proposal, cheaper=True))
            saw.must(KeepBoards(planned(to_follow(saw.floor, proposal.chosen(False)))))
    yield "-- the rack"
    yield from lines_of(rack_card(saw.floor))


def _looks() -> Callable[[], bool]:
    """A keep_going for the search that is true a fixed number of times, on every machine."""
    looks = iter(range(LOOKS))
    return lambda: next(looks, None) is not None


def _floor(bench: Bench) -> Floor:
    return Floor(bench.run, bench.state, bench.now)


def _card(bench: Bench, item: Item) -> Iterator[str]:
    floor = _floor(bench)
    if item.kind == "piece":
        yield from lines_of(piece_card(floor, item.key))
        yield from lines_of(options_card(floor, item.key), "life")
        if item.into is not None:
            yield from lines_of(piece_in_place(floor, item.key), "place")
        return
    for name, card in (
        ("", assembly_card), ("list", checklist_card), ("plugs", plugs_card), ("prove", prove_card),
        ("screws", screws_card), ("wood", wood_card), ("place", assembly_in_place),
    ):  # fmt: skip
        yield from lines_of(card(floor, item.key), name)


def _around(bench: Bench) -> Iterator[str]:
    floor = _floor(bench)
    for station in STATION_WORDS:
        yield from lines_of(with_batches(floor, station), station)
    yield from lines_of(assembly_rows(floor), "assemblies")
    yield from lines_of(clocks_card(floor), "clocks")
    yield from lines_of(history_card(floor), "history")
    yield from lines_of(build_in_place(floor), "build")


def _do(bench: Bench, item: Item, step: str) -> None:
    """Do a step after everything that it asks for: after a day if it has to wait, and with a reason if it is
    refused."""
    if step == "spread":
        for line in checklist(bench.run, bench.state, item):
            bench.do(Check(item.key, line.id))
    refused = bench.do(Do(item.key, step))
    if refused is not None:
        bench.time += DAY
        refused = bench.do(Do(item.key, step))
    if refused is not None and refused.overridable:
        bench.do(Do(item.key, step, "tried out"))
    bench.time += 600.0


SECTIONS: dict[str, Callable[[Build, Run], Iterator[str]]] = {
    "check": _check, "cards": _cards, "setups": _setups, "boards": _boards, "saw": _saw, "screws": _screws,
    "wood": _wood, "picture": _picture, "pages": _pages, "templates": _templates, "labels": _labels, "work": _work,
}  # fmt: skip
