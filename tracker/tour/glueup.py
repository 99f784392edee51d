"""The tour's part at the bench: a glue-up from its checklist to its checks, with its clocks and alarms."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.screens.overlays.alarm import AlarmView
from tracker.screens.overlays.checklist import CheckTile
from tracker.screens.places.glueup_tiles import CardTile, PictureTile
from tracker.screens.toolkit.buttons import BigButton, SmallButton
from tracker.screens.toolkit.keypad import Key
from tracker.tour.guide import Guide
from tracker.work.decide.intents import Do, SetAir


def glue_up(guide: Guide) -> Iterator[str]:
    """The planter's ring, from dry fit to the last check; yields the name of what is on the screen."""
    guide.work("ring:1", until="spread")
    guide.open_item("ring:1")
    yield "08a a glue-up in hand"
    yield from _picture(guide)
    guide.tap_kind(CardTile, sheet="checks")
    for at in range(1, 4):
        guide.tap_kind(CheckTile, at)
    yield "08b the checklist"
    for at in range(4, 7):
        guide.tap_kind(CheckTile, at)
    guide.leave_panel()
    guide.tap_kind(CardTile, sheet="parts")
    yield "08c the parts that go in"
    guide.tap_words("All here")
    guide.leave_panel()
    guide.tap_kind(CardTile, sheet="times")
    yield "08d times and where they come from"
    guide.tap_words("Shop temperature and humidity")
    _type(guide, "66" if guide.app.floor().run.build.units == "in" else "19")
    guide.tap_kind(BigButton, sub_text="relative humidity")
    _type(guide, "48")
    yield "08e the shop's air"
    guide.tap_words("Save")
    guide.tap_kind(BigButton, 1)
    _type(guide, "45")
    guide.tap_kind(SmallButton, text="min")
    yield "08f what the label says"
    guide.tap_kind(SmallButton, text="Erase")
    guide.tap_kind(SmallButton, text="h")
    yield "08g what a label hardly says"
    guide.leave_panel()
    guide.leave_panel()
    yield from _clocks(guide)
    yield from _proofs(guide)


def _picture(guide: Guide) -> Iterator[str]:
    """The picture of the assembly, then exploded and turned."""
    guide.tap_kind(PictureTile)
    guide.let_work()
    yield "08a1 where its parts go"
    guide.tap_words("Pull it apart")
    guide.tap_words("Turn left")
    guide.let_work()
    yield "08a2 pulled apart"
    guide.tap_words("Close it up")
    for words in ("Part by part", "Next part", "Next part", "Next part"):
        guide.tap_words(words)
    guide.let_work()
    yield "08a3 part by part"
    guide.leave_panel()


def _clocks(guide: Guide) -> Iterator[str]:
    guide.tap_button()
    guide.wait(95)
    yield "08h glue spread"
    guide.wait(125)
    yield "08i open time nearly over"
    guide.wait(90)
    yield "08j the alarm of an open time"
    _answer(guide)
    guide.tap_button()
    guide.wait(1300)
    yield "09 in clamps"
    guide.tap_button()
    yield "09a off before their time"
    guide.leave_panel()
    for member in guide.app.floor().item("planter:1").members:
        if member != "ring:1":
            guide.work(member)
    guide.go("clocks")
    yield "10 clocks"
    guide.wait(3600)
    yield "10a the alarm of a clamp time"
    _answer(guide)


def _proofs(guide: Guide) -> Iterator[str]:
    guide.open_item("ring:1")
    guide.app.act(Do("ring:1", "unclamp", "Tested: ready", run=guide.run))
    guide.wait(90_000)
    _answer(guide)
    guide.open_item("ring:1")
    yield "10b ready to prove"
    guide.tap_button()
    yield "10c what it must stand up to"
    guide.tap_kind(BigButton, 0)
    yield "10d one line of it"
    guide.tap_kind(SmallButton, text="Who checked?")
    for letter in "AK":
        guide.tap_kind(Key, key=letter)
    yield "10e by whom"
    guide.tap_kind(BigButton, text="Save")
    guide.tap_kind(BigButton, text="Pass")
    guide.leave_panel()
    yield "10f proven"


def finish_and_prove(guide: Guide) -> Iterator[str]:
    """The stool, from a shop that is too cold for its glue to the load that it carries."""
    app = guide.app
    guide.work("base:1", until="spread")
    app.act(SetAir(6.0, 71.0, run=guide.run))
    guide.open_item("base:1")
    yield "14a too cold for the glue"
    guide.tap_kind(CardTile, sheet="checks")
    yield "14b a line that says no"
    guide.leave_panel()
    app.act(SetAir(19.0, 55.0, run=guide.run))
    guide.work("stool:1", until="finish 1")
    guide.open_item("stool:1")
    yield "14c a coat to put on"
    guide.tap_kind(CardTile, sheet="times")
    yield "14d times of a finish"
    guide.leave_panel()
    guide.tap_button()
    guide.wait(600)
    yield "14e a coat dries"
    guide.work("stool:1", until="prove")
    guide.wait(40 * 86_400)
    yield "14f more than one clock is over"
    _answer(guide)
    guide.open_item("stool:1")
    guide.tap_kind(BigButton)
    guide.tap_kind(BigButton, 1)
    _type(guide, "80")
    yield "14g a load is proven"
    guide.tap_kind(BigButton, text="Fail")
    yield "14h what did not pass"
    guide.leave_panel()
    yield "14i not proven"


def _type(guide: Guide, keys: str) -> None:
    for key in keys:
        guide.tap_kind(Key, key=key)


def _answer(guide: Guide) -> None:
    while view := next((child for child in guide.app.root.children if isinstance(child, AlarmView)), None):
        guide.stage.run_for(0.4, 0.1)
        guide.tap_kind(BigButton, text=view.card.stop_text)


def outline_stops(guide: Guide) -> Iterator[str]:
    """The stool's seat, glued and trimmed: its outline and its template."""
    guide.work("seat:1", until="shape")
    guide.open_item("seat:1")
    guide.let_work()
    yield "14s an outline to saw next"
    guide.tap_kind(PictureTile)
    guide.let_work()
    yield "14t the outline on its panel"
    guide.tap_words("Make template")
    guide.let_work()
    yield "14u a template to print"
    guide.tap_words("What the rule measured")
    yield "14v what the printed rule measured"
    guide.leave_panel()
    guide.leave_panel()
