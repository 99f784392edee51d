"""Checks what joins what (ids, circles), and counts how many of each assembly the build makes."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from tracker.design.model import Assembly, Part
from tracker.design.name_lookup import nearest
from tracker.design.toml.table import Page
from tracker.design.toposort import in_order
from tracker.words import say

MOST_MADE = 5_000


def count_assemblies(
    page: Page,
    parts: Sequence[Part],
    assemblies: Sequence[Assembly],
    jigs: frozenset[str] = frozenset(),
    copies: int = 1,
) -> tuple[Assembly, ...]:
    """The assemblies with their quantities: as many as other assemblies join, or one for each copy of the build.
    Reports unknown ids, circles and more pieces joined than are made, and notes pieces that are left over. `jigs` are
    joined to nothing."""
    known = _ids(page, parts, assemblies)
    pieces = {part.id for part in parts}
    _known_only(page, assemblies, known, pieces)
    joins = {each.id: {what for what, _ in each.joins} - pieces for each in assemblies}
    order, circles = in_order(joins)
    if circles:
        for circle in circles:
            first = next(each for each in assemblies if each.id == circle[0])
            page.say(_line(first, circle[1]), f"these assemblies join one another: {' → '.join(circle)}")
        return tuple(assemblies)
    by_id = {each.id: each for each in assemblies}
    wanted: dict[str, int] = {}
    for assembly_id in reversed(order):  # an assembly comes before those it joins
        assembly = by_id[assembly_id]
        made = min(wanted.get(assembly_id) or (1 if assembly_id in jigs else copies * assembly.copies), MOST_MADE + 1)
        if made > MOST_MADE:
            page.say(assembly.line, f"the build makes more than {MOST_MADE} of '{assembly_id}'")
        by_id[assembly_id] = replace(assembly, quantity=made)
        for what, count in assembly.joins:
            wanted[what] = wanted.get(what, 0) + made * count
    counted = tuple(by_id[each.id] for each in assemblies)
    _compare(page, [part for part in parts if part.id not in jigs or part.id in wanted], counted, wanted)
    return counted


def _ids(page: Page, parts: Sequence[Part], assemblies: Sequence[Assembly]) -> dict[str, int]:
    lines: dict[str, int] = {}
    things: list[Part | Assembly] = [*parts, *assemblies]
    for each in things:
        if not each.id:
            continue
        if each.id in lines:
            page.say(each.lines.get("id", each.line), f"two things have the id '{each.id}'",
                     f"the other is on line {lines[each.id]}")  # fmt: skip
        else:
            lines[each.id] = each.lines.get("id", each.line)
    return lines


def _known_only(page: Page, assemblies: Sequence[Assembly], known: dict[str, int], pieces: set[str]) -> None:
    for assembly in assemblies:
        for what, _ in assembly.joins:
            if what not in known:
                hint = "" if page.full else nearest(what, known)
                page.say(_line(assembly, what), f"no part or assembly has the id '{what}'", hint)
        for row in assembly.fastens:
            if row.through and row.through not in pieces:
                hint = "" if page.full else nearest(row.through, pieces)
                page.say(row.line or assembly.line, f"'through': no part has the id '{row.through}'", hint)


def _compare(page: Page, parts: Sequence[Part], assemblies: Sequence[Assembly], wanted: dict[str, int]) -> None:
    """Compare the number of pieces made with the number joined."""
    if not assemblies:
        if parts:
            page.remark(0, say("no assembly is given: the pieces are cut and nothing is joined"))
        return
    last_joined = {what: _line(assembly, what) for assembly in assemblies for what, _ in assembly.joins}
    for part in parts:
        needed = wanted.get(part.id, 0)
        if not part.quantity:  # already reported where it was read
            continue
        if needed > part.quantity:
            has = say("1 piece") if part.quantity == 1 else say("{quantity} pieces", quantity=part.quantity)
            page.say(last_joined[part.id], f"{needed} of '{part.id}' are joined, but the build has {has}")
        elif not needed:
            page.remark(part.line, say("no assembly joins '{name}'", name=part.id))
        elif needed < part.quantity:
            left = part.quantity - needed
            page.remark(
                part.line,
                say(
                    "{left} of {quantity} of '{name}' are joined by no assembly",
                    left=left,
                    quantity=part.quantity,
                    name=part.id,
                ),
            )


def _line(assembly: Assembly, what: str) -> int:
    return assembly.lines.get(f"joins.{what}", assembly.lines.get("joins", assembly.line))
