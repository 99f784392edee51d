"""Every state on the working screens is told without colour: by its own shape and a word, by an edge, or by words.

Shapes are compared as they are drawn, without their colour; test_seen compares their pixels in grey. The colours of
edges and plates are in test_toolkit_colours.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from kit import boxes
from kit.driver import Driver
from kit.story import Maker, new_app
from kivy.graphics import Canvas, Instruction

from tracker.cards.piece.action import NOT_YET
from tracker.cards.piece.piece_options import SPOILED_BY
from tracker.screens.overlays.alarm import AlarmView
from tracker.screens.toolkit.buttons import BigButton, Plated, RailButton
from tracker.screens.toolkit.clock_face import ClockChip, ClockFace
from tracker.screens.toolkit.list_rows import ListRow, StripCell
from tracker.screens.toolkit.marks import Mark, ToneShape, draw_shape
from tracker.screens.toolkit.palette import DAY, TONES
from tracker.tour.headless import HandTime
from tracker.work.decide.decide import Do, next_step
from tracker.work.decide.intents import PutAside, Spoil

TOLD = (ListRow, StripCell, Mark, ClockChip, ClockFace)
"""What shows a state by its tone."""


@pytest.fixture
def maker(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Maker:
    maker = Maker(run_app(new_app(tmp_path, hand_time)))
    maker.open("Doorstep planter")
    return maker


def outline(tone: str) -> tuple[tuple[str, tuple[float, ...]], ...]:
    """The strokes and fills of a tone's shape in a box of 100 points, without their colours."""
    canvas = Canvas()
    with canvas:
        draw_shape(tone, 0.0, 0.0, 100.0, DAY)
    return tuple(found for each in canvas.children if (found := _geometry(each)))


def _geometry(each: Instruction) -> tuple[str, tuple[float, ...]] | None:
    name = type(each).__name__
    if points := getattr(each, "points", None):
        return name, tuple(round(value, 1) for value in points)
    if hasattr(each, "pos") and hasattr(each, "size"):
        return name, tuple(round(value, 1) for value in (*each.pos, *each.size))
    return None


def test_every_tone_and_none_has_its_own_shape(maker: Maker) -> None:
    shapes = {tone: outline(tone) for tone in (*TONES, "")}
    assert all(shapes.values()), "each draws something"
    assert len(set(shapes.values())) == len(shapes)
    kinds = {tone: tuple(name for name, _ in shape) for tone, shape in shapes.items()}
    assert len(set(kinds.values())) == len(kinds), "not the same strokes at another size"


def told(root: Any) -> Iterator[str]:
    """Faults: a state in view without its shape or without a word, a chosen thing with an ordinary edge, a disabled
    button with an edge."""
    for widget in boxes.walk_all(root):
        if not boxes.in_view(widget):
            continue
        name = boxes.name_of(widget)
        if isinstance(widget, TOLD) and getattr(widget, "whole", True):
            shapes = [each.tone for each in boxes.walk_all(widget) if isinstance(each, ToneShape)]
            if not isinstance(widget, StripCell) and widget.tone not in shapes:
                yield f"{name}: {widget.tone} has no shape"
            if not [each for each in boxes.words(widget) if each.text.strip()]:
                yield f"{name}: {widget.tone} has no word"
        if isinstance(widget, Plated) and widget.disabled and tuple(widget.rim) != tuple(widget.plate):
            yield f"{name}: disabled, and it has an edge"
        if isinstance(widget, Plated) and not widget.disabled and edge_of(widget) < edge_needed(widget) - 0.01:
            yield f"{name}: its edge is {edge_of(widget):.2f} mm"


def edge_of(widget: Any) -> float:
    """The width of a plate's edge (mm)."""
    return float(widget._inner.pos[0] - widget._outer.pos[0]) / boxes.per_mm()


def edge_needed(widget: Any) -> float:
    return 1.0 if widget.chosen else 0.5


def settled(maker: Maker) -> list[str]:
    maker.driver.run_for(0.6, 0.2)
    with boxes.at_rest():
        return list(told(maker.app.root))


def test_done_current_and_next_in_a_batch(maker: Maker) -> None:
    assert maker.app.shop.do(Do("side:1", "cut")) is None
    maker.app.show_item("side:2", "cut")
    assert settled(maker) == []
    cells = [each for each in maker.driver.find(StripCell) if boxes.in_view(each)]
    assert {each.tone for each in cells} >= {"ready", "done"}
    (current,) = [each for each in cells if each.chosen]
    assert edge_of(current) == pytest.approx(1.0, abs=0.05)
    assert [each.place for each in maker.driver.find(RailButton) if each.chosen] == ["station"]


def test_what_is_blocked_says_why(maker: Maker) -> None:
    maker.app.show_item("ring:1")
    assert settled(maker) == []
    (button,) = [each for each in maker.driver.find(BigButton) if boxes.in_view(each)]
    assert button.disabled
    assert button.sub_text == NOT_YET
    assert maker.card().action.why in maker.driver.texts(), "beside the button"


def test_what_is_set_aside_or_spoiled_says_so(maker: Maker) -> None:
    shop = maker.app.shop
    assert shop.do(PutAside("side:2", "let the wood acclimate")) is None
    maker.app.show_item("side:2")
    assert settled(maker) == []
    assert any("set aside" in text.lower() or "acclimate" in text for text in maker.driver.texts())
    assert shop.do(Do("side:1", "cut")) is None
    assert shop.do(Spoil("side:1", SPOILED_BY[0])) is None
    maker.app.show_item("side:1")
    assert settled(maker) == []
    assert any(f"second making: {SPOILED_BY[0]}" in text for text in maker.driver.texts())


def test_a_clock_that_waits_and_one_that_is_overdue(maker: Maker) -> None:
    shop, key = maker.app.shop, "ring:1"
    for item in (*(shop.run.items[member] for member in shop.run.items[key].members), shop.run.items[key]):
        while (step := next_step(maker.app.floor().run, shop.state, item)) and step.id != "clamp":
            assert shop.do(Do(item.key, step.id, "Tested: ready")) is None
    maker.app.show_item(key)
    assert settled(maker) == []
    maker.driver.jump(600)
    maker.driver.run_for(2.0, 0.5)
    (alarm,) = maker.driver.find(AlarmView)
    assert [each.tone for each in boxes.walk_all(alarm) if isinstance(each, ToneShape) and each.tone] == ["caution"]
    assert "is over" in alarm.card.said
    maker.answer_alarm()
    assert settled(maker) == []
    assert shop.do(Do(key, "clamp")) is None
    maker.app.show_item(key)
    assert settled(maker) == []
    (face,) = [each for each in maker.driver.find(ClockFace) if each.opacity]
    assert face.tone == "waiting"
