"""Values, standard errors and correlations of a fit against certified ones, and against SciPy's curve_fit.

NIST Statistical Reference Datasets, nonlinear regression, Misra1a: data, certified values, their standard
deviations and the residual standard deviation, typed from memory; that the data give the certified values to
eight digits is checked here, too.
"""

import numpy as np
import pytest
from scipy.optimize import curve_fit

from simcore.studies.fitting.answers import estimates, left_over
from simcore.studies.fitting.freed import Freed, Sort
from simcore.studies.fitting.predict import Curves
from simcore.studies.fitting.problem import Problem
from simcore.studies.fitting.search import weighed_search

PRESSURE = [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0]
VOLUME = [10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78]
CERTIFIED = {"b1": (238.94212918, 2.7070075241), "b2": (5.5015643181e-4, 7.2668688436e-6)}
RESIDUAL = 0.10187876330
STARTS = [(500.0, 1e-4), (250.0, 5e-4)]  # the two that belong to the data


def law(pressure, b1, b2):
    return b1 * (1.0 - np.exp(-b2 * pressure))


class Law:
    """The law in the place of runs."""

    def at(self, points):
        x = np.array(PRESSURE)
        return [Curves(x, {"place_mm": law(x, *point)}) for point in points]


def fitted(start):
    """Estimates and correlations, with the noise stated."""
    freed = [
        Freed(name, Sort.SCENARIO, "1", value, 0.0, np.inf, value, False)
        for name, value in zip(CERTIFIED, start, strict=True)
    ]
    measured = {"place_mm": np.array(VOLUME)}
    asked = Problem(tuple(freed), np.array(PRESSURE), measured, {"place_mm": RESIDUAL}, Law())
    weighed, found = weighed_search(asked, ["place_mm"], 0)
    (curves,) = weighed.curves([found.z])
    left = left_over(weighed, weighed.predicted(curves, found.z), None, {"place_mm": "STATED"})
    return estimates(weighed, found, left, misread=False)


@pytest.mark.parametrize("start", STARTS)
def test_values_and_errors_are_the_certified_ones(start) -> None:
    """Values to a thousandth of their errors; errors to the truncation of differences over 1 %."""
    answers, _ = fitted(start)
    for one, (value, error) in zip(answers, CERTIFIED.values(), strict=True):
        assert one.value == pytest.approx(value, abs=2e-3 * error)
        assert one.independent == pytest.approx(error, rel=2e-3)


def test_data_and_certified_values_belong_together_and_errors_are_those_of_curve_fit() -> None:
    values, covariance = curve_fit(law, PRESSURE, VOLUME, STARTS[1], xtol=1e-14, ftol=1e-14)
    np.testing.assert_allclose(values, [value for value, _ in CERTIFIED.values()], rtol=1e-8)
    np.testing.assert_allclose(
        np.sqrt(np.diag(covariance)), [error for _, error in CERTIFIED.values()], rtol=1e-5
    )
    answers, correlations = fitted(STARTS[1])
    errors = np.sqrt(np.diag(covariance))
    np.testing.assert_allclose([one.independent for one in answers], errors, rtol=2e-3)
    assert correlations[0][1] == pytest.approx(covariance[0, 1] / np.prod(errors), abs=1e-4)
