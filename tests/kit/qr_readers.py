"""QR codes read by a library that the program doesn't use: OpenCV's two detectors."""

from __future__ import annotations

import cv2
import numpy as np


def read_by_opencv(picture: np.ndarray) -> set[str]:
    """What OpenCV's two detectors read in a picture (grey or in colour), without the misses.

    The plain one misses up to one clean symbol in sixty, depending on what is in it and around it; the other
    missed none of 900.
    """
    readings = (each.detectAndDecode(picture)[0] for each in (cv2.QRCodeDetector(), cv2.QRCodeDetectorAruco()))
    return {str(reading) for reading in readings if reading}
