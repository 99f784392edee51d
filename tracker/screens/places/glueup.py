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
from tracker.screens.toolkit.text import count_lines, lines_height
from tracker.screens.toolkit.touch import Tappable

JOINING = frozenset({"dry fit", "attach", "spread", "clamp"})
"""The steps before which the parts are drawn pulled apart."""
TILES = 23.0
"""The height of the row of tiles, and 1 mm more than a gap to the clock above (mm)."""
FACTS_SHARE = 0.41
"""The part of the card's width that the facts have beside a picture: 0.7 of 1.7 in glueup.kv."""


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
    """Draws an AssemblyCard. Where there isn't room for both, its clock is shown and its tiles aren't."""

    tiles = ListProperty([])
    below = StringProperty("")
    """The text above the buttons: what is in the way, or the caution."""
    below_font, below_lines = NumericProperty(1), NumericProperty(1)
    clock_words = StringProperty("")
    caution_above = BooleanProperty(False)
    """Whether the screen says the caution above the card."""
    pictured = BooleanProperty(False)
    """Whether the facts leave room beside them for a picture of the assembly."""
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
        for child in self.children:
            if child not in self._flexible:
                child.fbind("height", self._fit)

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
        """A blocker and a fire caution must be readable; otherwise tiles have precedence over the caution, which
        returns when there is room."""
        card = self.card
        if card is None:
            self.tiles, self.below = [], ""
            return
        why = "" if card.clock_says_why or card.opens else card.action.why
        said = "" if self.caution_above else card.action.caution
        why = why or (said if said in (RAGS, FUMES) else "")
        mm, fine, free = the_desk().theme.mm, the_desk().theme.fine, self._free()
        free -= self._high(why, fine)
        room_for_tiles = bool(card.tiles) and free >= TILES * mm
        self.tiles = list(card.tiles) if room_for_tiles else []
        free -= TILES * mm if room_for_tiles else 0
        caution = said if free >= self._high(said, fine) else ""
        self.below = why or caution
        self._put_below(free + self._high(why, fine))

    def _put_below(self, free: float) -> None:
        """Large where the facts above it fit, too."""
        theme = the_desk().theme
        facts = self.ids.facts.text
        beside = FACTS_SHARE * self._wide - theme.grid
        narrow = lines_height(count_lines(facts, theme.fine, beside), theme.fine) if facts else 0
        self.pictured = narrow <= free - self._high(self.below, theme.fine)
        room = free - (narrow if self.pictured else self._high(facts, theme.fine))
        self.below_font = theme.note if self._high(self.below, theme.note) <= room else theme.fine
        self.below_lines = count_lines(self.below, self.below_font, self._wide)

    @property
    def _wide(self) -> float:
        return float(self.width - 2 * self.padding[0])

    def _high(self, text: str, size: float) -> float:
        return lines_height(count_lines(text, size, self._wide), size)

    def _free(self) -> float:
        """The height that remains for the tiles and for the text above the buttons."""
        taken = (child.height for child in self.children if child.size_hint_y is None and child not in self._flexible)
        return float(
            self.height - sum(taken) - self.spacing * (len(self.children) - 1) - self.padding[1] - self.padding[3]
        )

    @property
    def _flexible(self) -> tuple[Any, Any]:
        return self._tiles, self.ids.below.__self__

    @property
    def _tiles(self) -> Any:
        return self.ids.tiles.__self__

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
