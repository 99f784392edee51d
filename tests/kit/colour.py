"""Colour perception: contrast, and three kinds of colour vision deficiency.

Sources: contrast ratio, WCAG 2.2 (W3C Recommendation), "relative luminance"; sRGB and CIE L*a*b*, IEC 61966-2-1 and CIE
15 (D65), difference as CIE76; colour sight, Machado, Oliveira and Fernandes, "A Physiologically-based Model for
Simulation of Color Vision Deficiency", IEEE TVCG 15(6), 2009, the published matrices for severity 1.0, applied to
linear RGB; APCA, version 0.0.98G-4g (from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Triple = NDArray[np.float64]

SIGHT: dict[str, Triple] = {
    "normal": np.eye(3),
    "protan": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deutan": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "tritan": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
_TO_XYZ = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]]
)
_WHITE = np.array([0.95047, 1.0, 1.08883])


def linear(colour: tuple[float, ...]) -> Triple:
    """Linear RGB from sRGB, each 0 to 1."""
    value = np.array(colour[:3])
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def luminance(colour: tuple[float, ...]) -> float:
    return float(_TO_XYZ[1] @ linear(colour))


def contrast(one: tuple[float, ...], other: tuple[float, ...]) -> float:
    """WCAG's ratio, 1 to 21."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def contrast_in_glare(
    one: tuple[float, ...], other: tuple[float, ...], lux: float = 2000, nits: float = 400, reflectance: float = 0.04
) -> float:
    """The ratio of the luminances that reach the eye from a screen that also reflects the room (Lambert: ρE/π)."""
    veil = reflectance * lux / np.pi
    dark, light = sorted((luminance(one) * nits + veil, luminance(other) * nits + veil))
    return float(light / dark)


def difference(one: tuple[float, ...], other: tuple[float, ...], sight: str = "normal") -> float:
    """CIE76 ΔE of two colours for one kind of colour vision."""
    return float(np.linalg.norm(_lab(SIGHT[sight] @ linear(one)) - _lab(SIGHT[sight] @ linear(other))))


def _lab(rgb: Triple) -> Triple:
    share = _TO_XYZ @ np.clip(rgb, 0, 1) / _WHITE
    curve = np.where(share > 216 / 24389, np.cbrt(share), (24389 / 27 * share + 16) / 116)
    return np.array([116 * curve[1] - 16, 500 * (curve[0] - curve[1]), 200 * (curve[1] - curve[2])])


def apca(text: tuple[float, ...], ground: tuple[float, ...]) -> float:
    """|Lc| of text on a ground."""

    def soft(colour: tuple[float, ...]) -> float:
        level = float(np.array([0.2126729, 0.7151522, 0.0721750]) @ np.array(colour[:3]) ** 2.4)
        return level + max(0.0, 0.022 - level) ** 1.414

    ink, paper = soft(text), soft(ground)
    score = 1.14 * (paper**0.56 - ink**0.57 if paper > ink else paper**0.65 - ink**0.62)
    return 0.0 if abs(score) < 0.1 else (abs(score) - 0.027) * 100
