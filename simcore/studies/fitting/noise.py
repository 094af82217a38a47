"""Noise of a log, and whether what a fit leaves over looks like noise."""

import math
from collections.abc import Collection, Mapping

import numpy as np
import numpy.typing as npt

from simcore.logs import CHANNELS

Vector = npt.NDArray[np.float64]
NORMAL = 1.4826  # standard deviation over median absolute deviation of normal noise
CERTAIN = 3.3  # standard deviations: noise alone goes so far once in a thousand times on one side
TREND = 0.1  # correlation of neighbours from which it matters


def scatter(readings: Vector) -> float:
    """Standard deviation of the noise that rides on a smooth curve, from second differences of its readings.

    Noise of standard deviation s gives them the variance (1 + 4 + 1) s²; the curve itself hardly any.
    """
    known = readings[np.isfinite(readings)]
    second = np.diff(known, 2)
    return NORMAL * float(np.median(np.abs(second))) / math.sqrt(6.0) if len(second) else 0.0


def scattered(measured: Mapping[str, Vector], stated: Collection[str]) -> dict[str, float]:
    """Noise of every channel that is not stated, from the scatter of its readings."""
    return {
        name: max(scatter(values), CHANNELS[name].finest)
        for name, values in measured.items()
        if name not in stated
    }


def deviation(residuals: Vector, freed: float) -> float:
    """Standard deviation of residuals, from their median size, so that a few wild ones do not count.

    Parameters
    ----------
    freed : how many values were fitted to them
    """
    count = len(residuals)
    spare = math.sqrt(count / max(count - freed, 1.0))
    return NORMAL * float(np.median(np.abs(residuals))) * spare


def neighbours(residuals: Vector) -> float:
    """Correlation of neighbouring residuals about zero: 0 for noise, 1 for what hangs together."""
    total = float(np.sum(residuals**2))
    return float(np.sum(residuals[1:] * residuals[:-1])) / total if total > 0.0 else 0.0


def runs_score(residuals: Vector) -> float:
    """Runs of one sign, more (+) or fewer (-) than chance makes, in standard deviations.

    Wald and Wolfowitz, Annals of Mathematical Statistics 11 (1940) 147 (from memory): of n+ positive and n-
    negative values, the runs have the mean 1 + 2 n+ n- / n and the variance (mean - 1)(mean - 2) / (n - 1).
    """
    signs = residuals[residuals != 0.0] > 0.0
    above, count = int(signs.sum()), len(signs)
    if above in (0, count):
        return -math.sqrt(count)
    mean = 1.0 + 2.0 * above * (count - above) / count
    found = 1 + int(np.sum(signs[1:] != signs[:-1]))
    spread = math.sqrt(max((mean - 1.0) * (mean - 2.0) / (count - 1.0), 1e-12))
    return (found - mean) / spread


def hangs_together(residuals: Vector) -> bool:
    """Whether neighbours are so alike that the residuals are no independent noise."""
    alike = neighbours(residuals)
    return alike > TREND and (alike * math.sqrt(len(residuals)) > CERTAIN or runs_score(residuals) < -CERTAIN)


def widening(residuals: Vector) -> float:
    """By how much standard errors are too small where residuals hang together as in a first-order process.

    So many readings count for n (1 - r) / (1 + r) independent ones (Bartlett, 1935; from memory).
    """
    alike = min(max(neighbours(residuals), 0.0), 0.999)
    return math.sqrt((1.0 + alike) / (1.0 - alike))
