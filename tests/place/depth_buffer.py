"""An independent check of the painter's order: the piece that each point of the picture shows, found by depth.

It shares nothing with `cards.picture.order`: every face is drawn point by point into an array of depths (numpy), and
the picture is compared with the nearest piece at each point. Points within three points of an edge between two pieces
are left out, because there the two ways of filling a polygon may differ by a point.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw

from tracker.cards.picture import View, pulled_apart, seen_from
from tracker.design.load import load_build
from tracker.plan.place import Placed, Placer
from tracker.plan.place.bodies import Body, Vector, box, cross, dot, minus, unit
from tracker.plan.place.poses import Pose, about
from tracker.plan.place.separation import separation

NOTHING = -1
SAMPLES = Path(__file__).parents[2] / "sample_projects"


def wrong_pixels(placed: Sequence[Placed], view: View, width: int = 500, height: int = 400) -> tuple[int, int]:
    """The number of points that show another piece than the nearest, and the number of covered points."""
    seen = seen_from(placed, view)
    left, bottom, right, top = seen.bounds
    scale = min((width - 40) / (right - left), (height - 40) / (top - bottom))

    def to_page(point: Vector) -> Vector:
        x, y = view.flat(point)
        return (20 + scale * (x - left), 20 + scale * (top - y), view.depth(point))

    image = Image.new("I", (width, height), NOTHING)
    draw = ImageDraw.Draw(image)
    for face in seen.faces:
        outline = [(20 + scale * (x - left), 20 + scale * (top - y)) for x, y in face.outline]
        draw.polygon(outline, fill=face.piece)
    drawn = np.array(image)
    owner = nearest_pieces(placed, view, to_page, width, height)
    clear = ~near_an_edge(owner)
    return int(((drawn != owner) & clear).sum()), int((owner != NOTHING).sum())


def nearest_pieces(
    placed: Sequence[Placed], view: View, to_page: Callable[[Vector], Vector], width: int, height: int
) -> np.ndarray:
    """The nearest piece at each point of a page, or NOTHING. `to_page` gives a corner's place to the right and down,
    and its nearness to the eye."""
    nearest, owner = np.full((height, width), -1e9), np.full((height, width), NOTHING)
    for at, piece in enumerate(placed):
        for cell in piece.cells:
            for _, points in cell.faces:
                if _faces(points, view):
                    corners = [to_page(point) for point in points]
                    for which in range(1, len(corners) - 1):
                        _fill(corners[0], corners[which], corners[which + 1], at, nearest, owner)
    return owner


def _faces(points: Sequence[Vector], view: View) -> bool:
    return dot(cross(minus(points[1], points[0]), minus(points[2], points[1])), view.toward) > 1e-9


def _fill(a: Vector, b: Vector, c: Vector, piece: int, nearest: np.ndarray, owner: np.ndarray) -> None:
    height, width = nearest.shape
    x0, x1 = max(0, int(min(a[0], b[0], c[0]))), min(width - 1, int(max(a[0], b[0], c[0])) + 1)
    y0, y1 = max(0, int(min(a[1], b[1], c[1]))), min(height - 1, int(max(a[1], b[1], c[1])) + 1)
    area = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])
    if x0 > x1 or y0 > y1 or abs(area) < 1e-9:
        return
    xs, ys = np.meshgrid(np.arange(x0, x1 + 1), np.arange(y0, y1 + 1))
    u = ((xs - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (ys - a[1])) / area
    v = ((b[0] - a[0]) * (ys - a[1]) - (xs - a[0]) * (b[1] - a[1])) / area
    depth = a[2] + u * (b[2] - a[2]) + v * (c[2] - a[2])
    window = (slice(y0, y1 + 1), slice(x0, x1 + 1))
    wins = (u >= 0) & (v >= 0) & (u + v <= 1) & (depth > nearest[window] + 1e-3)
    nearest[window][wins] = depth[wins]
    owner[window][wins] = piece


def near_an_edge(owner: np.ndarray) -> np.ndarray:
    edge = np.zeros(owner.shape, dtype=bool)
    edge[:-1] |= owner[:-1] != owner[1:]
    edge[:, :-1] |= owner[:, :-1] != owner[:, 1:]
    for _ in range(3):
        grown = edge.copy()
        grown[1:] |= edge[:-1]
        grown[:-1] |= edge[1:]
        grown[:, 1:] |= edge[:, :-1]
        grown[:, :-1] |= edge[:, 1:]
        edge = grown
    return edge


def heap(chance: random.Random, count: int, like: Placed) -> tuple[Placed, ...]:
    """Timbers at all angles that don't overlap; some have a slanted end."""
    bodies: list[Body] = []
    for _ in range(4000):
        if len(bodies) == count:
            break
        length, width, thickness = chance.uniform(60, 500), chance.uniform(15, 90), chance.uniform(10, 50)
        body = box((0.0, 0.0, 0.0), (length, width, thickness))
        if chance.random() < 0.5:
            normal = unit((1.0, chance.uniform(-0.7, 0.7), chance.uniform(-0.7, 0.7)))
            body = body.clipped(normal, dot(normal, (length * 0.9, width / 2, thickness / 2)), "B")
        if chance.random() < 0.5:
            axis = chance.choice([(1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)])
            pose = about(axis, chance.choice([0.0, 90.0, 180.0, 270.0]))
        else:
            axis = (chance.gauss(0, 1), chance.gauss(0, 1), chance.gauss(0, 1))
            pose = about(axis, chance.uniform(0, 360))
        pose = pose.by((chance.uniform(-300, 300), chance.uniform(-300, 300), chance.uniform(-200, 200)))
        body = pose.carry(body)
        if all(separation(body, other).gap > 0 for other in bodies):
            bodies.append(body)
    return tuple(
        Placed(part="timber", number=at + 1, hand=None, shape=like.shape, pose=Pose(), cells=(body,))
        for at, body in enumerate(bodies)
    )


def judged_heaps(heaps: int, seed: int, size: tuple[int, int] = (300, 240)) -> tuple[int, int]:
    """The wrong and the covered points in `heaps` random heaps of timbers, seen from random sides."""
    chance, like = random.Random(seed), sample("planter")[0]
    wrong = covered = 0
    for _ in range(heaps):
        pieces = heap(chance, chance.randint(5, 25), like)
        bad, seen = wrong_pixels(pieces, View(chance.uniform(-180, 180), chance.uniform(-60, 80)), *size)
        wrong, covered = wrong + bad, covered + seen
    return wrong, covered


def judged_sample(pieces: Sequence[Placed], views: int, size: tuple[int, int] = (300, 240)) -> tuple[int, int]:
    """The same for one sample, seen from `views` sides, at eight heights in turn."""
    wrong = covered = 0
    for view in range(views):
        azimuth, height = -180 + 7 + 360 * view / views, (-20, 5, 12, 24, 35, 50, 62, -5)[view % 8]
        bad, seen = wrong_pixels(pieces, View(azimuth, height), *size)
        wrong, covered = wrong + bad, covered + seen
    return wrong, covered


WHOLE = {"planter": "planter", "stool": "stool", "hall_bench": "bench"}


def sample(name: str) -> tuple[Placed, ...]:
    """The pieces of a sample build."""
    build = load_build((SAMPLES / f"{name}.toml").read_bytes()).build
    assert build is not None
    return Placer(build).placed(WHOLE[name])


def main() -> None:
    """`python -m tests.place.depth_buffer 300`: that many heaps, and the samples from 48 sides, assembled and pulled
    apart."""
    for name in WHOLE:
        for way, pieces in (("closed", sample(name)), ("apart", pulled_apart(sample(name)))):
            wrong, covered = judged_sample(pieces, 48, (500, 400))
            print(f"{name}, {way}: wrong {wrong} of {covered} points", flush=True)
    heaps = int(sys.argv[1])
    wrong, covered = judged_heaps(heaps, 5, (500, 400))
    print(f"{heaps} heaps: wrong {wrong} of {covered} points, {100 * wrong / covered:.5f} %")


if __name__ == "__main__":
    main()
