"""Forces and accelerations that do not belong together fail the audit of momentum, or of the links."""

import math
from pathlib import Path
from typing import Any

import pytest

import simcore
from simcore.accounts.audit import Check, audit
from simcore.accounts.momentum import momentum_residual
from simcore.accounts.pins import pin_residual
from simcore.solve.trace import Trace

SCENARIO = Path(__file__).parents[3] / "scenarios" / "rear_compressed.toml"
ARM = {"rear.lower_link": None, "rear.upper_link": None, "rear.arm": {"chassis": [80, 60]}}


def launched(settings: dict[str, Any]) -> Trace:
    """A punch up a slope, whose trace may be written to."""
    trace = simcore.simulate(simcore.load_scenario(SCENARIO).changed(settings | {"end.duration": 0.5})).trace
    assert trace is not None
    return trace


@pytest.fixture(params=[{}, ARM], ids=["links", "an arm"])
def trace(request: pytest.FixtureRequest) -> Trace:
    """A punch up a slope, the rear axle on links or on an arm."""
    return launched(request.param)


def checks(trace: Trace) -> set[Check]:
    """What of a trace is found to be wrong, but for the sums that other tests are of."""
    return {fault.check for fault in audit(trace).faults} - {Check.ACCOUNTS, Check.STORE, Check.ENERGY}


def test_a_sound_run_passes(trace: Trace) -> None:
    assert momentum_residual(trace).max() < 1e-13
    assert pin_residual(trace).max() < 1e-10


@pytest.mark.parametrize("name", ["load", "thrust", "rolling_moment", "rolling_radius"])
def test_a_wrong_tyre_breaks_momentum(trace: Trace, name: str) -> None:
    trace.ledgers["axle"]["tyre"][name][:, 0] *= 1.0001
    assert checks(trace) == {Check.MOMENTUM}


@pytest.mark.parametrize("body", range(3))
@pytest.mark.parametrize("way", ["x", "z", "angle"])
def test_a_wrong_acceleration_breaks_both(trace: Trace, body: int, way: str) -> None:
    trace.ledgers["acceleration"][way][:, body] += 0.01
    assert checks(trace) == {Check.MOMENTUM, Check.LINK_ACCELERATION}


def test_a_wheel_that_spins_up_wrongly_breaks_momentum(trace: Trace) -> None:
    trace.ledgers["axle"]["spin_acceleration"][:, 1] += 10.0
    assert checks(trace) == {Check.MOMENTUM}


@pytest.mark.parametrize("instant", [0, 7, -1])
def test_what_is_no_number_shows(trace: Trace, instant: int) -> None:
    trace.ledgers["acceleration"]["x"][instant, 1] = math.nan
    assert math.isnan(momentum_residual(trace)[instant])
    assert math.isnan(pin_residual(trace)[instant])
    assert checks(trace) == {Check.MOMENTUM, Check.LINK_ACCELERATION}


def test_a_skid_that_drags_counts() -> None:
    trace = launched({})
    trace.ledgers["skid"]["load"][:, 0] += 0.01
    assert checks(trace) == {Check.MOMENTUM}
