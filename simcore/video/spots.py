"""Spots of a colour in a picture: where their middle is, to a fraction of a pixel, and how large they are."""

import dataclasses
from typing import Any

import numpy as np
import numpy.typing as npt

from simcore.files.dots import Dot
from simcore.video.frames import Image
from simcore.video.opencv import opencv

LEAST_PIXELS = 9  # anything smaller is noise
LARGEST = 0.01  # share of the picture; anything larger is ground or body
EDGE = 2  # pixels around what has the colour, in which its rim may blend with what is behind
RIM = 3  # pixels around that, from which the colour behind it is taken
FAINT = 0.1  # of the dot's colour; anything less is taken for noise
Mask = npt.NDArray[np.uint8]


@dataclasses.dataclass(frozen=True)
class Spot:
    """Something of a dot's colour.

    Attributes
    ----------
    at : (2,) its middle, pixels, right and down
    size : pixels that it covers, those of its rim in part
    paint : (3,) its colour, blue green red
    round : whether it is about as wide as high and filled, as a dot at rest is
    """

    at: npt.NDArray[np.float64]
    size: float
    paint: npt.NDArray[np.float64]
    round: bool


@dataclasses.dataclass(frozen=True)
class Window:
    """Part of a picture to look at: columns and rows from, to (not included)."""

    left: int
    top: int
    right: int
    bottom: int

    @classmethod
    def around(cls, at: npt.NDArray[np.float64], reach: float, image: Image) -> "Window":
        """A square around a point, as far as the picture goes."""
        rows, columns = image.shape[:2]
        (left, top), (right, bottom) = np.floor(at - reach).astype(int), np.ceil(at + reach).astype(int)
        return cls(
            *(int(np.clip(one, 0, most)) for one, most in ((left, columns), (top, rows))),
            *(int(np.clip(one + 1, 0, most)) for one, most in ((right, columns), (bottom, rows))),
        )


def spots(
    image: Image, dot: Dot, window: Window | None = None, paint: npt.NDArray[np.float64] | None = None
) -> list[Spot]:
    """Everything in a picture that may be a dot, the largest first.

    The middle is that of the dot's cover: of each pixel the share by which it goes from the colour behind
    the dot to the dot's own, so that rim and smear count by as much as they show.

    Parameters
    ----------
    dot : whose colour is looked for
    window : where to look; None: everywhere
    paint : (3,) colour of the dot as it is known by now; None: that of the spot's own middle
    """
    cv2 = opencv()
    rows, columns = image.shape[:2]
    window = window or Window(0, 0, columns, rows)
    part = image[window.top : window.bottom, window.left : window.right]
    if min(part.shape[:2]) < 1:
        return []
    mask = _coloured(cv2, part, dot)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    found = []
    for k in range(1, count):
        left, top, width, height, area = (int(one) for one in stats[k])
        if not LEAST_PIXELS <= area <= LARGEST * rows * columns:
            continue
        room = EDGE + RIM
        box = (
            slice(max(0, top - room), top + height + room),
            slice(max(0, left - room), left + width + room),
        )
        middle, size, own = _cover(cv2, part[box], labels[box] == k, mask[box], paint)
        at = middle + np.array([window.left + box[1].start, window.top + box[0].start])
        compact = max(width, height) <= 3.0 * min(width, height) and area >= 0.5 * width * height
        found.append(Spot(at, size, own, compact))
    return sorted(found, key=lambda spot: -spot.size)


def _coloured(cv2: Any, part: Image, dot: Dot) -> Mask:
    """Which pixels have the colour of a dot, 0 or 255; single ones that noise has made are left out."""
    calm = cv2.GaussianBlur(part, (3, 3), 0)
    hues = cv2.cvtColor(calm, cv2.COLOR_BGR2HSV_FULL)  # hues 0 to 255
    low, high = (round(hue * 256.0 / 360.0) % 256 for hue in dot.span)
    pale, dark = round(255.0 * dot.least_saturation), round(255.0 * dot.least_brightness)
    spans = [(low, high)] if low <= high else [(low, 255), (0, high)]
    mask = np.zeros(part.shape[:2], np.uint8)
    for a, b in spans:
        mask |= cv2.inRange(hues, (a, pale, dark), (b, 255, 255))
    return mask


def _cover(
    cv2: Any, part: Image, own: npt.NDArray[np.bool_], coloured: Mask, paint: npt.NDArray[np.float64] | None
) -> tuple[npt.NDArray[np.float64], float, npt.NDArray[np.float64]]:
    """Middle (2,) and size of a spot, pixels, by how much of each pixel it covers, and its colour."""
    near = _grown(cv2, own, EDGE)
    behind = _grown(cv2, own, EDGE + RIM) & ~near & (coloured == 0)
    colours = part.astype(float)
    core = _core(cv2, own)
    shown = np.median(colours[core], axis=0)
    paint = shown if paint is None else paint
    ground = np.median(colours[behind], axis=0) if behind.any() else np.zeros(3)
    way = paint - ground
    cover = (colours - ground) @ way / max(float(way @ way), 1.0)
    cover = np.where(near & (cover > FAINT), np.clip(cover, 0.0, 1.0), 0.0)
    total = max(float(cover.sum()), 1e-9)
    v, u = np.indices(cover.shape)
    return np.array([(u * cover).sum(), (v * cover).sum()]) / total, total, shown


def _grown(cv2: Any, area: npt.NDArray[np.bool_], by: int) -> npt.NDArray[np.bool_]:
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * by + 1, 2 * by + 1))
    return np.asarray(cv2.dilate(area.astype(np.uint8), kernel) > 0)


def _core(cv2: Any, area: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    """The inside of an area; all of it where it is too thin to have one."""
    inside = np.asarray(cv2.erode(area.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0)
    return inside if inside.any() else area
