"""A build of posts, legs and odd pieces, and one assembly of them whose places a test gives."""

from __future__ import annotations

from tracker.design import load_build
from tracker.design.model import Build

HEAD = """[build]
name = "Box"
units = "mm"
[woods.oak]
species = "white oak"
thickness = 40
width = 100
lengths = ["2 m"]
[[parts]]
id = "post"
name = "Post"
quantity = 12
wood = "oak"
length = 300
thickness = 20
[[parts]]
id = "odd"
name = "Odd rail"
quantity = 2
wood = "oak"
length = 200
end_a = { miter = 20 }
holes = [{ kind = "blind", end = "A", from_edge = 30, from_end = 40, diameter = 8, depth = 10 }]
[[parts]]
id = "hand"
name = "Handed"
left = 1
right = 1
wood = "oak"
length = 200
end_a = { miter = 20 }
[[parts]]
id = "leg"
name = "Leg"
quantity = 4
wood = "oak"
width = 40
joint = { kind = "splayed leg", height = 400, front = 10, side = 6 }
"""
SIZE = "size = [400, 200, 300]\n"
AT = "at = { left = 0, front = 0 }"


def build_of(place: str, joins: str = "post = 1", more: str = "", size: str = SIZE) -> Build:
    frame = f'[[assemblies]]\nid = "box"\nname = "Box"\nby = "dry"\njoins = {{ {joins} }}\n{size}place = [{place}]\n'
    loaded = load_build(f"{HEAD}{frame}{more}")
    assert loaded.build is not None, loaded.problems
    return loaded.build
