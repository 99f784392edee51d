"""The rack: boards are measured with the tape and entered, changed, given back; each gets a label."""

from __future__ import annotations

from collections.abc import Callable

from kivy.properties import BooleanProperty, ListProperty, StringProperty

from tracker.cards.keypad.decimal import DecimalEntry
from tracker.cards.rack.rack import (
    SIZES,
    Size,
    board_card,
    enter_board,
    give_back,
    photo_of,
    rack_card,
    size_options,
    usual_sizes,
    with_defect,
    with_photo,
    with_price,
    with_size,
)
from tracker.measure import Length
from tracker.screens.desk import shown_path, the_desk
from tracker.screens.overlays.cover import Cover
from tracker.screens.overlays.piece_options import enter_moisture
from tracker.screens.overlays.tape import TapeSheet
from tracker.screens.toolkit.list_rows import RowView
from tracker.screens.toolkit.prompts import Option
from tracker.shop.pictures import newest_pictures
from tracker.words import say

Kept = Callable[[Length], object]


def measure(title: str, what: str, planned: Length, kept: Kept) -> None:
    """Enter one length with the tape's keys."""
    desk = the_desk()
    sheet = TapeSheet(title, what, planned, desk.floor().run.build.shop.mark)
    sheet.bind(on_kept=lambda _sheet, length: kept(length))
    sheet.open_on(desk.root)


class RackCover(Cover):
    """Every board on hand, and below the list the button that adds one."""

    rows = ListProperty([])
    empty = StringProperty("")

    def draw(self) -> None:
        self.card = rack_card(the_desk().floor())
        self.title = say("Rack")
        self.empty = self.card.empty
        self.rows = [RowView(title=row.title, subtitle=row.said, tone=row.tone, key=row.key) for row in self.card.rows]

    def choose(self, key: str) -> None:
        """A board was tapped."""
        BoardChange(key).ask()

    def add(self) -> None:
        """Add a board: which wood, then its three sizes."""
        woods = self.card.woods
        if len(woods) == 1:
            self.enter(woods[0][0])
            return
        options = [Option(key=wood, text=wood, sub_text=words) for wood, words in woods]
        the_desk().ask(say("A board of which wood?"), options, self.enter)

    def enter(self, wood: str, sizes: tuple[Length, ...] = ()) -> None:
        """Length, width, thickness, one after the other; then it is on the rack."""
        desk = the_desk()
        if len(sizes) == len(SIZES):
            desk.act(enter_board(desk.floor(), wood, (sizes[0], sizes[1], sizes[2])))
            return
        planned = usual_sizes(desk.floor(), wood)[len(sizes)]
        what = say("{size}, {count} of 3", size=say(SIZES[len(sizes)]), count=len(sizes) + 1)
        measure(say("New board of {wood}", wood=wood), what, planned, lambda length: self.enter(wood, (*sizes, length)))


class BoardChange:
    """The questions about one board."""

    def __init__(self, key: str) -> None:
        self.key = key

    def ask(self) -> None:
        """Offer everything that can be done with it."""
        desk = the_desk()
        card = board_card(desk.floor(), self.key)
        self.title = card.title
        options = [
            Option(
                key=each.key,
                text=each.text,
                sub_text=each.said,
                tone=each.tone,
                possible=not each.why,
            )
            for each in card.options
        ]
        desk.ask(card.title, options, self.chosen, note=card.said)

    def chosen(self, key: str) -> None:
        """An option was tapped."""
        desk = the_desk()
        if key == "moisture":
            enter_moisture(self.key, self.title)
        elif key == "defect":
            self.defect()
        elif key == "price":
            PriceCover(key=self.key, what=self.title).show()
        elif key == "photo":
            self.photo()
        elif key == "size":
            options = size_options(desk.floor(), self.key)
            sizes = [Option(key=each.key, text=each.text, sub_text=each.said) for each in options]
            desk.ask(say("{title}: measure again", title=self.title), sizes, self.chosen)
        elif key == "give back":
            desk.act(give_back(desk.floor(), self.key))
        else:
            what: Size = "length" if key == "length" else "width" if key == "width" else "thickness"
            measure(
                self.title,
                say(what),
                self.nothing,
                lambda size: desk.act(with_size(desk.floor(), self.key, what, size)),
            )

    def photo(self) -> None:
        """Look at the present photo, or choose one of the newest in the folder of pictures."""
        desk = the_desk()
        folder = desk.shop.home / "pictures"
        folder.mkdir(exist_ok=True)
        options = [Option(key=path.name, text=path.name) for path in newest_pictures(folder)]
        if photo_of(desk.floor(), self.key) is not None:
            options.insert(0, Option(key="", text=say("Look at it"), sub_text=say("the photo that it has")))
        where = say("Put PNG or JPEG pictures into {path}", path=shown_path(folder))
        desk.ask(say("{title}: which picture?", title=self.title), options, self.photo_chosen, note=where)

    def photo_chosen(self, file: str) -> None:
        """Show the photo, or store its name."""
        desk = the_desk()
        if file:
            desk.act(with_photo(desk.floor(), self.key, file))
        else:
            PhotoCover(key=self.key, title=self.title).show()

    @property
    def nothing(self) -> Length:
        """A moisture reading has no planned value."""
        return Length.of(0, "mm")

    def defect(self) -> None:
        """From, to, and how far in from which edge."""
        title = say("{title}: defect", title=self.title)
        measure(title, say("begins, from end A"), self.nothing, lambda start: measure(
            title, say("ends, from end A"), self.nothing, lambda end: self.how_deep(start, end)
        ))  # fmt: skip

    def how_deep(self, start: Length, end: Length) -> None:
        """Across the whole board, or from an edge."""
        options = [
            Option(key="", text=say("Right across"), sub_text=say("nothing of it can be used")),
            Option(key="near", text=say("Near edge"), sub_text=say("the rest of the width is clear")),
            Option(key="far", text=say("Far edge"), sub_text=say("the rest of the width is clear")),
        ]
        the_desk().ask(
            say("{title}: the defect lies…", title=self.title), options, lambda edge: self.at_edge(start, end, edge)
        )

    def at_edge(self, start: Length, end: Length, edge: str) -> None:
        """How far it reaches in, if from an edge."""
        if edge:
            measure(
                say("{title}: defect", title=self.title),
                say("how far in from the near edge") if edge == "near" else say("how far in from the far edge"),
                self.nothing,
                lambda deep: self.keep_defect(start, end, edge, deep),
            )
        else:
            self.keep_defect(start, end, "near", None)

    def keep_defect(self, start: Length, end: Length, edge: str, deep: Length | None) -> None:
        """Store the defect."""
        desk = the_desk()
        desk.act(with_defect(desk.floor(), self.key, start, end, edge, deep))


class PhotoCover(Cover):
    """The photo of a board, as large as fits."""

    def draw(self) -> None:
        self.card = photo_of(the_desk().floor(), self.key)


class PriceCover(Cover):
    """The price paid for a board."""

    what = StringProperty("")
    shown = StringProperty("")
    said = StringProperty("")
    complete = BooleanProperty(False)

    def draw(self) -> None:
        self.entry = DecimalEntry(least=0, most=99_999, decimals=2)
        self.title = say("{what}: price", what=self.what)
        self._show()

    def press(self, key: str) -> None:
        """A key was tapped."""
        self.entry = self.entry.press(key)
        self._show()

    def erase(self) -> None:
        """Erase the last key."""
        self.entry = self.entry.erase()
        self._show()

    def _show(self) -> None:
        currency = the_desk().floor().run.build.currency
        self.shown = f"{self.entry.typed or '–'} {currency}".strip()
        self.said = self.entry.block or say("For the whole board.")
        self.complete = self.entry.value is not None
        self.ids.pad.allow(self.entry.takes, bool(self.entry.typed))

    def keep(self) -> None:
        """Store the price."""
        if self.entry.value is not None:
            desk = the_desk()
            self.close()
            desk.act(with_price(desk.floor(), self.key, self.entry.value))
