"""Glue-ups: the assemblies of the build, and the current one with what it needs, its clock and its next step."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, ListProperty, NumericProperty, ObjectProperty, StringProperty

from tracker.cards.cautions import FUMES, RAGS
from tracker.cards.glueup.glueup import assembly_card, assembly_rows
from tracker.cards.words import capital
from tracker.screens.base import CardScreen, CardView
from tracker.screens.desk import the_desk
from tracker.screens.lazy import class_named
from tracker.screens.toolkit.buttons import Plate
from tracker.screens.toolkit.list_rows import RowView
from tracker.screens.toolkit.text import count_lines, largest_type, lines_height
from tracker.screens.toolkit.touch import Tappable

JOINING = frozenset({"dry fit", "attach", "spread", "clamp"})
"""The steps before which the parts are drawn pulled apart."""
TILE_WIDE, TILE_LEAST, TILE_HIGH = 40.0, 22.0, 26.0
"""The width of a tile in a column, the least height of a tile, and its height where there is room (mm)."""
GAPS = 1.5
"""Five gaps of 0.3 grids are between the title, the clock, the drawing and the words."""
LEAST_BESIDE, LEAST_PICTURE = 58.0, 18.0
"""The least width beside the column of tiles, and the least height of a drawing (mm)."""


def title_font(text: str, width: float) -> float:
    """The largest type in which a title takes one line, or in smaller types a few."""
    theme = the_desk().theme
    return largest_type(text, width, [(theme.task, 1), (theme.note, 2)], theme.fine, True)


class CardTile(Tappable, Plate):
    """One aspect of the glue-up with its progress; a tap opens its sheet."""

    text = StringProperty("")
    said = StringProperty("")
    tone = StringProperty("")
    sheet = StringProperty("")
    least_mm = 22.0


SHEETS = {
    "checks": "overlays.checklist.ChecklistCover",
    "parts": "overlays.checklist.PartsCover",
    "plugs": "overlays.hole_list.PlugsCover",
    "screws": "overlays.hole_list.ScrewsCover",
    "prove": "overlays.prove.ProveCover",
    "times": "overlays.times.TimesCover",
    "air": "overlays.times.AirCover",
    "picture": "overlays.picture.PictureCover",
    "outline": "overlays.outline.OutlineCover",
    "own step": "overlays.own_step.OwnStepCover",
    "wood": "overlays.wood.WoodCover",
}
"""The sheet that each tile opens, and that of the button beside the title."""


def open_sheet(name: str, key: str) -> None:
    """Open the sheet of that name for an assembly, over the screen."""
    class_named(SHEETS[name])(key=key).show()


class AssemblyView(CardView):
    """Draws an AssemblyCard. Where there isn't room for both, its clock is shown and its tiles aren't. The drawing has
    what the words leave; the tiles are beside it in a column, or where that doesn't fit, in a row above the words."""

    tiles = ListProperty([])
    below = StringProperty("")
    """The text above the buttons: what is in the way, or the caution."""
    below_font, below_lines = NumericProperty(1), NumericProperty(1)
    clock_words = StringProperty("")
    caution_above = BooleanProperty(False)
    """Whether the screen says the caution above the card."""
    pictured = BooleanProperty(False)
    """Whether the words leave room for a drawing of the assembly."""
    columns = BooleanProperty(False)
    """Whether the tiles are in a column beside the drawing."""
    tiles_wide, tiles_high = NumericProperty(0), NumericProperty(0)
    facts = StringProperty("")
    facts_font, facts_lines = NumericProperty(1), NumericProperty(1)
    apart = BooleanProperty(False)
    """Whether its parts are drawn pulled apart: until they are joined."""
    outline = ObjectProperty(None, allownone=True)
    """The outline sawn from it, drawn in the worker."""

    def __init__(self, **kwargs: Any) -> None:
        self._fit = Clock.create_trigger(self._room, -1)
        self._outlined: tuple[Any, str] | None = None
        super().__init__(**kwargs)
        self.bind(size=self._fit, caution_above=self._fit)

    def on_kv_post(self, base_widget: object) -> None:
        for name in ("body", "head", "clock"):
            self.ids[name].bind(size=self._fit)

    def _redrawn(self, *_: object) -> None:
        clock = self.card.clock if self.card else None
        self.clock_words = (clock.said if clock.over else capital(clock.until)) if clock else ""
        intent = self.card.action.intent if self.card else None
        self.apart = intent is not None and getattr(intent, "step", "") in JOINING
        self.ids.drawn.refresh()
        self._show_outline()
        self._fit()

    def _show_outline(self) -> None:
        """Made once for a card; until it is ready, nothing is drawn."""
        id_ = self.card.outline if self.card else ""
        wanted = (the_desk().floor().run.build, id_) if id_ else None
        if wanted is None:
            self._outlined, self.outline = None, None
        elif self._outlined is None or self._outlined[0] is not wanted[0] or self._outlined[1] != id_:
            self._outlined, self.outline = wanted, None

            def job() -> Any:
                from tracker.cards.template.outline_card import outline_card

                return outline_card(wanted[0], id_, with_necks=False).drawing

            the_desk().worker.submit(job, lambda drawing: self._drawn(wanted, drawing))

    def _drawn(self, wanted: object, drawing: object) -> None:
        if wanted is self._outlined:
            self.outline = drawing

    def _room(self, *_: object) -> None:
        """Share the room between the buttons and the title among the tiles, the words and the drawing. What is in the
        way and a fire caution must be readable; then tiles have precedence over a caution."""
        card = self.card
        if card is None:
            self.tiles, self.below, self.facts, self.pictured = [], "", "", False
            return
        theme, body = the_desk().theme, self.ids.body
        mm, count = theme.mm, len(card.tiles)
        why = "" if card.clock_says_why or card.opens else card.action.why
        said = "" if self.caution_above else card.action.caution
        opening = card.clock is not None and not card.clock.at_least
        self.facts = "" if opening else card.facts_words
        drawn = bool(card.placed or card.outline)
        column = count * TILE_LEAST * mm + (count - 1) * theme.grid
        self.columns = bool(
            drawn
            and count
            and card.clock is None
            and column <= body.height
            and body.width >= (TILE_WIDE + LEAST_BESIDE) * mm + theme.grid
        )
        self.ids.clock.most_mm = (body.height - self.ids.head.height - GAPS * theme.grid) / mm
        high = body.height - self.ids.head.height - self.ids.clock.height - GAPS * theme.grid
        must = why or (said if said in (RAGS, FUMES) else "")
        room = high - theme.grid - self._high(must, theme.fine, body.width)
        fits = self.columns or (count > 0 and room >= TILE_LEAST * mm)
        in_row = min(TILE_HIGH * mm, room)
        row = in_row + theme.grid
        self.tiles = list(card.tiles) if fits else []
        high -= row if fits and not self.columns else 0
        wide = body.width - (TILE_WIDE * mm + theme.grid if self.columns else 0)
        self.tiles_wide = TILE_WIDE * mm if self.columns else body.width
        most = count * TILE_HIGH * mm + (count - 1) * theme.grid
        self.tiles_high = (min(body.height, most) if self.columns else in_row) if fits else 0
        self.below = must or (said if high >= self._high(said, theme.fine, wide) else "")
        self._put_words(wide, high, drawn)

    def _put_words(self, wide: float, high: float, drawn: bool) -> None:
        """Choose the type of the words, and whether there is a drawing: the larger type is more important."""
        theme = the_desk().theme
        for facts, below, picture in (
            (theme.note, theme.note, drawn),
            (theme.note, theme.note, False),
            (theme.fine, theme.note, drawn),
            (theme.fine, theme.note, False),
            (theme.fine, theme.fine, False),
        ):
            words = self._high(self.facts, facts, wide) + self._high(self.below, below, wide)
            if words + (LEAST_PICTURE * theme.mm if picture else 0) <= high:
                break
        if not picture and self.card.outline and LEAST_PICTURE * theme.mm + self._high(self.below, below, wide) <= high:
            self.facts, picture = "", True  # what is to be sawn now is more important than what was noted
        self.facts_font, self.below_font, self.pictured = facts, below, picture
        self.facts_lines = count_lines(self.facts, facts, wide)
        self.below_lines = count_lines(self.below, below, wide)

    def _high(self, text: str, size: float, wide: float) -> float:
        return lines_height(count_lines(text, size, wide), size)

    def on_tiles(self, *_: object) -> None:
        row = self.ids.tiles
        while len(row.children) > len(self.tiles):
            row.remove_widget(row.children[0])
        while len(row.children) < len(self.tiles):
            tile = CardTile()
            tile.bind(on_tap=lambda tapped: self.open(tapped.sheet))
            row.add_widget(tile)
        for tile, view in zip(reversed(row.children), self.tiles, strict=True):
            tile.text, tile.said, tile.tone, tile.sheet = view.text, view.said, view.tone, view.sheet

    def open(self, sheet: str) -> None:
        """A tile was tapped, or the clock."""
        if self.card is not None:
            open_sheet(sheet, self.card.key)

    def act(self) -> None:
        """The large button was tapped."""
        if self.card.opens:
            self.open(self.card.opens)
        elif self.card.action.intent is not None:
            the_desk().act(self.card.action.intent)

    def go_ahead(self) -> None:
        """The large button was tapped though something is in the way."""
        if self.card.action.intent is not None:
            the_desk().offer_anyway(self.card.action)

    def undo(self) -> None:
        """Undo the last thing done to this assembly."""
        the_desk().current_item.undo(self.card.undo)


class GlueupScreen(CardScreen):
    """The list of assemblies beside the card of one."""

    ticks = True

    def draw(self) -> None:
        desk = the_desk()
        floor = desk.floor()
        rows = assembly_rows(floor)
        key = desk.assembly if desk.assembly in floor.run.items else rows[0].key if rows else ""
        self.card = assembly_card(floor, key) if key else None
        why = self.card.action.why if self.card else ""
        self.ids.list.rows = [
            RowView(title=r.title, subtitle="" if r.key == key and r.said == why else r.said, tone=r.tone, key=r.key)
            for r in rows
        ]
        self.ids.list.selected = key

    def choose(self, key: str) -> None:
        """An assembly was tapped."""
        the_desk().open_item(key)

    @property
    def assembly_scanned_into(self) -> str:
        return self.card.key if self.card else ""
