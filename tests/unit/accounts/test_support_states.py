"""The order of reasons, and the friction that would have to hold without the support."""

import dataclasses

import numpy as np
import pytest

from simcore.accounts.reasons import REASONS, Reason, reasons
from simcore.accounts.run_accounts import run_accounts
from simcore.files import scenario_of
from simcore.files.scenario import Visible
from simcore.solve.integrate import integrate

VISIBLE = Visible()


@pytest.fixture
def standing(shipped):
    """Trace and rear account of one instant of the rig at rest on the level, to be changed at will."""
    trace = integrate(scenario_of(shipped("gully") | {"end": {"duration": 0.002}}, "gully.toml"))
    trace = trace.rows(np.arange(len(trace.times)) == 0)
    return trace, run_accounts(trace, VISIBLE).support[0]


def state(trace, account, **changes: float) -> Reason:
    """State after changes to the rear axle: `thrust`, `slip`, `friction`, `speed`, `stop`, `shafts`; to the
    account: `support`, `demand`, `on_shock`, all N.
    """
    part = trace.ledgers["axle"][:, 0]
    part["tyre"]["thrust"], part["tyre"]["slip"] = changes.get("thrust", 3.0), changes.get("slip", 0.0)
    part["shock"]["friction"], part["shock"]["speed"] = (
        changes.get("friction", 0.0),
        changes.get("speed", 0.1),
    )
    part["shock"]["bump_stop"] = changes.get("stop", 0.0)
    part["drive"]["shaft_torque"] = changes.get("shafts", 1.0)
    trace.ledgers["axle"][:, 1]["tyre"]["thrust"], trace.ledgers["axle"][:, 1]["drive"]["shaft_torque"] = (
        3.0,
        1.0,
    )
    terms = account.terms | {"support": np.array([changes.get("support", 1.0)])}
    changed = dataclasses.replace(
        account,
        terms=terms,
        demand=np.array([changes.get("demand", 1.0)]),
        shock_change=np.array([changes.get("on_shock", 1.0)]),
    )
    return REASONS[int(reasons(trace, changed, 0, VISIBLE)[0])]


def test_nothing_hides_it(standing) -> None:
    assert state(*standing) is Reason.SEEN


def test_friction_must_hold_what_it_holds_now_and_the_support(standing) -> None:
    """Breakaway of both shocks is 0.32 N. Friction that already pushes out can take no more; friction that
    pulls in has room for twice its level.
    """
    trace, account = standing
    ratio = float(account.ratio[0])
    quiet = {"speed": 0.0}
    for friction, support, held in (
        (0.0, 0.3, True),
        (0.0, 0.35, False),
        (0.2, 0.2, False),
        (0.2, 0.1, True),
        (-0.2, 0.45, True),
        (-0.3, 0.7, False),
        (0.2, -0.45, True),
    ):
        found = state(trace, account, **quiet, friction=friction, support=support * ratio)
        assert (found is Reason.HELD) is held, (friction, support)
    assert state(trace, account, speed=0.01, support=0.2) is Reason.SEEN  # a shock that slides is not held


def test_shaft_and_seals_hold_together_what_the_seals_alone_would_not(standing) -> None:
    """Seals break away at 0.32 N at the shock; splines of level 4 N on a shaft that gets 0.1 longer per rise
    hold 0.4 N at the tyres, either way.
    """
    trace, account = standing
    slide, ratio = trace.ledgers["axle"][:, 0]["slide"], float(account.ratio[0])
    slide["level"] = 4.0
    seals = 0.32 * ratio
    for lengthening in (0.1, -0.1):
        for shaft, support, reason in (
            (0.0, seals - 0.01, Reason.HELD),
            (0.0, seals + 0.39, Reason.HELD_BY_SHAFT),
            (0.0, seals + 0.41, Reason.SEEN),
            (0.2, seals + 0.19, Reason.HELD_BY_SHAFT),
            (0.2, seals + 0.21, Reason.SEEN),
            (-0.2, -seals - 0.19, Reason.HELD_BY_SHAFT),
        ):
            terms = account.terms | {"shaft": np.array([shaft])}
            changed = dataclasses.replace(account, terms=terms, lengthening=np.array([lengthening]))
            assert state(trace, changed, speed=0.0, support=support) is reason, (shaft, support)
    slide["level"] = 0.0
    changed = dataclasses.replace(account, lengthening=np.array([0.1]))
    assert state(trace, changed, speed=0.0, support=seals + 0.01) is Reason.SEEN


def test_each_reason_and_which_goes_first(standing) -> None:
    weak = {"support": 0.001}
    back = {"thrust": -1.0}
    assert state(*standing, **back, shafts=-1.0) is Reason.REVERSED
    assert state(*standing, **back, shafts=1.0) is Reason.DRAGGED
    assert state(*standing, **back, shafts=-1.0, stop=5.0) is Reason.REVERSED
    assert state(*standing, **weak, slip=0.5) is Reason.SPINNING
    assert state(*standing, **weak, thrust=0.1) is Reason.NO_THRUST
    assert state(*standing, **weak) is Reason.TOO_SMALL
    assert state(*standing, stop=5.0, speed=0.0, support=0.2) is Reason.ON_A_STOP
    assert state(*standing, on_shock=0.0) is Reason.CARRIED
    assert state(*standing, on_shock=0.0, demand=0.0) is Reason.SEEN
    assert state(*standing, slip=0.5) is Reason.SEEN  # spinning tyres whose thrust still supports visibly
