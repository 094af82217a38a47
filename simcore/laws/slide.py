"""Friction of a telescoping drive shaft: under torque its splines resist getting longer or shorter."""

from simcore.compiled import SlideLedgerRecord, SlideRecord, kernel
from simcore.laws.bristle import bristle_force, bristle_rate


@kernel
def slide_forces(
    led: SlideLedgerRecord, slide: SlideRecord, wheel_torque: float, speed: float, bristle: float
) -> None:
    """Fill friction, torque and loss of one axle's shaft.

    The splines carry the torque T as a force T/r around the shaft; sliding along them takes ``mu |T| / r``.
    The friction sticks: ``F = (mu |T| / r) z/z0`` with the bristle of a level of one.

    Parameters
    ----------
    led : ledger of the slide; its length and direction are left alone
    slide : ratio of the axle's gears, mu, mean radius r of the splines (m), presliding z0 (m)
    wheel_torque : on both wheels of the axle, N*m; all losses of the gears are taken to lie before the shaft
    speed : of its lengthening, m/s
    bristle : z, m

    Source: force to shift a splined pair under torque, ``mu T / r``: worked example of machine design in
    circulation (20 kW at 300 rpm, r = 28 mm, mu = 0.06: 1364 N), recomputed.
    """
    led.speed, led.torque = speed, wheel_torque / slide.ratio
    led.bristle_rate = bristle_rate(speed, bristle, 1.0 / slide.presliding, 1.0, 0.0)
    level = slide.friction * abs(led.torque) / slide.radius
    stiffness = level / slide.presliding
    micro_damping = stiffness * slide.settling_time
    led.friction = bristle_force(speed, bristle, led.bristle_rate, stiffness, micro_damping, slide.fade_speed)
    led.level = level
    led.lost = led.friction * speed


@kernel
def no_slide(led: SlideLedgerRecord) -> None:
    """Fill the ledger of a shaft that is not stated: it holds nothing."""
    led.length, led.speed, led.torque, led.level, led.friction, led.lost = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    led.along.x, led.along.z, led.bristle_rate = 0.0, 0.0, 0.0
