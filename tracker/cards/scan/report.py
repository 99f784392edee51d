"""What is said of the codes in a picture, and which items several codes may mean."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from tracker.words import say
from tracker.work.codes import Code, grouped
from tracker.work.run import Run, board_key


def _named(run: Run | None, code: Code) -> tuple[str, str] | None:
    """Key and title of the item, or of the board on the rack, whose label holds `code` in this build."""
    if run is None:
        return None
    if key := run.by_code.get(code):
        return key, run.items[key].title
    board = run.board_of(code)
    return (board_key(board.name), say("Board {board}", board=board.name)) if board else None


def titles_of(run: Run | None, codes: Iterable[Code]) -> tuple[tuple[str, Code], ...]:
    """Title and code of each of `codes` that is in the build in hand: what to ask when several may be meant."""
    return tuple((named[1], code) for code in codes if (named := _named(run, code)))


_Corners = Sequence[Sequence[float]]


def scan_report(
    picture: str, codes: Iterable[tuple[str, _Corners, bool]], maybe: Sequence[Code] = (), run: Run | None = None
) -> dict[str, Any]:
    """What `kerfcard scan` says of one picture, for JSON. `codes` are text, corners in pixels, and whether it is ours.

    With a `run`, a code of it has its `item` too, and an unsure label gives `maybe`: the two likeliest.
    """
    found = [
        {"code": text, "corners": [list(corner) for corner in corners], "valid": valid} | _item(run, text)
        for text, corners, valid in codes
    ]
    report: dict[str, Any] = {"picture": picture, "codes": found}
    if maybe:
        report["maybe"] = [{"code": code} | _item(run, code) for code in maybe]
    return report


def _item(run: Run | None, code: str) -> dict[str, Any]:
    named = _named(run, code)
    return {"item": {"key": named[0], "title": named[1]}} if named else {}


def scan_lines(report: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    """The same report for people, a line a code."""
    for entry in report:
        for code in entry["codes"]:
            yield (
                f"{entry['picture']}: {_words(code)}"
                if code["valid"]
                else say("{entry}: not a Kerfcard label", entry=entry["picture"])
            )
        if entry.get("maybe"):
            likeliest = say(" or ").join(_words(code) for code in entry["maybe"])
            yield say("{entry}: can't tell; perhaps {likeliest}", entry=entry["picture"], likeliest=likeliest)
        elif not entry["codes"]:
            yield say("{entry}: not a Kerfcard label", entry=entry["picture"])


def _words(code: Mapping[str, Any]) -> str:
    title = code.get("item", {}).get("title", "")
    return f"{grouped(code['code'])}{f' ({title})' if title else ''}"
