"""The card of the current piece: what to cut it to, how to set the saw for each end, and what has been done to it."""

from __future__ import annotations

from msgspec import Struct

from tracker.cards.builds.revision import misfit_words
from tracker.cards.marks import MarkView, Tone
from tracker.cards.piece.action import Action, Undo, chosen_step, marks, next_action, undo
from tracker.cards.piece.checks import piece_checks
from tracker.cards.piece.drawing import Drawing, Progress, draw
from tracker.cards.piece.drill import drill_setup
from tracker.cards.piece.drilled_side import drilled_side
from tracker.cards.piece.feature_view import FeatureView, feature_views
from tracker.cards.piece.features import features_to_set, of_step
from tracker.cards.piece.marking_out import marking_out
from tracker.cards.piece.milled import ResawView, milled_to_set, milling_words, resaw_view
from tracker.cards.piece.own_step import StepPicture, own_picture, own_step_of, own_to_set, step_notes
from tracker.cards.piece.piece_options import event_words
from tracker.cards.piece.saw_view import SawView, saw_view
from tracker.cards.piece.to_set import ToSet, next_pass, to_set
from tracker.cards.wood.at_piece import floating_words
from tracker.cards.words import capital, section_words
from tracker.design.model import FaceName
from tracker.floor.board_words import from_words
from tracker.floor.floor import Floor
from tracker.floor.saw_cuts import cuts_of
from tracker.measure import read_angle
from tracker.plan.laps import laps_of
from tracker.plan.taper_marks import taper_marks
from tracker.words import say
from tracker.words.sides import side
from tracker.work.operations import PASSES, Step
from tracker.work.run import Item

ROOM = 88
"""The characters that fit in two small lines of a card."""
MORE = say("more: tap the drawing")
CHECKS = 5
"""How many checks fit on a card: those made on the piece alone come first."""


class PieceCard(Struct, frozen=True, kw_only=True):
    """A piece, ready to be drawn."""

    key: str
    code: str
    title: str
    to_set: ToSet
    """What to set or mark next."""
    section: str
    cut: SawView | None
    """The next pass over the saw, as the piece lies there; None for a step without sawing, or one that this saw can't
    do."""
    cuts: tuple[SawView, ...]
    """All passes that this saw can make, in the order of work."""
    drawing: Drawing
    """The piece itself, for a step without sawing."""
    marks: tuple[MarkView, ...]
    action: Action
    undo: Undo | None
    into: str
    """The key of the assembly that it goes into, or empty."""
    into_words: str
    said_tone: Tone
    said: str
    """What else to know: the board to cut it from, how it was measured, that it was made again."""
    marking: str
    """Everything to mark out for the next step, as running text."""
    checks: str
    """What to measure on the finished piece, as running text."""
    notes: str
    picture: StepPicture | None = None
    """The maker's own picture of the next step."""
    views: tuple[FeatureView, ...] = ()
    """The sides that the next step works on, with its cuts."""
    resaw: ResawView | None = None
    """The board on edge at the bandsaw, if it is resawn next."""

    @property
    def shape(self) -> SawView | ResawView | Drawing | StepPicture | FeatureView:
        """What the card draws."""
        return self.picture or self.cut or self.resaw or next(iter(self.views), self.drawing)


def piece_card(floor: Floor, key: str, chosen: str = "") -> PieceCard:
    """The card of one piece. `chosen`: the step to do, where either end may be trimmed first; by default the next
    one."""
    item = floor.item(key)
    solid = floor.solid(item)
    step = chosen_step(floor, item, chosen)
    place = floor.state.into(floor.run, item)
    older = misfit_words(floor.run, floor.state, item)
    marking, each = marking_out(floor, item, step), next_pass(floor, item, step)
    own = own_step_of(floor, item, step)
    shapes = of_step(floor, item, step)
    number = milled_to_set(floor, item, step) or to_set(floor, item, step, each)
    if own:
        number = own_to_set(floor, own)
    elif shapes and not (shapes[0].feature.operation == "drill" and floor.part(item).holes):
        number = features_to_set(floor, shapes)
    face = _drilled_face(floor, item, step)
    drawing = draw(
        solid,
        done=progress_of(floor, item),
        laps=laps_of(floor.run.build, floor.part(item), item.hand),
        up=face,
        units=floor.run.build.units,
    )
    views = feature_views(floor, item, shapes)
    if step is not None and step.operation == "drill" and not shapes:
        views = tuple(filter(None, (drilled_side(floor, item, drawing, face),)))
    words = (
        each.warning if each else "",
        older,
        step_notes(floor, item, step),
        number.how if number.angles and not (each and each.first) else "",
        milling_words(floor, item, step),
        from_words(floor, item),
        "" if shapes and not floor.part(item).holes else _set_besides(floor, item, step, marking),
        floating_words(floor, item),
        *event_words(floor, item),
    )
    return PieceCard(
        key=key,
        code=floor.run.codes[key],
        title=item.title,
        to_set=number,
        section=section_words(floor, item),
        cut=saw_view(floor, item, each) if each else None,
        cuts=tuple(view for sawn in cuts_of(floor, item).passes if (view := saw_view(floor, item, sawn))),
        drawing=drawing,
        marks=marks(floor, item),
        action=next_action(floor, item, step),
        undo=undo(floor, item),
        into=place or "",
        into_words=say("Goes into {name}", name=floor.item(place).short) if place else "",
        said=_within(*words),
        marking=" · ".join(marking),
        said_tone="caution" if older or (each and each.warning) else "ready",
        checks=" · ".join(check.words for check in piece_checks(floor.run.build, floor.part(item), item.hand)[:CHECKS]),
        notes=_notes(words, floor.part(item).notes or step_notes(floor, item, step)),
        picture=own_picture(floor, item, step),
        views=views,
        resaw=resaw_view(floor, item, step),
    )


def progress_of(floor: Floor, item: Item) -> Progress:
    """Which cuts of the piece are done. A cut that its route doesn't have counts as done with the last sawing."""

    def done(step: str) -> bool:
        return floor.state.is_done(floor.run, item, step)

    cut = done("cut") or not item.step("cut")
    trimmed_a, trimmed_b = (done(each) if item.step(each) else cut for each in PASSES["trim"])
    trimmed = trimmed_a and trimmed_b
    return Progress(
        cut=cut,
        trimmed_a=trimmed_a,
        trimmed_b=trimmed_b,
        tapered=done("taper") if item.step("taper") else trimmed,
        lapped=done("shape") if item.step("shape") else trimmed,
        drilled=done("drill") if item.step("drill") else trimmed,
    )


def _set_besides(floor: Floor, item: Item, step: Step | None, marking: tuple[str, ...]) -> str:
    """What the numbers and the drawing don't show of the marking out: the drill and its stop, the edge of a taper."""
    operation = step.operation if step is not None else ""
    if operation == "resaw":  # how to mark the leaves is a page of its own, one tap away
        return ""
    if operation == "taper" and (marks := taper_marks(floor.solid(item))):
        more = f" · {MORE}" if len(marks) > 1 else ""
        return say(
            "{edge} edge, {angle}°, from end {start_from}{more}",
            edge=capital(side(marks[0].edge)),
            angle=read_angle(marks[0].angle),
            start_from=marks[0].start_from,
            more=more,
        )
    if operation == "drill" and floor.part(item).holes:
        setup = drill_setup(floor, item)
        how = setup.words if setup.title.startswith("Pocket") else f"{setup.title}: {setup.words}"
        several = len({hole.face for hole in floor.part(item).holes}) > 1  # otherwise the drawing shows all distances
        return f"{capital(how)}{f' · {MORE}' if several else ''}"
    said = " · ".join(marking)
    return said if len(said) <= ROOM else f"{marking[0]} · {MORE}"


def _within(*words: str) -> str:
    """As much as fits in two lines, the most important first. Words that are too long are cut after a whole clause, and
    then it is said where the rest is."""
    said, whole = _begun(ROOM, words)
    more = f" · {MORE}"
    return said if whole else f"{_begun(ROOM - len(more), words)[0]}{more}".removeprefix(" · ")


def _notes(words: tuple[str, ...], notes: str) -> str:
    """What is said behind the drawing: the notes, and where the card hasn't room for all its words, all of them."""
    if _begun(ROOM, words)[1]:
        return notes
    return " · ".join(word for word in (*words, "" if notes in words else notes) if word)


def _begun(most: int, words: tuple[str, ...]) -> tuple[str, bool]:
    """The words that fit into so many characters, and whether that is all of them."""
    said, whole = "", True
    for word in filter(None, words):
        before = f"{said} · " if said else ""
        fits = len(before) + len(word) <= most
        part = word if fits else _beginning(word, most - len(before))
        said, whole = f"{before}{part}" if part else said, whole and fits
    return said, whole


def _beginning(words: str, room: int) -> str:
    """As many whole clauses as fit."""
    ends = [at for at, sign in enumerate(words[: max(0, room) + 1]) if sign in ",.;" and words[at + 1 : at + 2] == " "]
    return words[: ends[-1]] if ends else ""


def _drilled_face(floor: Floor, item: Item, step: Step | None) -> FaceName:
    """The face to draw: the one that is drilled next, if all holes are in it."""
    faces = {hole.face for hole in floor.part(item).holes}
    return "bottom" if step is not None and step.operation == "drill" and faces == {"bottom"} else "top"
