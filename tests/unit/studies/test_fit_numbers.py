"""Least squares, standard errors and what a log cannot tell, on closed forms; noise of known kinds."""

import math

import numpy as np
import pytest
from closed_forms import number, problem, swing

from simcore.studies.fitting import noise as noises
from simcore.studies.fitting.answers import estimates, left_over
from simcore.studies.fitting.freed import CLOCK, OFFSET, Freed, Sort
from simcore.studies.fitting.search import descend, search, weighed_search
from simcore.studies.fitting.telling import Told, telling

TIMES = np.linspace(0.0, 1.0, 121)
SIGMA = 0.2
TRUTH = (3.0, 2.0)


def draw(rng, times=TIMES, truth=TRUTH, sigma=SIGMA):
    return {"pitch_deg": swing(times, *truth)["pitch_deg"] + rng.normal(0.0, sigma, len(times))}


def fitted(measured, freed=None, law=swing, stated=(), sigma=SIGMA, tries=0, **more):
    freed = freed or [number("size", 2.5, 0.0), number("damping", 1.5, 0.0)]
    asked = problem(freed, TIMES, measured, law, sigma, **more)
    weighed, found = weighed_search(asked, stated, tries)
    curves = weighed.curves([found.z])[0]
    names = dict.fromkeys(measured, "RESIDUALS")
    left = left_over(weighed, weighed.predicted(curves, found.z), None, names)
    return estimates(weighed, found, left, misread=False), left, found


@pytest.mark.parametrize("stated", [("pitch_deg",), ()])
def test_truth_lies_within_two_standard_errors_as_often_as_it_should(stated) -> None:
    """200 draws of two values; chance puts 95.45 % within two, give or take 1.5 % for each value."""
    rng, hits, widened = np.random.default_rng(7), np.zeros(2), 0
    for _ in range(200):
        (answers, _), (left,), _ = fitted(draw(rng), stated=stated, sigma=SIGMA)
        hits += [abs(one.value - true) < 2.0 * one.error for one, true in zip(answers, TRUTH, strict=True)]
        widened += left.together
    assert np.all(np.abs(hits / 200 - 0.9545) < 3.5 * math.sqrt(0.9545 * 0.0455 / 200))
    assert widened <= 4


def test_standard_errors_are_the_spread_of_many_fits() -> None:
    rng = np.random.default_rng(11)
    values, errors, correlations = [], [], []
    for _ in range(150):
        (answers, matrix), _, _ = fitted(draw(rng), stated=("pitch_deg",))
        values.append([one.value for one in answers])
        errors.append([one.independent for one in answers])
        correlations.append(matrix[0][1])
    spread = np.std(values, axis=0, ddof=1)
    np.testing.assert_allclose(np.mean(errors, axis=0), spread, rtol=4.0 / math.sqrt(2 * 150))
    assert np.mean(correlations) == pytest.approx(np.corrcoef(np.transpose(values))[0, 1], abs=0.2)


def test_clock_and_offset_are_found_beside_a_value() -> None:
    freed = [
        number("size", 2.5, 0.0),
        Freed(CLOCK, Sort.CLOCK, "s", 0.0, -0.2, 0.2, 0.2, False),
        Freed(OFFSET + "pitch_deg", Sort.OFFSET, "deg", 0.0, -np.inf, np.inf, 1.0, False),
    ]
    rng = np.random.default_rng(3)
    read = swing(TIMES - 0.11, 3.0, 2.0)["pitch_deg"]
    read = np.where(TIMES < 0.11, 3.0, read) - 4.0 + rng.normal(0.0, 0.05, len(TIMES))

    def law(times, size):
        return swing(times, size, 2.0)

    (answers, _), _, _ = fitted({"pitch_deg": read}, freed, law, sigma=0.05)
    for one, true in zip(answers, (3.0, 0.11, -4.0), strict=True):
        assert one.told is Told.TOLD
        assert abs(one.value - true) < 3.5 * one.error


def test_two_values_that_make_up_for_one_another_are_refused_by_name() -> None:
    """Only the product of size and gain shows: a tenth more of one is a tenth less of the other."""
    freed = [number("size", 2.5, 0.0), number("gain", 1.0, 0.0), number("damping", 1.5, 0.0)]

    def law(times, size, gain, damping):
        return swing(times, size * gain, damping)

    (answers, correlations), _, _ = fitted(draw(np.random.default_rng(5)), freed, law)
    size, gain, damping = answers
    assert [one.told for one in answers] == [Told.NOT_APART, Told.NOT_APART, Told.TOLD]
    assert size.value is size.error is gain.value is None
    assert set(size.with_others) == {"size", "gain"}
    assert size.with_others["size"] / 2.5 == pytest.approx(-size.with_others["gain"] / 1.0, rel=0.3)
    assert abs(damping.value - 2.0) < 3.5 * damping.error
    assert np.isnan(correlations[0][2]) and correlations[2][2] == pytest.approx(1.0)


def test_a_value_without_a_trace_and_one_that_drowns_in_noise_are_told_apart() -> None:
    freed = [number("size", 2.5, 0.0), number("idle", 1.0, 0.0), number("faint", 1.0, 0.0)]

    def law(times, size, idle, faint):
        return {"pitch_deg": swing(times, size, 2.0)["pitch_deg"] + 0.02 * faint * times}

    (answers, _), _, _ = fitted(draw(np.random.default_rng(6)), freed, law)
    assert [one.told for one in answers] == [Told.TOLD, Told.NO_TRACE, Told.TOO_LITTLE]


def test_what_is_told_does_not_hang_on_the_unit_of_a_value() -> None:
    rng = np.random.default_rng(8)
    jacobian = rng.normal(size=(50, 3)) * 30.0
    jacobian[:, 2] = jacobian[:, 1] + 1e-5 * jacobian[:, 0]
    found = telling(jacobian, np.zeros(3, bool))
    assert found.told == (Told.TOLD, Told.NOT_APART, Told.NOT_APART)
    assert found.directions[1][0] == 0.0
    assert found.directions[1][1] == pytest.approx(-found.directions[1][2], rel=1e-3)


def test_errors_are_those_of_the_normal_equations() -> None:
    jacobian = np.random.default_rng(9).normal(size=(60, 3)) * [30.0, 5.0, 200.0]
    found = telling(jacobian, np.zeros(3, bool))
    covariance = np.linalg.inv(jacobian.T @ jacobian)
    np.testing.assert_allclose(found.errors, np.sqrt(np.diag(covariance)), rtol=1e-9)
    scale = np.outer(found.errors, found.errors)
    np.testing.assert_allclose(found.correlations, covariance / scale, rtol=1e-9)


def test_errors_grow_with_noise_that_was_stated_too_small() -> None:
    """Noise stated at a fifth: the residuals show it, and errors are those of the true noise again."""
    measured = draw(np.random.default_rng(13))
    (fair, _), _, _ = fitted(measured, stated=("pitch_deg",))
    (small, _), (left,), _ = fitted(measured, stated=("pitch_deg",), sigma=SIGMA / 5)
    for one, other in zip(small, fair, strict=True):
        assert one.independent == pytest.approx(other.independent / 5, rel=1e-3)
        assert one.error == pytest.approx(other.independent, rel=0.2)
    assert not left.explained and left.widening == pytest.approx(5.0, rel=0.2)


def test_the_best_value_at_the_end_of_its_range_is_none() -> None:
    freed = [number("size", 2.0, 0.0, 2.4, stated=True), number("damping", 1.5, 0.0)]
    (answers, _), _, _ = fitted(draw(np.random.default_rng(4)), freed)
    assert answers[0].told is Told.AT_EDGE and answers[0].value is None
    assert answers[1].told is Told.TOLD


def test_points_without_a_run_do_not_stop_the_search() -> None:
    """Nothing runs with a size above 3.3, or with one below 2.45 right beside the start."""
    (answers, _), _, _ = fitted(
        draw(np.random.default_rng(2)), refused=lambda size, damping: size > 3.3 or size < 2.49
    )
    assert all(abs(one.value - true) < 3.5 * one.error for one, true in zip(answers, TRUTH, strict=True))
    nothing = problem(
        [number("size", 2.5)], TIMES, draw(np.random.default_rng(2)), swing, SIGMA, refused=lambda *_: True
    )
    assert search(nothing) is None


def test_a_value_without_runs_beside_the_best_one_is_not_called_traceless() -> None:
    freed = [number("size", 2.5, 0.0), number("damping", 2.0, 0.0)]
    refuse = {"refused": lambda size, damping: damping != 2.0}
    (answers, _), _, _ = fitted(draw(np.random.default_rng(2)), freed, **refuse)
    assert answers[0].told is Told.TOLD
    assert answers[1].told is Told.NO_RUNS and answers[1].value is None


def test_a_coarse_look_finds_the_valley_that_a_descent_misses() -> None:
    freed = [number("rate", 60.0, 5.0, 100.0, stated=True)]

    def law(times, rate):
        return swing(times, 3.0, 2.0, rate)

    measured = draw(np.random.default_rng(12))
    alone = descend(problem(freed, TIMES, measured, law, SIGMA), np.array([1.0]))
    assert abs(60.0 * alone.z[0] - 18.0) > 5.0
    (answers, _), _, _ = fitted(measured, freed, law, tries=16)
    assert abs(answers[0].value - 18.0) < 3.5 * answers[0].error


def test_errors_beside_a_value_at_the_end_of_its_range_count_it_as_free() -> None:
    """Only the sum of two values shows well; one of them held where it ends would seem to tell the other."""
    freed = [number("one", 2.0, 0.0, 2.2, stated=True), number("other", 1.5, 0.0)]

    def law(times, one, other):
        wave = swing(times, one + other, 2.0)["pitch_deg"]
        return {"pitch_deg": wave + 0.05 * other * times}

    (answers, _), _, _ = fitted({"pitch_deg": law(TIMES, 3.0, 0.2)["pitch_deg"]}, freed, law, ["pitch_deg"])
    assert all(one.value is None for one in answers)


def test_two_answers_that_fit_alike_are_no_answer() -> None:
    """Only the square of a value shows, so its sign is not told."""
    freed = [number("root", 1.2, -4.0, 4.0, stated=True)]

    def law(times, root):
        return swing(times, root**2, 2.0)

    ((one,), _), _, _ = fitted(draw(np.random.default_rng(1)), freed, law, tries=8)
    assert one.told is Told.TWO_ANSWERS and one.value is None
    assert sorted(one.rival) == pytest.approx([-math.sqrt(3.0), math.sqrt(3.0)], abs=0.1)


# --- noise ---


def test_scatter_is_that_of_noise_on_a_curve() -> None:
    rng, times = np.random.default_rng(1), np.linspace(0.0, 2.0, 1000)
    curve = 20.0 * np.sin(3.0 * times)
    for sigma in (0.01, 0.3):
        read = curve + rng.normal(0.0, sigma, 1000)
        read[100] = np.nan
        assert noises.scatter(read) == pytest.approx(sigma, rel=0.15)


def test_wild_readings_hardly_count_for_noise() -> None:
    residuals = np.random.default_rng(2).normal(0.0, 0.5, 2000)
    residuals[::40] += 50.0
    assert noises.deviation(residuals, 0) == pytest.approx(0.5, rel=0.1)


def test_neighbours_and_runs_of_known_sequences() -> None:
    assert noises.neighbours(np.array([1.0, -1.0, 1.0, -1.0])) == pytest.approx(-0.75)
    assert noises.neighbours(np.ones(10)) == pytest.approx(0.9)
    # by hand: 3 above, 3 below, 2 runs: mean 4, variance 3 * 2 / 5
    assert noises.runs_score(np.array([1, 1, 1, -1, -1, -1.0])) == pytest.approx((2 - 4) / math.sqrt(1.2))
    assert noises.runs_score(np.ones(9)) == pytest.approx(-3.0)


def test_noise_is_no_trend_and_a_trend_is_none_of_noise() -> None:
    rng = np.random.default_rng(3)
    assert sum(noises.hangs_together(rng.normal(size=200)) for _ in range(400)) <= 4
    slow = 1.2 * np.sin(np.linspace(0.0, 6.0, 200))
    assert all(noises.hangs_together(slow + rng.normal(size=200)) for _ in range(20))


def test_errors_widened_for_alike_neighbours_are_the_spread_of_many_fits() -> None:
    """Noise of a first-order process, r = 0.8; a constant is fitted to it, so the error is that of a mean."""
    rng, count, r = np.random.default_rng(4), 400, 0.8
    means, wide = [], []
    for _ in range(300):
        steps, series = rng.normal(size=count), np.zeros(count)
        series[0] = steps[0] / math.sqrt(1 - r**2)
        for k in range(1, count):
            series[k] = r * series[k - 1] + steps[k]
        means.append(series.mean())
        wide.append(noises.widening(series - series.mean()) * series.std() / math.sqrt(count))
    assert np.mean(wide) == pytest.approx(np.std(means), rel=0.15)
