"""Readings of how the rig stands on the bench: loads, tyres under them, springs, friction and damping."""

import math
from collections.abc import Iterator, Sequence

from simcore.compiled import FRONT, REAR
from simcore.files.axle import links_of
from simcore.files.steps import Steps
from simcore.laws.shock import damper_force
from simcore.plausibility.bench import Bench
from simcore.plausibility.codes import Code
from simcore.plausibility.masses import LINKS, mass_keys
from simcore.plausibility.reading import Reading, reading
from simcore.rig.masses import SIDES, sides
from simcore.standing.shocks import elastic_force, elastic_rate, spring_force
from simcore.units import GRAVITY

SLOW = 1e-2  # m/s, at which a damper is read
LEAST_LOAD = 1e-3  # N, of sprung load that springs and seals are set against


def ride_readings(bench: Bench) -> Iterator[Reading]:
    """Readings of a rig on the bench."""
    rig, pose = bench.rig, bench.pose
    masses = [key for key, _ in mass_keys(rig)]
    weight, radius = sum(pose.loads), rig.rear.tyre.radius
    unsprung = sum(axle.mass for axle in pose.axles) / pose.whole.mass
    yield reading(rig, Code.UNSPRUNG_SHARE, (), unsprung, *masses)
    places: list[Steps] = [("chassis", "cg", 0), *(("parts", k, "at", 0) for k in range(len(rig.parts)))]
    yield reading(rig, Code.FRONT_SHARE, (), pose.loads[FRONT] / weight, *masses, *places)
    heights = [(*key[:-1], 1) for key in places]
    yield reading(rig, Code.CG_HEIGHT, (), pose.whole.z, *heights, *masses, size=radius)
    brake: Steps = ("motor", "brake_torque")
    if rig.motor.brake_torque:
        held = rig.motor.brake_torque * rig.driveline.ratio / radius / weight
        yield reading(rig, Code.BRAKE, brake, held, brake, ("driveline", "ratio"))
    for i, name in enumerate(SIDES):
        yield from _tyres(bench, i, name)
        yield from _springs(bench, i, name)
        yield from _linkage(bench, i, name)


def _tyres(bench: Bench, i: int, name: str) -> Iterator[Reading]:
    rig, tyre, load = bench.rig, sides(bench.rig)[i].tyre, bench.pose.loads[i]
    squash = tyre.radius - bench.pose.centres[i][1]
    yield reading(rig, Code.TYRE_SQUASH, (name, "tyre", "stiffness"), squash, size=tyre.radius)
    if tyre.grip_load is not None:
        share = 2.0 * tyre.grip_load * GRAVITY / load
        yield reading(rig, Code.GRIP_LOAD, (name, "tyre", "grip_load"), share)
    if rig.driveline.drive in ("all", name):
        branch = f"{name}_stiffness"
        torque = tyre.peak_grip * load * tyre.radius
        yield reading(rig, Code.WIND_UP, ("driveline", branch), torque / getattr(rig.driveline, branch))


def _springs(bench: Bench, i: int, name: str) -> Iterator[Reading]:
    """Sag as the mounts give it, preload as stated or solved, the height at which stated springs hold."""
    rig, shock, record = bench.rig, sides(bench.rig)[i].shock, bench.model.rig.axle[i].shock
    borne, key = bench.borne[i], (name, "shock")
    length, mounts = (*key, "extended_length"), _mounts(bench, i, name)
    yield reading(rig, Code.SAG, length, borne.travel, length, *mounts, size=shock.stroke)
    pushing = [k for k, spring in enumerate(shock.springs) if spring.push]
    held = [k for k in pushing if shock.springs[k].hold_ride_height]
    for k in held or (pushing if len(pushing) == 1 else []):
        spring: Steps = (*key, "springs", k)
        stated = [(*spring, one) for one in ("preload", "loose_at") if getattr(shock.springs[k], one)]
        suspects: Sequence[Steps] = [(*spring, "rate"), *stated, ("chassis", "mass")]
        yield reading(rig, Code.PRELOAD, spring, -float(record.spring[k].loose_at), *suspects)
    rate = elastic_rate(record, borne.travel)
    if pushing and not held and rate > 0.0 and len(pushing) == len(shock.springs):
        excess = spring_force(record, borne.travel) - borne.force
        beyond = math.copysign(max(abs(excess) - record.friction.breakaway, 0.0), excess)
        suspects = [(*key, "springs", k, one) for k in pushing for one in ("rate", "preload", "loose_at")]
        suspects.append(("chassis", "mass"))
        yield reading(
            rig, Code.RIDE_HEIGHT, (*key, "springs"), float(beyond / rate), *suspects, size=shock.stroke
        )


def _mounts(bench: Bench, i: int, name: str) -> list[Steps]:
    """Keys that place the shock."""
    shock = sides(bench.rig)[i].shock
    lower: list[Steps] = [(name, "shock", "axle", k) for k in (1, 0)]
    if shock.axle is None:
        lower = [(name, "shock", "fraction")]
    return [(name, "shock", "chassis", 1), (name, "shock", "chassis", 0), *lower]


def _linkage(bench: Bench, i: int, name: str) -> Iterator[Reading]:
    """What the links make of shocks and thrust; nothing where the wheels can only move along the ground."""
    path, rig, axle = bench.paths[i], bench.rig, sides(bench.rig)[i]
    if path is None:
        return
    record, key = bench.model.rig.axle[i].shock, (name, "shock")
    yield reading(rig, Code.MOTION_RATIO, key, abs(path.ratio), *_mounts(bench, i, name))
    pins = [(name, link, end, k) for link in LINKS for end in ("chassis", "axle") for k in (1, 0)]
    arm: list[Steps] = [(name, "arm", "chassis", 1), (name, "arm", "chassis", 0)]
    steepness = bench.pose.whole.z / rig.wheelbase
    code, towards = (Code.ANTI_SQUAT, 1.0) if i == REAR else (Code.ANTI_LIFT, -1.0)
    suspects = pins if links_of(axle) else arm
    yield reading(rig, code, (name,), towards * path.slope / steepness, *suspects)
    load, mass = bench.sprung_load(i), bench.sprung_load(i) / GRAVITY
    if load <= LEAST_LOAD:
        return
    seals = (*key, "friction", "breakaway")
    if axle.shock.friction.breakaway:
        band = float(record.friction.breakaway) * abs(path.ratio) / load
        yield reading(rig, Code.FRICTION_BAND, seals, band, seals)
    travel = bench.borne[i].travel
    rate = elastic_rate(record, travel) * path.ratio**2 + elastic_force(record, travel) * path.ratio_change
    drag = (damper_force(record, SLOW) - damper_force(record, -SLOW)) / (2.0 * SLOW) * path.ratio**2
    if drag > 0.0 and rate > 0.0:
        # one mass on one spring: c/(2 sqrt(k m)), either way with the mean of both directions
        share = float(drag) / (2.0 * math.sqrt(rate * mass))
        keys: list[Steps] = [(*key, "damper", way) for way in ("compression", "rebound")]
        keys += [(*key, "springs", k, "rate") for k in range(len(axle.shock.springs))]
        yield reading(rig, Code.DAMPING, (*key, "damper"), share, *keys)
