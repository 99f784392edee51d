"""Random build files as a maker might write them, with features, mates, own steps, jigs, copies and labels, and the
same with a mistake. A file is first a value of dicts and lists, then TOML."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from copy import deepcopy
from typing import Any

from plan.random_features import random_board

Data = dict[str, Any]


class Raw(str):
    """A text that is written without quotes."""


SIDES = ["top", "bottom", "near", "far", "A", "B"]
KINDS = [
    "notch", "mortise", "tenon", "groove", "dado", "housing", "rabbet", "rebate", "bore", "dowel", "bolt",
    "counterbore", "slot", "profile", "bevel",
]  # fmt: skip
NUMBERS = [0, 1, 7.5, 20, 60, 90, 300, -3, 1e9, 0.0001]
OTHERS: list[Any] = [
    True, "x", [], {}, ["near top"], ["near top", "A bottom"], "along", "chamfer", "round over", "cove", {"A": 20},
    {"near": 5}, {"B": 20, "far": 3}, {"edge": "near", "length": 4}, "part-0.mortise 1", "part-1.tenon 1",
    Raw("1979-05-27"), Raw("nan"), "3 mm", "1/4", "12 deg", "20 min", "= 1/0", "= 7 * 3", "= size / 2",
    "= lean", "é", "a" * 70,
]  # fmt: skip
KEYS = [
    "on", "from", "toward", "length", "width", "depth", "thickness", "diameter", "hole", "hole_depth", "head",
    "head_depth", "through", "lean", "edge", "stop", "haunch", "angle", "long_face", "edges", "shape", "radius",
    "height", "count", "spacing", "row", "fits", "play", "tool", "copies", "labels", "quantity", "steps", "features",
    "jig", "after", "before", "numbers", "picture", "do", "notes", "station", "sequence", "allowance", "end_a", "route",
]  # fmt: skip
WORDS = ["saw the curve", "plane it", "fair it", "mark it", "fit it by hand", "scrape it", "soak it"]
STEP_NUMBERS = [
    5, "2.5", "15 deg", "1:8", "20 min", "12 holes", "5 inhces", "= size / 2", "= lean", "= sides", "= lean * 2",
    "= lean * size", "= 360 / sides deg", "= sides * 2 holes", "= size * 20 min",
]  # fmt: skip


def plausible(chance: random.Random) -> Data:
    """A file that nearly always loads: boards of `feature_solids`, one per part, joined at the end."""
    parts = [_part(chance, at) for at in range(chance.choice([1, 1, 2, 3]))]
    if chance.random() < 0.35:
        parts += _mates(chance)
    data: Data = {
        "build": {"name": "x", "units": "mm"},
        "sizes": {"size": 12, "lean": "8 deg", "twice": "= size * 2", "sides": 6},
        "woods": {"oak": {"species": "white oak", "thickness": 80, "width": 200, "lengths": ["6 m"]}},
        "parts": parts,
        "assemblies": [{"id": "all", "joins": {each["id"]: 1 for each in parts}, "by": "dry"}],
    }
    if chance.random() < 0.15:
        data["build"]["copies"] = chance.choice([1, 2, 3, 20, 200])
    if chance.random() < 0.2:
        data["assemblies"][0]["copies"] = chance.choice([1, 2, 4, 40])
        if chance.random() < 0.5:
            data["assemblies"].append({"id": "above", "joins": {"all": data["assemblies"][0]["copies"]}, "by": "dry"})
    if chance.random() < 0.3:
        _steps(chance, data)
    return data


def _part(chance: random.Random, at: int) -> Data:
    board = random_board(chance)
    rows = [_chamfers(dict(row)) for row in board.rows]
    part: Data = {
        "id": f"part-{at}", "wood": "oak", "length": board.shoulder, "width": board.wide, "thickness": board.thick,
        "features": rows,
    }  # fmt: skip
    if board.miter:
        part["end_b"] = {"miter": board.miter}
    match chance.randrange(9):
        case 0:
            part |= {"left": 1, "right": 1}
        case 1:
            part["quantity"] = chance.choice([2, 3, 12, 60])
        case 2:
            part |= {"quantity": 24, "labels": False}
        case 3:
            part["allowance"] = 10
        case 4:
            edges, end = chance.choice(["near", "far", "both"]), chance.choice("AB")
            start = chance.choice([0, board.shoulder / 2])
            part["tapers"] = [{"edges": edges, "end": end, "start": start, "leave": board.wide * 0.7}]
        case 5 if rows:
            part["notes"] = {"cut": "Mind the knot."}
    return part


def _chamfers(row: Data) -> Data:
    if row["kind"] == "profile" and row["shape"] == "chamfer" and "radius" in row:  # a chamfer has a width
        row["width"] = row.pop("radius")
    return row


def _mates(chance: random.Random) -> list[Data]:
    """A stile with a mortise, and a rail with a tenon that fits it: its sizes left out, equal or smaller."""
    size = {"length": 40, "width": 8, "depth": 32}
    tenon: Data = {"kind": "tenon", "on": chance.choice("AB"), "fits": "stile.mortise 1"}
    tenon |= chance.choice([{}, {"play": 0.2}, {"length": 30, "width": 40, "thickness": 8}, {"length": 30}])
    stile: Data = {"id": "stile", "wood": "oak", "length": 700, "width": 60, "thickness": 22}
    stile["features"] = [{"kind": "mortise", "on": "near", "from": {"A": 20}, **size}]
    rail: Data = {"id": "rail", "wood": "oak", "length": 400, "width": 60, "thickness": 22, "features": [tenon]}
    if chance.random() < 0.4:
        stile["features"].append({"kind": "groove", "on": "far", "width": 6, "depth": 9})
        rail["features"].append({"kind": "dowel", "on": "top", "from": {"A": 150}, "diameter": 8, "depth": 12})
    return [stile, rail]


def _steps(chance: random.Random, data: Data) -> None:
    words = chance.sample(WORDS, chance.randint(1, 3))
    part = chance.choice(data["parts"])
    steps: list[Data] = [{"do": word} for word in words]
    for at, step in enumerate(steps):
        if chance.random() < 0.5:
            step[chance.choice(["after", "before"])] = chance.choice(["cut", "cut", "trim", *words[:at]])
        if chance.random() < 0.6:
            names = chance.sample(["radius", "tilt", "wait", "off the line"], chance.randint(1, 3))
            step["numbers"] = {name: chance.choice(STEP_NUMBERS) for name in names}
        if chance.random() < 0.3:
            step |= {"station": chance.choice(["saw", "drill", "bench", "sanding", "finishing"]), "tool": "spokeshave"}
        if chance.random() < 0.2:
            step["picture"] = "hub.png"
    if chance.random() < 0.4:
        data["parts"].append({"id": "template", "wood": "oak", "length": 300})
        steps[0]["jig"] = "template"
    (part if chance.random() < 0.8 else data["assemblies"][0])["steps"] = steps


# A mistake


def places(value: Any) -> Iterator[tuple[Any, Any]]:
    """Every place in a file: its container, and its key or index there."""
    keys = value.keys() if isinstance(value, dict) else range(len(value)) if isinstance(value, list) else ()
    for key in keys:
        yield value, key
        yield from places(value[key])


def slip(chance: random.Random, data: Data) -> None:
    """A file with one thing changed, anywhere in the parts and assemblies."""
    where = [place for section in ("parts", "assemblies") for place in places(data.get(section))]
    if not where:
        return
    holder, key = chance.choice(where)
    value = holder[key]
    match chance.randrange(10):
        case 0 if isinstance(holder, dict):
            del holder[key]
        case 1 if isinstance(value, dict):
            value[chance.choice([*KEYS, *SIDES])] = deepcopy(chance.choice([*NUMBERS, *OTHERS]))
        case 2 if isinstance(value, list) and value:
            value.append(value[-1])
        case 3:
            holder[key] = deepcopy(chance.choice([*NUMBERS, *OTHERS]))
        case _ if isinstance(value, bool | dict | list):
            _add_row(chance, data)
        case _ if isinstance(value, int | float):
            others = [value + 1, value * 0.5, value * 2, -value, 0, f"{value} mm", f"= {value} + size"]
            holder[key] = chance.choice(others)
        case _:
            holder[key] = chance.choice([*SIDES, *KINDS, "oak", "part-0", "trim", "cut", value + "x", value.upper()])


def _add_row(chance: random.Random, data: Data) -> None:
    """Copy a feature of one part to another part, or a second time to its own."""
    parts = [each for each in data.get("parts", ()) if isinstance(each, dict)]
    rows = [row for part in parts if isinstance(part.get("features"), list) for row in part["features"]]
    if rows:
        chance.choice(parts).setdefault("features", [])
        target = chance.choice(parts)
        if isinstance(target.get("features"), list):
            target["features"].append(json.loads(json.dumps(chance.choice(rows))))


# As TOML


def inline(value: Any) -> str:
    if isinstance(value, Raw):
        return str(value)
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(key)} = {inline(each)}" for key, each in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(inline, value)) + "]"
    return json.dumps(value, ensure_ascii=False)


def _key(key: str) -> str:
    return key if key.replace("-", "").replace("_", "").isalnum() and key.isascii() else json.dumps(key)


def toml(data: Data) -> str:
    """Sections and tables as in the samples, one row per line."""
    lines: list[str] = []
    for name, section in data.items():
        if name == "woods":
            for wood, keys in section.items():
                lines += [f"[woods.{wood}]", *_lines(keys)]
        elif isinstance(section, list):
            for each in section:
                lines += [f"[[{name}]]", *(_lines(each) if isinstance(each, dict) else [inline(each)])]
        elif isinstance(section, dict):
            lines += [f"[{name}]", *_lines(section)]
        else:
            lines += [f"{name} = {inline(section)}"]
    return "\n".join(lines) + "\n"


def _lines(keys: Data) -> Iterator[str]:
    for key, value in keys.items():
        if isinstance(value, list) and value and isinstance(value[0], dict):
            yield f"{_key(key)} = ["
            yield from (f"  {inline(each)}," for each in value)
            yield "]"
        else:
            yield f"{_key(key)} = {inline(value)}"
