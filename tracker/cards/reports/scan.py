"""The report of `kerfcard scan` on the codes in a picture: its JSON and its lines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from tracker.cards.scan.titles import named_item
from tracker.words import say
from tracker.work.codes import Code, grouped
from tracker.work.run import Run

_Corners = Sequence[Sequence[float]]


def scan_report(
    picture: str, codes: Iterable[tuple[str, _Corners, bool]], maybe: Sequence[Code] = (), run: Run | None = None
) -> dict[str, Any]:
    """The report of `kerfcard scan` on one picture, for JSON. `codes` are text, corners in pixels, and whether it is
    ours.

    With a `run`, a code of that run also has its `item`, and an uncertain label gives `maybe`: the two likeliest items.
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
    named = named_item(run, code)
    return {"item": {"key": named[0], "title": named[1]}} if named else {}


def scan_lines(report: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    """The same report for people, one line for each code."""
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
