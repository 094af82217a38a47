"""Start, rate and noise of values at uneven times, against what was put in."""

import numpy as np
import pytest

from simcore.video.smooth import at_start, noise, rate

RNG = np.random.default_rng(3)
UNEVEN = np.cumsum(RNG.uniform(0.01, 0.024, 400))


def test_the_start_of_a_parabola_is_its_first_value() -> None:
    true = 3.0 + 2.0 * UNEVEN - 6.0 * UNEVEN**2
    values = np.where(np.arange(400) < 4, np.nan, true)
    assert at_start(UNEVEN, values) == pytest.approx(true[4])
    assert np.isnan(at_start(UNEVEN, np.full(400, np.nan)))


def test_the_rate_of_a_parabola_is_exact_and_gaps_stay_gaps() -> None:
    values = 1.0 + 2.0 * UNEVEN - 0.7 * UNEVEN**2
    values[50:53] = np.nan
    found, gain = rate(UNEVEN, values)
    known = np.isfinite(values)
    assert found[known] == pytest.approx((2.0 - 1.4 * UNEVEN)[known], abs=1e-8)
    assert np.isnan(found[~known]).all() and gain > 0.0


@pytest.mark.parametrize("sigma", [0.02, 1.5])
def test_noise_is_what_was_put_on_a_smooth_motion(sigma: float) -> None:
    smooth = 5.0 * np.sin(3.0 * UNEVEN)
    noisy = smooth + sigma * RNG.standard_normal(400)
    assert noise(UNEVEN, smooth) < 0.001
    assert noise(UNEVEN, noisy) == pytest.approx(
        sigma, rel=0.15
    )  # 400 samples, twice the error of their median
    gain = rate(UNEVEN, noisy)[1]
    seen = rate(UNEVEN, noisy)[0] - rate(UNEVEN, smooth)[0]
    assert np.std(seen) == pytest.approx(gain * sigma, rel=0.25)


def test_too_few_values_have_no_noise() -> None:
    assert np.isnan(noise(UNEVEN[:4], UNEVEN[:4]))
