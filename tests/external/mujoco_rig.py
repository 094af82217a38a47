"""A rig in MuJoCo: bodies, links and integration are MuJoCo's, the forces are laws written here again.

Every lump of mass is welded to its body, so masses, centres and inertias are added up by MuJoCo. Links are
tendons held at their length, shocks are tendons that a force of ours pushes apart, wheels are hinges on the
housings, the rotor is a hinge of its own. MuJoCo's own contacts, damping and friction are not used.
Bristles, wind-up and the governor are activations, so that MuJoCo's Runge-Kutta steps carry them along.

Plane: x forward, z up; turns of chassis and housings are nose-up, turns of wheels and rotor roll forward.
"""

import math

import mujoco
import numba
import numpy as np
from scipy.optimize import brentq

GRAVITY = 9.80665  # m/s^2
SIDES = ("rear", "front")
SPECK = 1e-13  # kg m^2, pitch inertia of a lump that has none of its own
LINK_TIME = 4.0  # steps in which MuJoCo brings a link back to its length
# forces that can be turned round or weakened, to see whether a comparison would notice
FORCES = ("spring", "damper", "seal", "stops", "squash", "thrust", "rolling", "twist", "brake")

f8 = np.float64


def _record(*names, **parts):
    return [(name, f8) for name in names] + [(name, *kind) for name, kind in parts.items()]


STOP = np.dtype(_record("length", "rate", "damping"))
AXLE = np.dtype(
    _record("radius", "stiffness", "damping", "slip_stiffness", "relaxation", "peak", "sliding", "fall_speed")
    + _record("settling", "rolling", "extended", "stroke", "rate", "loose_at", "compression", "rebound")
    + _record("breakaway", "dragging", "presliding", "seal_speed", "ratio", "twist_rate", "twist_damping")
    + _record(bump=(STOP,), droop=(STOP,))
)
LAWS = np.dtype(
    _record("cos", "sin", "grip", "efficiency", "constant", "voltage", "resistance", "limit", "idle")
    + _record("brake", "release", "holds_speed", "proportional", "integral", "rows")
    + _record(times=(f8, (8,)), wanted=(f8, (8,)), axle=(AXLE, (2,)), factor=(_record(*FORCES),))
)
# Places in MuJoCo's coordinates, in the order in which the bodies are added; among the activations (hidden
# states) there stand, rear before front: 0, 1 wind-up; 2, 3 seals; 4, 5 treads; 6 brake; 7 governor.
CHASSIS, AXLES, WHEELS, ROTOR, HIDDEN = (0, 1, 2), ((3, 4, 5), (7, 8, 9)), (6, 10), 11, 8


# --- the laws, from their equations ---


@numba.njit
def flat_load(radius, stiffness, height):
    """Elastic load of a tyre whose centre stands `height` above a plane, and its equivalent squash."""
    if height >= radius:
        return 0.0, 0.0
    half = math.sqrt(radius**2 - height**2)
    area = radius**2 * math.acos(height / radius) - height * half
    squash = (3.0 * area / (4.0 * math.sqrt(2.0 * radius))) ** (2.0 / 3.0)
    pressure = stiffness * squash / (2.0 * math.sqrt(2.0 * radius * squash - squash**2))
    return (pressure + 30.0 * stiffness * (squash / radius) ** 9) * 2.0 * half, squash


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
def shock(law, axle, length, rate_of_length, bristle):
    """Force that pushes the mounts apart, rate of the seal's bristle."""
    travel, speed = axle.extended - length, -rate_of_length
    friction, bristle_rate = seal(axle, speed, bristle)
    coil = axle.rate * max(travel - axle.loose_at, 0.0)
    oil = (axle.compression if speed > 0.0 else axle.rebound) * speed
    stops = rubber(axle.bump, travel - axle.stroke + axle.bump.length, speed)
    stops -= rubber(axle.droop, axle.droop.length - travel, -speed)
    factor = law.factor
    return (
        factor.spring * coil + factor.damper * oil + factor.seal * friction + factor.stops * stops,
        bristle_rate,
    )


@numba.njit
def tread(law, axle, slip, roll, bristle):
    """LuGre tyre averaged over its contact: thrust per load, rate of the bristle."""
    sigma = axle.slip_stiffness / axle.relaxation
    grip = law.grip * falling(slip, axle.sliding, axle.peak, axle.fall_speed)
    level = grip / (1.0 - min(grip * abs(roll) / (abs(slip) + 1e-9) / axle.slip_stiffness, 0.5))
    rate = slip - sigma * abs(slip) / level * bristle - abs(roll) / axle.relaxation * bristle
    fade = math.exp(-(((abs(slip) + abs(roll)) / axle.fall_speed) ** 2))
    return sigma * (bristle + axle.settling * fade * rate), rate


@numba.njit
def ground_on_wheel(law, axle, x, z, v_x, v_z, spin, bristle, push):
    """Fill `push` with force and torque (x, y, z each) at the wheel centre; load, rate of the bristle."""
    rise = law.cos * v_z - law.sin * v_x
    elastic, squash = flat_load(axle.radius, axle.stiffness, law.cos * z - law.sin * x)
    load = max(elastic - law.factor.squash * axle.damping * min(squash / 0.001, 1.0) * rise, 0.0)
    arm = axle.radius - squash / 3.0
    roll = arm * spin
    share, rate = tread(law, axle, roll - law.cos * v_x - law.sin * v_z, roll, bristle)
    thrust = law.factor.thrust * share * load
    push[0] = thrust * law.cos - load * law.sin
    push[2] = thrust * law.sin + load * law.cos
    drag = law.factor.rolling * axle.rolling * load * axle.radius * math.tanh(roll / 0.001)
    push[4] = -arm * thrust - drag
    return load, rate


@numba.njit
def motor(law, time, speed, bristle, held):
    """Torque of the motor less its drag; rates of the brake's bristle and of the governor."""
    braking = min(max(1.0 - (time - law.release) / 0.010, 0.0), 1.0)
    asked, governor = 0.0, 0.0
    if time >= law.release:
        rows = int(law.rows)
        asked = np.interp(time - law.release, law.times[:rows], law.wanted[:rows])
        if law.holds_speed == 1.0:
            error = asked - speed
            asked = (law.proportional * error + law.integral * held) * (1.0 - braking)
            governor = error * (1.0 - braking)
    emf = law.constant * speed
    most = min((law.voltage - emf) / law.resistance, law.limit)
    least = max((-law.voltage - emf) / law.resistance, -law.limit)
    current = min(max(asked / law.constant, least), most)
    if (asked / law.constant - current) * governor > 0.0:
        governor = 0.0  # at a limit the governor waits
    rate = speed - abs(speed) * bristle / 0.2
    friction = (law.idle + braking * law.brake) / 0.2
    drag = friction * (bristle + 0.002 * math.exp(-((speed / 20.0) ** 2)) * rate)
    return law.constant * current - law.factor.brake * drag, rate, governor


@numba.njit
def all_forces(time, q, v, lengths, length_rates, hidden, laws, bench, push, torque, pull, rates, loads):
    """Every force of one instant, from MuJoCo's coordinates into MuJoCo's forces and rates.

    The torque of a wheel's hinge is that of the gears, so MuJoCo itself lets it react on the housing.
    """
    law = laws[0]
    speed = v[11]
    net, rates[6], rates[7] = motor(law, time, speed, hidden[6], hidden[7])
    for i in range(2):
        axle, at, wheel = law.axle[i], 3 + 4 * i, 6 + 4 * i
        pull[i], rates[2 + i] = shock(law, axle, lengths[i], length_rates[i], hidden[2 + i])
        x, z = bench[i, 0] + q[at], bench[i, 1] + q[at + 1]
        spin = v[wheel] - v[at + 2]
        loads[i], rates[4 + i] = ground_on_wheel(
            law, axle, x, z, v[at], v[at + 1], spin, hidden[4 + i], push[i]
        )
        rates[i] = speed - axle.ratio * v[wheel]
        shaft = axle.twist_rate * hidden[i] + law.factor.twist * axle.twist_damping * rates[i]
        geared = axle.ratio * shaft
        torque[wheel] = geared * law.efficiency ** math.tanh(geared * v[wheel] / 2e-4)
        net -= shaft
    torque[11] = net


# --- numbers of the laws ---


def _stop(given):
    return (given.length, 2.0 * given.rate, given.damping)


def _fill_axle(row, axle, found):
    """Numbers of both tyres and shocks of an axle; `found` holds what the program has to solve for."""
    tyre, coils, damper, friction = axle.tyre, axle.shock.springs, axle.shock.damper, axle.shock.friction
    if len(coils) != 1 or damper.table or axle.arm is not None or axle.shock.axle is None:
        raise ValueError("this rig knows two links, one spring, damper rates and mounts on the housing")
    row["radius"], row["stiffness"], row["damping"] = tyre.radius, 2.0 * tyre.stiffness, 2.0 * tyre.damping
    row["slip_stiffness"], row["relaxation"] = tyre.slip_stiffness, tyre.relaxation_length
    row["peak"], row["sliding"], row["fall_speed"] = found.tyre.peak, found.tyre.sliding, tyre.stribeck_speed
    presliding = tyre.sliding_grip * tyre.relaxation_length / tyre.slip_stiffness
    row["settling"] = min(0.002, presliding / tyre.stribeck_speed)
    row["rolling"] = tyre.rolling_resistance
    row["extended"], row["stroke"] = axle.shock.extended_length, axle.shock.stroke
    row["rate"], row["loose_at"] = 2.0 * coils[0].rate, found.shock.spring[0].loose_at
    row["compression"], row["rebound"] = 2.0 * damper.compression, 2.0 * damper.rebound
    row["breakaway"], row["dragging"] = 2.0 * friction.breakaway, 2.0 * friction.sliding
    row["presliding"], row["seal_speed"] = friction.presliding, friction.stribeck_speed
    row["bump"], row["droop"] = _stop(axle.shock.bump_stop), _stop(axle.shock.droop_stop)


def laws_of(scenario, found, mass):
    """Numbers of every law of a scenario on a plane; all from the file but the tyres' inner levels and the
    springs' loose positions, which the program solves for.
    """
    laws = np.zeros(1, LAWS)
    law, rig, driver, line = laws[0], scenario.rig, scenario.driver, scenario.rig.driveline
    law["cos"], law["sin"] = math.cos(scenario.ground.slope), math.sin(scenario.ground.slope)
    for name, value in (
        ("grip", scenario.ground.grip),
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
        _fill_axle(row, getattr(rig, side), found.axle[i])
        row["ratio"] = line.ratio if i == 0 else line.ratio / (1.0 + line.overdrive)
        stiffness = (line.rear_stiffness, line.front_stiffness)[i]
        row["twist_rate"] = stiffness / row["ratio"] ** 2
        row["twist_damping"] = line.damping / row["ratio"] ** 2
    return laws


# --- MuJoCo's side ---


def _own(body, mass, at, inertia):
    """Mass of the body itself, at a place in its axes; it turns in the plane alone, so a ball serves.

    No moving body may be left without: MuJoCo 4.0 gives twice the centre of mass to one that has only welded
    lumps.
    """
    body.mass, body.inertia, body.explicitinertial = mass, [inertia] * 3, True
    body.ipos = [at[0], 0.0, at[1]]


def _weld(body, mass, at, inertia=0.0):
    _own(body.add_body(pos=[at[0], 0.0, at[1]]), mass, (0.0, 0.0), inertia + SPECK)


def _planar(parent, name, at):
    """A body that slides along x and z and turns nose-up about its origin."""
    body = parent.add_body(name=name, pos=[at[0], 0.0, at[1]])
    for axis in ((1, 0, 0), (0, 0, 1)):
        body.add_joint(type=mujoco.mjtJoint.mjJNT_SLIDE, axis=axis)
    body.add_joint(type=mujoco.mjtJoint.mjJNT_HINGE, axis=(0, -1, 0))
    return body


def _wheel(parent, name, mass, inertia):
    body = parent.add_body(name=name)
    body.add_joint(type=mujoco.mjtJoint.mjJNT_HINGE, axis=(0, 1, 0))
    _own(body, mass, (0.0, 0.0), inertia)


def _string(spec, name, ends):
    """A tendon between places (body, x, z) in the axes of their bodies."""
    tendon = spec.add_tendon(name=name)
    for k, (body, x, z) in enumerate(ends):
        body.add_site(name=f"{name}_{k}", pos=[x, 0.0, z])
        tendon.wrap_site(f"{name}_{k}")


def bench_centres(rig):
    """Wheel centres on the bench, (2, 2), m: as high as the tyres stand under their level loads, which depend
    on where the centre of mass lies, which depends (hardly) on the wheel centres.
    """
    centres = np.array([[0.0, rig.rear.tyre.radius], [rig.wheelbase, rig.front.tyre.radius]])
    for _ in range(2):
        mass, ahead = whole_of(build(rig, centres, 1e-5))
        for i, share in enumerate((1.0 - ahead / rig.wheelbase, ahead / rig.wheelbase)):
            centres[i, 1] = _standing_height(getattr(rig, SIDES[i]).tyre, share * mass * GRAVITY)
    return centres


def _standing_height(tyre, load):
    def excess(height):
        return flat_load(tyre.radius, 2.0 * tyre.stiffness, height)[0] - load

    return brentq(excess, 0.5 * tyre.radius, tyre.radius, xtol=1e-14)


def whole_of(model):
    """Mass of the rig and how far its centre lies ahead of the rear axle, as built."""
    data = mujoco.MjData(model)
    mujoco.mj_forward(model, data)
    bodies = [model.body(name).id for name in ("chassis", *SIDES)]
    masses = model.body_subtreemass[bodies]
    return masses.sum(), masses @ data.subtree_com[bodies, 0] / masses.sum()


def build(rig, centres, step):
    """MuJoCo model of a rig as it stands on the bench, wheel centres at `centres`."""
    spec = mujoco.MjSpec()
    spec.compiler.fusestatic = True
    spec.option.gravity, spec.option.timestep = [0.0, 0.0, -GRAVITY], step
    spec.option.integrator = mujoco.mjtIntegrator.mjINT_RK4
    spec.option.iterations, spec.option.tolerance = 2, 0.0  # links alone make a quadratic: one step solves it
    off = mujoco.mjtDisableBit
    spec.option.disableflags = off.mjDSBL_CONTACT | off.mjDSBL_WARMSTART | off.mjDSBL_AUTORESET
    chassis = _planar(spec.worldbody, "chassis", (0.0, 0.0))
    _chassis_lumps(rig, chassis)
    for side, centre in zip(SIDES, centres, strict=True):
        _add_axle(spec, rig, side, chassis, centre, step)
    rotor = spec.worldbody.add_body(name="rotor", pos=[0.0, 1.0, 0.0])
    rotor.add_joint(type=mujoco.mjtJoint.mjJNT_HINGE, axis=(0, 1, 0))
    _own(rotor, 0.01, (0.0, 0.0), rig.motor.rotor_inertia)
    for side in SIDES:  # their pushes come first among the controls
        spec.add_actuator(name=f"{side}_push", target=f"{side}_shock", trntype=mujoco.mjtTrn.mjTRN_TENDON)
    for k in range(HIDDEN):
        state = spec.add_actuator(name=f"hidden_{k}", target="rear_shock", trntype=mujoco.mjtTrn.mjTRN_TENDON)
        state.dyntype, state.actdim = mujoco.mjtDyn.mjDYN_INTEGRATOR, 1
        state.gainprm[0] = 0.0
    return spec.compile()


def _chassis_lumps(rig, body):
    """What the chassis carries: itself, half of every link, shock and shaft, loose parts."""
    own = rig.chassis
    _own(body, own.mass, own.cg, own.pitch_inertia)
    for axle in (rig.rear, rig.front):
        for link in (axle.lower_link, axle.upper_link):
            _weld(body, link.mass / 2.0, link.chassis)
        _weld(body, axle.shock.mass, axle.shock.chassis)  # half of two
        _weld(body, rig.driveline.shaft_mass / 2.0, own.cg)
    _loose_parts(rig, body, "chassis", (0.0, 0.0))


def _loose_parts(rig, body, on, origin):
    for part in rig.parts:
        if part.on == on:
            length, height = part.size or (0.0, 0.0)
            _weld(body, part.mass, np.subtract(part.at, origin), part.mass * (length**2 + height**2) / 12.0)


def _add_axle(spec, rig, side, chassis, centre, step):
    """Housing with its share of links, shocks and shaft; wheels; links and shock to the chassis."""
    axle = getattr(rig, side)
    body = _planar(spec.worldbody, side, centre)
    housing = axle.housing
    _own(body, housing.mass, np.subtract(housing.cg or centre, centre), housing.pitch_inertia)
    _wheel(body, f"{side}_wheels", 2.0 * axle.tyre.wheel_mass, 2.0 * axle.tyre.spin_inertia)
    _weld(body, axle.shock.mass, np.subtract(axle.shock.axle, centre))
    _weld(body, rig.driveline.shaft_mass / 2.0, (0.0, 0.0))
    _loose_parts(rig, body, side, centre)
    for kind, link in (("lower", axle.lower_link), ("upper", axle.upper_link)):
        _weld(body, link.mass / 2.0, np.subtract(link.axle, centre))
        name = f"{side}_{kind}"
        _string(spec, name, ((chassis, *link.chassis), (body, *np.subtract(link.axle, centre))))
        held = spec.add_equality(name=name, type=mujoco.mjtEq.mjEQ_TENDON, name1=name)
        held.data[:5] = 0.0
        held.solref, held.solimp = [LINK_TIME * step, 1.0], [0.9999, 0.9999, 0.001, 0.5, 2.0]
    mounts = ((chassis, *axle.shock.chassis), (body, *np.subtract(axle.shock.axle, centre)))
    _string(spec, f"{side}_shock", mounts)
