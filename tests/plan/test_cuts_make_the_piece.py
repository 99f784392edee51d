"""The words and the drawing of each cut, on the card and in the command, make the piece that the build file asks for.

The check is the saw of saw_model (linear algebra, numpy), which knows a piece only from the build file's definition of
an end. Every value is also changed once, and the check must notice each change.
"""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from datetime import UTC, datetime
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner
from msgspec.structs import replace
from saw_model import Array, Said, asked, follow, on_the_table

from tracker.cards.piece.saw_view import SawView, saw_view
from tracker.cli.main import commands
from tracker.floor.floor import Floor
from tracker.floor.saw_cuts import cuts_of
from tracker.plan.cuts import Pass
from tracker.plan.piece_on_saw import OnSaw, lay_on_saw
from tracker.shop import read_build
from tracker.work.clocks.elapsed import Now
from tracker.work.run import start_run
from tracker.work.state.replay import replay

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.toml"))
CLOSE = 1e-3
"""Millimetres; a wrong sign or a hundredth of a degree makes far more."""
SEED = 20261129
RANDOM_PARTS = 300
HEAD = """[build]
name = "Ends"
units = "mm"
[shop]
kerf = 3
max_miter = 50
max_bevel = 45
[woods.oak]
species = "white oak"
thickness = 60
width = 200
lengths = [4000]
"""


def random_ends(folder: Path) -> Path:
    """300 parts with two ends each, of every kind: mitred, bevelled, both, square; on either edge and face, measured in
    every way."""
    chance = random.Random(SEED)
    text = [HEAD]
    for number in range(RANDOM_PARTS):
        ends = []
        for end in "ab":
            miter = chance.choice([0, 0, 45, round(chance.uniform(0.5, 50), 2)])
            bevel = chance.choice([0, 0, 45, round(chance.uniform(0.5, 45), 2)])
            long, face = chance.choice(["near", "far"]), chance.choice(["top", "bottom"])
            ends.append(f'end_{end} = {{ miter = {miter}, long = "{long}", bevel = {bevel}, long_face = "{face}" }}')
        hands = "left = 1\nright = 1" if number % 5 == 0 else "quantity = 1"
        text.append(
            f'[[parts]]\nid = "p{number}"\n{hands}\nwood = "oak"\nlength = {chance.randint(400, 900)}\n'
            f'measured = "{chance.choice(["long", "short", "middle", "overall"])}"\nwidth = {chance.randint(30, 120)}\n'
            f"thickness = {chance.randint(10, 40)}\nallowance = {chance.choice([0, 20])}\n" + "\n".join(ends) + "\n"
        )
    file = folder / "ends.toml"
    file.write_text("".join(text), encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def builds(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    return [*SAMPLES, random_ends(tmp_path_factory.mktemp("ends"))]


@cache
def printed(file: Path) -> list[dict[str, Any]]:
    result = CliRunner().invoke(commands, ["cards", str(file), "--json"])
    assert result.exit_code == 0, result.output
    pieces: list[dict[str, Any]] = json.loads(result.stdout)["pieces"]
    return pieces


@cache
def floor_of(file: Path) -> Floor:
    build = read_build(file).build
    assert build is not None
    run = start_run(build)
    return Floor(run, replay([]), Now(datetime(2026, 3, 2, 8, tzinfo=UTC), "boot", 0.0))


FIELDS = tuple(Said.__dataclass_fields__)


def of_json(cut: dict[str, Any]) -> Said:
    return Said(**{name: cut[name] for name in FIELDS})


def of_card(cut: Pass) -> Said:
    stop = None if cut.stop is None else float(cut.stop)
    return Said(
        cut.end or "", cut.first, cut.up, cut.fence, cut.piece, cut.swing, cut.swing_deg, cut.tilt, cut.tilt_deg, stop,
        float(cut.set),
    )  # fmt: skip


def wanted(card: dict[str, Any]) -> dict[str, Array]:
    return asked(card["ends"], card["length_mm"], card["measured"], card["width_mm"], card["thickness_mm"])


def wrong(said: list[Said], card: dict[str, Any]) -> str:
    """The fault that a person would find after following the words; empty if the piece is right."""
    try:
        made = follow(said, card["width_mm"], card["thickness_mm"])
    except AssertionError as reason:
        return str(reason) or "it can't be done"
    off = max(float(np.abs(made[end] - wanted(card)[end]).max()) for end in "AB")
    return "" if off < CLOSE else f"off by {off:.3f} mm"


def judged(file: Path) -> Iterator[tuple[dict[str, Any], list[Said]]]:
    """Every piece of a build whose ends this saw can cut, with its cuts as printed by `kerfcard cards`."""
    for card in printed(file):
        if len(card["cuts"]) == 2 and all(cut["possible"] for cut in card["cuts"]):
            yield card, [of_json(cut) for cut in card["cuts"]]


def test_what_the_command_says_makes_every_piece(builds: list[Path]) -> None:
    ends = 0
    for file in builds:
        for card, said in judged(file):
            assert not wrong(said, card), (file.name, card["part"], said)
            ends += 2
    assert ends >= 500 + 2 * 20


def test_the_order_is_that_of_the_setups(builds: list[Path]) -> None:
    for file in builds:
        report = json.loads(CliRunner().invoke(commands, ["setups", str(file), "--json"]).stdout)
        order: dict[tuple[str, int], list[tuple[str, float | None]]] = {}
        for setup in report["setups"]:
            for cut in setup["cuts"]:
                if cut["end"]:
                    order.setdefault((cut["part"], cut["piece"]), []).append((cut["end"], setup["stop_mm"]))
        for card in printed(file):
            trims = [(cut["end"], cut["stop_mm"]) for cut in card["cuts"] if cut["operation"] == "trim"]
            assert trims == order.get((card["part"], card["piece"]), [])


def views(file: Path) -> Iterator[tuple[dict[str, Any], list[SawView]]]:
    """The same pieces, with the drawings of their ends' cuts."""
    floor = floor_of(file)
    cards = {(card["part"], card["piece"]): card for card, _ in judged(file)}
    for item in floor.run.pieces:
        card = cards.get((item.id, item.number))
        if card is not None:
            drawn = [saw_view(floor, item, each) for each in cuts_of(floor, item).ends]
            yield card, [view for view in drawn if view is not None]


def test_what_the_card_draws_makes_every_piece_in_either_order(builds: list[Path]) -> None:
    for file in builds:
        for card, drawn in views(file):
            assert not wrong([of_card(view.cut) for view in drawn], card), (file.name, card["part"])
        floor = floor_of(file)
        cards = {(card["part"], card["piece"]): card for card, _ in judged(file)}
        for item in floor.run.pieces:
            swapped, card = cuts_of(floor, item).swapped, cards.get((item.id, item.number))
            if swapped and card is not None:
                assert [each.end for each in swapped] == [each.end for each in cuts_of(floor, item).ends][::-1]
                assert not wrong([of_card(each) for each in swapped], card)


def badly_drawn(laid: OnSaw, said: Said, card: dict[str, Any], kerf: float) -> str:
    """The fault in a drawing; empty if a ruler and a protractor on it would find the cut."""
    corners = wanted(card)
    placed = {end: on_the_table(corners[end], said) for end in "AB"}
    cut, other = placed[said.end], placed["B" if said.end == "A" else "A"]
    toward = said.piece == "toward you"
    tip = cut[np.argmax(corners[said.end][:, 0] * (1 if said.end == "B" else -1))]
    for side, level in ((laid.line, cut[:, 2].max()), (laid.under, cut[:, 2].min())):
        true = cut[np.abs(cut[:, 2] - level) < CLOSE]
        mine = np.array(side)
        # Moved along the fence alone: to the fence, every line of the drawing is where the wood's is.
        true = np.column_stack([true[:, 0] - tip[0], true[:, 1] - (0 if not toward else tip[1])])
        mine = mine - (np.array([0.0, 0.0]) if not toward else np.array(laid.long_point))
        if not toward:
            true[:, 1] -= max(cut[:, 1].max(), other[:, 1].max())
        if not np.allclose(sorted(map(tuple, true)), sorted(map(tuple, mine)), atol=CLOSE):
            return f"the cut is at {mine.tolist()}, not at {true.tolist()}"
    if toward:
        return ""
    way = -1.0 if said.piece == "left of the blade" else 1.0
    middle = np.mean(laid.line, axis=0)[0]
    if (np.mean(laid.kept.upper, axis=0)[0] - middle) * way <= 0 or laid.kept_left != (way < 0):
        return "the piece is on the other side of the blade"
    if (np.mean(laid.kerf, axis=0)[0] - middle) * way >= 0:
        return "the kerf is on the piece's side of the line"
    one, two, far = (np.array(laid.kerf[at]) for at in (0, 1, 2))
    along, over = two - one, far - one
    across = abs(along[0] * over[1] - along[1] * over[0]) / np.linalg.norm(along)
    if abs(across * np.cos(np.radians(said.bevel_deg)) - kerf) > CLOSE:
        return f"a kerf of {kerf} is drawn {across} wide"
    if not said.first and abs(laid.far_point[0] - way * said.set_mm) > CLOSE:
        return f"the stop is at {laid.far_point[0]}"
    return ""


def test_the_lines_of_the_drawing_are_where_the_saw_cuts(builds: list[Path]) -> None:
    count = 0
    for file in builds:
        kerf = float(floor_of(file).run.build.shop.kerf)
        for card, drawn in views(file):
            for view in drawn:
                assert view.laid is not None
                assert not badly_drawn(view.laid, of_card(view.cut), card, kerf), (file.name, card["part"], view.cut)
                count += 1
    assert count >= 500 + 2 * 20


OPPOSITE = {
    "left": "right", "right": "left", "none": "left", "top face": "bottom face", "bottom face": "top face",
    "far edge": "near edge", "near edge": "far edge", "left of the blade": "right of the blade",
    "right of the blade": "left of the blade", "A": "B", "B": "A", True: False, False: True,
}  # fmt: skip


def mutants(said: Said) -> Iterator[tuple[str, Said]]:
    """The same cut with one value changed: turned over, turned round, swung or tilted the other way, a little off."""
    from dataclasses import replace as changed

    for name in ("end", "first", "up", "fence", "piece"):
        if getattr(said, name) in OPPOSITE:
            yield name, changed(said, **{name: OPPOSITE[getattr(said, name)]})
    if said.swing != "none":
        yield "swing", changed(said, swing=OPPOSITE[said.swing])
        yield "swing", changed(said, swing="none")
        yield "swing_deg", changed(said, swing_deg=said.swing_deg + 0.1)
    else:
        yield "swing", changed(said, swing="left")
        yield "swing_deg", changed(said, swing="left", swing_deg=0.1)
    if said.tilt != "none":
        yield "tilt", changed(said, tilt="right")
        yield "tilt", changed(said, tilt="none")
        yield "tilt_deg", changed(said, tilt_deg=said.tilt_deg + 0.1)
    else:
        yield "tilt", changed(said, tilt="left")
        yield "tilt_deg", changed(said, tilt="left", tilt_deg=0.1)
    if said.first:
        yield "stop_mm", changed(said, stop_mm=100.0)
    else:
        yield "set_mm", changed(said, set_mm=said.set_mm + 0.1)
        yield "stop_mm", changed(said, stop_mm=said.set_mm + 0.1)


def test_the_judge_notices_every_value_that_is_turned(builds: list[Path]) -> None:
    """The mutants: one value of one cut of every piece is changed at a time. None makes the piece."""
    noticed: dict[str, int] = {}
    for file in builds:
        for card, said in judged(file):
            for at, cut in enumerate(said):
                for name, mutant in mutants(cut):
                    changed = [mutant if number == at else each for number, each in enumerate(said)]
                    assert wrong(changed, card), (file.name, card["part"], name, mutant)
                    noticed[name] = noticed.get(name, 0) + 1
    assert set(noticed) == set(FIELDS)
    assert min(noticed.values()) >= 200


def test_the_drawing_follows_its_values(builds: list[Path]) -> None:
    """A card with changed values draws another cut, or none: the drawing has no geometry of its own."""
    noticed: dict[str, int] = {}
    for file in builds:
        floor = floor_of(file)
        kerf = float(floor.run.build.shop.kerf)
        cards = {(card["part"], card["piece"]): card for card, _ in judged(file)}
        for item in islice(floor.run.pieces, 60):
            card = cards.get((item.id, item.number))
            for each in cuts_of(floor, item).ends if card else ():
                assert card is not None
                others = () if each.first else cuts_of(floor, item).others(each)
                for name in ("up", "fence", "piece", "swing", "tilt"):
                    value = getattr(each, name)
                    if value not in OPPOSITE or (name == "tilt" and value == "left") or value == "none":
                        continue
                    turned = replace(each, **{name: OPPOSITE[value]})
                    try:
                        laid = lay_on_saw(floor.solid(item), turned, others, kerf)
                    except ValueError:
                        noticed[name] = noticed.get(name, 0) + 1
                        continue
                    assert badly_drawn(laid, of_card(each), card, kerf), (file.name, item.key, name)
                    noticed[name] = noticed.get(name, 0) + 1
    assert set(noticed) == {"up", "fence", "piece", "swing"}
