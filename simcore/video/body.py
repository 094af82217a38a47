"""Rigid bodies from their dots: how far a body has turned, and where points lie as seen from it."""

import dataclasses
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from simcore.video.plane import Points

Series = npt.NDArray[np.float64]


def fit(shape: Points, places: Points) -> tuple[float, float, float]:
    """Turn and scale that bring a shape onto places, by least squares.

    With both about their own means, ``p_i`` and ``q_i``: ``angle = atan2(sum p_i x q_i, sum p_i . q_i)``.

    Parameters
    ----------
    shape, places : (k, 2), k of 2 or more

    Returns
    -------
    Angle, rad, from x to z positive; scale; root mean square of what is left, as `places`.

    Source: S. Umeyama, IEEE Trans. PAMI 13 (1991) 376, in the plane (from memory).
    """
    p, q = shape - shape.mean(axis=0), places - places.mean(axis=0)
    along, across = float((p * q).sum()), float((p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]).sum())
    angle, scale = float(np.arctan2(across, along)), float(np.hypot(along, across) / (p**2).sum())
    left = q - scale * turned(p, angle)
    return angle, scale, float(np.sqrt((left**2).sum() / len(p)))


def turned(points: Points, angle: float | Series) -> Points:
    """Points (..., 2) turned by an angle, rad, from x to z positive."""
    c, s = np.cos(angle), np.sin(angle)
    x, z = points[..., 0], points[..., 1]
    return np.stack([c * x - s * z, s * x + c * z], axis=-1)


@dataclasses.dataclass(frozen=True)
class Body:
    """A body and its dots.

    Attributes
    ----------
    shape : (k, 2) places of its dots on it, m, about their mean
    angle : (n,) how far it has turned from that shape, rad; NaN where fewer than two dots are seen
    middle : (n, 2) where the mean of the shape is, m
    """

    shape: Points
    angle: Series
    middle: Points

    @classmethod
    def of(cls, paths: Sequence[Points], at: Points | None) -> "Body | None":
        """The body of some dots; None without two of them in one frame.

        Where all dots are seen their places to one another are measured, so that a frame in which one is lost
        does not jump by what `at` is off.

        Parameters
        ----------
        paths : k times (n, 2), places of each dot, m; NaN where it is lost
        at : (k, 2) their places on the rig; None: as they lie to one another in the first whole frame
        """
        if len(paths) < 2:
            return None
        seen = np.stack(paths)
        whole = np.flatnonzero(np.isfinite(seen).all(axis=(0, 2)))
        if not len(whole):
            return None
        shape = np.asarray(seen[:, whole[0]] if at is None else at)
        shape = shape - shape.mean(axis=0)
        shapes = [turned(seen[:, k] - seen[:, k].mean(axis=0), -fit(shape, seen[:, k])[0]) for k in whole]
        return cls._followed(np.mean(shapes, axis=0), seen)

    @classmethod
    def _followed(cls, shape: Points, seen: Points) -> "Body":
        count = seen.shape[1]
        angle, middle = np.full(count, np.nan), np.full((count, 2), np.nan)
        for k in range(count):
            there = np.isfinite(seen[:, k, 0])
            if there.sum() >= 2:
                angle[k] = fit(shape[there], seen[there, k])[0]
                middle[k] = seen[there, k].mean(axis=0) - turned(shape[there].mean(axis=0), angle[k])
        return cls(shape, _unwrapped(angle), middle)

    def from_it(self, places: Points) -> Points:
        """Places (n, 2) as they lie on the body, m from the mean of its dots, along its own axes."""
        return turned(places - self.middle, -self.angle)


def _unwrapped(angle: Series) -> Series:
    """Angles without jumps of whole turns, over gaps too."""
    known = np.isfinite(angle)
    found = angle.copy()
    found[known] = np.unwrap(angle[known])
    return found
