"""The card of an assembly: its drawing, what it needs, its clock and its next step, and how they share the room."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from kivy.clock import Clock
from kivy.properties import BooleanProperty, ListProperty, NumericProperty, ObjectProperty, StringProperty

from tracker.cards.glueup.tiles import TileView
from tracker.cards.words import capital
from tracker.screens.base import CardView
from tracker.screens.desk import the_desk
from tracker.screens.places.glueup_tiles import (
    MOST_HIGH,
    CardTile,
    TileType,
    open_sheet,
    tile_types,
    tile_widths,
    tiles_high,
)
from tracker.screens.toolkit.text import count_lines, largest_type, lines_height
from tracker.screens.toolkit.theme import GRID

JOINING = frozenset({"dry fit", "attach", "spread", "clamp"})
"""The steps before which the parts are drawn pulled apart."""
TILE_LEAST, TILE_HIGH = 22.0, 26.0
"""The least height of a tile, and its height above a drawing that has its share (mm)."""
COLUMN, CLOCKED = 80.0, 92.0
"""The width of what is said beside the drawing, and of that with a clock (mm)."""
PORTRAIT_SHARE, CLOCKED_SHARE, LEAST_PICTURE = 0.285, 0.222, 22.0
"""The share of a portrait screen that words leave to the plate of the drawing, the same where there are clocks, and the
least height of a plate (mm)."""
LANDSCAPE_SHARE, CLOCKED_BESIDE = 0.1805, 0.136
"""The share of a landscape screen that is left to what is in the plate, and the same where there are clocks."""
FACT = " · "


def title_font(text: str, width: float) -> float:
    """The largest type in which a title takes one line, or in smaller types a few."""
    theme = the_desk().theme
    return largest_type(text, width, [(theme.task, 1), (theme.note, 2)], theme.fine, True)


class Share(NamedTuple):
    """What is said on the card: how many of the facts and in which type, which tiles, how many of them in a row and in
    which type, and the width for all that (points)."""

    facts: int
    tiles: list[TileView]
    size: float
    row: int
    column: float
    type: TileType

    def widths(self, type_: TileType) -> list[float]:
        """The widths of the tiles in this type."""
        return tile_widths(self.tiles, self.row, self.column, type_)


class AssemblyView(CardView):
    """Draws an AssemblyCard. In landscape the drawing has the height of the card above the buttons, and what is said is
    beside it in a column; in portrait the drawing has what the words and tiles leave."""

    tiles = ListProperty([])
    why = StringProperty("")
    """What is in the way."""
    why_font = NumericProperty(1)
    clock_words = StringProperty("")
    pictured = BooleanProperty(False)
    """Whether there is a drawing, and room for it."""
    beside = BooleanProperty(False)
    """Whether what is said is beside the drawing."""
    column = NumericProperty(0)
    """The width for what is said."""
    tiles_high = NumericProperty(0)
    facts = StringProperty("")
    facts_font = NumericProperty(1)
    apart = BooleanProperty(False)
    """Whether its parts are drawn pulled apart: until they are joined."""
    outline = ObjectProperty(None, allownone=True)
    """The outline sawn from it, drawn in the worker."""
    clocked = BooleanProperty(False)
    """Whether the screen shows clocks besides the card."""
    crowded = BooleanProperty(False)
    """Whether those take the height that the drawing needs: then marks and button are low."""

    def __init__(self, **kwargs: Any) -> None:
        self._fit = Clock.create_trigger(self._room, -1)
        self._outlined: tuple[Any, str] | None = None
        super().__init__(**kwargs)
        self.bind(size=self._fit, clocked=self._fit)

    def on_kv_post(self, base_widget: object) -> None:
        for name in ("body", "title", "clock"):
            self.ids[name].bind(size=self._fit)

    def _redrawn(self, *_: object) -> None:
        clock = self.card.clock if self.card else None
        self.clock_words = (clock.said if clock.over else capital(clock.until)) if clock else ""
        intent = self.card.action.intent if self.card else None
        self.apart = intent is not None and getattr(intent, "step", "") in JOINING
        self.ids.picture.ids.drawn.refresh()
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
        """Share the room above the marks among the drawing, the clock, what is in the way, the tiles and the facts."""
        card, theme, body = self.card, the_desk().theme, self.ids.body
        least_type = tile_types()[1]
        if card is None:
            return
        drawn, mm = bool(card.placed or card.outline), theme.mm
        self.beside = drawn and not theme.upright and body.height >= LEAST_PICTURE * mm
        self.crowded = self.clocked and theme.upright
        opening = card.clock is not None and not card.clock.at_least
        self.why = "" if card.clock_says_why or card.opens else card.action.why
        facts, told = ((), 0) if opening else (card.facts, card.told)
        narrow = (CLOCKED if card.clock else COLUMN) * mm if self.beside else body.width
        self.ids.clock.most_mm = self._clock_room(Share(told, [], theme.note, 2, narrow, least_type), facts) / mm
        for share in self._choices(len(facts), told, narrow):
            high = self._tile_least(share)
            spare = body.height - self._words_high(share, facts) - self._tiles_need(share, high)
            # Without a clock what is tapped is there, even where the drawing then has less than its share.
            least = not share.facts and share.tiles and card.clock is None and spare >= (LEAST_PICTURE + GRID) * mm
            if (least and not self.beside) or self._enough(spare, drawn, share.facts > told):
                break
        high, spare = self._fill_with_tiles(share, high, spare, above=drawn and not self.beside)
        self.pictured = drawn and (self.beside or spare - theme.grid >= LEAST_PICTURE * mm)
        self.facts, self.facts_font, self.column = FACT.join(facts[: share.facts]), share.size, share.column
        self.why_font = self._why_type(share)
        self.tiles_high = self._tiles_need(share, high)
        self._put_tiles(share, high)

    def _clock_room(self, share: Share, facts: Sequence[str]) -> float:
        """The height that a clock may have: its source is smaller rather than what was told, or the drawing."""
        body, theme = self.ids.body, the_desk().theme
        said = self.ids.title.height + theme.grid + self._why_high(share) + self._told_high(share, facts)
        drawing = CLOCKED_SHARE * theme.window[0] * theme.window[1] / max(1, body.width)
        drawn = (self.card.placed or self.card.outline) and not self.beside
        return body.height - said - (drawing if drawn else 0)

    def _choices(self, facts: int, told: int, narrow: float) -> Iterator[Share]:
        """What can be left out or set smaller, the best first: what is told is smaller rather than left out, and takes
        the place of the tile about the wood, or beside a clock of all tiles. Beside the drawing the column is wider
        rather than its words smaller or fewer."""
        note, fine, tiles = the_desk().theme.note, the_desk().theme.fine, list(self.card.tiles)
        _, usual, smallest = tile_types()
        fewer = [] if self.card.clock else [tile for tile in tiles if tile.sheet != "wood"]
        wide, rows = (self._widest(narrow), (2, 3)) if self.beside else (narrow, (3,))
        for count in range(facts, told - 1, -1):
            yield from (Share(count, tiles, note, rows[0], column, usual) for column in (narrow, wide))
        for size in (note, fine):
            yield from (Share(told, some, size, row, wide, usual) for some in (tiles, fewer) for row in rows)
        yield from (Share(count, fewer, fine, rows[-1], wide, usual) for count in range(told - 1, 0, -1))
        yield from (Share(0, tiles, note, row, wide, usual) for row in rows)
        widest = max(wide, CLOCKED * the_desk().theme.mm) if self.beside else wide  # below a message there is one row
        yield from (Share(0, some, note, rows[-1], widest, smallest) for some in (tiles, tiles[:2], []))

    def _widest(self, narrow: float) -> float:
        """The width of the column that leaves the drawing its share of a landscape screen; with a clock, whose height
        follows from its width, only one."""
        theme, body = the_desk().theme, self.ids.body
        if self.card.clock:
            return narrow
        share = CLOCKED_BESIDE if self.clocked else LANDSCAPE_SHARE
        drawing = share * theme.window[0] * theme.window[1] / max(1, body.height - theme.grid)
        return max(narrow, body.width - 2 * theme.grid - drawing)

    def _tile_least(self, share: Share) -> float:
        """The least height of the tiles at which their words keep their size (points)."""
        return max(TILE_LEAST * the_desk().theme.mm, tiles_high(share.tiles, share.widths(share.type), share.type))

    def _fill_with_tiles(self, share: Share, high: float, spare: float, *, above: bool) -> tuple[float, float]:
        """The height of the tiles where they fill the room that is left, or where they are `above` the drawing a little
        of it; and what is left then."""
        rows = -(-len(share.tiles) // share.row)
        if not rows:
            return high, spare
        mm = the_desk().theme.mm
        higher = max(high, min(TILE_HIGH * mm if above else MOST_HIGH * mm, high + spare / rows))
        left = spare - rows * (higher - high)
        return (higher, left) if not above or self._enough(left, True, share.facts > 0) else (high, spare)

    def _enough(self, spare: float, drawn: bool, full: bool) -> bool:
        """Whether the words fit, and in portrait leave the drawing its share of the screen, beside clocks a part of it
        unless it should be `full`."""
        theme = the_desk().theme
        if not drawn or self.beside:
            return spare >= 0
        share = PORTRAIT_SHARE if full or not (self.card.clock or self.clocked) else CLOCKED_SHARE
        return spare * self.ids.body.width >= share * theme.window[0] * theme.window[1]

    def _words_high(self, share: Share, facts: Sequence[str]) -> float:
        """The height of the title, the clock, what is in the way and the facts, with their gaps."""
        grid, ids = the_desk().theme.grid, self.ids
        clock = ids.clock.height + 0.5 * grid if self.card.clock else 0
        return ids.title.height + clock + self._why_high(share) + self._told_high(share, facts)

    def _told_high(self, share: Share, facts: Sequence[str]) -> float:
        """The height of the facts with the gap above them."""
        lines = count_lines(FACT.join(facts[: share.facts]), share.size, share.column)
        return lines_height(lines, share.size) + 0.5 * the_desk().theme.grid if lines else 0.0

    def _why_type(self, share: Share) -> float:
        """The size of what is in the way."""
        theme = the_desk().theme
        most = 1 if share.type.text == theme.fine else 3
        return largest_type(self.why, share.column, [(theme.note, most)], theme.fine)

    def _why_high(self, share: Share) -> float:
        size = self._why_type(share)
        lines = count_lines(self.why, size, share.column)
        return lines_height(lines, size) + 0.5 * the_desk().theme.grid if lines else 0.0

    def _tiles_need(self, share: Share, high: float) -> float:
        """The height of the tiles with their gaps, at this height of each (points)."""
        theme = the_desk().theme
        rows = -(-len(share.tiles) // share.row)
        return rows * (high + theme.grid) - (0.5 * theme.grid if rows else 0)

    def _put_tiles(self, share: Share, high: float) -> None:
        """Put the tiles into their rows, in the largest type for their height."""
        self.tiles, row = share.tiles, self.ids.tiles
        while len(row.children) > len(share.tiles):
            row.remove_widget(row.children[0])
        while len(row.children) < len(share.tiles):
            tile = CardTile(size_hint=(None, None))
            tile.bind(on_tap=lambda tapped: self.open(tapped.sheet))
            row.add_widget(tile)
        types = [each for each in tile_types() if tiles_high(share.tiles, share.widths(each), each) <= high]
        type_ = types[0] if types else tile_types()[-1]
        widths = share.widths(type_)
        for tile, view, width in zip(reversed(row.children), share.tiles, widths, strict=True):
            tile.show(view, type_, width)
            tile.size = width, high

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
