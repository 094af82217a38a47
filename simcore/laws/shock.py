"""Both shocks of an axle: springs, damper, friction and stops along the line between the mounts.

`travel` is compression from full extension, m; forces push the mounts apart when positive. All numbers are
for the two shocks of the axle together.
"""

from simcore.compiled import (
    MAX_SPRINGS,
    FrictionRecord,
    Records,
    ShockLedgerRecord,
    ShockRecord,
    SpringRecord,
    StopRecord,
    kernel,
)
from simcore.laws.bristle import bristle_force, bristle_rate, stribeck_level


@kernel
def spring_force(springs: Records[SpringRecord], travel: float) -> tuple[float, float]:
    """Force and stored energy of all springs.

    ``F = k (s - s0)`` beyond the loose position s0 of a spring that pushes out, ``F = -k (s0 - s)`` short of
    it for one that pulls in.

    Returns
    -------
    force : N, extending positive
    stored : J
    """
    force, stored = 0.0, 0.0
    for i in range(MAX_SPRINGS):
        spring = springs[i]
        squeeze = max(spring.push * (travel - spring.loose_at), 0.0)
        force += spring.push * spring.rate * squeeze
        stored += 0.5 * spring.rate * squeeze * squeeze
    return force, stored


@kernel
def damper_force(shock: ShockRecord, speed: float) -> float:
    """Damper force, N, at a compression speed, m/s: a rate for each direction, or a measured force-speed
    table.

    The table is interpolated and continued in a straight line beyond its ends.
    """
    rows = int(shock.damper_rows)
    if rows < 2:
        return (shock.compression if speed > 0.0 else shock.rebound) * speed
    i = 1
    while i < rows - 1 and shock.damper_speed[i] < speed:  # NumPy's search takes seconds to compile
        i += 1
    v0, v1 = shock.damper_speed[i - 1], shock.damper_speed[i]
    f0, f1 = shock.damper_force[i - 1], shock.damper_force[i]
    return f0 + (f1 - f0) * (speed - v0) / (v1 - v0)


@kernel
def stop_force(stop: StopRecord, depth: float, speed: float) -> tuple[float, float, float]:
    """A rubber stop pressed in by `depth` at `speed`: stiffening, dissipative, never pulling.

    ``F = k x (1 + (x/l)^2) (1 + c x')``, the second bracket not below zero.

    Parameters
    ----------
    stop : length l (m), rate k (N/m), damping c (s/m)
    depth : x, m (negative: not touching)
    speed : x', m/s

    Returns
    -------
    force : N, elastic part : N, stored energy : J

    Source: Hunt and Crossley, J. Applied Mechanics 42, 1975, for the damping form (from memory; a copy of the
    paper would settle it).
    """
    if depth <= 0.0:
        return 0.0, 0.0, 0.0
    share = depth / stop.length
    elastic = stop.rate * depth * (1.0 + share * share)
    stored = stop.rate * depth * depth * (0.5 + 0.25 * share * share)
    return elastic * max(1.0 + stop.damping * speed, 0.0), elastic, stored


@kernel
def seal_friction(friction: FrictionRecord, speed: float, bristle: float) -> tuple[float, float]:
    """Friction of a seal or of any pair that sticks: force, N, against the speed's own direction, and bristle
    rate, m/s.

    Bristle stiffness is breakaway force over presliding distance. Without friction the bristle follows a
    unit-level law, so that it stays bounded.
    """
    stiffness = friction.breakaway / friction.presliding
    if friction.breakaway <= 0.0:
        return 0.0, bristle_rate(speed, bristle, 1.0 / friction.presliding, 1.0, 0.0)
    level = stribeck_level(speed, friction.sliding, friction.breakaway, friction.stribeck_speed)
    rate = bristle_rate(speed, bristle, stiffness, level, 0.0)
    micro_damping = stiffness * friction.settling_time
    force = bristle_force(speed, bristle, rate, stiffness, micro_damping, friction.stribeck_speed)
    return force, rate


@kernel
def shock_forces(
    led: ShockLedgerRecord, shock: ShockRecord, travel: float, speed: float, bristle: float
) -> None:
    """Fill the ledger of one axle's shocks; `speed` is the compression speed, m/s."""
    led.travel, led.speed = travel, speed
    led.spring, stored = spring_force(shock.spring, travel)
    led.damper = damper_force(shock, speed)
    led.friction, led.bristle_rate = seal_friction(shock.friction, speed, bristle)
    bump, droop = shock.bump_stop, shock.droop_stop
    led.bump_stop, bump_elastic, bump_stored = stop_force(bump, travel - shock.stroke + bump.length, speed)
    pull, droop_elastic, droop_stored = stop_force(droop, droop.length - travel, -speed)
    led.droop_stop = -pull
    led.force = led.spring + led.damper + led.friction + led.bump_stop + led.droop_stop
    led.stored = stored + bump_stored + droop_stored
    led.lost_damper = led.damper * speed
    led.lost_friction = led.friction * speed
    led.lost_stops = (led.bump_stop - bump_elastic - pull + droop_elastic) * speed
    led.lost = led.lost_damper + led.lost_friction + led.lost_stops
