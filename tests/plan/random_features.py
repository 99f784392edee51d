"""Random parts with features that a maker might cut, and their build file."""

from __future__ import annotations

import random
from typing import Any

from plan.feature_judge import Board, Row

FACES, EDGES = ("top", "bottom"), ("near", "far")


def toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {toml(each)}" for key, each in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{value}"' if isinstance(value, str) else repr(value)


def build_text(board: Board) -> str:
    rows = "".join(f"  {toml(row)},\n" for row in board.rows)
    miter = f"end_b = {{ miter = {board.miter} }}\n" if board.miter else ""
    return (
        f'[build]\nname = "x"\nunits = "mm"\n[woods.oak]\nspecies = "white oak"\nthickness = {board.thick}\n'
        f'width = {board.wide}\nlengths = ["6 m"]\n[[parts]]\nid = "part"\nwood = "oak"\nlength = {board.shoulder}\n'
        f"{miter}features = [\n{rows}]\n"
    )


def random_board(chance: random.Random) -> Board:
    """A piece with one to six features, each in its own stretch of the length, and now and then one along all of it."""
    wide, thick = float(chance.randint(40, 160)), float(chance.randint(16, 60))
    count = chance.randint(1, 6)
    long = 160.0 * (count + 1)
    miter = chance.choice([0.0, 0.0, 0.0, float(chance.randint(1, 30))])
    rows = [_random_row(chance, at, wide, thick) for at in range(count)]
    if not miter:
        rows += [_at_an_end(chance, wide, thick, end) for end in "AB" if chance.random() < 0.35]
    if chance.random() < 0.3:
        rows.append(_all_along(chance, wide, thick, bool(miter)))
    chance.shuffle(rows)
    for row in rows:
        if row.get("shape") == "chamfer":  # it has a width
            row["width"] = row.pop("radius")
    return Board(long, wide, thick, miter, rows)


def _size(chance: random.Random, low: float, high: float) -> float:
    return round(chance.uniform(low, max(low, high)), 1)


def _random_row(chance: random.Random, at: int, wide: float, thick: float) -> Row:
    kind = chance.choice(["mortise", "slot", "notch", "dado", "bore", "dowel", "bolt", "counterbore", "groove"])
    on = chance.choice([*FACES, *EDGES])
    if kind == "notch":
        on = chance.choice(EDGES)
    across, deep = (wide, thick) if on in FACES else (thick, wide)
    begin = 100.0 + 160.0 * at + _size(chance, 0, 20)
    low = "near" if on in FACES else "bottom"
    row: Row = {"kind": kind, "on": on, "from": {"A": begin}}
    if kind in ("mortise", "slot"):
        row |= {"width": _size(chance, 4, across / 2), "length": 0.0}
        row["length"] = _size(chance, row["width"] + 1, 80)
        row["from"][low] = _size(chance, 1, across - row["width"] - 1)
        row |= {"through": True} if chance.random() < 0.3 else {"depth": _size(chance, 2, deep - 2)}
        if kind == "mortise" and "depth" in row and chance.random() < 0.3:
            row["lean"] = {chance.choice("AB"): _size(chance, 1, 20)}
    elif kind == "notch":
        row |= {"length": _size(chance, 5, 80), "depth": _size(chance, 3, wide - 5)}
        if chance.random() < 0.3:
            row["lean"] = {chance.choice("AB"): _size(chance, 1, 15)}
    elif kind == "dado":
        row |= {"width": _size(chance, 4, 60), "depth": _size(chance, 2, deep - 2)}
        if chance.random() < 0.4:
            row["stop"] = {
                chance.choice(["near", "far"] if on in FACES else ["bottom", "top"]): _size(chance, 2, across / 3)
            }
        if on in FACES and chance.random() < 0.3:
            row["angle"] = _size(chance, -15, 15)
    elif kind == "groove":
        row = {"kind": kind, "on": on, "width": _size(chance, 2, across / 3), "depth": _size(chance, 2, deep / 2)}
        row |= {"from": {low: _size(chance, 1, across / 2)}, "stop": {"A": begin, "B": 1.0}}
        row["stop"]["B"] = _size(chance, 1, 40)
    else:
        _hole_row(chance, row, kind, across, deep, low)
    return row


def _hole_row(chance: random.Random, row: Row, kind: str, across: float, deep: float, low: str) -> None:
    big = _size(chance, 4, min(across - 3, 30))
    row["from"][low] = _size(chance, big / 2 + 1, across - big / 2 - 1)
    row["from"]["A"] += 20
    row["diameter"] = big
    if kind in ("bore", "dowel"):
        row["depth"] = _size(chance, 2, deep - 2)
        if kind == "bore" and chance.random() < 0.4:
            del row["depth"]
            row["through"] = True
        if kind == "bore" and chance.random() < 0.3:
            row["lean"] = {chance.choice("AB"): _size(chance, 1, 20)}
        if chance.random() < 0.3:
            row |= {"count": chance.randint(2, 3), "spacing": big + 4}
    elif kind == "counterbore":
        row |= {"depth": _size(chance, 1, deep / 2), "hole": round(big / 2, 1), "through": True}
    elif chance.random() < 0.6:
        row |= {"diameter": round(big / 2, 1), "head": big, "head_depth": _size(chance, 1, deep / 2), "through": True}
    else:
        row["depth"] = _size(chance, 2, deep - 2)


def _at_an_end(chance: random.Random, wide: float, thick: float, end: str) -> Row:
    kind = chance.choice(["tenon", "tenon", "bore", "mortise", "rabbet", "groove", "notch", "profile"])
    if kind == "tenon":
        row: Row = {"kind": kind, "on": end, "length": _size(chance, 8, 50)}
        row |= {"width": _size(chance, wide / 3, wide), "thickness": _size(chance, thick / 4, thick)}
        if row["width"] < wide - 12 and chance.random() < 0.4:
            row["haunch"] = {"edge": chance.choice(EDGES), "length": _size(chance, 2, row["length"] - 2)}
        elif row["width"] < wide - 12 and chance.random() < 0.5:
            row["from"] = {chance.choice(EDGES): _size(chance, 0, wide - row["width"])}
        return row
    if kind == "bore":
        return {"kind": kind, "on": end, "diameter": 8.0, "depth": 40.0, "count": 2, "spacing": wide / 3}
    if kind == "mortise":
        return {"kind": kind, "on": end, "length": wide / 2, "width": thick / 3, "depth": 30.0}
    if kind == "rabbet":
        return {
            "kind": kind,
            "on": chance.choice(FACES),
            "edge": end,
            "width": _size(chance, 4, 50),
            "depth": thick / 2,
        }
    if kind == "groove":
        return {"kind": kind, "on": end, "width": thick / 4, "depth": _size(chance, 3, 40)}
    if kind == "notch":
        edge = chance.choice(EDGES)
        return {"kind": kind, "on": edge, "from": {end: 0}, "length": _size(chance, 5, 60), "depth": wide / 3}
    return {"kind": kind, "edges": [f"{end} {chance.choice(FACES)}"], "shape": chance.choice(["chamfer", "round over", "cove"]),  # noqa: E501
            "radius": 4.0} | {}  # fmt: skip


def _all_along(chance: random.Random, wide: float, thick: float, miter: bool) -> Row:
    kind = chance.choice(["profile", "bevel", "rabbet", "groove"])
    if kind == "profile":
        edges = chance.sample([f"{edge} {face}" for edge in EDGES for face in FACES], chance.randint(1, 2))
        return {"kind": kind, "edges": edges, "shape": chance.choice(["round over", "cove", "chamfer"]), "radius": 3.0}
    if kind == "bevel":
        return {
            "kind": kind,
            "on": chance.choice(EDGES),
            "angle": _size(chance, 2, 30),
            "long_face": chance.choice(FACES),
        }
    if kind == "rabbet":
        return {"kind": kind, "on": chance.choice(FACES), "edge": chance.choice(EDGES), "width": 6.0, "depth": 5.0}
    return {"kind": "groove", "on": chance.choice(EDGES), "width": thick / 4, "depth": 6.0}
