"""Loading a build file: text in, a Build and all problems out."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from tracker.design.assembly_counts import count_assemblies
from tracker.design.copies import Multiplied, check_joined, hardware_of_all, of_all_copies
from tracker.design.fits import with_mates
from tracker.design.kinds import kinds_of_sizes
from tracker.design.model import Build, Part
from tracker.design.problems import Problem
from tracker.design.sections.assemblies import MOST_ASSEMBLIES, read_assemblies
from tracker.design.sections.build import read_build, read_copies, read_shop, read_units
from tracker.design.sections.hardware import MOST_HARDWARE, read_hardware
from tracker.design.sections.in_use import MOST_LOADS, read_air, read_loads
from tracker.design.sections.outlines import MOST_OUTLINES, read_outlines
from tracker.design.sections.own_steps import check_jigs
from tracker.design.sections.parts import MOST_PARTS, read_parts
from tracker.design.sections.woods import MOST_BOARDS, check_stock, read_rack, read_woods
from tracker.design.sizes import read_sizes
from tracker.design.tables.shop_defaults import ShopDefaults
from tracker.design.toml.document import read_document
from tracker.design.toml.table import BROKEN, Page, Table
from tracker.words import say


class Loaded(Struct, frozen=True):
    """A build, or None when anything is wrong; and all problems and notes, in the order of the file."""

    build: Build | None
    problems: tuple[Problem, ...]

    @property
    def notes(self) -> tuple[Problem, ...]:
        return tuple(each for each in self.problems if each.kind == "note")


def load_build(text: str | bytes, *, shop: ShopDefaults | None = None) -> Loaded:
    """Read and check a build file. `shop` is this tablet's settings; the file's [shop] overrides them. Never raises."""
    document = read_document(text)
    if not document.readable:
        return Loaded(None, document.problems)
    page = Page(document.lines, problems=list(document.problems))
    build = _read(page, Table(page, (), document.data), shop or ShopDefaults())
    problems = tuple(sorted([*page.problems, *page.notes], key=lambda each: each.line))
    return Loaded(None if page.problems else build, problems)


def _read(page: Page, file: Table, shop: ShopDefaults) -> Build:
    file.knows("build", "shop", "sizes", "woods", "rack", "parts", "assemblies", "hardware", "air", "loads", "outlines")
    sizes, ours, woods, air = (_section(file, key) for key in ("sizes", "shop", "woods", "air"))
    about = _section(file, "build")
    if "build" not in file:
        page.say(0, "the section [build] is missing", "it says the build's name and units")
    if not isinstance(file.peek("build"), dict):  # reported once: its missing name and units aren't reported as well
        about = Table(page, ("build",), {"name": BROKEN, "units": BROKEN})
    units = read_units(about)
    page.define(units=units)
    read_sizes(sizes)
    page.define(kinds=kinds_of_sizes(sizes.written, file.written))
    known = read_woods(woods)
    parts = read_parts(_list(file, "parts", MOST_PARTS), known)
    if "parts" not in file or file.count("parts") == 0:
        page.say(0, "the build has no parts", "each part begins with [[parts]]")
    rack = read_rack(_list(file, "rack", MOST_BOARDS), [wood.id for wood in known])
    check_stock(page, known, rack, parts)
    assemblies = read_assemblies(_list(file, "assemblies", MOST_ASSEMBLIES))
    copies, jigs = read_copies(about), check_jigs(page, parts, assemblies)
    multiplied = Multiplied(page, assemblies)
    parts = of_all_copies(page, with_mates(page, parts), copies, multiplied, jigs)
    counted = count_assemblies(page, parts, assemblies, jigs, copies)
    check_joined(page, assemblies, {each.id: each.quantity for each in counted}, copies, multiplied)
    build = Build(
        **read_build(about),
        units=units,
        copies=copies,
        shop=read_shop(ours, units, shop),
        woods=known,
        rack=rack,
        parts=parts,
        assemblies=counted,
        hardware=hardware_of_all(read_hardware(_list(file, "hardware", MOST_HARDWARE)), copies),
        air=read_air(air),
        loads=read_loads(_list(file, "loads", MOST_LOADS), parts),
        outlines=read_outlines(
            _list(file, "outlines", MOST_OUTLINES), [part.id for part in parts] + [each.id for each in assemblies]
        ),
    )
    _sequences(page, parts)
    file.close()
    return build


def _section(file: Table, key: str) -> Table:
    """A section of the file, or an empty one if it is missing."""
    if isinstance(file.peek(key), list):
        file.problem(say("write [{key}] with single brackets", key=key), "", key)
        file.knows(key)
        return Table(file.page, (key,), {})
    return file.group(key) or Table(file.page, (key,), {})


def _list(file: Table, key: str, most: int) -> Sequence[Table]:
    """The tables of a section such as [[parts]], up to the number that a build may have."""
    if isinstance(file.peek(key), dict):
        file.problem(say("write [[{key}]] with double brackets", key=key), "", key)
        file.knows(key)
        return ()
    tables = file.groups(key)
    if len(tables) > most:
        tables[most].problem(say("the build has more than {most} {what}", most=most, what=_CALLED.get(key, key)))
    return tables[:most]


_CALLED = {"rack": say("boards on the rack"), "hardware": say("lines of hardware")}


def _sequences(page: Page, parts: Sequence[Part]) -> None:
    """The pieces of one sequence come from one board, so they must be of one wood."""
    first: dict[str, Part] = {}
    for part in parts:
        if part.sequence and first.setdefault(part.sequence, part).wood != part.wood:
            page.say(
                part.lines.get("sequence", part.line),
                f"the sequence '{part.sequence}' comes from one board, but its parts are of two woods",
                f"'{first[part.sequence].id}' is of '{first[part.sequence].wood}'",
            )
