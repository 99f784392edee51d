"""Pages of a plan for its parts: each worked side with its dimensions for marking out, and the maker's own steps with
their pictures. One section for all equal pieces."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import wrap

from msgspec import Struct

from tracker.cards.piece.feature_paper import drawn, height, plain
from tracker.cards.piece.feature_view import FeatureView, sides_worked
from tracker.cards.piece.features import feature_words, features_on
from tracker.cards.reports.piece_work import own_step_words, own_steps_report
from tracker.cards.template.page import Page, Picture, Stroke, Words, line
from tracker.cards.template.tiles import PAPERS
from tracker.design.model import Assembly, Build, Hand, Part
from tracker.measure import read_length
from tracker.plan import geometry
from tracker.words import say
from tracker.work.operations import step_named

MARGIN = 12.0
TITLE, TEXT = 5.0, 3.4
STEP = 1.4 * TEXT
PICTURE = (110.0, 62.0)
"""The largest size of a maker's own picture on the page."""
FOOT = 4.0
"""The space below a section."""
_SIGNS = 0.49
"""The average width of a character of running text, as a fraction of the type size."""


class Block(Struct, frozen=True):
    """Something that stays together on a page: its height, its words, and its view or its picture's file."""

    height: float
    lines: tuple[str, ...] = ()
    size: float = TEXT
    view: FeatureView | None = None
    file: str = ""
    leads: int = 0
    """How many of the following blocks are kept on the same page."""


def part_pages(build: Build) -> tuple[Page, ...]:
    """Every part that has features or own steps, and every assembly that has own steps."""
    paper = PAPERS["Letter" if build.units == "in" else "A4"]
    wide = paper[0] - 2 * MARGIN
    sections = [list(_part(build, part, hand, wide)) for part in build.parts for hand in _hands(part)]
    sections += [list(_steps(build, each, _title(build, each), wide)) for each in build.assemblies if each.steps]
    return tuple(_paged([each for each in sections if each], paper, build.name))


def _hands(part: Part) -> tuple[Hand | None, ...]:
    if not part.features and not part.steps:
        return ()
    hands: tuple[Hand | None, ...] = tuple(hand for hand in ("left", "right") if getattr(part, hand))
    return (hands if part.features else hands[:1]) or (None,)


def _title(build: Build, thing: Part | Assembly, hand: Hand | None = None) -> str:
    count = getattr(thing, hand) if hand else thing.quantity
    of = say(", {count} of them", count=count) if count > 1 else ""
    name = f"{thing.name}, {hand}" if hand else thing.name
    if isinstance(thing, Assembly):
        return f"{name}{of}"
    solid, mark = geometry.solid(thing, hand), build.shop.mark
    size = " × ".join(read_length(each, mark).plain for each in (solid.length, thing.width, thing.thickness))
    return f"{name}{of}: {size}"


def _part(build: Build, part: Part, hand: Hand | None, wide: float) -> Iterator[Block]:
    title = _title(build, part, hand)
    shapes, mark = features_on(part, hand), build.shop.mark
    solid = geometry.solid(part, hand)
    operations = dict.fromkeys(shape.feature.operation for shape in shapes)
    for operation in operations:
        made = tuple(shape for shape in shapes if shape.feature.operation == operation)
        lines = [row for shape in made for row in _wrapped(feature_words(shape, mark), wide)]
        views = sides_worked(solid, made, mark)
        task = step_named(operation).task
        for at, view in enumerate(views):
            if title:
                yield _headed(title)
            title = ""
            yield Block(
                STEP + 1.0, ((f"{task}, {view.title}:" if at == 0 else say("and, {view}:", view=view.title)),), leads=1
            )
            yield Block(height(view, wide), view=view)
        yield Block(len(lines) * STEP + 2.0, tuple(lines))
    yield from _steps(build, part, title, wide)


def _headed(title: str) -> Block:
    return Block(1.4 * TITLE, (plain(title),), TITLE, leads=2)


def _steps(build: Build, thing: Part | Assembly, title: str, wide: float) -> Iterator[Block]:
    """Own steps and the notes on steps in words, each own step's picture below its words."""
    report = {"steps": own_steps_report(thing.steps, build.shop.mark), "step_notes": dict(thing.step_notes)}
    said = list(own_step_words(report))
    if said and title:
        yield _headed(title)
    for at, words in enumerate(said):
        lines = tuple(_wrapped(words, wide))
        file = thing.steps[at].picture if at < len(thing.steps) else ""
        yield Block(len(lines) * STEP + (PICTURE[1] + 4.0 if file else 1.0), lines, file=file)


def _wrapped(words: str, wide: float) -> list[str]:
    return wrap(plain(words), int(wide / (_SIGNS * TEXT)), subsequent_indent="    ")


def _paged(sections: Sequence[Sequence[Block]], paper: tuple[float, float], name: str) -> Iterator[Page]:
    """Blocks one below the other. A heading stays with what follows it, and a section that fits on one page isn't
    split."""
    top, room = paper[1] - MARGIN - 2 * STEP, paper[1] - 2 * MARGIN - 2 * STEP
    y, page = top, _Draft(paper, name)
    for section in sections:
        whole = sum(each.height for each in section) + FOOT
        if y < top and whole > y - MARGIN and whole <= room:
            yield page.page()
            y, page = top, _Draft(paper, name)
        for at, block in enumerate(section):
            follows = sum(each.height for each in section[at + 1 : at + 1 + block.leads])
            if y < top and block.height + follows > y - MARGIN:
                yield page.page()
                y, page = top, _Draft(paper, name)
            page.put(block, y)
            y -= block.height
        y -= FOOT
        page.rule(y + FOOT / 2)
    if y < top:
        yield page.page()


class _Draft:
    """A page that is being filled."""

    def __init__(self, paper: tuple[float, float], name: str) -> None:
        self.paper = paper
        self.strokes: list[Stroke] = []
        self.words = [
            Words(MARGIN, paper[1] - MARGIN - TEXT, TEXT, say("{name}: what is cut into its parts", name=name))
        ]
        self.pictures: list[Picture] = []

    def put(self, block: Block, top: float) -> None:
        step = 1.4 * block.size
        for at, text in enumerate(block.lines):
            self.words.append(Words(MARGIN, top - at * step - block.size, block.size, text))
        if block.view is not None:
            box = (MARGIN, top - block.height, self.paper[0] - 2 * MARGIN, block.height)
            strokes, words = drawn(block.view, box)
            self.strokes += strokes
            self.words += words
        if block.file:
            wide, high = PICTURE
            bottom = top - len(block.lines) * step - high - 2.0
            self.pictures.append(Picture((MARGIN, bottom, wide, high), block.file))

    def rule(self, y: float) -> None:
        self.strokes.append(line((MARGIN, y), (self.paper[0] - MARGIN, y), width=0.1))

    def page(self) -> Page:
        wide, high = self.paper
        return Page(
            width=wide, height=high, strokes=tuple(self.strokes), words=tuple(self.words),
            pictures=tuple(self.pictures),
        )  # fmt: skip
