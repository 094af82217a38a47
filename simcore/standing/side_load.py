"""The load that shaft torque moves from side to side while a rig creeps up a slope: not in its side view."""

import math

from simcore.compiled import FRONT, REAR
from simcore.rig.model import Model
from simcore.standing.codes import Stops
from simcore.standing.facts import AxleFacts, SideLoad
from simcore.standing.limits import axle_loads, own_drive
from simcore.standing.percentages import thrust_shares

STATED_SLOPE = math.radians(30.0)  # for a rig that stands on the level, where it hardly needs torque


def side_load_of(model: Model, axles: tuple[AxleFacts, AxleFacts], slope: float) -> SideLoad | None:
    """Load from side to side while a rig climbs a slope at constant speed; None where it is not known.

    ``F = W sin th + sum f N`` is shared by the driven axles as their loads at that slope (see
    `percentages.thrust_shares`); axle i needs ``F_i r_i`` at its wheels, f the rolling resistance, r the
    rolling radius. The loads are those of the rigid rig (see `limits`).

    Parameters
    ----------
    model : the rig
    axles : rear and front as they stand
    slope : rad; on the level 30 deg are taken instead
    """
    twist, slope = model.twist, slope or STATED_SLOPE
    loads = axle_loads(model, slope)
    if twist is None or min(loads) <= 0.0:
        return None
    weight = model.bench.whole.mass * float(model.rig.gravity)
    resistances = (float(axle.tyre.rolling_resistance) for axle in model.rig.axle)
    rolling = sum(f * load for f, load in zip(resistances, loads, strict=True))
    thrust = weight * math.sin(slope) + rolling
    shares = thrust_shares(own_drive(model), loads)
    rear, front = (
        share * thrust * facts.rolling_radius / float(axle.slide.ratio)
        for share, facts, axle in zip(shares, axles, model.rig.axle, strict=True)
    )
    share = rear_roll_share(axles)
    return SideLoad(
        slope=slope,
        most=float(twist.most(rear, front)),
        by_springs=None if share is None else abs(twist.side_load(rear, front, share)),
    )


def rear_roll_share(axles: tuple[AxleFacts, AxleFacts]) -> float | None:
    """Share of the rear springs in the roll stiffness; None where other than springs resist roll.

    The two shocks of an axle stand s apart, so that it resists roll with ``k s^2/4``, k the wheel rate of
    both: the wheel rates alone give the shares where s is the same front and rear, which is assumed. An arm
    that is fixed to its housing may resist roll through its pin.
    """
    if not all(_springs_alone(axle) for axle in axles):
        return None
    rear, front = (axle.shocks.wheel_rate or 0.0 for axle in (axles[REAR], axles[FRONT]))
    return rear / (rear + front)


def _springs_alone(axle: AxleFacts) -> bool:
    free = axle.shocks.stands is Stops.FREE and axle.shocks.rate > 0.0 and len(axle.pins) == 2
    return free and axle.shocks.wheel_rate is not None and axle.shocks.wheel_rate > 0.0
