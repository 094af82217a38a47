"""From points of the picture to places in the plane of motion: lens, tilt, scale, roll, direction."""

import dataclasses
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from simcore.files.dots import Dots

Points = npt.NDArray[np.float64]
_STEPS = 20  # of Newton's method; far more than it takes


@dataclasses.dataclass(frozen=True)
class Lens:
    """How a lens bends straight lines: ``seen = true * (1 + k * true^2)``, radii in halves of the diagonal.

    Source: D. C. Brown, "Decentering distortion of lenses", Photogrammetric Engineering 32 (1966), first
    radial term (from memory).

    Attributes
    ----------
    size : width and height of the picture, pixels
    distortion : k
    """

    size: tuple[int, int]
    distortion: float = 0.0

    def straight(self, pixels: Points) -> Points:
        """Where points would be seen without distortion; pixels (..., 2), right and down."""
        if self.distortion == 0.0:
            return np.asarray(pixels, float)
        middle = 0.5 * (np.array(self.size, float) - 1.0)
        half = 0.5 * np.hypot(*self.size)
        away = (np.asarray(pixels, float) - middle) / half
        seen = np.linalg.norm(away, axis=-1, keepdims=True)
        true = seen.copy()
        for _ in range(_STEPS):
            true -= (true * (1.0 + self.distortion * true**2) - seen) / (
                1.0 + 3.0 * self.distortion * true**2
            )
        ratio = np.divide(true, seen, out=np.ones_like(seen), where=seen > 0.0)
        return np.asarray(middle + half * away * ratio)


@dataclasses.dataclass(frozen=True)
class Plane:
    """The plane of motion as a camera sees it.

    Attributes
    ----------
    lens : bends the picture
    matrix : (3, 3) homography, from pixels (right, down, 1) without distortion to places (x, z, 1)
    """

    lens: Lens
    matrix: Points

    def places(self, pixels: Points) -> Points:
        """Places (..., 2) of points of the picture (..., 2); NaN stays NaN."""
        straight = self.lens.straight(np.asarray(pixels, float))
        whole = np.concatenate([straight, np.ones((*straight.shape[:-1], 1))], axis=-1) @ self.matrix.T
        return np.asarray(whole[..., :2] / whole[..., 2:])

    def scaled(self, factor: float) -> "Plane":
        """Every length multiplied."""
        return self._then(np.diag([factor, factor, 1.0]))

    def turned(self, angle: float) -> "Plane":
        """All places turned about the origin, rad, from x to z positive."""
        c, s = np.cos(angle), np.sin(angle)
        return self._then(np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]))

    def mirrored(self) -> "Plane":
        """With x to the picture's left, for a rig whose nose points there."""
        return self._then(np.diag([-1.0, 1.0, 1.0]))

    def _then(self, step: Points) -> "Plane":
        return dataclasses.replace(self, matrix=step @ self.matrix)


def first_plane(lens: Lens, known: Dots) -> Plane:
    """The plane as far as the picture alone tells: by its sheet, in m, else square on, in pixels."""
    return by_sheet(lens, known.sheet.corners, known.sheet.size) if known.sheet else square_on(lens)


def square_on(lens: Lens) -> Plane:
    """The plane of a camera that looks square at it: x right, z up, in pixels."""
    return Plane(lens, np.diag([1.0, -1.0, 1.0]))


def by_sheet(lens: Lens, corners: Sequence[tuple[float, float]], size: tuple[float, float]) -> Plane:
    """The plane that a sheet of paper lies in.

    Parameters
    ----------
    corners : pixels, upper left, upper right, lower right, lower left
    size : width and height, m

    Returns
    -------
    Plane with x along the sheet's lower edge and z along its left edge, m.
    """
    width, height = size
    places = np.array([[0.0, height], [width, height], [width, 0.0], [0.0, 0.0]])
    return Plane(lens, homography(lens.straight(np.array(corners, float)), places))


def homography(pixels: Points, places: Points) -> Points:
    """Homography that takes four points to four others.

    Equations: ``x (g u + h v + 1) = a u + b v + c`` and ``z (g u + h v + 1) = d u + e v + f`` for each point.

    Parameters
    ----------
    pixels, places : (4, 2), no three of them in line

    Returns
    -------
    (3, 3), its last element 1.

    Source: R. Hartley, A. Zisserman, Multiple View Geometry in Computer Vision, 2nd ed. 2004, section 4.1
    (from memory).
    """
    rows, right = [], []
    for (u, v), (x, z) in zip(pixels, places, strict=True):
        rows += [[u, v, 1, 0, 0, 0, -x * u, -x * v], [0, 0, 0, u, v, 1, -z * u, -z * v]]
        right += [x, z]
    return np.append(np.linalg.solve(np.array(rows, float), np.array(right, float)), 1.0).reshape(3, 3)


def slope_of(line: Points) -> float:
    """Slope of a line through two points (2, 2), rad, from x to z positive; whichever end comes first."""
    x, z = line[1] - line[0]
    return float(np.arctan(z / x)) if x != 0.0 else float(np.pi / 2)
