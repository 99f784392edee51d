"""The boards: the plan during the search, the current board cut by cut, and a new plan after a spoiled piece."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from typing import Any

from kivy.properties import BooleanProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from tracker.cards.boards.boards import boards_card, boards_of
from tracker.cards.boards.current_board import BoardCard
from tracker.cards.boards.sheet import board_sheet
from tracker.cards.reports.boards import plan_proof_words
from tracker.cards.words import capital
from tracker.paper.board_sheet import write_board_sheet
from tracker.plan.boards import BoardPlan
from tracker.screens.base import CardView
from tracker.screens.desk import the_desk
from tracker.screens.drawing.board import BoardDrawing
from tracker.screens.lazy import class_named
from tracker.screens.overlays.piece_options import SpoilSheet
from tracker.screens.overlays.work_sheet import WorkSheet
from tracker.screens.places.barred import BarredScreen
from tracker.screens.places.board_search import look_for_boards, plan_again
from tracker.screens.places.printing import PrintsSheets, paper_of
from tracker.screens.toolkit.list_rows import RowView
from tracker.screens.toolkit.prompts import Option
from tracker.screens.toolkit.text import count_lines
from tracker.screens.toolkit.theme import Themed
from tracker.words import say
from tracker.work.decide.intents import Intent

MOST_OFFERED = 6
"""The most pieces that a panel offers, the last one cut first."""


BOARD = BoardDrawing
"""The widget that kv draws the board with: it is known once its module is imported."""


def count_beside(card: BoardCard, width: float, upright: bool) -> tuple[int, int]:
    """The lines in the larger type that what is said of the next cut takes beside its number, and those of how the
    piece is cut out."""
    theme = the_desk().theme
    said = (card.measured,) if upright else (card.first, card.measured)
    lines = count_lines(card.falls, theme.note, width, True)
    lines += sum(count_lines(each, theme.note, width) for each in said if each)
    return lines, count_lines(card.words, theme.note, width) if card.words else 0


class BoardView(CardView):
    """Draws a BoardCard; `screen` is its screen."""

    screen = ObjectProperty(None, allownone=True)
    other = StringProperty("")
    """The text of the button that shows the other new plan."""
    nothing = StringProperty("")
    """What is said while there is no board."""
    reading = ObjectProperty(None, allownone=True)
    is_beside = BooleanProperty(False)
    """Whether what to do is said beside the number."""

    def act(self) -> None:
        """The large button was tapped."""
        self.screen.act(self.card)

    def undo(self) -> None:
        """Undo the last thing done to this board."""
        the_desk().act(self.card.undo.intent)

    def spoil(self) -> None:
        """Ask which piece of this board is spoiled. While there are two new plans to choose from, show the other
        one."""
        if self.screen.card.other:
            self.screen.turn_plan()
        else:
            self.screen.ask_spoiled(self.card)


class BoardsBar(Themed, BoxLayout):
    """The bar above a board: the caution, and what is done with all boards: the list, the rack, the shopping list, the
    sheet to print, a new plan."""

    screen = ObjectProperty(None, rebind=True)
    card = ObjectProperty(None, rebind=True, allownone=True)


class BoardsSheet(WorkSheet):
    """All boards by wood, with what is cut from each; a tap makes one the current board."""

    screen = ObjectProperty(None)

    def draw(self) -> None:
        self.rows = list(_rows(self.screen.card))

    def choose(self, key: Hashable) -> None:
        """A board was tapped."""
        self.close()
        self.screen.choose(str(key))


class BoardsScreen(PrintsSheets, BarredScreen):
    """The current board; the list of all is one tap away."""

    current = StringProperty("")
    """The key of the current board, which is on the card; empty: the first one still to be cut."""
    cheaper = BooleanProperty(False)
    """Of two new plans, show the one that costs less, not the one that changes less."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._run = ""
        the_desk().board_search.bind(answer=self._on_search, searching=self._on_search)

    # -- drawing ---------------------------------------------------------------------------------------------------

    def draw(self) -> None:
        desk = the_desk()
        floor, search = desk.floor(), desk.board_search
        if floor.run.name != self._run:
            self._run, self.current = floor.run.name, ""
        look_for_boards(search, floor)
        if search.answer is None:
            self.cheaper = False
        self.card = boards_card(floor, search.answer, search.searching, self.current, cheaper=self.cheaper)
        board = self.card.board
        self.batch.card = self.card
        view = self.view(BoardView)
        view.screen, view.other, view.card = self, self.card.other, board
        view.nothing = "" if board else self.card.said

    def make_bar(self) -> BoardsBar:
        return BoardsBar(screen=self)

    def show_list(self) -> None:
        """Show all boards, over the screen."""
        board = self.card.board
        BoardsSheet(title=say("All boards"), screen=self, selected=board.key if board else None).show()

    def _on_search(self, *_: object) -> None:
        """There is a better plan, or the search has ended."""
        desk = the_desk()
        if desk.shop.run is not None and desk.shows(self):
            desk.redraw()

    # -- the plan --------------------------------------------------------------------------------------------------

    def show_rack(self) -> None:
        """Show the boards on hand, to enter and change them."""
        class_named("overlays.rack.RackCover")().show()

    def choose(self, key: str) -> None:
        """A board was tapped."""
        self.current = key
        the_desk().redraw()

    def act(self, card: BoardCard) -> None:
        """The large button: use the plan, tick a cut, rack an offcut, go on to the next board."""
        action = card.action
        if action.go_to:
            self.choose(action.go_to)
        elif action.intent is not None:
            self._do(action.intent, card.key)

    def _do(self, intent: Intent, key: str) -> None:
        """When a plan is chosen, other plans are dropped and the first board is shown."""
        desk = the_desk()
        before = desk.floor().state.whole(desk.floor().run).boards
        if desk.board_search.answer is None:
            self.current = key
        desk.act(intent)
        if desk.floor().state.whole(desk.floor().run).boards is not before:
            self.current = ""
            desk.board_search.forget()

    def turn_plan(self) -> None:
        """Show the other of two new plans."""
        self.cheaper = not self.cheaper
        self.draw()

    def plan_again(self) -> None:
        """Search for a plan again."""
        plan_again(the_desk().board_search, the_desk().floor())
        self.draw()

    # -- a spoiled piece -------------------------------------------------------------------------------------------

    def ask_spoiled(self, card: BoardCard) -> None:
        """Ask which piece of this board is scrap; the sheet of the piece's own card then asks for the reason."""
        options = [Option(key=key, text=name) for key, name in card.spoilable[:MOST_OFFERED]]
        self._ask(say("Which piece is scrap?"), options, self._spoil)

    def _spoil(self, key: str) -> None:
        floor = the_desk().floor()
        SpoilSheet(run=floor.run.name, key=key, title=floor.item(key).title).open_on(the_desk().root)

    # -- on paper --------------------------------------------------------------------------------------------------

    def print_sheet(self) -> None:
        """The boards, their cuts and the shopping list, as a PDF."""
        floor, answer = the_desk().floor(), the_desk().board_search.answer
        boards, build = boards_of(floor, answer), floor.run.build
        said = plan_proof_words(answer) if isinstance(answer, BoardPlan) else say("the plan that is followed")
        sheet = board_sheet(floor.run, boards, f"{capital(said)}.")
        self.print_pdf(build, say("board sheet"), lambda file: write_board_sheet(file, sheet, paper_of(build)))

    def _ask(self, title: str, options: list[Option], chosen: Callable[[str], None]) -> None:
        the_desk().ask(title, options, chosen)


def _rows(card: Any) -> Iterator[RowView]:
    for group in card.groups:
        yield RowView(title=group.title, subtitle=group.said, group=True)
        for row in group.rows:
            yield RowView(title=row.title, subtitle=row.said, tone=row.tone, key=row.key)
