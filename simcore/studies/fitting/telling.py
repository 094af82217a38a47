"""What a log tells of the freed values: standard errors, correlations, and directions that leave it the same.

With independent noise of standard deviation one in every residual the covariance of least squares is
(Jᵀ J)⁻¹ (Bates and Watts, Nonlinear Regression Analysis, 1988, section 2.1; from memory). Its directions are
seen in the singular values of J with columns of length one: a small one is a combination of values that
hardly moves the log (Belsley, Kuh and Welsch, Regression Diagnostics, 1980, section 3.2; from memory).
"""

import dataclasses
import enum

import numpy as np
import numpy.typing as npt

Vector = npt.NDArray[np.float64]
Matrix = npt.NDArray[np.float64]
MOST_ERROR = 0.5  # of a value's size: with a larger standard error twice the value is as likely as none of it
NO_TRACE = 20.0  # of its size: with a larger error, others held, the log is the same whatever the value
FINEST = 2e-3  # singular value below which runs are too coarse to tell a direction from none, see tests
SHARE = 0.02  # of the squares of a direction, from which a value takes part in it


class Told(enum.Enum):
    """What a log says of a freed value; the name stands in files, the value in sentences."""

    TOLD = "told by the log"
    NO_TRACE = "leaves no trace in the log"
    TOO_LITTLE = "the log says too little of it"
    NOT_APART = "the log cannot tell it from others"
    AT_EDGE = "best at the end of its range"
    TWO_ANSWERS = "two answers explain the log alike"
    NO_RUNS = "there are no sound runs beside the best one"
    NOT_SETTLED = "the search did not come to its end"
    MISREAD = "a channel seems to be misread"


@dataclasses.dataclass(frozen=True)
class Telling:
    """What a log tells.

    Attributes
    ----------
    told : of each value
    errors : standard error of each value, in sizes; NaN where it is not told
    correlations : between values, NaN likewise
    directions : of each value that is not told apart, how all values move together, in sizes
    """

    told: tuple[Told, ...]
    errors: Vector
    correlations: Matrix
    directions: dict[int, Vector]


def telling(jacobian: Matrix, at_edge: npt.NDArray[np.bool_]) -> Telling:
    """What is known of each value.

    Parameters
    ----------
    jacobian : (readings, values) of residuals in standard deviations, per size
    at_edge : (values,) which stand at the end of their range; the errors of the others count them as free
    """
    count = jacobian.shape[1]
    told = [Told.TOLD] * count
    errors, correlations = np.full(count, np.nan), np.full((count, count), np.nan)
    strength = np.linalg.norm(jacobian, axis=0)
    for k in range(count):
        if strength[k] * NO_TRACE < 1.0:
            told[k] = Told.NO_TRACE
    judged = [k for k in range(count) if told[k] is Told.TOLD]
    directions: dict[int, Vector] = {}
    if judged:
        _, values, rows = np.linalg.svd(jacobian[:, judged] / strength[judged], full_matrices=False)
        spread = rows / np.maximum(values, FINEST)[:, None]
        covariance = (spread.T @ spread) / np.outer(strength[judged], strength[judged])
        deviations = np.sqrt(np.diag(covariance))
        for place, k in enumerate(judged):
            weakest = int(np.argmax(np.abs(spread[:, place])))
            blurred = values[weakest] < FINEST and rows[weakest, place] ** 2 > SHARE
            if not (blurred or deviations[place] > MOST_ERROR):
                continue
            partners = rows[weakest] ** 2 > SHARE
            apart = partners[place] and partners.sum() > 1 and (blurred or strength[k] * MOST_ERROR >= 1.0)
            told[k] = Told.NOT_APART if apart else Told.TOO_LITTLE
            if apart:
                directions[k] = np.zeros(count)
                directions[k][judged] = np.where(partners, rows[weakest], 0.0) / strength[judged]
        for k in judged:
            if at_edge[k] and told[k] is Told.TOLD:
                told[k] = Told.AT_EDGE
        known = [place for place, k in enumerate(judged) if told[k] is Told.TOLD]
        places = np.array([judged[place] for place in known], int)
        errors[places] = deviations[known]
        correlations[np.ix_(places, places)] = (covariance / np.outer(deviations, deviations))[
            np.ix_(known, known)
        ]
    return Telling(tuple(told), errors, correlations, directions)
