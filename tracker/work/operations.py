"""The operations of the trade as a table: where each is done, what it is called, which clock it starts or waits for.

A route in a build file names operations ("cut", "trim", "glue", "sand 120", "finish"); a route that is worked through
has steps: trimming is two of them (one for each end), gluing three (spread, clamp, unclamp), finishing one for each
coat.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tracker.words import say
from tracker.words.sides import side

Station = Literal["saw", "drill", "bench", "sanding", "finishing"]
STATIONS: tuple[Station, ...] = ("saw", "drill", "bench", "sanding", "finishing")
WaitKind = Literal["open", "clamp", "cure", "recoat", "dry"]


End = Literal["A", "B"]
ENDS: tuple[End, End] = ("A", "B")
PASSES: dict[str, tuple[str, ...]] = {"trim": tuple(f"trim {end}" for end in ENDS)}
"""The steps that one tick meant in logs written when both ends of a piece were ticked together."""


class Step(Struct, frozen=True, kw_only=True):
    """One thing to tick. `id` is unique in its route; `operation` is the word of the build file that it came from."""

    id: str
    operation: str
    station: Station
    task: str
    """The command: `Trim end A`. Headings show it, and rows after "Next:"."""
    claim: str
    """What a tap claims, with `{name}` for the item: `{name} is cut`."""
    all_claim: str
    """The same for several items, with `{names}`: `{names} are cut`."""
    past: str
    """The past participle once the step is done: `drilled`. It is used in "not drilled yet"."""
    needs: str
    """The words, after the item's name, for an item that still needs the step: `still to drill`."""
    mark: str
    """The word under its mark on the card."""
    starts: WaitKind | None = None
    closes: WaitKind | None = None
    """The running wait that this step ends."""
    loads: bool = False
    """Whether it loads the joints: then it waits for the full cure, where machining may begin sooner."""
    gentle: bool = False
    """Whether it neither loads nor machines anything: then it needn't wait for curing glue."""
    in_clamps: bool = False
    """Whether it is done while the clamps are on."""
    end: End | Literal[""] = ""
    """The end of the piece, where each end has its own step; the ends may be done in either order."""
    grit: int = 0
    surface: str = ""
    """The surfaces that are sanded: `faces`, `edges`, `ends`; empty for all of them."""
    coat: int = 0
    jig: str = ""
    """For a step of the maker's own: the id of the part or assembly that is made first."""


class _Plain(Struct, frozen=True):
    """An operation with a single step. The word for the tick is the past participle: `cut`, `drilled`. Where that
    doesn't make a sentence with the item, `claim` does, and `mark` is the word under its mark."""

    station: Station
    task: str
    past: str
    needs: str
    claim: str = ""
    mark: str = ""


_PLAIN: dict[str, _Plain] = {
    "cut": _Plain("saw", say("Cut"), say("cut"), say("still to cut")),
    "joint": _Plain("saw", say("Joint a face and an edge"), say("jointed"), say("still to joint")),
    "resaw": _Plain("saw", say("Resaw"), say("resawn"), say("still to resaw")),
    "rest": _Plain("bench", say("Let it rest on stickers"), say("rested"), say("still to rest")),
    "plane": _Plain("saw", say("Plane to thickness"), say("planed"), say("still to plane")),
    "rip": _Plain("saw", say("Rip to width"), say("ripped"), say("still to rip")),
    "cut to length": _Plain(
        "saw", say("Cut to length"), say("cut to length"), say("still to cut to length"), mark=say("to length")
    ),
    "taper": _Plain("saw", say("Taper"), say("tapered"), say("still to taper")),
    "bevel": _Plain("saw", say("Bevel the edge"), say("bevelled"), say("still to bevel")),
    "tenon": _Plain("saw", say("Cut the tenons"), say("tenoned"), say("still to tenon")),
    "notch": _Plain("bench", say("Cut the notches"), say("notched"), say("still to notch")),
    "groove": _Plain("saw", say("Cut the grooves"), say("grooved"), say("still to groove")),
    "dado": _Plain("saw", say("Cut the dados"), say("dadoed"), say("still to dado")),
    "rabbet": _Plain("saw", say("Cut the rabbets"), say("rabbeted"), say("still to rabbet")),
    "mortise": _Plain("bench", say("Cut the mortises"), say("mortised"), say("still to mortise")),
    "slot": _Plain("bench", say("Rout the slots"), say("slotted"), say("still to slot")),
    "shape": _Plain("bench", say("Shape"), say("shaped"), say("still to shape")),
    "drill": _Plain("drill", say("Drill"), say("drilled"), say("still to drill")),
    "profile": _Plain("bench", say("Profile the edges"), say("profiled"), say("still to profile")),
    "dry fit": _Plain("bench", say("Dry fit"), say("dry fitted"), say("still to dry fit")),
    "drive screws": _Plain(
        "bench",
        say("Drive the screws"),
        say("screwed"),
        say("still to screw"),
        say("Screws are in {item}"),
        say("screwed"),
    ),
    "take screws out": _Plain(
        "bench",
        say("Take the screws out"),
        say("freed of its screws"),
        say("its screws still in"),
        say("Screws are out of {item}"),
        say("screws out"),
    ),
    "plug": _Plain("bench", say("Plug the holes"), say("plugged"), say("still to plug")),
    "attach": _Plain("bench", say("Put together"), say("put together"), say("still to put together")),
    "prove": _Plain("bench", say("Check"), say("checked"), say("still to check")),
}
_GENTLE = frozenset({"dry fit", "rest"})
_LOADING = frozenset({"attach", "drive screws", "take screws out", "prove"})
"""Screws load what they pull together; and once they are taken out, the glue holds alone."""
_GLUE = (
    Step(
        id="spread",
        operation="glue",
        station="bench",
        task=say("Spread glue"),
        claim=say("Glue is on"),
        all_claim=say("Glue is on {names}"),
        past=say("spread with glue"),
        needs=say("still to glue"),
        mark=say("glue on"),
        starts="open",
    ),
    Step(
        id="clamp",
        operation="glue",
        station="bench",
        task=say("Clamp"),
        claim=say("Clamped"),
        all_claim=say("{names} are clamped"),
        past=say("clamped"),
        needs=say("still to clamp"),
        mark=say("clamped"),
        starts="clamp",
        closes="open",
    ),
    Step(
        id="unclamp",
        operation="glue",
        station="bench",
        task=say("Take the clamps off"),
        claim=say("Clamps are off"),
        all_claim=say("Clamps are off {names}"),
        past=say("glued"),
        needs=say("still in clamps"),
        mark=say("glued"),
        starts="cure",
        closes="clamp",
    ),
)


def steps_for(operation: str, coats: int = 0, sand_between: int = 0, ends: tuple[End, ...] = ENDS) -> tuple[Step, ...]:
    """The steps of one operation of a route. Raises KeyError for an unknown operation.

    `coats` is the number of coats of the finish, `sand_between` the grit for sanding between them (0: none), `ends` are
    those that a trim cuts.
    """
    if operation == "trim":
        return tuple(_trim(end) for end in ends)
    if operation == "glue":
        return _GLUE
    if operation == "finish":
        steps: list[Step] = []
        for number in range(1, max(1, coats) + 1):
            if number > 1 and sand_between:
                steps.append(between(number - 1, sand_between))
            steps.append(_coat(number, coats))
        return tuple(steps)
    if operation.startswith("finish "):
        return (_coat(int(operation.split()[1]), coats),)
    if operation.startswith("sand "):
        return (_sand(operation),)
    plain = _PLAIN[operation]
    return (
        Step(
            id=operation,
            operation=operation,
            station=plain.station,
            task=plain.task,
            claim=plain.claim.format(item="{name}") or say("{name} is {past}", past=plain.past, name="{name}"),
            all_claim=plain.claim.format(item="{names}") or say("{names} are {past}", past=plain.past, names="{names}"),
            past=plain.past,
            needs=plain.needs,
            mark=plain.mark or plain.past,
            loads=operation in _LOADING,
            gentle=operation in _GENTLE,
        ),
    )


def glued_and_screwed() -> tuple[Step, ...]:
    """Gluing with screws that are driven while the clamps are on and the glue is wet."""
    (drive,) = steps_for("drive screws")
    *spread, unclamp = _GLUE
    return (*spread, replace(drive, loads=False, gentle=True, in_clamps=True), unclamp)


OWN = "own: "
"""The prefix of the id of a maker's own step, so that it can't equal another id."""
_SHORT = 16
"""The most letters under a mark."""
_JOINING_WORDS = frozenset({"a", "an", "and", "at", "for", "from", "in", "of", "on", "the", "to", "with"})


def _first_words(do: str) -> str:
    """As many words of a step as fit under a mark, but none at the end that says nothing without the next one."""
    if len(do) <= _SHORT:
        return do
    words = do[:_SHORT].split(" ")[:-1]
    while len(words) > 1 and words[-1].lower() in _JOINING_WORDS:
        words.pop()
    return " ".join(words) or do


def own_step(do: str, station: Station = "bench", jig: str = "") -> Step:
    """An own step. The maker's words are shown unchanged, because they can't be put into the past tense.

    The button has all of them, because nothing else on the card of a piece says what to do.
    """
    task = f"{do[0].upper()}{do[1:]}"
    return Step(
        id=f"{OWN}{do}",
        operation=do,
        station=station,
        task=task,
        claim=say(
            "{task}: done", task=task.replace("{", "{{").replace("}", "}}")
        ),  # the claim is filled in a second time, with the piece
        all_claim=say("{names}: done"),
        past=say("done with “{do}”", do=do),
        needs=say("still to do: {do}", do=do),
        mark=_first_words(do),
        jig=jig,
    )


def _trim(end: End) -> Step:
    """Each end is one pass over the saw."""
    return Step(
        id=f"trim {end}",
        operation="trim",
        station="saw",
        task=say("Trim end {end}", end=end),
        claim=say("End {end} is cut", end=end),
        all_claim=say("End {end} of {names} is cut", end=end, names="{names}"),
        past=say("trimmed at end {end}", end=end),
        needs=say("still to trim"),
        mark=say("end {end}", end=end),
        end=end,
    )


def between(coat: int, grit: int = 0) -> Step:
    """Sanding between a coat and the next one: because the finish asks for it, or because the coat is past its recoat
    window."""
    with_grit = say(" with {grit}", grit=grit) if grit else ""
    return Step(
        id=f"between {coat}",
        operation="finish",
        station="sanding",
        task=say("Scuff coat {coat}{with_grit}", coat=coat, with_grit=with_grit),
        claim=say("Coat {coat} is scuffed", coat=coat),
        all_claim=say("Coat {coat} is scuffed on {names}", coat=coat, names="{names}"),
        past=say("scuffed over coat {coat}", coat=coat),
        needs=say("still to finish"),
        mark=say("scuffed {coat}", coat=coat),
        grit=grit,
    )


def _sand(operation: str) -> Step:
    """`sand 120`, or `sand 180 edges`."""
    _, grit, *rest = operation.split()
    surface = rest[0] if rest else ""
    of = say("{surface} of ", surface=side(surface)) if surface else ""
    return Step(
        id=operation,
        operation=operation,
        station="sanding",
        task=say("Sand {surface} to {grit}", surface=surface, grit=grit)
        if surface
        else say("Sand to {grit}", grit=grit),
        claim=(
            say("{of}{name} are sanded to {grit}", of=of.capitalize(), grit=grit, name="{name}")
            if surface
            else say("{of}{name} is sanded to {grit}", of=of.capitalize(), grit=grit, name="{name}")
        ),
        all_claim=say("{of}{names} are sanded to {grit}", of=of.capitalize(), grit=grit, names="{names}"),
        past=(
            say("sanded to {grit} on the {surface}", grit=grit, surface=side(surface))
            if surface
            else say("sanded to {grit}", grit=grit)
        ),
        needs=say("still to sand"),
        mark=f"{side(surface)} {grit}" if surface else say("{grit} grit", grit=grit),
        grit=int(grit),
        surface=surface,
    )


def _coat(number: int, coats: int) -> Step:
    last = number >= coats
    return Step(
        id=f"finish {number}",
        operation="finish",
        station="finishing",
        task=say("Put coat {number} on", number=number),
        claim=say("Coat {number} is on", number=number),
        all_claim=say("Coat {number} is on {names}", number=number, names="{names}"),
        past=say("given coat {number}", number=number),
        needs=say("still to finish"),
        mark=say("coat {number}", number=number),
        starts="dry" if last else "recoat",
        closes="recoat" if number > 1 else None,
        coat=number,
    )


@lru_cache(maxsize=256)  # cached: every look at an item's clock asks for the steps after it
def step_named(step_id: str) -> Step:
    """The step of an id, for a route that no longer has it; a step of its own where the id is unknown."""
    glue = next((step for step in _GLUE if step.id == step_id), None)
    if glue is not None:
        return glue
    if step_id.startswith(OWN) and len(step_id) > len(OWN):
        return own_step(step_id.removeprefix(OWN))
    word, *rest = step_id.split()
    if word in ("between", "finish") and rest and rest[0].isdecimal():
        return between(int(rest[0])) if word == "between" else _coat(int(rest[0]), int(rest[0]))
    if word == "trim" and len(rest) == 1 and rest[0] in ENDS:
        return _trim(rest[0])
    if (word == "sand" and rest and rest[0].isdecimal()) or step_id in _PLAIN:
        return steps_for(step_id)[0]
    if step_id == "trim":
        return replace(
            _trim("A"), id="trim", end="", task=say("Trim both ends"), past=say("trimmed"), mark=say("trimmed")
        )
    return Step(
        id=step_id, operation=step_id, station="bench", task=step_id, claim=step_id, all_claim=step_id, past=step_id,
        needs=say("still to do: {step_id}", step_id=step_id), mark=step_id,
    )  # fmt: skip


JOINERY = frozenset({"bevel", "tenon", "notch", "groove", "dado", "rabbet", "mortise", "slot"})
"""Cuts that join a piece to others: done before any glue, and before an edge is profiled."""
EARLIER: dict[str, frozenset[str]] = {
    **dict.fromkeys(JOINERY, frozenset({"cut", "rip", "cut to length", "resaw", "take screws out"})),
    "tenon": frozenset({"cut", "rip", "cut to length", "resaw", "trim", "take screws out"}),
    "profile": frozenset(
        {"cut", "rip", "cut to length", "resaw", "trim", "taper", "shape", "drill", "glue", "take screws out", *JOINERY}
    ),
    "cut": frozenset(),
    "joint": frozenset({"cut"}),
    "resaw": frozenset({"cut", "joint"}),
    "rest": frozenset({"cut", "resaw"}),
    "plane": frozenset({"cut", "joint", "resaw", "rest"}),
    "rip": frozenset({"cut", "joint", "plane"}),
    "cut to length": frozenset({"cut", "joint", "resaw", "plane", "rip"}),
    "trim": frozenset({"cut", "joint", "plane", "cut to length", "resaw", "take screws out"}),
    "taper": frozenset({"cut", "cut to length", "resaw", "take screws out"}),
    "shape": frozenset({"cut", "cut to length", "resaw", "take screws out"}),
    "drill": frozenset({"cut", "cut to length", "resaw"}),
    "dry fit": frozenset({"cut"}),
    "glue": frozenset({"cut", "resaw", "dry fit", *JOINERY}),
    "drive screws": frozenset({"cut", "drill", "dry fit", "glue"}),
    "take screws out": frozenset({"drive screws", "glue"}),
    "plug": frozenset({"drill", "drive screws", "take screws out"}),
    "sand": frozenset({"cut", "take screws out"}),
    "attach": frozenset({"dry fit"}),
    "finish": frozenset(
        {
            "cut",
            "joint",
            "resaw",
            "rest",
            "plane",
            "cut to length",
            "rip",
            "trim",
            "taper",
            "shape",
            "drill",
            "glue",
            "drive screws",
            "take screws out",
            "plug",
            "sand",
            "profile",
            *JOINERY,
        }
    ),
    "prove": frozenset({"glue", "attach", "drive screws"}),
}
"""The required order: operations that must come before this one if the route has them. Screws that only hold while the
glue dries are out before a blade or an abrasive comes near them."""


def kind_of(operation: str) -> str:
    """The kind of a step or operation: `sand 120` is a `sand`, `finish 2` a `finish`."""
    word = operation.split()[0]
    return word if word in ("sand", "finish") else operation
