"""A rig in MuJoCo: bodies, links and integration are MuJoCo's, the forces are those of `mujoco_laws`.

Every lump of mass is welded to its body, so masses, centres and inertias are added up by MuJoCo. Links are
tendons held at their length, an arm is a point held on a point, wheels are hinges on the housings, the
rotor is a hinge of its own. A shock on the housing is a tendon that a force of ours pushes apart; one on a
link pushes on the link's two pins by the lever rule or, where such links are made bodies, is a tendon as
well. MuJoCo's own contacts, damping and friction are not used. Bristles, wind-up and the governor are
activations, so that MuJoCo's Runge-Kutta steps carry them along.

Plane: x forward, z up; turns of chassis and housings are nose-up, turns of wheels and rotor roll forward.
"""

import math

import mujoco
import numba
import numpy as np
from mujoco_laws import GRAVITY, SIDES, flat_load, ground_on_wheel, motor, shock, sliding_shaft
from scipy.optimize import brentq

SPECK = 1e-13  # kg m^2, pitch inertia of a lump that has none of its own
LINK_TIME = 4.0  # steps in which MuJoCo brings a link back to its length
# Places in MuJoCo's coordinates, in the order in which the bodies are added; among the activations (hidden
# states) there stand, rear before front: 0, 1 wind-up; 2, 3 seals; 4, 5 treads; 6 brake; 7 governor; 8, 9
# splines.
CHASSIS, AXLES, WHEELS, ROTOR, HIDDEN = (0, 1, 2), ((3, 4, 5), (7, 8, 9)), (6, 10), 11, 10
CARRIERS = 12  # links that are bodies come last
NOWHERE = -1


# --- the forces of one instant ---


@numba.njit
def motion_at(site, origin, v, at):
    """Lever of a place on the body whose coordinates start `at`, and the velocity there: x, z each."""
    r_x, r_z = site[0] - origin[0], site[2] - origin[2]
    return r_x, r_z, v[at] - v[at + 2] * r_z, v[at + 1] + v[at + 2] * r_x


@numba.njit
def push_at(torque, at, r_x, r_z, f_x, f_z):
    torque[at] += f_x
    torque[at + 1] += f_z
    torque[at + 2] += r_x * f_z - r_z * f_x


@numba.njit
def carried_shock(law, axle, at, sites, mounts, origins, v, bristle, torque):
    """A shock that stands on a link at the share `fraction` of the way from its chassis pin to its axle pin.

    The link turns about its pins, so the moments about either pin of what it is given must vanish: of a force
    across it the axle pin bears `fraction` and the chassis pin the rest. A force along it the pins share as
    they like, the link passes on any difference: shared alike, the link's own force is the mean of its two
    parts weighted by their lengths.
    """
    top, pin, hub = mounts
    t_x, t_z, tv_x, tv_z = motion_at(sites[top], origins[0], v, 0)
    p_x, p_z, pv_x, pv_z = motion_at(sites[pin], origins[0], v, 0)
    h_x, h_z, hv_x, hv_z = motion_at(sites[hub], origins[1], v, at)
    f = axle.fraction
    d_x = sites[top, 0] - (1.0 - f) * sites[pin, 0] - f * sites[hub, 0]
    d_z = sites[top, 2] - (1.0 - f) * sites[pin, 2] - f * sites[hub, 2]
    length = math.hypot(d_x, d_z)
    u_x, u_z = d_x / length, d_z / length
    rate = u_x * (tv_x - (1.0 - f) * pv_x - f * hv_x) + u_z * (tv_z - (1.0 - f) * pv_z - f * hv_z)
    force, bristle_rate = shock(law, axle, length, rate, bristle)
    share = law.factor.lever * f * force
    push_at(torque, 0, t_x, t_z, force * u_x, force * u_z)
    push_at(torque, 0, p_x, p_z, (share - force) * u_x, (share - force) * u_z)
    push_at(torque, at, h_x, h_z, -share * u_x, -share * u_z)
    return length, bristle_rate


@numba.njit
def all_forces(time, moving, strings, hidden, laws, places, push, torque, pull, apart, rates, seen):
    """Every force of one instant, from MuJoCo's coordinates into MuJoCo's forces and rates.

    The torque of a wheel's hinge is that of the gears, so MuJoCo itself lets it react on the housing.

    Parameters
    ----------
    moving : coordinates, their rates, places of all sites, of the chassis and each housing
    strings : lengths and length rates of all tendons
    places : wheel centres on the bench, tendon of each shock or NOWHERE, sites of each shock on a link,
        tendon of each drive shaft or NOWHERE
    pull, apart : forces that push the ends of shocks and of drive shafts apart
    seen : tyre loads and shock lengths, filled
    """
    law = laws[0]
    q, v, sites, origins = moving
    lengths, length_rates = strings
    bench, tendons, mounts, shafts = places
    loads, shock_lengths = seen
    torque[:] = 0.0
    speed = v[11]
    net, rates[6], rates[7] = motor(law, time, speed, hidden[6], hidden[7])
    for i in range(2):
        axle, at, wheel = law.axle[i], 3 + 4 * i, 6 + 4 * i
        pull[i], k, seal = 0.0, tendons[i], hidden[2 + i]
        if k == NOWHERE:
            shock_lengths[i], rates[2 + i] = carried_shock(
                law, axle, at, sites, mounts[i], origins[i], v, seal, torque
            )
        else:
            shock_lengths[i] = lengths[k]
            pull[i], rates[2 + i] = shock(law, axle, lengths[k], length_rates[k], seal)
        x, z = bench[i, 0] + q[at], bench[i, 1] + q[at + 1]
        spin = v[wheel] - v[at + 2]
        loads[i], rates[4 + i] = ground_on_wheel(
            law, axle, x, z, v[at], v[at + 1], spin, hidden[4 + i], push[i]
        )
        rates[i] = axle.driven * (speed - axle.ratio * v[wheel])
        shaft = axle.driven * axle.twist_rate * hidden[i]
        shaft += law.factor.twist * axle.twist_damping * rates[i]
        geared = axle.ratio * shaft
        torque[wheel] = geared * law.efficiency ** math.tanh(geared * v[wheel] / 2e-4)
        net -= shaft
        apart[i], k = 0.0, shafts[i]
        if k != NOWHERE:
            tension, rates[8 + i] = sliding_shaft(law, axle, torque[wheel], length_rates[k], hidden[8 + i])
            apart[i] = -tension
    torque[11] = net


# --- MuJoCo's side ---


def _own(body, mass, at, inertia):
    """Mass of the body itself, at a place in its axes; it turns in the plane alone, so a ball serves.

    No moving body may be left without: MuJoCo 4.0 gives twice the centre of mass to one that has only welded
    lumps.
    """
    body.mass, body.inertia, body.explicitinertial = mass, [inertia] * 3, True
    body.ipos = [at[0], 0.0, at[1]]


def _weld(body, mass, at, inertia=0.0, name=""):
    _own(body.add_body(name=name, pos=[at[0], 0.0, at[1]]), mass, (0.0, 0.0), inertia + SPECK)


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


def _ends(name, *places):
    """Sites at places (body, x, z) in the axes of their bodies; their names."""
    for k, (body, x, z) in enumerate(places):
        body.add_site(name=f"{name}_{k}", pos=[x, 0.0, z])
    return [f"{name}_{k}" for k in range(len(places))]


def _string(spec, name, ends):
    """A tendon between sites."""
    tendon = spec.add_tendon(name=name)
    for end in ends:
        tendon.wrap_site(end)


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


def build(rig, centres, step, carriers=False):
    """MuJoCo model of a rig as it stands on the bench, wheel centres at `centres`.

    With `carriers` a link that carries a shock is a body, half its mass at either pin, and its shock a tendon
    like any other: then MuJoCo alone says what the link does with the shock's force.
    """
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
        _add_axle(spec, rig, side, chassis, centre)
    rotor = spec.worldbody.add_body(name="rotor", pos=[0.0, 1.0, 0.0])
    rotor.add_joint(name="rotor", type=mujoco.mjtJoint.mjJNT_HINGE, axis=(0, 1, 0))
    _own(rotor, 0.01, (0.0, 0.0), rig.motor.rotor_inertia)
    for side in SIDES:
        if carriers and getattr(rig, side).shock.axle is None:
            _make_carrier(spec, getattr(rig, side), side)
    for held in spec.equalities:
        held.solref, held.solimp = [LINK_TIME * step, 1.0], [0.9999, 0.9999, 0.001, 0.5, 2.0]
    for side in SIDES:  # their pushes come first among the controls
        if carriers or getattr(rig, side).shock.axle is not None:
            spec.add_actuator(name=f"{side}_push", target=f"{side}_shock", trntype=mujoco.mjtTrn.mjTRN_TENDON)
        else:
            _idle(spec, f"{side}_push")
    for side in SIDES:
        if getattr(rig, side).shaft is None:
            _idle(spec, f"{side}_slide")
        else:
            spec.add_actuator(
                name=f"{side}_slide", target=f"{side}_shaft", trntype=mujoco.mjtTrn.mjTRN_TENDON
            )
    for k in range(HIDDEN):
        state = _idle(spec, f"hidden_{k}")
        state.dyntype, state.actdim = mujoco.mjtDyn.mjDYN_INTEGRATOR, 1
    return spec.compile()


def _idle(spec, name):
    """A control that moves nothing."""
    control = spec.add_actuator(name=name, target="rotor", trntype=mujoco.mjtTrn.mjTRN_JOINT)
    control.gainprm[0] = 0.0
    return control


def _links(axle):
    """Name, chassis pin, axle pin of what locates an axle; an arm is fixed to the housing at no pin."""
    if axle.arm is not None:
        return [("arm", axle.arm, axle.arm.chassis)]
    return [
        ("lower", axle.lower_link, axle.lower_link.axle),
        ("upper", axle.upper_link, axle.upper_link.axle),
    ]


def lower_mount(shock, axle):
    if shock.axle is not None:
        return shock.axle
    link = getattr(axle, f"{shock.link}_link")
    return np.add(link.chassis, shock.fraction * np.subtract(link.axle, link.chassis))


def _chassis_lumps(rig, body):
    """What the chassis carries: itself, half of every link, shock and shaft, loose parts."""
    own = rig.chassis
    _own(body, own.mass, own.cg, own.pitch_inertia)
    for side in SIDES:
        axle = getattr(rig, side)
        for kind, link, _ in _links(axle):
            _weld(body, link.mass / 2.0, link.chassis, name=f"{side}_{kind}_mass_0")
        _weld(body, axle.shock.mass, axle.shock.chassis)  # half of two
        _weld(body, rig.driveline.shaft_mass / 2.0, axle.shaft.chassis if axle.shaft else own.cg)
    _loose_parts(rig, body, "chassis", (0.0, 0.0))


def _loose_parts(rig, body, on, origin):
    for part in rig.parts:
        if part.on == on:
            length, height = part.size or (0.0, 0.0)
            _weld(body, part.mass, np.subtract(part.at, origin), part.mass * (length**2 + height**2) / 12.0)


def _add_axle(spec, rig, side, chassis, centre):
    """Housing with its share of links, shocks and shaft; wheels; links and shock to the chassis."""
    axle = getattr(rig, side)
    body = _planar(spec.worldbody, side, centre)
    housing = axle.housing
    _own(body, housing.mass, np.subtract(housing.cg or centre, centre), housing.pitch_inertia)
    _wheel(body, f"{side}_wheels", 2.0 * axle.tyre.wheel_mass, 2.0 * axle.tyre.spin_inertia)
    _weld(body, axle.shock.mass, np.subtract(lower_mount(axle.shock, axle), centre))
    joint = np.subtract(axle.shaft.axle if axle.shaft else centre, centre)
    _weld(body, rig.driveline.shaft_mass / 2.0, joint)
    if axle.shaft is not None:
        ends = _ends(f"{side}_shaft", (chassis, *axle.shaft.chassis), (body, *joint))
        _string(spec, f"{side}_shaft", ends)
    _loose_parts(rig, body, side, centre)
    for kind, link, pin in _links(axle):
        name, on_housing = f"{side}_{kind}", np.subtract(pin, centre)
        place = (0.0, 0.0) if kind == "arm" else on_housing
        _weld(body, link.mass / 2.0, place, name=f"{name}_mass_1")
        ends = _ends(name, (chassis, *link.chassis), (body, *on_housing))
        if kind == "arm":
            _connect(spec, name, *ends)
        else:
            _string(spec, name, ends)
            held = spec.add_equality(name=name, type=mujoco.mjtEq.mjEQ_TENDON, name1=name)
            held.data[:5] = 0.0
    name, top = f"{side}_shock", (chassis, *axle.shock.chassis)
    if axle.shock.axle is None:
        _ends(name, top)
    else:
        _string(spec, name, _ends(name, top, (body, *np.subtract(axle.shock.axle, centre))))


def _connect(spec, name, first, second):
    held = spec.add_equality(name=name, type=mujoco.mjtEq.mjEQ_CONNECT, name1=first, name2=second)
    held.objtype = mujoco.mjtObj.mjOBJ_SITE


def _make_carrier(spec, axle, side):
    """Turn the link that carries a shock into a body; its masses and its tendon are taken away."""
    name = f"{side}_{axle.shock.link}"
    link = getattr(axle, f"{axle.shock.link}_link")
    for end in range(2):
        spec.body(f"{name}_mass_{end}").mass = 0.0
    spec.delete(spec.equality(name))
    way = np.subtract(link.axle, link.chassis)
    body = _planar(spec.worldbody, f"{side}_carrier", link.chassis)
    _own(body, link.mass / 2.0, (0.0, 0.0), SPECK)
    _weld(body, link.mass / 2.0, way)
    pins = _ends(f"{side}_carrier", (body, 0.0, 0.0), (body, *way))
    for end, pin in enumerate(pins):
        _connect(spec, f"{side}_carrier_{end}", f"{name}_{end}", pin)
    body.add_site(
        name=f"{side}_shock_1", pos=[axle.shock.fraction * way[0], 0.0, axle.shock.fraction * way[1]]
    )
    _string(spec, f"{side}_shock", [f"{side}_shock_0", f"{side}_shock_1"])


def turn_carriers(model, data, rig):
    """Lay the links that are bodies between their pins; they rest."""
    mujoco.mj_kinematics(model, data)
    at = CARRIERS
    for side in SIDES:
        axle = getattr(rig, side)
        if axle.shock.axle is None:
            link = getattr(axle, f"{axle.shock.link}_link")
            first, last = (data.site(f"{side}_{axle.shock.link}_{k}").xpos[[0, 2]] for k in range(2))
            way, now = np.subtract(link.axle, link.chassis), last - first
            turn = math.atan2(way[0] * now[1] - way[1] * now[0], way @ now)
            data.qpos[at : at + 3] = [*(first - link.chassis), turn]
            at += 3


def places_of(model, rig, centres):
    """Where `all_forces` finds what it needs: wheel centres, tendons of shocks, sites of shocks on links,
    tendons of drive shafts.
    """
    tendons, mounts = np.full(2, NOWHERE), np.zeros((2, 3), int)
    shafts = [mujoco.mj_name2id(model, mujoco.mjtObj.mjOBJ_TENDON, f"{side}_shaft") for side in SIDES]
    for i, side in enumerate(SIDES):
        shock = getattr(rig, side).shock
        tendon = mujoco.mj_name2id(model, mujoco.mjtObj.mjOBJ_TENDON, f"{side}_shock")
        if tendon != NOWHERE:
            tendons[i] = tendon
        else:
            names = (f"{side}_shock_0", *(f"{side}_{shock.link}_{k}" for k in range(2)))
            mounts[i] = [model.site(name).id for name in names]
    return centres, tendons, mounts, np.array(shafts)


def held_forces(model, data):
    """Forces of both links of each axle, compression positive; of an arm on the chassis, x and z; N.

    Returns
    -------
    by the program's names; links that are bodies are left out
    """
    forces = {}
    for k in range(model.neq):
        rows = data.efc_force[data.efc_id == k]
        side, kind, *end = model.equality(k).name.split("_")
        if kind == "arm":
            forces |= {f"{side}_lower_link_N": rows[0], f"{side}_upper_link_N": rows[2]}
        elif not end:
            forces[f"{side}_{kind}_link_N"] = rows[0]
    return forces
