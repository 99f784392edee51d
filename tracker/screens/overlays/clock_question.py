"""The question after the tablet was off while a clock ran: whether the times on both sides of that are right."""

from __future__ import annotations

from tracker.cards.clocks.clocks import clock_question
from tracker.screens.desk import the_desk
from tracker.screens.toolkit.prompts import Option
from tracker.words import say
from tracker.work.decide.intents import ConfirmClock


def ask_about_clocks() -> None:
    """Ask, if a clock is in doubt: only a person can tell how long the tablet was off."""
    question = clock_question(the_desk().floors())
    if question is None:
        return
    the_desk().ask(
        question.title,
        [Option(key="yes", text=question.yes), Option(key="no", text=say("No"))],
        lambda answer: _answered(question.intent if answer == "yes" else None),
        note=say("{lines}\nIf not, the time off doesn't count.", lines=question.lines).strip(),
    )


def _answered(right: ConfirmClock | None) -> None:
    if right is not None:
        the_desk().answer(right.run, right)
    else:
        the_desk().notify(say("Then a wait counts only the time that the tablet was on."), "clock")
