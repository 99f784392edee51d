"""Strangers' files with the keys for features, own steps, mates, copies and labels: loading answers with values.

`PYTHONPATH=tests python -m design.feature_fuzz 100000` counts, and says the longest time and the most memory of any.
"""

from __future__ import annotations

import random
import resource
import sys
import time

from tracker.design import load_build
from tracker.plan.feasibility import check
from tracker.work.routes import check_routes
from tracker.work.run import start_run

SIDES = ["top", "bottom", "near", "far", "A", "B", "left", "", "end A"]
KINDS = [
    "notch", "mortise", "tenon", "groove", "dado", "housing", "rabbet", "rebate", "bore", "dowel", "bolt", "counterbore",  # noqa: E501
    "slot", "profile", "bevel", "hole", "",
]  # fmt: skip
KEYS = [
    "on", "from", "toward", "length", "width", "depth", "thickness", "diameter", "hole", "hole_depth", "head",
    "head_depth", "through", "lean", "edge", "stop", "haunch", "angle", "long_face", "edges", "shape", "radius",
    "height", "count", "spacing", "row", "fits", "play", "tool",
]  # fmt: skip
NUMBERS = [
    "0",
    "1",
    "7.5",
    "20",
    "22",
    "60",
    "90",
    "300",
    "399",
    "-3",
    "1e9",
    '"3 mm"',
    '"= 1/0"',
    '"= 7 * 3"',
    "0.0001",
    "nan",
]
OTHERS = ["true", '"x"', "[]", "{}", '["near top"]', '["near top", "A bottom"]', '"along"', '"chamfer"', '"round over"',
          '"cove"', "{ A = 20 }", "{ near = 5 }", "{ B = 20, far = 3 }", '{ edge = "near", length = 4 }', '"part.mortise 1"',  # noqa: E501
          '"other.tenon 1"', "1979-05-27"]  # fmt: skip


GOOD: list[dict[str, str]] = [
    {"kind": '"mortise"', "on": '"near"', "from": "{ A = 20 }", "length": "40", "width": "8", "depth": "30"},
    {"kind": '"tenon"', "on": '"B"', "length": "30", "width": "50", "thickness": "8"},
    {"kind": '"groove"', "on": '"far"', "width": "6", "depth": "9", "stop": "{ A = 20 }"},
    {"kind": '"dado"', "on": '"top"', "from": "{ A = 150 }", "width": "18", "depth": "6", "angle": "5"},
    {"kind": '"rabbet"', "on": '"bottom"', "edge": '"far"', "width": "9", "depth": "6"},
    {"kind": '"bore"', "on": '"top"', "from": "{ B = 90 }", "diameter": "8", "through": "true", "lean": "{ A = 10 }"},
    {"kind": '"bore"', "on": '"top"', "diameter": "5", "depth": "8", "count": "20", "spacing": "9"},
    {"kind": '"slot"', "on": '"bottom"', "from": "{ A = 250 }", "length": "40", "width": "9", "depth": "9"},
    {"kind": '"notch"', "on": '"near"', "from": "{ B = 0 }", "length": "30", "depth": "30"},
    {"kind": '"profile"', "edges": '["far top"]', "shape": '"round over"', "radius": "4"},
    {"kind": '"bevel"', "on": '"near"', "angle": "10"},
]


def value(chance: random.Random, key: str) -> str:
    if key in ("on", "edge"):
        return f'"{chance.choice(SIDES)}"'
    return chance.choice(NUMBERS if chance.random() < 0.7 else OTHERS)


def row(chance: random.Random) -> str:
    if chance.random() < 0.7:
        good = dict(chance.choice(GOOD))
        if chance.random() < 0.5:
            key = chance.choice([*good, *KEYS[:6]])
            good[key] = value(chance, key) if key != "kind" else f'"{chance.choice(KINDS)}"'
        return "{ " + ", ".join(f"{key} = {each}" for key, each in good.items()) + " }"
    keys = chance.sample(KEYS, chance.randint(0, 9))
    if chance.random() < 0.7:
        keys = list(dict.fromkeys(["on", "length", "width", "depth", "diameter", *keys[:3]]))
    said = [f'kind = "{chance.choice(KINDS)}"', *(f"{key} = {value(chance, key)}" for key in keys)]
    return "{ " + ", ".join(said) + " }"


def step(chance: random.Random) -> str:
    words = chance.choice(["cut", "plane it", "sand it well", "finish it", "", "trim", "own: x", "é", "a" * 70])
    near = chance.choice(["cut", "trim", "plane it", "nothing", "sand it well"])
    more = chance.choice(["", f', after = "{near}"', f', before = "{near}"', ', jig = "other"', ', jig = "part"',
                          ', numbers = { r = 5, "" = 1 }', ", numbers = 3", ', picture = "../a.png"'])  # fmt: skip
    return f'{{ do = "{words}"{more} }}'


def text(chance: random.Random) -> str:
    features = ",\n".join(row(chance) for _ in range(chance.choice([1, 1, 2, 3, 8, 30])))
    steps = ",\n".join(step(chance) for _ in range(chance.choice([0, 0, 0, 1, 3])))
    copies = chance.choice(["", "", "", "copies = 3\n", "copies = 0\n", 'copies = "x"\n', "copies = 200\n"])
    ends = chance.choice(
        ["", "end_b = { miter = 30 }\n", "end_a = { bevel = 20 }\n", 'joint = { kind = "ring", sides = 6 }\n']
    )
    labels = chance.choice(["", "", "labels = false\n", 'labels = "no"\n', 'sequence = "s"\n'])
    made = chance.choice(["", "", "", "copies = 2\n", "copies = 0\n", "copies = 200\n", 'copies = "= 1/0"\n'])
    above = chance.choice(["", "", '[[assemblies]]\nid = "top"\njoins = { all = 2, other = 1 }\nby = "dry"\n'])
    return (
        f'[build]\nname = "x"\nunits = "mm"\n{copies}[woods.oak]\nspecies = "white oak"\nthickness = 22\nwidth = 90\n'
        f'lengths = ["3 m"]\n[[parts]]\nid = "part"\nquantity = 2\nwood = "oak"\nlength = 400\n{ends}{labels}'
        f"features = [\n{features}\n]\nsteps = [\n{steps}\n]\n"
        f'[[parts]]\nid = "other"\nwood = "oak"\nlength = 200\nfeatures = [\n{row(chance)}\n]\n'
        f'[[assemblies]]\nid = "all"\njoins = {{ part = 2, other = 1 }}\nby = "dry"\n{made}{above}'
    )


def one(source: str) -> float:
    """Processor seconds to load a file and check it to the last detail."""
    began = time.process_time()
    build = load_build(source).build
    if build is not None:
        check_routes(build)
        if not any(problem.kind == "problem" for problem in check(build)):
            start_run(build)
    return time.process_time() - began


def count(files: int, seed: int = 1) -> tuple[float, int]:
    """The longest time of any, and how many loaded."""
    chance = random.Random(seed)
    longest, loaded = 0.0, 0
    for _ in range(files):
        source = text(chance)
        try:
            taken = one(source)
        except Exception:
            print(source)
            raise
        loaded += load_build(source).build is not None
        if taken > longest:
            longest = taken
    return longest, loaded


if __name__ == "__main__":
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    slowest, good = count(wanted, int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{wanted} files, {good} of them loaded: {slowest:.2f} s the slowest, {memory:.0f} MB in all")
