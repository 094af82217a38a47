"""What a run says of the channels of a log."""

import numpy as np
import pytest

import simcore
from simcore.logs import CHANNELS, channel_named
from simcore.results.motion import places


@pytest.fixture(scope="module")
def run():
    scenario = simcore.load_scenario("scenarios/punchy_launch.toml")
    return simcore.simulate(scenario.changed({"end.duration": 0.5, "output.rate": 200}))


def test_columns_of_the_series_are_taken_as_they_are(run) -> None:
    sources = dict.fromkeys(CHANNELS, "") | {"place_mm": "distance_mm"}
    for name, source in sources.items():
        if not name.endswith("rise_mm"):
            assert np.array_equal(CHANNELS[name].compute(run), run.series[source or name])


@pytest.mark.parametrize("axle", ["rear", "front"])
def test_rise_is_what_the_chassis_loses_of_its_height_over_the_axle(run, axle) -> None:
    """By hand: the distance of the wheels' centre from a line through the chassis, level on the bench, at two
    points of that line, by the area of the triangle.
    """
    body = f"{axle}_axle"
    x, z = places(run.series, run.motion, body, run.outline[body]["wheel_centre"])
    (x1, z1), (x2, z2) = (places(run.series, run.motion, "chassis", (at, 0.0)) for at in (-100.0, 100.0))
    height = ((x2 - x1) * (z - z1) - (z2 - z1) * (x - x1)) / np.hypot(x2 - x1, z2 - z1)
    rise = CHANNELS[f"{axle}_rise_mm"].compute(run)
    np.testing.assert_allclose(rise, height - height[0], atol=1e-9)
    travel = run.series[f"{axle}_travel_mm"]
    assert np.corrcoef(rise, travel)[0, 1] > 0.99 and np.ptp(travel) > 1.0


def test_channels_go_by_name_with_and_without_unit() -> None:
    assert (
        channel_named("pitch_rate")
        is channel_named(" pitch_rate_deg_per_s ")
        is CHANNELS["pitch_rate_deg_per_s"]
    )
    assert channel_named("pitch") is CHANNELS["pitch_deg"]
    assert channel_named("pitch_mm") is None
