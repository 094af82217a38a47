"""The laws of shocks, tyres and driveline a second time, from their equations, and the numbers in them.

Nothing of the program's own laws is called. Forces of both shocks or both tyres of an axle together, SI.
"""

import math

import numba
import numpy as np
from mujoco_course import COURSE, contact, fill_course

SIDES = ("rear", "front")
GRAVITY = 9.80665  # m/s^2
SPRINGS, ROWS = 4, 17  # of a shock; of a damper table with a row at rest
# forces that can be turned round or weakened, to see whether a comparison would notice; "pull" are the
# springs that pull, "lever" is the share that a shock on a link hands on to the link's axle pin, "fall" the
# exponent by which grip falls with load, "spline" the friction of the drive shafts
FORCES = ("spring", "damper", "seal", "stops", "deflection", "thrust", "rolling", "twist", "brake")
FORCES += ("pull", "lever", "fall", "spline")
LEAST_LOAD = 0.05  # of the reference load; below it grip rises no more
FADE = 0.005  # m/s over which the damping of bent splines fades

f8 = np.float64


def _record(*names, **parts):
    return [(name, f8) for name in names] + [(name, *kind) for name, kind in parts.items()]


STOP = np.dtype(_record("length", "rate", "damping"))
SPRING = np.dtype(_record("push", "rate", "loose_at"))
AXLE = np.dtype(
    _record("radius", "stiffness", "damping", "slip_stiffness", "relaxation", "peak", "sliding", "fall_speed")
    + _record("settling", "rolling", "extended", "stroke", "fraction", "rows", "breakaway", "dragging")
    + _record("presliding", "seal_speed", "driven", "ratio", "twist_rate", "twist_damping")
    + _record("exponent", "reference", "turns", "rubbing", "splines", "give")
    + _record(bump=(STOP,), droop=(STOP,), spring=(SPRING, (SPRINGS,)))
    + _record(speeds=(f8, (ROWS,)), oil=(f8, (ROWS,)))
)
LAWS = np.dtype(
    _record("efficiency", "constant", "voltage", "resistance", "limit", "idle")
    + _record("brake", "release", "holds_speed", "proportional", "integral", "rows")
    + _record(times=(f8, (8,)), wanted=(f8, (8,)), axle=(AXLE, (2,)), factor=(_record(*FORCES),))
    + _record(course=(COURSE,))
)


# --- the laws ---


@numba.njit
def flat_load(radius, stiffness, height):
    """Elastic load of a tyre whose centre stands `height` above a plane, and its equivalent deflection."""
    if height >= radius:
        return 0.0, 0.0
    half = math.sqrt(radius**2 - height**2)
    area = radius**2 * math.acos(height / radius) - height * half
    deflection = (3.0 * area / (4.0 * math.sqrt(2.0 * radius))) ** (2.0 / 3.0)
    pressure = stiffness * deflection / (2.0 * math.sqrt(2.0 * radius * deflection - deflection**2))
    return (pressure + 30.0 * stiffness * (deflection / radius) ** 9) * 2.0 * half, deflection


@numba.njit
def falling(speed, low, high, over):
    return low + (high - low) * math.exp(-((speed / over) ** 2))


@numba.njit
def seal(axle, speed, bristle):
    """LuGre friction of the shocks: force that resists compression, rate of the bristle."""
    sigma = axle.breakaway / axle.presliding
    level = falling(speed, axle.dragging, axle.breakaway, axle.seal_speed)
    rate = speed - sigma * abs(speed) / level * bristle
    settling = min(0.002, axle.presliding / axle.seal_speed)
    return sigma * (bristle + settling * math.exp(-((speed / axle.seal_speed) ** 2)) * rate), rate


@numba.njit
def rubber(stop, depth, speed):
    if depth <= 0.0:
        return 0.0
    return stop.rate * depth * (1.0 + (depth / stop.length) ** 2) * max(1.0 + stop.damping * speed, 0.0)


@numba.njit
def coils(law, axle, travel):
    """Springs that push act beyond their loose position, springs that pull short of it."""
    force = 0.0
    for spring in axle.spring:
        if spring.push == 1.0:
            force += law.factor.spring * spring.rate * max(travel - spring.loose_at, 0.0)
        else:
            force -= law.factor.pull * spring.rate * max(spring.loose_at - travel, 0.0)
    return force


@numba.njit
def oil(axle, speed):
    """Straight lines through the rows of the table, the outermost two carried on."""
    k = 1
    while k < int(axle.rows) - 1 and axle.speeds[k] < speed:
        k += 1
    slope = (axle.oil[k] - axle.oil[k - 1]) / (axle.speeds[k] - axle.speeds[k - 1])
    return axle.oil[k] + slope * (speed - axle.speeds[k])


@numba.njit
def shock(law, axle, length, rate_of_length, bristle):
    """Force that pushes the mounts apart, rate of the seal's bristle."""
    travel, speed = axle.extended - length, -rate_of_length
    friction, bristle_rate = seal(axle, speed, bristle)
    stops = rubber(axle.bump, travel - axle.stroke + axle.bump.length, speed)
    stops -= rubber(axle.droop, axle.droop.length - travel, -speed)
    factor = law.factor
    force = coils(law, axle, travel) + factor.damper * oil(axle, speed)
    return force + factor.seal * friction + factor.stops * stops, bristle_rate


@numba.njit
def tread(axle, grip, slip, roll, bristle):
    """LuGre tyre averaged over its contact: thrust per load, rate of the bristle; `grip` of the ground."""
    sigma = axle.slip_stiffness / axle.relaxation
    grip = grip * falling(slip, axle.sliding, axle.peak, axle.fall_speed)
    level = grip / (1.0 - min(grip * abs(roll) / (abs(slip) + 1e-9) / axle.slip_stiffness, 0.5))
    rate = slip - sigma * abs(slip) / level * bristle - abs(roll) / axle.relaxation * bristle
    fade = math.exp(-(((abs(slip) + abs(roll)) / axle.fall_speed) ** 2))
    return sigma * (bristle + axle.settling * fade * rate), rate


@numba.njit
def eased(law, axle, grip, load):
    """Grip of the ground under tyres that carry `load`, by which peak and sliding grip change alike."""
    share = max(load / axle.reference, LEAST_LOAD)
    return grip * share ** (-law.factor.fall * axle.exponent)


@numba.njit
def sliding_shaft(law, axle, torque, speed, bristle):
    """Force that pulls the joints of a drive shaft together, rate of its bristle; `torque` at the wheels,
    `speed` of lengthening.
    """
    rate = speed - abs(speed) * bristle / axle.give
    settling = min(0.002, axle.give / FADE) * math.exp(-((speed / FADE) ** 2))
    level = axle.rubbing * abs(torque / axle.turns) / axle.splines
    return law.factor.spline * level * (bristle + settling * rate) / axle.give, rate


@numba.njit
def ground_on_wheel(law, axle, x, z, v_x, v_z, spin, bristle, push):
    """Fill `push` with force and torque (x, y, z each) at the wheel centre; load, rate of the bristle."""
    elastic, n_x, n_z, deflection, grip = contact(law.course, x, z, axle.radius, axle.stiffness)
    rise = n_x * v_x + n_z * v_z
    load = max(elastic - law.factor.deflection * axle.damping * min(deflection / 0.001, 1.0) * rise, 0.0)
    arm = axle.radius - deflection / 3.0
    roll = arm * spin
    grip = eased(law, axle, grip, load)
    share, rate = tread(axle, grip, roll - n_z * v_x + n_x * v_z, roll, bristle)
    thrust = law.factor.thrust * share * load
    push[0] = thrust * n_z + load * n_x
    push[2] = -thrust * n_x + load * n_z
    drag = law.factor.rolling * axle.rolling * load * axle.radius * math.tanh(roll / 0.001)
    push[4] = -arm * thrust - drag
    return load, rate


@numba.njit
def motor(law, time, speed, bristle, held):
    """Torque of the motor less its drag; rates of the brake's bristle and of the governor."""
    braking = min(max(1.0 - (time - law.release) / 0.010, 0.0), 1.0)
    asked, error, governor = 0.0, 0.0, 0.0
    if time >= law.release:
        rows = int(law.rows)
        asked = np.interp(time - law.release, law.times[:rows], law.wanted[:rows])
        if law.holds_speed == 1.0:
            error = asked - speed
            asked = (law.proportional * error + law.integral * held) * (1.0 - braking)
            governor = 1.0 - braking
    emf = law.constant * speed
    most = min((law.voltage - emf) / law.resistance, law.limit)
    least = max((-law.voltage - emf) / law.resistance, -law.limit)
    current = min(max(asked / law.constant, least), most)
    refused = asked - law.constant * current  # the governor takes it back
    governor *= error - refused / law.proportional
    rate = speed - abs(speed) * bristle / 0.2
    friction = (law.idle + braking * law.brake) / 0.2
    drag = friction * (bristle + 0.002 * math.exp(-((speed / 20.0) ** 2)) * rate)
    return law.constant * current - law.factor.brake * drag, rate, governor


# --- numbers of the laws ---


def _stop(given):
    return (given.length, 2.0 * given.rate, given.damping)


def _rows(damper):
    """Rows (speed, force) of one damper; two rates are a table of two straight lines."""
    if not damper.table:
        return [(-1.0, -damper.rebound), (0.0, 0.0), (1.0, damper.compression)]
    return sorted(set(damper.table) | {(0.0, 0.0)})


def _loose_at(spring, found):
    """Travel at which a spring goes loose; the program has to solve for one that holds the ride height."""
    if spring.hold_ride_height:
        return found.loose_at
    if spring.preload is not None:
        return (-spring.preload if spring.push else spring.preload) / spring.rate
    return spring.loose_at or 0.0


def _fill_shock(row, shock, found):
    row["extended"], row["stroke"], row["fraction"] = (
        shock.extended_length,
        shock.stroke,
        shock.fraction or 0.0,
    )
    for slot, spring, solved in zip(row["spring"], shock.springs, found.spring, strict=False):
        slot["push"], slot["rate"], slot["loose_at"] = (
            spring.push,
            2.0 * spring.rate,
            _loose_at(spring, solved),
        )
    rows = np.array(_rows(shock.damper))
    row["rows"] = len(rows)
    row["speeds"][: len(rows)], row["oil"][: len(rows)] = rows[:, 0], 2.0 * rows[:, 1]
    friction = shock.friction
    row["breakaway"], row["dragging"] = 2.0 * friction.breakaway, 2.0 * friction.sliding
    row["presliding"], row["seal_speed"] = friction.presliding, friction.stribeck_speed
    row["bump"], row["droop"] = _stop(shock.bump_stop), _stop(shock.droop_stop)


def _fill_tyre(row, tyre):
    row["radius"], row["stiffness"], row["damping"] = tyre.radius, 2.0 * tyre.stiffness, 2.0 * tyre.damping
    row["slip_stiffness"], row["relaxation"] = tyre.slip_stiffness, tyre.relaxation_length
    # the standing tyre holds the peak grip, the one that spins at grip_speed shows the sliding grip
    left = math.exp(-((tyre.grip_speed / tyre.stribeck_speed) ** 2))
    row["peak"], row["fall_speed"] = tyre.peak_grip, tyre.stribeck_speed
    row["sliding"] = tyre.peak_grip - (tyre.peak_grip - tyre.sliding_grip) / (1.0 - left)
    presliding = tyre.sliding_grip * tyre.relaxation_length / tyre.slip_stiffness
    row["settling"] = min(0.002, presliding / tyre.stribeck_speed)
    row["rolling"] = tyre.rolling_resistance


def _fill_shaft(row, shaft):
    row["turns"], row["rubbing"], row["splines"], row["give"] = 1.0, 0.0, 1.0, 1.0
    if shaft is not None:
        row["turns"], row["rubbing"], row["splines"] = shaft.ratio, shaft.friction, shaft.spline_radius
        row["give"] = shaft.presliding


def laws_of(scenario, found, mass, loads):
    """Numbers of every law of a scenario; all from the file but the loose positions of springs that hold the
    ride height, which the program solves for.

    Parameters
    ----------
    found : the program's parameters
    mass : of the whole rig, kg
    loads : of rear and front axle on the level, N
    """
    laws = np.zeros(1, LAWS)
    law, rig, driver, line = laws[0], scenario.rig, scenario.driver, scenario.rig.driveline
    fill_course(law["course"], scenario.ground)
    for name, value in (
        ("efficiency", line.efficiency),
        ("constant", 1.0 / rig.motor.kv),
        ("voltage", rig.motor.voltage),
        ("resistance", rig.motor.resistance),
        ("limit", rig.motor.current_limit),
        ("idle", rig.motor.no_load_current / rig.motor.kv),
        ("brake", rig.motor.brake_torque),
        ("release", driver.release),
    ):
        law[name] = value
    turn = line.ratio / rig.rear.tyre.radius  # rotor per way of the rear tread
    inertia = rig.motor.rotor_inertia + mass / turn**2
    law["proportional"] = 2.0 * inertia / driver.governor_time
    law["integral"] = inertia / driver.governor_time**2
    law["holds_speed"] = float(driver.control == "speed")
    rows = np.array(getattr(driver, driver.control))
    law["rows"] = len(rows)
    law["times"][: len(rows)] = rows[:, 0]
    law["wanted"][: len(rows)] = rows[:, 1] * (turn if driver.control == "speed" else 1.0)
    law["factor"] = (1.0,) * len(FORCES)
    for i, side in enumerate(SIDES):
        row = law["axle"][i]
        axle = getattr(rig, side)
        _fill_tyre(row, axle.tyre)
        _fill_shock(row, axle.shock, found.axle[i].shock)
        _fill_shaft(row, axle.shaft)
        stated, row["exponent"] = axle.tyre.grip_load, axle.tyre.grip_load_exponent
        row["reference"] = loads[i] if stated is None else 2.0 * GRAVITY * stated  # the file's is one tyre's
        row["driven"] = line.drive in ("all", side)
        row["ratio"] = line.ratio if i == 0 else line.ratio / (1.0 + line.overdrive)
        stiffness = (line.rear_stiffness, line.front_stiffness)[i]
        row["twist_rate"] = stiffness / row["ratio"] ** 2
        row["twist_damping"] = line.damping / row["ratio"] ** 2
    return laws
