"""The shocks of a standing rig as its wheels feel them: rate, room left, and the band that friction holds."""

import dataclasses

from simcore.compiled import SHOCK_LEDGER, ShockRecord, blank
from simcore.laws.shock import shock_forces
from simcore.standing.codes import Stops
from simcore.standing.kinematics import AxleKinematics

STEP = 1e-7  # m of travel, over which the rate is differenced


def elastic_force(shock: ShockRecord, travel: float) -> float:
    """Force of springs and stops at rest, N, extending positive."""
    led = blank(SHOCK_LEDGER)[0]
    shock_forces(led, shock, travel, 0.0, 0.0)
    return float(led.spring + led.bump_stop + led.droop_stop)


def elastic_rate(shock: ShockRecord, travel: float) -> float:
    """Rate of springs and stops together, N/m at the shock."""
    ahead, behind = (elastic_force(shock, travel + step) for step in (STEP, -STEP))
    return (ahead - behind) / (2.0 * STEP)


@dataclasses.dataclass(frozen=True)
class Shocks:
    """Both shocks of one axle where the rig stands, SI.

    Attributes
    ----------
    travel, stroke : m
    stands : free of the stops, or on which
    rate : of springs and stops in touch, N/m at the shock
    bump_touch, bump_end : travel left to where the rubber touches, and to the end of the stroke, compressed
    droop_touch, droop_end : likewise extended; all m, negative when already pressed in
    wheel_rate : load of the tyres per rise of the wheel, chassis held: ``k (dl/dz)^2 + F d2l/dz2``, by
        virtual work from ``F_w = F dl/dz``, N/m; None when the wheels can only move along the ground
    friction_band : change of load at the wheels that breakaway friction holds, either way, N
    friction_ride : by how much the ride height may differ for it, either way, m; None without a wheel rate
    preload : force of the springs of one shock at full extension, N; negative: they pull it shorter
    preload_length : how far the push spring that touches first is compressed there, m; negative: loose by as
        much; None without a push spring
    """

    travel: float
    stroke: float
    stands: Stops
    rate: float
    bump_touch: float
    bump_end: float
    droop_touch: float
    droop_end: float
    wheel_rate: float | None
    friction_band: float | None
    friction_ride: float | None
    preload: float
    preload_length: float | None


def spring_force(shock: ShockRecord, travel: float) -> float:
    """Force of the springs alone at rest, N, both shocks, extending positive."""
    led = blank(SHOCK_LEDGER)[0]
    shock_forces(led, shock, travel, 0.0, 0.0)
    return float(led.spring)


def preload_length(shock: ShockRecord) -> float | None:
    """How far the push spring that touches first is compressed at full extension, m; None without one."""
    starts = [float(spring.loose_at) for spring in shock.spring if spring.rate > 0.0 and spring.push > 0.0]
    return -min(starts) + 0.0 if starts else None  # no -0


def shocks_of(shock: ShockRecord, travel: float, path: AxleKinematics | None) -> Shocks:
    """Shocks of an axle at a travel, with the path of that axle."""
    stroke, bump, droop = float(shock.stroke), float(shock.bump_stop.length), float(shock.droop_stop.length)
    bump_touch, droop_touch = stroke - bump - travel, travel - droop
    on_droop = Stops.ON_DROOP_STOP if droop_touch < 0.0 else Stops.FREE
    stands = Stops.ON_BUMP_STOP if bump_touch < 0.0 else on_droop
    rate, at_wheel, band, ride = elastic_rate(shock, travel), None, None, None
    if path is not None:
        at_wheel = rate * path.ratio**2 + elastic_force(shock, travel) * path.ratio_change
        band = float(shock.friction.breakaway) * abs(path.ratio)
        ride = band / at_wheel if at_wheel > 0.0 else None
    return Shocks(
        travel=travel,
        stroke=stroke,
        stands=stands,
        rate=rate,
        bump_touch=bump_touch,
        bump_end=stroke - travel,
        droop_touch=droop_touch,
        droop_end=travel,
        wheel_rate=at_wheel,
        friction_band=band,
        friction_ride=ride,
        preload=0.5 * spring_force(shock, 0.0),
        preload_length=preload_length(shock),
    )
