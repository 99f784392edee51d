"""The fields guessed from headings: right, wrong, or left to a person."""

from __future__ import annotations

from intake.strangers_headings import TABLES, rows

from tracker.intake.columns import guess_columns
from tracker.intake.errors import IntakeError
from tracker.intake.sheets import Sheet

MOST_WRONG = 0.02


def count() -> tuple[int, int, int, list[str]]:
    """The counts of right, wrong and open columns, and the wrong ones in words."""
    right = wrong = left = 0
    said = []
    for headings, fields in TABLES:
        sheet = Sheet(name="list", rows=tuple(map(tuple, rows(headings, fields))))
        try:
            found = {at: field for field, at in guess_columns(sheet).columns.items()}
        except IntakeError:
            found = {}
        for at, field in enumerate(fields.split("|")):
            if found.get(at) == field or (field == "-" and at not in found):
                right += 1
            elif at not in found:
                left += 1
            else:
                wrong += 1
                said.append(f"{headings}: column {at + 1} is the {field}, taken for the {found[at]}")
    return right, wrong, left, said


def test_headings_of_strangers_are_rarely_taken_for_something_else() -> None:
    right, wrong, left, said = count()
    assert len(TABLES) >= 40
    assert wrong <= MOST_WRONG * (right + wrong + left), said
    assert right >= 0.8 * (right + wrong + left)


if __name__ == "__main__":
    print(*count()[:3], *count()[3], sep="\n")
