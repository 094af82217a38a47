"""Places on the rig from pixels of a photograph, by points of known place."""

from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

from simcore.readings.uncertain import Number, numerically, value_of

WORST = 1e3
"""Condition number from which known points count as too near to one another or to one line."""

Pair = tuple[Number, Number]


def places(known: Sequence[tuple[Pair, Pair]], pixels: Sequence[Pair]) -> list[Pair] | None:
    """Places in the plane of the known points, m.

    Two known points give scale, turn and shift of the picture (a camera that looks square at the rig,
    however crooked it is held); three also its shear; four or more the perspective of a camera that does not
    look square. More than are needed are fitted by least squares.

    Parameters
    ----------
    known : pixel (right, down) and place (x, z) of each known point
    pixels : pixels of the places wanted

    Returns
    -------
    None with fewer than two known points, or points too near to one another or to one line.

    Source: similarity, affine map and homography of the plane; R. Hartley, A. Zisserman, Multiple View
    Geometry in Computer Vision, 2nd ed., section 2.4 (from memory).
    """
    given = [number for pixel, place in known for number in (*pixel, *place)]
    if map_of(np.array([value_of(one) for one in given])) is None:
        return None
    x, z = (numerically(_placing(axis)) for axis in (0, 1))
    return [(x(*given, *pixel), z(*given, *pixel)) for pixel in pixels]


def _placing(axis: int) -> Callable[..., float]:
    """What gives one coordinate of a place from all that was read: the known points, then its own pixel."""

    def place(*numbers: float) -> float:
        found, (right, down) = map_of(np.array(numbers[:-2])), numbers[-2:]
        if found is None:
            return float("nan")
        x, z, scale = found @ [right, -down, 1.0]
        return float((x, z)[axis] / scale)

    return place


def map_of(given: npt.NDArray[np.float64]) -> npt.NDArray[np.float64] | None:
    """Matrix that takes (right, up, 1) of a pixel to a place, homogeneous; None if the points give none.

    Parameters
    ----------
    given : right, down, x, z of every known point in turn
    """
    right, down, x, z = given.reshape(-1, 4).T
    if len(x) < 2:
        return None
    # Centred and scaled, so that the equations are well conditioned.
    seen, real = right - 1j * down, x + 1j * z
    middle, size = seen.mean(), np.abs(seen - seen.mean()).max()
    centre, span = real.mean(), np.abs(real - real.mean()).max()
    if size == 0.0 or span == 0.0:
        return None
    p, q = (seen - middle) / size, (real - centre) / span
    into = np.array([[1.0, 0.0, -middle.real], [0.0, 1.0, -middle.imag], [0.0, 0.0, size]]) / size
    out = np.array([[span, 0.0, centre.real], [0.0, span, centre.imag], [0.0, 0.0, 1.0]])
    inner = {2: _similarity, 3: _affine}.get(len(p), _homography)(p, q)
    return None if inner is None else out @ inner @ into


def _similarity(p: npt.NDArray[np.complex128], q: npt.NDArray[np.complex128]) -> npt.NDArray[np.float64]:
    factor = (q[1] - q[0]) / (p[1] - p[0])
    shift = q[0] - factor * p[0]
    turn = [[factor.real, -factor.imag, shift.real], [factor.imag, factor.real, shift.imag]]
    return np.array([*turn, [0.0, 0.0, 1.0]])


def _affine(p: npt.NDArray[np.complex128], q: npt.NDArray[np.complex128]) -> npt.NDArray[np.float64] | None:
    rows = np.column_stack([p.real, p.imag, np.ones(len(p))])
    if np.linalg.cond(rows) > WORST:
        return None
    return np.vstack([np.linalg.solve(rows, q.real), np.linalg.solve(rows, q.imag), [0.0, 0.0, 1.0]])


def _homography(
    p: npt.NDArray[np.complex128], q: npt.NDArray[np.complex128]
) -> npt.NDArray[np.float64] | None:
    """Direct linear transform; the last singular vector of the two equations of each point."""
    one, nought = np.ones(len(p)), np.zeros(len(p))
    along = [p.real, p.imag, one]
    first = np.column_stack([*along, nought, nought, nought, *(-q.real * a for a in along)])
    second = np.column_stack([nought, nought, nought, *along, *(-q.imag * a for a in along)])
    _, sizes, vectors = np.linalg.svd(np.vstack([first, second]))
    if sizes[7] * WORST < sizes[0]:  # more than one map fits
        return None
    return np.asarray(vectors[-1].reshape(3, 3))
