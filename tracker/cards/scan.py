"""What a scan brings up: a card, a check-in at the glue-up, an offer to open another build, or a sentence that says
why not."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Any

from msgspec import Struct

from tracker.cards.labels.labels_of_run import board_words
from tracker.floor.floor import Floor
from tracker.work.codes import Code, grouped, parse_code
from tracker.work.decide.decide import next_step
from tracker.work.decide.intents import CheckIn
from tracker.work.run import Run, board_key

JOINING = ("dry fit", "spread", "clamp", "attach")
"""The steps up to which pieces are still brought to an assembly."""


class ScanCard(Struct, frozen=True, kw_only=True):
    """The answer to a scan. `key` is the item of the build in hand, or empty; `board` that of a board on its rack."""

    code: str
    said: str
    key: str = ""
    board: str = ""


class CheckInCard(Struct, frozen=True, kw_only=True):
    """The answer to a scan at a glue-up. `key` is the piece that is in, or empty where it can't be taken in; `intent`
    writes it down, where that wasn't done before."""

    said: str
    key: str = ""
    intent: CheckIn | None = None


def scanned(run: Run | None, text: str) -> ScanCard:
    """What `text`, as scanned or typed, stands for in the build in hand."""
    code: Code | None = parse_code(text)
    if code is None:
        return ScanCard(
            code=text[:40], said="That is not a code of ours: scan the label again, or type its ten characters."
        )
    key = run.by_code.get(code, "") if run else ""
    if run and key:
        return ScanCard(code=code, said=run.items[key].title, key=key)
    if run and (board := run.board_of(code)):
        said = f"Board {board.name} on the rack: {', '.join(board_words(run, board))}."
        return ScanCard(code=code, said=said, board=board_key(board.name))
    return ScanCard(code=code, said=f"{grouped(code)} is a good code, but of no piece in this build.")


def check_in(floor: Floor, assembly: str, key: str) -> CheckInCard | None:
    """What the scan of the item `key` means at the glue-up of `assembly`.

    None where it is no matter of this glue-up: its own label, a glue-up that has its clamps on, another assembly, or
    one that is a member but not made yet. Those bring up their card.
    """
    joined, item = floor.item(assembly), floor.item(key)
    step = next_step(floor.run, floor.state, joined)
    if key == assembly or step is None or step.id not in JOINING:
        return None
    missing, members = next_step(floor.run, floor.state, item), floor.state.members(floor.run, joined)
    if item.kind == "assembly" and (missing is not None or key not in members):
        return None
    if key not in members:
        into = floor.state.into(floor.run, item)
        home = f"It goes into {floor.item(into).short}" if into else "It is glued to nothing"
        return CheckInCard(said=f"{item.short} isn't of {joined.short}. {home}.")
    if missing is not None:
        return CheckInCard(said=f"{item.short} isn't ready: not {missing.past}. It is not counted in.")
    seen, intent = floor.state.checked_in(floor.run, joined), CheckIn(assembly, key, run=floor.run.name)
    refusal = floor.refusal(intent)
    if refusal is not None and step.id != "clamp" and key not in seen:
        return CheckInCard(said=refusal.reason)
    again = "was in already" if key in seen else "is in"
    said = f"{item.short} {again}: {_count(floor, members, {*seen, key})}"
    return CheckInCard(said=said, key=key, intent=None if refusal else intent)


def _count(floor: Floor, members: Collection[str], seen: Collection[str]) -> str:
    """`3 of 6 scanned`, and near the end what is still to come."""
    left = [floor.item(member).short for member in members if member not in seen]
    count = len(members)
    if not left:
        return f"all {count} scanned."
    to_come = f". Still to come: {' and '.join(left)}." if len(left) <= 2 else ""
    return f"{count - len(left)} of {count} scanned{to_come}"


def _named(run: Run | None, code: Code) -> tuple[str, str] | None:
    """Key and title of the item, or of the board on the rack, whose label holds `code` in this build."""
    if run is None:
        return None
    if key := run.by_code.get(code):
        return key, run.items[key].title
    board = run.board_of(code)
    return (board_key(board.name), f"Board {board.name}") if board else None


def titles_of(run: Run | None, codes: Iterable[Code]) -> tuple[tuple[str, Code], ...]:
    """Title and code of each of `codes` that is in the build in hand: what to ask when several may be meant."""
    return tuple((named[1], code) for code in codes if (named := _named(run, code)))


_Corners = Sequence[Sequence[float]]


def scan_report(
    picture: str, codes: Iterable[tuple[str, _Corners, bool]], maybe: Sequence[Code] = (), run: Run | None = None
) -> dict[str, Any]:
    """What `kerfcard scan` says of one picture, for JSON. `codes` are text, corners in pixels, and whether it is ours.

    With a `run`, a code of it bears its `item` too, and a label that can't be told gives `maybe`: the two likeliest.
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
            yield f"{entry['picture']}: {_words(code) if code['valid'] else 'not one of our codes'}"
        if entry.get("maybe"):
            likeliest = " or ".join(_words(code) for code in entry["maybe"])
            yield f"{entry['picture']}: can't tell; perhaps {likeliest}"
        elif not entry["codes"]:
            yield f"{entry['picture']}: not one of our codes"


def _words(code: Mapping[str, Any]) -> str:
    title = code.get("item", {}).get("title", "")
    return f"{grouped(code['code'])}{f' ({title})' if title else ''}"
