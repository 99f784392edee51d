"""Frames of a camera over the bench, rendered from a seed: a label on wood, dust, pencil, tilt, blur, noise, JPEG.

Everything here is simulated; no real dust, printer or camera has been measured. A label is 20 mm with its quiet zone,
so a module is 0.69 mm; dust is light brown grains over a share of it.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tracker.paper.qr import ACROSS, symbol_image

Frame = NDArray[np.uint8]
"""Height × width × 3, blue first, as cameras give it."""
WIDTH, HEIGHT = 1280, 720
FINE = 30
"""Dots to a millimetre at which a label is drawn before it is photographed."""
CODE = 20.0
MODULE = CODE / ACROSS
LABEL = (46.0, 24.0)
AT = 2.0
"""The code's distance from the label's left and top edges."""


@dataclass(frozen=True, slots=True)
class Damage:
    """The damage to the label, and the position of the camera."""

    fine: float = 0.0
    """Share of the label under fine dust, grains of 0.1 to 0.3 mm."""
    coarse: float = 0.0
    """Share under chips of 0.6 to 2 mm."""
    strokes: int = 0
    """Pencil strokes across the code."""
    smear: bool = False
    """A smear of glue or grey dirt across the code."""
    torn: bool = False
    """Whether one finder mark is missing."""
    tilt: tuple[float, float] = (0.0, 35.0)
    """The tilt of the camera in degrees."""
    module: tuple[float, float] = (2.0, 8.0)
    """Pixels per module in the frame: the root of the module's area."""


CLEAN = Damage()


def frame(code: str, seed: int, damage: Damage = CLEAN) -> Frame:
    """One picture of a label."""
    chance = np.random.default_rng(seed)
    paper = dusty(label(code, chance), chance, damage)
    bench = wood(chance)
    seat = placed(chance, damage)
    return photographed(bench, paper, seat, chance)


def label(code: str, chance: np.random.Generator) -> Frame:
    """The label as printed: the code, and words beside it."""
    width, height = (round(side * FINE) for side in LABEL)
    paper = np.full((height, width, 3), 238, np.uint8)
    dots = 20
    symbol = np.asarray(symbol_image(code, dots).convert("L"))
    symbol = cv2.resize(symbol, (round(CODE * FINE), round(CODE * FINE)), interpolation=cv2.INTER_AREA)
    ink, at = 32, round(AT * FINE)
    paper[at : at + symbol.shape[0], at : at + symbol.shape[1]] = (ink + symbol * ((238 - ink) / 255))[..., None]
    for row in range(4):
        words = "".join(chance.choice(list("LEGAPRON 0123456789"), 9))
        place = (round((AT + CODE + 1) * FINE), round((6 + 5 * row) * FINE))
        cv2.putText(paper, words, place, cv2.FONT_HERSHEY_SIMPLEX, 3.2, (40, 40, 40), 8, cv2.LINE_AA)
    return paper


def dusty(paper: Frame, chance: np.random.Generator, damage: Damage) -> Frame:
    """The label after a while in the shop."""
    paper = paper.copy()
    at, side = round(AT * FINE), round(CODE * FINE)
    if damage.smear:
        _smear(paper, chance, at, side)
    for _ in range(damage.strokes):
        ends = at + chance.uniform(-0.05, 1.05, (2, 2)) * side
        ends[:, chance.integers(2)] = at + np.array([-0.02, 1.02]) * side
        shade = int(chance.uniform(60, 110))
        start, end = (tuple(int(value) for value in point) for point in ends)
        cv2.line(paper, start, end, (shade, shade, shade), int(chance.uniform(0.5, 0.9) * FINE), cv2.LINE_AA)
    _grains(paper, chance, damage.fine, (0.05, 0.15))
    _grains(paper, chance, damage.coarse, (0.3, 1.0))
    if damage.torn:
        corner = [(0, 0), (1, 0), (0, 1)][chance.integers(3)]
        centre = [at + (4 + 3.5 + 14 * axis) * MODULE * FINE for axis in corner]
        ragged = np.linspace(0, 2 * np.pi, 14, endpoint=False)
        reach = chance.uniform(4.0, 5.2, 14) * MODULE * FINE
        outline = np.stack([centre[0] + reach * np.cos(ragged), centre[1] + reach * np.sin(ragged)], axis=1)
        colour = tuple(int(value) for value in chance.uniform((90, 130, 160), (130, 170, 200)))
        cv2.fillPoly(paper, [outline.astype(np.int32)], colour)
    return paper


def _grains(paper: Frame, chance: np.random.Generator, share: float, radius: tuple[float, float]) -> None:
    """Light brown grains until `share` of the label is covered (overlaps counted, after the Poisson law)."""
    if share <= 0:
        return
    height, width = paper.shape[:2]
    mean_area = np.pi * (radius[0] ** 2 + radius[0] * radius[1] + radius[1] ** 2) / 3 * FINE**2
    count = round(-np.log(1 - share) * height * width / mean_area)
    centres = chance.uniform(0, (width, height), (count, 2))
    radii = chance.uniform(*radius, count) * FINE
    base = chance.uniform((115, 160, 185), (150, 190, 215))
    shades = np.clip(base + chance.normal(0, 14, (count, 1)), 0, 255)
    longer = chance.uniform(0.6, 1.0, count)
    angles = chance.uniform(0, 180, count)
    for centre, size, shade, flat, angle in zip(centres, radii, shades, longer, angles, strict=True):
        middle = (int(centre[0]), int(centre[1]))
        # Grains are a little flat; the longer axis makes up for the area.
        axes = (max(1, round(size / flat**0.5)), max(1, round(size * flat**0.5)))
        cv2.ellipse(paper, middle, axes, angle, 0, 360, tuple(float(value) for value in shade), -1)


def _smear(paper: Frame, chance: np.random.Generator, at: int, side: int) -> None:
    """A band across the code where dirt veils both paper and ink."""
    veil = np.zeros(paper.shape[:2], np.float32)
    middle = at + chance.uniform(0.25, 0.75, 2) * side
    angle = chance.uniform(0, np.pi)
    reach = np.array([np.cos(angle), np.sin(angle)]) * side
    start, end = (tuple(int(value) for value in middle + sign * reach) for sign in (-1, 1))
    cv2.line(veil, start, end, 1.0, int(chance.uniform(0.15, 0.3) * side))
    veil = cv2.GaussianBlur(veil, (0, 0), 0.03 * side) * chance.uniform(0.5, 0.75)
    dirt = chance.uniform((95, 105, 115), (130, 140, 150))
    paper[:] = (paper * (1 - veil[..., None]) + dirt * veil[..., None]).astype(np.uint8)


def wood(chance: np.random.Generator) -> Frame:
    """A bench: grain, a few boards' edges, shadows, and scraps of paper."""
    grain = chance.normal(0, 1, (HEIGHT // 2, WIDTH // 40)).astype(np.float32)
    wide = cv2.resize(grain, (WIDTH, HEIGHT), interpolation=cv2.INTER_CUBIC)
    shade = 120 + 18 * cv2.GaussianBlur(wide, (0, 0), 0.8) + chance.normal(0, 3, wide.shape)
    colour = np.array([0.55, 0.8, 1.0]) * chance.uniform(0.7, 1.2)
    bench = np.clip(shade[..., None] * colour, 0, 255).astype(np.uint8)
    for _ in range(int(chance.integers(2, 6))):
        start, end = (tuple(int(value) for value in chance.uniform(0, (WIDTH, HEIGHT))) for _ in range(2))
        cv2.line(bench, start, end, (30, 40, 50), int(chance.integers(2, 9)), cv2.LINE_AA)
    for _ in range(int(chance.integers(0, 3))):
        x, y = (int(value) for value in chance.uniform(0, (WIDTH - 200, HEIGHT - 100)))
        cv2.rectangle(bench, (x, y), (x + 160, y + 60), (225, 230, 230), -1)
        for row in range(3):
            cv2.putText(
                bench, "3/4 x 5 1/2", (x + 8, y + 16 + 18 * row), cv2.FONT_HERSHEY_SIMPLEX, 0.5, (50, 50, 50), 1
            )
    return bench


def placed(chance: np.random.Generator, damage: Damage) -> NDArray[np.float64]:
    """The homography from millimetres on the label to pixels: any turn, a tilt, the whole code in the frame."""
    seen_size = chance.uniform(*damage.module) / MODULE
    turn, tilt, towards = (
        chance.uniform(0, 2 * np.pi),
        np.radians(chance.uniform(*damage.tilt)),
        chance.uniform(0, 2 * np.pi),
    )
    turned, tipped, back = _about_z(turn), _about_x(tilt), _about_z(towards)
    rotation = back @ tipped @ back.T @ turned
    focal = 1100.0
    distance = focal / (seen_size / np.sqrt(np.cos(tilt)))
    corners = np.array([(x, y) for x in (-CODE / 2, CODE / 2) for y in (-CODE / 2, CODE / 2)])
    # The code's middle is the origin; the camera looks at it, and then the frame is shifted.
    flat = np.column_stack([rotation[:, 0], rotation[:, 1], [0, 0, distance]])
    seen = np.diag([focal, focal, 1.0]) @ flat
    middle = np.array([[1, 0, -AT - CODE / 2], [0, 1, -AT - CODE / 2], [0, 0, 1.0]])
    reach = cv2.perspectiveTransform(corners[None], seen)[0]
    low, high = reach.min(axis=0), reach.max(axis=0)
    margin = 6.0
    x = chance.uniform(margin - low[0], WIDTH - margin - high[0])
    y = chance.uniform(margin - low[1], HEIGHT - margin - high[1])
    return np.asarray(np.array([[1, 0, x], [0, 1, y], [0, 0, 1.0]]) @ seen @ middle)


def _about_z(angle: float) -> NDArray[np.float64]:
    return np.array([[np.cos(angle), -np.sin(angle), 0], [np.sin(angle), np.cos(angle), 0], [0, 0, 1]])


def _about_x(angle: float) -> NDArray[np.float64]:
    return np.array([[1, 0, 0], [0, np.cos(angle), -np.sin(angle)], [0, np.sin(angle), np.cos(angle)]])


def corners(seat: NDArray[np.float64]) -> NDArray[np.float64]:
    """Where the code's own corners (without the quiet zone) lie in the frame: 4 × 2, from its top left, clockwise."""
    near, far = AT + 4 * MODULE, AT + 25 * MODULE
    points = np.array([[(near, near), (far, near), (far, far), (near, far)]])
    return np.asarray(cv2.perspectiveTransform(points, seat)[0])


def photographed(bench: Frame, paper: Frame, seat: NDArray[np.float64], chance: np.random.Generator) -> Frame:
    """Lens, light, sensor and JPEG."""
    # Area-average: warp at twice the size, then halve; the label itself is shrunk first where it is much finer.
    # The middle of dot 0 lies half a dot from the edge; the middle of a pixel is a whole number.
    to_dots = np.array([[1 / FINE, 0, 0.5 / FINE], [0, 1 / FINE, 0.5 / FINE], [0, 0, 1]])
    scale = float(np.sqrt(abs(np.linalg.det((seat / seat[2, 2])[:2, :2])))) / FINE * 2
    blurred = cv2.GaussianBlur(paper, (0, 0), min(15.0, max(0.3, 0.45 / max(scale, 0.02))))
    double = np.array([[2, 0, 0.5], [0, 2, 0.5], [0, 0, 1.0]]) @ seat @ to_dots
    size = (2 * WIDTH, 2 * HEIGHT)
    warped = cv2.warpPerspective(blurred, double, size, flags=cv2.INTER_LINEAR)
    mask = cv2.warpPerspective(np.full(paper.shape[:2], 255, np.uint8), double, size)
    small = cv2.resize(warped, (WIDTH, HEIGHT), interpolation=cv2.INTER_AREA).astype(np.float32)
    share = cv2.resize(mask, (WIDTH, HEIGHT), interpolation=cv2.INTER_AREA).astype(np.float32)[..., None] / 255
    picture = bench * (1 - share) + small
    across, down = chance.uniform(-0.3, 0.3, 2)
    light = 1 + across * np.linspace(-1, 1, WIDTH)[None, :] + down * np.linspace(-1, 1, HEIGHT)[:, None]
    picture = picture * light[..., None] * chance.uniform(0.5, 1.0)
    picture = cv2.GaussianBlur(picture, (0, 0), chance.uniform(0.3, 1.0))
    picture += chance.normal(0, chance.uniform(2, 7), picture.shape[:2])[..., None]
    done, data = cv2.imencode(".jpg", np.clip(picture, 0, 255).astype(np.uint8), [1, int(chance.uniform(60, 92))])
    assert done
    return np.asarray(cv2.imdecode(data, cv2.IMREAD_COLOR), np.uint8)


def empty(seed: int) -> Frame:
    """A frame of the bench with no label in it."""
    chance = np.random.default_rng(seed)
    blank = np.zeros((4, 4, 3), np.uint8)
    return photographed(wood(chance), blank, np.diag([1e-6, 1e-6, 1.0]), chance)


def swayed(seat: NDArray[np.float64], chance: np.random.Generator) -> NDArray[np.float64]:
    """The label's position in the next frame: moved by some pixels, turned a little, and a little nearer or farther."""
    middle = cv2.perspectiveTransform(np.array([[[AT + CODE / 2, AT + CODE / 2]]]), seat)[0, 0]
    turn, nearer = chance.normal(0, 0.012), 1 + chance.normal(0, 0.01)
    step = chance.normal(0, 3.0, 2)
    reach = 1.2 * CODE / 2 * np.sqrt(abs(np.linalg.det((seat / seat[2, 2])[:2, :2])))
    step = np.clip(middle + step, reach, np.array([WIDTH, HEIGHT]) - reach) - middle
    cosine, sine = nearer * np.cos(turn), nearer * np.sin(turn)
    about = np.array([[cosine, -sine, 0], [sine, cosine, 0], [0, 0, 1]])
    there, back = np.eye(3), np.eye(3)
    there[:2, 2], back[:2, 2] = middle + step, -middle
    return np.asarray(there @ about @ back @ seat)
