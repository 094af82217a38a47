"""Readings of tyres, shocks, gears and motor, each by itself: from the file alone."""

from collections.abc import Iterator

from simcore.files.rig import Rig
from simcore.files.steps import Steps
from simcore.plausibility.codes import Code
from simcore.plausibility.reading import Reading, reading
from simcore.rig.masses import SIDES, sides


def piece_readings(rig: Rig) -> Iterator[Reading]:
    """Readings of the pieces; what is left out or nought is none."""
    for name, axle in zip(SIDES, sides(rig), strict=True):
        yield from _tyre(rig, name)
        yield from _shock(rig, name)
        if axle.shaft is not None:
            key = (name, "shaft")
            yield reading(rig, Code.SHAFT_RATIO, (*key, "ratio"), axle.shaft.ratio)
            yield reading(rig, Code.SPLINE_RADIUS, (*key, "spline_radius"), axle.shaft.spline_radius)
            if axle.shaft.friction:
                yield reading(rig, Code.SPLINE_FRICTION, (*key, "friction"), axle.shaft.friction)
    yield from _drive(rig)


def _tyre(rig: Rig, name: str) -> Iterator[Reading]:
    tyre, key = getattr(rig, name).tyre, (name, "tyre")
    yield reading(rig, Code.RADIUS, (*key, "radius"), tyre.radius)
    yield reading(rig, Code.GRIP, (*key, "peak_grip"), tyre.peak_grip)
    if tyre.damping:
        yield reading(rig, Code.TYRE_DAMPING, (*key, "damping"), tyre.damping)
    if tyre.rolling_resistance:
        yield reading(rig, Code.ROLLING_RESISTANCE, (*key, "rolling_resistance"), tyre.rolling_resistance)
    # slip stiffness C: grip g is full at a slip of 2 g/C; its bristles give g * relaxation length / C
    stiffness = (*key, "slip_stiffness")
    slip = 2.0 * tyre.peak_grip / tyre.slip_stiffness
    yield reading(rig, Code.SLIP_AT_FULL_GRIP, stiffness, slip, stiffness, (*key, "peak_grip"))
    give = tyre.sliding_grip * tyre.relaxation_length / tyre.slip_stiffness
    length = (*key, "relaxation_length")
    yield reading(rig, Code.TYRE_GIVE, length, give, length, stiffness)


def _shock(rig: Rig, name: str) -> Iterator[Reading]:
    shock, key = getattr(rig, name).shock, (name, "shock")
    length, stroke = (*key, "extended_length"), (*key, "stroke")
    yield reading(rig, Code.SHOCK_LENGTH, length, shock.extended_length)
    yield reading(rig, Code.STROKE, stroke, shock.stroke, stroke, length, size=shock.extended_length)
    for k, spring in enumerate(shock.springs):
        yield reading(rig, Code.RATE, (*key, "springs", k, "rate"), spring.rate)
    if shock.friction.breakaway:
        give = (*key, "friction", "presliding")
        yield reading(rig, Code.SEAL_GIVE, give, shock.friction.presliding)


def _drive(rig: Rig) -> Iterator[Reading]:
    line, motor = rig.driveline, rig.motor
    ratio, kv, voltage = ("driveline", "ratio"), ("motor", "kv"), ("motor", "voltage")
    yield reading(rig, Code.RATIO, ratio, line.ratio)
    if line.overdrive and line.drive == "all":
        yield reading(rig, Code.OVERDRIVE, ("driveline", "overdrive"), line.overdrive)
    # what is left of the speed without load is the motor's affair: kv * V / ratio * r
    radius: Steps = ("rear", "tyre", "radius")
    speed = motor.kv * motor.voltage / line.ratio * rig.rear.tyre.radius
    yield reading(rig, Code.TOP_SPEED, ratio, speed, ratio, kv, voltage, radius)
    yield reading(rig, Code.KV, kv, motor.kv)
    yield reading(rig, Code.VOLTAGE, voltage, motor.voltage)
    resistance = ("motor", "resistance")
    current = motor.voltage / motor.resistance
    yield reading(rig, Code.STALL_CURRENT, resistance, current, resistance, voltage)
    if motor.no_load_current:
        yield reading(rig, Code.NO_LOAD_CURRENT, ("motor", "no_load_current"), motor.no_load_current)
    yield reading(rig, Code.CURRENT_LIMIT, ("motor", "current_limit"), motor.current_limit)
    yield reading(rig, Code.ROTOR_INERTIA, ("motor", "rotor_inertia"), motor.rotor_inertia)
